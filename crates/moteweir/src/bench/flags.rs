//! What may be wrong with counts, its usual cause, and which way it moves the result.

use moteweir_sim::counting::{Counted, State, ratio_interval};
use moteweir_units::show;

use super::by_channel::{ByChannel, Total};
use super::coincidence::{Densest, Instrument};
use super::flag::{Flag, Kind};
use super::reading::Readings;
use super::subjects::Subjects;

/// Flows further apart than this are not of the same pump setting; ISO 21501-4 lets a flow be 5 % off, from memory.
const FLOW_APART: f64 = 0.05;
/// A share of what was counted through a sample that is worth saying.
const SHARE_SAID: f64 = 0.1;
/// Level of the tests that a flag rests on.
const SURE: f64 = 0.99;
/// A fall along readings that no usual room makes.
const FALL: f64 = 1.3;
/// Below this penetration, a leak or a false count that nobody looked for could be all there is.
const LITTLE: f64 = 0.02;

/// Everything that looks like trouble.
pub(super) fn flags(
    readings: &Readings,
    subjects: &Subjects,
    channels: &[ByChannel<'_>],
    instrument: &Instrument,
) -> Vec<Flag> {
    let look = Look { readings, subjects, channels };
    let mut all = Vec::new();
    all.extend(look.coincidence(instrument));
    all.extend(look.throttled());
    for channel in channels.iter().filter(|channel| !channel.subjects.is_empty()) {
        let words = readings.channels[channel.channel].words();
        all.extend(look.blocked(channel, &words));
        all.extend(look.zero(channel, &words));
        all.extend(look.fog(channel, &words));
        all.extend(look.falling(channel, &words));
    }
    all.extend(look.not_looked_for());
    all.extend(look.no_bracket());
    all
}

struct Look<'a> {
    readings: &'a Readings,
    subjects: &'a Subjects,
    channels: &'a [ByChannel<'a>],
}

impl Look<'_> {
    fn name(&self, subject: usize) -> String {
        format!("\"{}\"", self.subjects.words(subject, self.readings))
    }

    fn names(&self, subjects: &[usize]) -> String {
        list(&subjects.iter().map(|&s| self.name(s)).collect::<Vec<_>>())
    }

    /// The densest open reading, all channels together.
    fn densest(&self, instrument: &Instrument) -> Densest {
        let mut densest = Densest { rate: 0.0, per_m3: None, place: "in the densest open reading" };
        let is_open = |reading: &&super::reading::Reading| reading.state == super::reading::State::Open;
        for reading in self.readings.readings.iter().filter(is_open) {
            let counts: u64 = self.readings.counts_of(reading).iter().map(|c| c.counts).sum();
            let rate = counts as f64 / reading.seconds;
            densest.rate = densest.rate.max(rate);
            let flow = reading.flow.map(moteweir_units::Flow::to_m3_per_s).or(instrument.flow_m3_per_s);
            let concentration = flow.map(|flow| rate / flow);
            densest.per_m3 = match (densest.per_m3, concentration) {
                (Some(a), Some(b)) => Some(a.max(b)),
                (a, b) => a.or(b),
            };
        }
        densest
    }

    fn coincidence(&self, instrument: &Instrument) -> Option<Flag> {
        let text = instrument.coincidence(&self.densest(instrument))?;
        Some(Flag { kind: Kind::Coincidence, text, subjects: Vec::new(), channel: None, likewise: None })
    }

    fn throttled(&self) -> Option<Flag> {
        let flows = |is: &dyn Fn(&super::reading::Reading) -> bool| {
            let of_it = self.readings.readings.iter().filter(|r| is(r));
            let flows: Vec<f64> = of_it.filter_map(|r| r.flow).map(moteweir_units::Flow::si).collect();
            (!flows.is_empty()).then(|| flows.iter().sum::<f64>() / flows.len() as f64)
        };
        let open = flows(&|r| r.state == super::reading::State::Open)?;
        let mut worst: Option<(usize, f64)> = None;
        let mut throttled = Vec::new();
        for subject in 0..self.subjects.all.len() {
            let Some(through) = flows(&|r| self.subjects.of_reading(r) == Some(subject)) else { continue };
            let less = 1.0 - through / open;
            if less > FLOW_APART {
                throttled.push(subject);
                if worst.is_none_or(|(_, most)| less > most) {
                    worst = Some((subject, less));
                }
            }
        }
        let (subject, less) = worst?;
        Some(Flag {
            kind: Kind::Throttled,
            text: format!(
                "Throttled pump: it drew {} less through {} than open{}. A dense sample does that. Counts were divided by \
                 litres, so that much is taken care of; by time alone penetration would be under-stated. The air was \
                 slower than the open flow says, and a counter off its flow sizes particles wrongly, either way.",
                show::percent(less, 2),
                self.name(subject),
                if throttled.len() > 1 { ", and less through others too" } else { "" },
            ),
            subjects: throttled,
            channel: None,
            likewise: None,
        })
    }

    fn blocked(&self, channel: &ByChannel<'_>, words: &str) -> Option<Flag> {
        let blocked = channel.total(State::Blocked);
        let subjects = made_up_of(channel, per_exposure(&blocked));
        let share = (per_exposure(&blocked) / per_exposure(&channel.total(State::Open))).min(1.0);
        let share = show::percent(share, 2);
        (blocked.counts > 0 && !subjects.is_empty()).then(|| Flag {
            kind: Kind::Bypass,
            text: format!(
                "Bypass: with a foil in the holder {share} of the room still came in ({words}), more than a tenth of what \
                 was counted through {}. A rim or thread that leaks is the usual cause. It was taken off; a leak that \
                 changes with each clamping cannot be, and over-states penetration.{}",
                self.names(&subjects),
                self.below_the_foil(channel, &blocked, &subjects),
            ),
            likewise: Some(format!("{share} of the room ({words}), through {}", self.names(&subjects))),
            subjects,
            channel: Some(channel.channel),
        })
    }

    /// What let through less than the foil did, which a leak that stays the same cannot make.
    fn below_the_foil(&self, channel: &ByChannel<'_>, blocked: &Total, subjects: &[usize]) -> String {
        let is = |&subject: &usize| {
            let through = counted(&channel.total(State::Sample(subject)));
            ratio_interval(through, counted(blocked), SURE).high < 1.0
        };
        let below: Vec<usize> = subjects.iter().copied().filter(is).collect();
        if below.is_empty() {
            return String::new();
        }
        format!(
            " Fewer came through {} than past the foil, so the leak was smaller then, and the foil is no guide to it.",
            self.names(&below)
        )
    }

    fn zero(&self, channel: &ByChannel<'_>, words: &str) -> Option<Flag> {
        let zero = channel.total(State::Zero);
        let subjects = made_up_of(channel, per_exposure(&zero));
        (zero.counts > 0 && !subjects.is_empty()).then(|| Flag {
            kind: Kind::Static,
            text: format!(
                "False counts: in clean air the counter counted {} in {} s ({words}), more than a tenth of the rate \
                 through {}. Static electricity on tube and counter that lets go of dust, stray light or a leak behind \
                 the zero filter are the usual causes. They were taken off; without that they would over-state \
                 penetration. Ground the counter, use short conductive tube, and rinse it with clean air first.",
                zero.counts,
                zero.seconds,
                self.names(&subjects),
            ),
            likewise: Some(format!("{} in {} s ({words}), through {}", zero.counts, zero.seconds, self.names(&subjects))),
            subjects,
            channel: Some(channel.channel),
        })
    }

    fn fog(&self, channel: &ByChannel<'_>, words: &str) -> Option<Flag> {
        let open = counted(&channel.total(State::Open));
        let is = |&subject: &usize| {
            let through = counted(&channel.total(State::Sample(subject)));
            ratio_interval(through, open, SURE).low > 1.0
        };
        let subjects: Vec<usize> = channel.subjects.iter().copied().filter(is).collect();
        (!subjects.is_empty()).then(|| Flag {
            kind: Kind::Fog,
            text: format!(
                "More than open: more was counted through {} than in the room ({words}). Fog droplets from humid air, \
                 breath or a damp sample, dust and fibres that the sample sheds, or a room that filled up meanwhile do \
                 that. Penetration is over-stated: dry the sample, suck it clean first, count the room before and after.",
                self.names(&subjects),
            ),
            likewise: Some(format!("through {} ({words})", self.names(&subjects))),
            subjects,
            channel: Some(channel.channel),
        })
    }

    fn falling(&self, channel: &ByChannel<'_>, words: &str) -> Option<Flag> {
        let of = |state| -> Vec<Counted> {
            let one = |seen: &super::by_channel::Seen| Counted {
                counts: seen.counts,
                exposure: self.readings.readings[seen.reading].exposure(),
            };
            channel.of(state).map(one).collect()
        };
        if channel.is_pooled() {
            return None;
        }
        let open = of(State::Open);
        if falls(&open) {
            return None; // the room fell: drift, which the model knows
        }
        let subjects: Vec<usize> =
            channel.subjects.iter().copied().filter(|&s| falls(&of(State::Sample(s)))).collect();
        (!subjects.is_empty()).then(|| Flag {
            kind: Kind::Falling,
            text: format!(
                "Falling counts: through {} fewer were counted from reading to reading while the room stayed ({words}). A \
                 sample that sheds dust at first or dries while it is sucked through, or a tube that still gives off what \
                 it caught from the room, does that: the first readings over-state penetration. Wait half a minute, then \
                 count.",
                self.names(&subjects),
            ),
            likewise: Some(format!("through {} ({words})", self.names(&subjects))),
            subjects,
            channel: Some(channel.channel),
        })
    }

    /// Little gets through, and nobody looked for leaks or false counts.
    fn not_looked_for(&self) -> Vec<Flag> {
        let has = |state: super::reading::State| self.readings.readings.iter().any(|r| r.state == state);
        let is_little = |&subject: &usize| {
            self.channels.iter().filter(|c| c.subjects.contains(&subject)).any(|c| {
                let (open, through) = (c.total(State::Open), c.total(State::Sample(subject)));
                per_exposure(&through) < LITTLE * per_exposure(&open)
            })
        };
        let subjects: Vec<usize> = (0..self.subjects.all.len()).filter(is_little).collect();
        if subjects.is_empty() {
            return Vec::new();
        }
        let names = self.names(&subjects);
        let flag =
            |kind, text| Flag { kind, text, subjects: subjects.clone(), channel: None, likewise: None };
        let mut flags = Vec::new();
        if !has(super::reading::State::Blocked) {
            let text = format!(
                "No blocked reading: so little comes through {names} that a leak past the holder could be all of it. Put a \
                 foil in its place and count: what still comes in over-states penetration.",
            );
            flags.push(flag(Kind::NoBlocked, text));
        }
        if !has(super::reading::State::Zero) {
            let text = format!(
                "No zero reading: so little comes through {names} that what the counter counts in clean air, by static \
                 electricity or stray light, could be all of it. Count behind a filter that stops everything.",
            );
            flags.push(flag(Kind::NoZero, text));
        }
        flags
    }

    fn no_bracket(&self) -> Option<Flag> {
        use super::reading::State as S;
        let all = &self.readings.readings;
        let first = all.iter().position(|r| r.state == S::Open)?;
        let last = all.iter().rposition(|r| r.state == S::Open)?;
        let mut outside: Vec<usize> = all
            .iter()
            .enumerate()
            .filter(|(at, _)| *at < first || *at > last)
            .filter_map(|(_, reading)| self.subjects.of_reading(reading))
            .collect();
        outside.sort_unstable();
        outside.dedup();
        (!outside.is_empty()).then(|| Flag {
            kind: Kind::NoBracket,
            text: format!(
                "No bracket: {} {} not counted between two open readings. If the room changed meanwhile, as rooms do, that \
                 is in the result, either way, and not in its interval. Count the room before and after.",
                self.names(&outside),
                if outside.len() == 1 { "was" } else { "were" },
            ),
            subjects: outside,
            channel: None,
            likewise: None,
        })
    }
}

/// Subjects of a channel with so much through that a rate makes up a share of it.
fn made_up_of(channel: &ByChannel<'_>, rate: f64) -> Vec<usize> {
    let is = |&subject: &usize| {
        let through = channel.total(State::Sample(subject));
        rate > SHARE_SAID * per_exposure(&through)
    };
    channel.subjects.iter().copied().filter(is).collect()
}

/// Whether counts fall from reading to reading, for sure and by more than rooms do.
fn falls(readings: &[Counted]) -> bool {
    let rate = |c: &Counted| c.counts as f64 / c.exposure;
    let (Some(first), Some(last)) = (readings.first(), readings.last()) else { return false };
    readings.len() >= 3
        && readings.windows(2).all(|pair| rate(&pair[1]) < rate(&pair[0]))
        && ratio_interval(*first, *last, SURE).low > FALL
}

fn counted(total: &Total) -> Counted {
    Counted { counts: total.counts, exposure: total.exposure.max(f64::MIN_POSITIVE) }
}

fn per_exposure(total: &Total) -> f64 {
    if total.readings == 0 { 0.0 } else { total.counts as f64 / total.exposure }
}

/// `a`, `a and b`, `a, b and 3 others`.
fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [one, other] => format!("{one} and {other}"),
        [one, other, third] => format!("{one}, {other} and {third}"),
        [one, other, rest @ ..] => format!("{one}, {other} and {} others", rest.len()),
    }
}
