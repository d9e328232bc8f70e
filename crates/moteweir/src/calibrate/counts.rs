//! How likely the counts of a channel are, with what is not known of it as standard normal numbers.

use moteweir_sim::counting::{Assumptions, ChannelLikelihood, CountingError, Nuisances, Reading, State};
use moteweir_sim::random::truncated_normal_quantile;

use super::evidence::{Counted, CountedChannel, Through};
use super::share_below;

/// What is assumed of drift and dispersion before the data: as in every statistic of counts.
const ASSUMED: Assumptions = Assumptions::STATED;
/// How far the level of the room is looked for, in its logarithm: the unit of its number.
const LEVEL: f64 = 0.5;
/// Background and leak before the data: this share of the open room, within a factor e^2 (one standard deviation).
const SHARE: f64 = 1e-3;
const SHARE_DEVIATION: f64 = 2.0;
/// A counter is taken to be awake for this share of the time at least.
const LEAST_AWAKE: f64 = 0.05;

/// A channel made ready.
#[derive(Clone, Debug)]
pub(super) struct CountsOfChannel {
    pub(super) readings: Vec<Counted>,
    /// Position of each of its specimens among all tests.
    pub(super) tests: Vec<usize>,
    likelihood: ChannelLikelihood,
    plain_ln_room: f64,
    drifts: bool,
    has_zero: bool,
    has_blocked: bool,
}

impl CountsOfChannel {
    /// A counter that is blind for `dead_time` \[s\] after every particle has been awake for what is left of the time;
    /// `seen` says how many particles of all channels it saw in a reading.
    pub(super) fn new(
        channel: &CountedChannel,
        dead_time: f64,
        seen: impl Fn(&Counted) -> f64,
    ) -> Result<Self, CountingError> {
        let mut tests = Vec::new();
        let mut readings = channel.readings.clone();
        for reading in &mut readings {
            reading.exposure *= (1.0 - seen(reading) * dead_time / reading.seconds).max(LEAST_AWAKE);
            if let Through::Test(test) = reading.through
                && !tests.contains(&test)
            {
                tests.push(test);
            }
        }
        let asked: Vec<Reading> = readings
            .iter()
            .map(|r| Reading {
                state: match r.through {
                    Through::Open => State::Open,
                    Through::Zero => State::Zero,
                    Through::Blocked => State::Blocked,
                    Through::Test(test) => State::Sample(tests.iter().position(|t| *t == test).unwrap_or(0)),
                },
                exposure: r.exposure,
                time: Some(r.position),
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count")]
                counts: r.counts as u64,
            })
            .collect();
        let likelihood = ChannelLikelihood::new(&asked, tests.len())?;
        let [drifts, has_zero, has_blocked] = likelihood.tells();
        let plain_ln_room = likelihood.start().ln_room;
        // An open room in which nothing was counted says that there is little, less than half a particle.
        let plain_ln_room = if plain_ln_room.is_finite() {
            plain_ln_room
        } else {
            let open = readings.iter().filter(|r| r.through == Through::Open).map(|r| r.exposure);
            (0.5 / open.sum::<f64>()).ln()
        };
        Ok(Self { readings, tests, likelihood, plain_ln_room, drifts, has_zero, has_blocked })
    }

    /// How many standard normal numbers its nuisances take.
    pub(super) fn dimension(&self) -> usize {
        2 + [self.drifts, self.has_zero, self.has_blocked].into_iter().map(usize::from).sum::<usize>()
    }

    /// The nuisances of their numbers.
    pub(super) fn nuisances(&self, normals: &[f64]) -> Nuisances {
        let mut rest = normals[2..].iter();
        let mut number = |there: bool| if there { rest.next().copied() } else { None };
        let drift = number(self.drifts);
        let share = |z: Option<f64>| z.map_or(0.0, |z| SHARE * libm::exp(SHARE_DEVIATION * z));
        let (background, leak) = (share(number(self.has_zero)), share(number(self.has_blocked)));
        Nuisances {
            ln_room: self.plain_ln_room + LEVEL * normals[0],
            drift: ASSUMED.drift_scale * drift.unwrap_or(0.0),
            dispersion: ASSUMED.dispersion_scale
                * truncated_normal_quantile(share_below(normals[1]), 0.0, f64::INFINITY),
            background: background * libm::exp(self.plain_ln_room),
            leak: leak.min(1.0),
        }
    }

    /// The number of a level of the room.
    #[cfg(test)]
    pub(super) fn number_of_level(&self, ln_room: f64) -> f64 {
        (ln_room - self.plain_ln_room) / LEVEL
    }

    /// Expected counts of a reading through something of a penetration.
    pub(super) fn expected(reading: &Counted, n: &Nuisances, penetration: impl Fn(usize) -> f64) -> f64 {
        let through = match reading.through {
            Through::Open => 1.0,
            Through::Test(test) => n.leak + (1.0 - n.leak) * penetration(test),
            Through::Zero => 0.0,
            Through::Blocked => n.leak,
        };
        let room = libm::exp(n.ln_room + n.drift * reading.position);
        (through * room + n.background) * reading.exposure
    }

    /// The logarithm of the likelihood, of the penetration of each test.
    pub(super) fn ln_likelihood(&self, n: &Nuisances, penetrations: &[f64]) -> f64 {
        let ln_p: Vec<f64> = self.tests.iter().map(|test| libm::log(penetrations[*test])).collect();
        self.likelihood.ln_likelihood(n, &ln_p)
    }
}
