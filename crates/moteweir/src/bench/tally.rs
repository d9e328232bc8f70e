//! One count of the room, one through a sample.

use moteweir_sim::counting::{self as plan, Bounds, Counted, ratio_interval};
use moteweir_units::{Efficiency, Flow, Length, Time, Velocity};

use super::coincidence::{Densest, Instrument};
use super::velocity::{hole_for, nearest_in_use, through_hole, usual_area};
use super::worst::{AtSize, worst_of};
use crate::case::Case;
use crate::report::{ClaimReport, MoreTime, TALLY_FORMAT, TallyReport, VelocityReport, WarningReport};

/// Chance that the time asked for is enough.
const ASSURANCE: f64 = 0.8;

/// One pair of counts, and what else is known.
#[derive(Clone, Copy, Debug)]
pub struct Tally<'a> {
    /// Particles counted in the room.
    pub open: u64,
    /// How long.
    pub open_time: Time,
    /// Particles counted through the sample.
    pub through: u64,
    /// How long.
    pub through_time: Time,
    /// Level of the interval, above 0 and below 1.
    pub level: f64,
    /// What is claimed.
    pub claim: Efficiency,
    /// Size of the particles counted.
    pub size: Option<Length>,
    /// Hole and pump of the test.
    pub suction: Option<(Length, Flow)>,
    /// What is known of the counter; its flow is that of the pump above.
    pub instrument: Instrument,
    /// A case with one stack of the material, and its name.
    pub material: Option<(&'a Case, &'a str)>,
}

/// Why a pair of counts says nothing.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TallyFault {
    /// Nothing in the room.
    #[error(
        "nothing was counted open, so nothing can be said of what is caught: count where there is more dust, or longer"
    )]
    NothingOpen,
    /// A class without the size or the velocity that it needs.
    #[error(
        "a class says something of the worst size only with the size counted and the velocity: give --size, --hole and --pump as well"
    )]
    NoVelocity,
    /// A material that makes no layer.
    #[error("no layer can be made of this material: check its weight and thickness")]
    NoLayer,
}

/// What a pair of counts says.
///
/// # Errors
/// As [`TallyFault`].
pub fn tally(asked: &Tally<'_>) -> Result<TallyReport, TallyFault> {
    if asked.open == 0 {
        return Err(TallyFault::NothingOpen);
    }
    let (open, sample) = (
        Counted { counts: asked.open, exposure: asked.open_time.to_s() },
        Counted { counts: asked.through, exposure: asked.through_time.to_s() },
    );
    let bounds = ratio_interval(sample, open, asked.level);
    let velocity = asked.suction.map(|(hole, pump)| (through_hole(hole, pump), pump));
    let worst = match asked.material {
        None => None,
        Some((case, name)) => {
            let (Some(size), Some((velocity, _))) = (asked.size, velocity) else {
                return Err(TallyFault::NoVelocity);
            };
            let at = AtSize { size, velocity, sample, open };
            Some(worst_of(case, name, &at).ok_or(TallyFault::NoLayer)?)
        }
    };
    Ok(TallyReport {
        format: TALLY_FORMAT,
        level: asked.level,
        size_m: asked.size.map(Length::to_m),
        open_counts: asked.open,
        open_seconds: open.exposure,
        sample_counts: asked.through,
        sample_seconds: sample.exposure,
        penetration: bounds.estimate,
        penetration_low: bounds.low,
        penetration_high: Some(bounds.high).filter(|high| high.is_finite()),
        halving: halving(asked, bounds.estimate),
        claim: claim(asked, open, sample),
        velocity: velocity.and_then(|(velocity, pump)| velocity_report(velocity, pump)),
        warnings: warnings(asked, &bounds),
        worst,
    })
}

/// The bench as one pair of readings.
fn bench(asked: &Tally<'_>, level: f64) -> plan::Bench {
    plan::Bench {
        open_rate: asked.open as f64 / asked.open_time.to_s(),
        dispersion: 0.0,
        readings: 1,
        level,
        assurance: ASSURANCE,
    }
}

/// What to count on top of what was counted.
fn more(asked: &Tally<'_>, planned: plan::Times) -> MoreTime {
    MoreTime {
        open_seconds: (planned.open_seconds - asked.open_time.to_s()).max(0.0),
        sample_seconds: (planned.through_seconds - asked.through_time.to_s()).max(0.0),
    }
}

fn halving(asked: &Tally<'_>, penetration: f64) -> Option<MoreTime> {
    if asked.through == 0 {
        // The limit of nothing is in inverse proportion to what was looked at, open counts being many.
        return Some(MoreTime { open_seconds: 0.0, sample_seconds: asked.through_time.to_s() });
    }
    let bench = bench(asked, asked.level);
    let now =
        plan::Times { open_seconds: asked.open_time.to_s(), through_seconds: asked.through_time.to_s() };
    let wanted = 0.5 * plan::half_width(&bench, penetration, now);
    shortest(now, |times| plan::half_width(&bench, penetration, times) <= wanted)
        .map(|times| more(asked, times))
}

/// The least time on top of what was counted that is enough, over splits of the addition.
fn shortest(now: plan::Times, enough: impl Fn(plan::Times) -> bool) -> Option<plan::Times> {
    const SHARES: usize = 20;
    let times = |added: f64, share: f64| plan::Times {
        open_seconds: now.open_seconds + (1.0 - share) * added,
        through_seconds: now.through_seconds + share * added,
    };
    let total = now.open_seconds + now.through_seconds;
    let mut best: Option<(f64, f64)> = None;
    for i in 0..=SHARES {
        let share = i as f64 / SHARES as f64;
        // Nothing longer than the shortest so far is of interest; the first share may take a thousand times as long.
        let mut high = best.map_or(1000.0 * total, |(added, _)| added);
        if !enough(times(high, share)) {
            continue;
        }
        let mut low = 0.0;
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if enough(times(middle, share)) { high = middle } else { low = middle }
        }
        best = Some((high, share));
    }
    best.map(|(added, share)| times(added, share))
}

fn claim(asked: &Tally<'_>, open: Counted, sample: Counted) -> ClaimReport {
    // One side of a two-sided interval of twice the error.
    let sides = ratio_interval(sample, open, 2.0 * asked.level - 1.0);
    let claimed = asked.claim.penetration().fraction();
    let penetration = ratio_interval(sample, open, asked.level).estimate;
    let verdict = if sides.high <= claimed {
        "shown"
    } else if sides.low > claimed {
        "refuted"
    } else {
        "open"
    };
    let more = (verdict == "open" && penetration < claimed)
        .then(|| plan::time_for_claim(&bench(asked, asked.level), penetration, claimed))
        .flatten()
        .map(|planned| more(asked, planned.times));
    ClaimReport {
        efficiency: asked.claim.fraction(),
        confidence: asked.level,
        at_least: (1.0 - sides.high).max(0.0),
        verdict,
        more,
    }
}

fn velocity_report(velocity: Velocity, pump: Flow) -> Option<VelocityReport> {
    let (nearest, _) = nearest_in_use(velocity)?;
    Some(VelocityReport {
        face_velocity_m_per_s: velocity.to_m_per_s(),
        nearest_use: nearest.name,
        nearest_use_m_per_s: nearest.velocity.to_m_per_s(),
        mask_area_m2: usual_area().to_m2(),
        hole_for_use_m: hole_for(nearest.velocity, pump).to_m(),
    })
}

fn warnings(asked: &Tally<'_>, bounds: &Bounds) -> Vec<WarningReport> {
    let mut all = vec![WarningReport {
        kind: "counting only".to_owned(),
        text: "The interval covers the chance of counting, nothing else. How readings differ, a room that changes and a \
               holder that leaks come on top: count open, through, open, through, and use `moteweir counts`."
            .to_owned(),
    }];
    let rate = asked.open as f64 / asked.open_time.to_s();
    let per_m3 = asked.suction.map(|(_, pump)| rate / pump.to_m3_per_s());
    let densest = Densest { rate, per_m3, place: "in the open count" };
    let coincidence = asked.instrument.coincidence(&densest);
    all.extend(
        coincidence
            .or_else(|| asked.instrument.usual_coincidence(&densest))
            .map(|text| WarningReport { kind: "coincidence".to_owned(), text }),
    );
    if bounds.low > 1.0 {
        all.push(WarningReport {
            kind: "more than open".to_owned(),
            text: "More came through than is in the room: fog droplets, dust that the sample sheds, or a room that filled \
                   up meanwhile."
                .to_owned(),
        });
    }
    if asked.size.is_some() && asked.material.is_some() {
        all.push(WarningReport {
            kind: "size".to_owned(),
            text: "The size counted was taken as the mobility diameter of all particles of the channel; an optical counter \
                   sizes by light, and a channel open above holds larger ones too."
                .to_owned(),
        });
    }
    all
}
