//! Counts as the model would have them, to try its intervals on.

use rand_distr::{Distribution, Gamma, Poisson};

use super::likelihood::Nuisances;
use super::readings::{Reading, State};
use crate::random::{Purpose, Stream};

/// The counts of a simulated channel.
const PURPOSE: Purpose = Purpose::named("simulated particle counts");

/// The readings with counts drawn anew: their states, exposures and times are kept, their counts are not looked at.
///
/// The model is that of [`super::ChannelLikelihood::ln_likelihood`], except that the session may drift without open readings
/// at two times: positions run from the first to the last time of a reading of the room, and the room is given in their
/// middle. A specimen without a penetration lets nothing through; a mean that is not above 0 gives no counts. Each number
/// gives other counts, the same ones for the same seed.
pub fn simulated(
    readings: &[Reading],
    penetrations: &[f64],
    truth: &Nuisances,
    seed: u64,
    number: u64,
) -> Vec<Reading> {
    let mut stream = Stream::new(seed, PURPOSE, number);
    let room_times =
        readings.iter().filter(|reading| reading.state != State::Zero).filter_map(|reading| reading.time);
    let (first, last) =
        room_times.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| (low.min(at), high.max(at)));
    let position = |time: Option<f64>| match time {
        Some(time) if last > first => (time - first) / (last - first) - 0.5,
        _ => 0.0,
    };
    let drawn = |reading: &Reading| {
        let through = match reading.state {
            State::Open => 1.0,
            State::Sample(specimen) => {
                truth.leak + (1.0 - truth.leak) * penetrations.get(specimen).copied().unwrap_or(0.0)
            }
            State::Blocked => truth.leak,
            State::Zero => 0.0,
        };
        let room = libm::exp(truth.ln_room + truth.drift * position(reading.time));
        let mean = reading.exposure * (room * through + truth.background);
        Reading { counts: draw(mean, truth.dispersion, &mut stream), ..*reading }
    };
    readings.iter().map(drawn).collect()
}

/// One count of a mean that a gamma variable multiplies.
fn draw(mean: f64, dispersion: f64, stream: &mut Stream) -> u64 {
    let variance = dispersion * dispersion;
    let factor = Gamma::new(1.0 / variance, variance).map_or(1.0, |gamma| gamma.sample(stream));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole count")]
    Poisson::new(mean * factor).map_or(0, |poisson| poisson.sample(stream) as u64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counting::{Assumptions, Fit};

    fn plan(open: usize, sample: usize, zero: usize, blocked: usize) -> Vec<Reading> {
        let mut states = Vec::new();
        for turn in 0..open.max(sample) {
            states.extend((turn < open).then_some(State::Open));
            states.extend((turn < sample).then_some(State::Sample(0)));
        }
        states.extend(vec![State::Zero; zero]);
        states.extend(vec![State::Blocked; blocked]);
        let timed = states.into_iter().enumerate();
        timed.map(|(at, state)| Reading { state, exposure: 1.0, time: Some(at as f64), counts: 0 }).collect()
    }

    /// The stated 95 % are met by at least 94 % of simulations, but for three standard errors of their number.
    #[test]
    fn intervals_cover() {
        let runs = 150_u32;
        let fewest = f64::from(runs) * (0.94 - 3.0 * (0.94_f64 * 0.06 / f64::from(runs)).sqrt());
        let cases = [
            (0.9, (3, 3, 0, 0), 0.05, 0.2, 0.0, 0.0),
            (0.5, (2, 2, 0, 0), 0.15, 0.0, 0.0, 0.0),
            (0.5, (3, 2, 2, 0), 0.15, 0.3, 30.0, 0.0),
            (0.1, (2, 1, 0, 0), 0.15, 0.3, 0.0, 0.0),
            (0.01, (5, 5, 0, 0), 0.15, 0.0, 0.0, 0.0),
            (0.01, (2, 2, 2, 2), 0.05, 0.3, 30.0, 0.003),
            (1e-3, (3, 3, 1, 0), 0.0, 0.0, 30.0, 0.0),
            (1e-4, (2, 2, 0, 0), 0.15, 0.3, 0.0, 0.0),
        ];
        for (number, &(penetration, (open, sample, zero, blocked), dispersion, drift, background, leak)) in
            cases.iter().enumerate()
        {
            let truth = Nuisances { ln_room: 30_000_f64.ln(), drift, dispersion, background, leak };
            let plan = plan(open, sample, zero, blocked);
            let covered = (0..runs).filter(|&run| {
                let readings = simulated(&plan, &[penetration], &truth, number as u64, u64::from(run));
                let fit = Fit::new(&readings, 1, Assumptions::STATED).expect("good readings");
                let bounds = fit.penetration(0, 0.95).expect("a specimen").bounds;
                bounds.low <= penetration && penetration <= bounds.high
            });
            let covered = covered.count();
            assert!(covered as f64 >= fewest, "case {number}: {covered} of {runs}, not {fewest:.0}");
        }
    }

    #[test]
    fn means_and_dispersion_are_those_asked_for() {
        let truth =
            Nuisances { ln_room: 1000_f64.ln(), drift: 0.0, dispersion: 0.2, background: 0.0, leak: 0.0 };
        let counts: Vec<f64> = (0..4000)
            .map(|number| simulated(&plan(1, 0, 0, 0), &[], &truth, 3, number)[0].counts as f64)
            .collect();
        let mean = counts.iter().sum::<f64>() / 4000.0;
        let variance = counts.iter().map(|n| (n - mean) * (n - mean)).sum::<f64>() / 4000.0;
        assert!((mean / 1000.0 - 1.0).abs() < 0.015, "{mean}");
        assert!((variance / (1000.0 + 0.04 * 1e6) - 1.0).abs() < 0.1, "{variance}");
    }
}
