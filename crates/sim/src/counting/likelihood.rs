//! The likelihood of the readings of one channel, for those who have penetrations from a model of their own.
//!
//! The same model as [`super::Fit`], with every quantity given instead of integrated out.

use super::deviance::{ln_negative_binomial, stirling_error};
use super::error::CountingError;
use super::readings::{Assumptions, Reading, State, check};

/// What the counts depend on beside the penetrations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nuisances {
    /// Logarithm of the room's particles per exposure, in the middle of the open readings.
    pub ln_room: f64,
    /// Logarithm of the room's rate at the last reading over that at the first.
    pub drift: f64,
    /// Coefficient of variation between readings, from 0 up.
    pub dispersion: f64,
    /// What the counter counts by itself, per exposure, from 0 up.
    pub background: f64,
    /// Share of the room's particles that passes the holder, 0 to 1.
    pub leak: f64,
}

/// Log likelihood of the readings of one channel; built once, evaluated as often as wanted without allocating.
#[derive(Clone, Debug)]
pub struct ChannelLikelihood {
    readings: Vec<Placed>,
    specimens: usize,
    has_background: bool,
    has_leak: bool,
    drifts: bool,
}

/// A reading with its place along the session: the session is 1 long, its open readings are about 0.
#[derive(Clone, Copy, Debug)]
struct Placed {
    state: State,
    ln_exposure: f64,
    exposure: f64,
    position: f64,
    counts: f64,
    stirling: f64,
}

impl ChannelLikelihood {
    /// The readings of one channel with a number of specimens.
    ///
    /// # Errors
    /// As [`super::Fit::new`].
    pub fn new(readings: &[Reading], specimens: usize) -> Result<Self, CountingError> {
        check(readings, specimens)?;
        let clock = super::clock::Clock::of(readings);
        let placed = readings.iter().map(|reading| Placed {
            state: reading.state,
            ln_exposure: libm::log(reading.exposure),
            exposure: reading.exposure,
            position: clock.position(reading.time),
            counts: reading.counts as f64,
            stirling: if reading.counts > 0 { stirling_error(reading.counts as f64) } else { 0.0 },
        });
        let any = |state| readings.iter().any(|reading| reading.state == state);
        Ok(Self {
            readings: placed.collect(),
            specimens,
            has_background: any(State::Zero),
            has_leak: any(State::Blocked),
            drifts: clock.runs,
        })
    }

    /// How many penetrations it takes.
    pub fn specimens(&self) -> usize {
        self.specimens
    }

    /// Which of the nuisances the readings were made to tell: drift, background, leak. The others belong at 0.
    pub fn tells(&self) -> [bool; 3] {
        [self.drifts, self.has_background, self.has_leak]
    }

    /// Logarithm of the probability of all counts.
    /// ```text
    /// n_i ~ negative binomial, mean  E_i (room exp(drift t_i) (leak + (1 - leak) P) + background)
    ///                          variance  mean + dispersion^2 mean^2
    /// ```
    /// P is 1 for an open reading and 0 for a blocked one; in a zero reading there is the background only. A slice that is
    /// shorter than the number of specimens, and nuisances outside their ranges, give minus infinity.
    pub fn ln_likelihood(&self, nuisances: &Nuisances, ln_penetration: &[f64]) -> f64 {
        if ln_penetration.len() < self.specimens || !nuisances.are_in_range() {
            return f64::NEG_INFINITY;
        }
        let shape = 1.0 / (nuisances.dispersion * nuisances.dispersion);
        let of_shape = if shape.is_finite() { stirling_error(shape) } else { 0.0 };
        let mut sum = 0.0;
        for reading in &self.readings {
            let let_through = match reading.state {
                State::Open => 1.0,
                State::Sample(specimen) => {
                    nuisances.leak + (1.0 - nuisances.leak) * libm::exp(ln_penetration[specimen])
                }
                State::Blocked => nuisances.leak,
                State::Zero => 0.0,
            };
            let room =
                libm::exp(nuisances.ln_room + nuisances.drift * reading.position + reading.ln_exposure);
            let mean = room * let_through + nuisances.background * reading.exposure;
            sum += ln_negative_binomial(reading.counts, mean, shape, [of_shape, reading.stirling]);
        }
        if sum.is_nan() { f64::NEG_INFINITY } else { sum }
    }

    /// Logarithm of the prior density of the nuisances, but for a constant: flat in `ln_room`, `background` and `leak`.
    pub fn ln_prior(&self, nuisances: &Nuisances, assumptions: &Assumptions) -> f64 {
        if !nuisances.are_in_range() {
            return f64::NEG_INFINITY;
        }
        let square = |value: f64, scale: f64| {
            if scale > 0.0 {
                -0.5 * (value / scale) * (value / scale)
            } else if value == 0.0 {
                0.0
            } else {
                f64::NEG_INFINITY
            }
        };
        square(nuisances.dispersion, assumptions.dispersion_scale)
            + square(nuisances.drift, assumptions.drift_scale)
    }

    /// Plain estimates to start a search or a chain from; the dispersion is a guess of 5 %.
    pub fn start(&self) -> Nuisances {
        let rate = |state| {
            let chosen = self.readings.iter().filter(|reading| reading.state == state);
            let (counts, exposure) =
                chosen.fold((0.0, 0.0), |(n, e), reading| (n + reading.counts, e + reading.exposure));
            if exposure > 0.0 { counts / exposure } else { 0.0 }
        };
        let background = rate(State::Zero);
        let room = (rate(State::Open) - background).max(1e-3 * rate(State::Open));
        let leak = ((rate(State::Blocked) - background) / room).clamp(0.0, 1.0);
        Nuisances { ln_room: libm::log(room), drift: 0.0, dispersion: 0.05, background, leak }
    }
}

impl Nuisances {
    fn are_in_range(&self) -> bool {
        self.dispersion >= 0.0 && self.background >= 0.0 && (0.0..=1.0).contains(&self.leak)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counting::Fit;

    fn readings() -> Vec<Reading> {
        let reading = |state, exposure, time, counts| Reading { state, exposure, time: Some(time), counts };
        vec![
            reading(State::Open, 1.0, 0.0, 1200),
            reading(State::Sample(0), 2.0, 1.0, 70),
            reading(State::Sample(0), 2.0, 2.0, 61),
            reading(State::Open, 1.0, 3.0, 1110),
            reading(State::Zero, 5.0, 4.0, 3),
            reading(State::Blocked, 2.0, 5.0, 9),
        ]
    }

    #[test]
    fn hand_calculation_without_dispersion() {
        let likelihood = ChannelLikelihood::new(&readings(), 1).expect("good readings");
        let nuisances = Nuisances { dispersion: 0.0, drift: 0.0, ..likelihood.start() };
        let penetration: f64 = 0.025;
        let room = 1155.0 - 0.6;
        let background: f64 = 0.6;
        let leak: f64 = (4.5 - background) / room;
        let poisson = |n: f64, mean: f64| n * mean.ln() - mean - libm::lgamma(n + 1.0);
        let through = 2.0 * (room * (leak + (1.0 - leak) * penetration) + background);
        let expected = poisson(1200.0, 1155.0)
            + poisson(1110.0, 1155.0)
            + poisson(70.0, through)
            + poisson(61.0, through)
            + poisson(3.0, 3.0)
            + poisson(9.0, 9.0);
        let got = likelihood.ln_likelihood(&nuisances, &[penetration.ln()]);
        assert!((got - expected).abs() < 1e-8, "{got} for {expected}");
        assert!(likelihood.ln_likelihood(&nuisances, &[]).is_infinite());
        assert_eq!(likelihood.tells(), [true, true, true]);
    }

    /// The likelihood is largest about where the joint fit puts the penetration.
    #[test]
    fn agrees_with_the_fit() {
        let readings = &readings()[..4];
        let fit = Fit::new(readings, 1, Assumptions::STATED).expect("good readings");
        let found = fit.penetration(0, 0.95).expect("a specimen").bounds;
        let likelihood = ChannelLikelihood::new(readings, 1).expect("good readings");
        let at = |penetration: f64| {
            let drift = fit.drift(0.5).expect("two open readings").estimate;
            let nuisances = Nuisances { drift, dispersion: 0.02, ..likelihood.start() };
            likelihood.ln_likelihood(&nuisances, &[penetration.ln()])
        };
        let best = at(found.estimate);
        assert!(best > at(0.9 * found.estimate) && best > at(1.1 * found.estimate), "{found:?}");
    }
}
