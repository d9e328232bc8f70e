//! How long to count.
//!
//! The powers are sums over the counts that may come, each judged by its exact interval. With a dispersion the counts are
//! negative binomial, and an interval is that of fewer counts, `n/(1 + n cv^2/readings)`, which have the same relative
//! scatter; that step alone is an approximation.

use super::error::CountingError;
use super::exact::{odds_above, odds_below};
use super::spread_of_counts::{SpreadOfCounts, weighed};

/// Longest time that a plan is looked for in \[s\], four months, and most counts through: with a hundred
/// thousand, two penetrations that differ by a fiftieth are told apart.
const LONGEST: f64 = 1e7;
const MOST_COUNTS: f64 = 1e5;
/// Shortest \[s\].
const SHORTEST: f64 = 1e-3;
/// Halvings of the logarithm of the time.
const HALVINGS: u32 = 24;
/// Steps of the search for the best split.
const SPLIT_STEPS: u32 = 40;
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// A counter in a room, and what is wanted of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bench {
    /// Counts per second with the room open, above 0.
    pub open_rate: f64,
    /// Coefficient of variation between readings; 0 for counting noise alone.
    pub dispersion: f64,
    /// Readings that the time in each state is divided into, from 1.
    pub readings: u32,
    /// Level of the intervals.
    pub level: f64,
    /// Probability with which the aim is to be reached, such as 0.8.
    pub assurance: f64,
}

/// Seconds of counting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Times {
    /// Seconds with the room open.
    pub open_seconds: f64,
    /// Seconds through the specimen.
    pub through_seconds: f64,
}

/// A plan that reaches its aim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Planned {
    /// How long to count.
    pub times: Times,
    /// Probability with which the aim is reached then.
    pub power: f64,
}

impl Times {
    /// All seconds together.
    pub fn total(&self) -> f64 {
        self.open_seconds + self.through_seconds
    }
}

impl Bench {
    /// Checks the ranges; the functions of a plan answer NaN, or find nothing, outside them.
    ///
    /// # Errors
    /// Where a field is outside its range.
    pub fn check(&self) -> Result<(), CountingError> {
        let wrong = |quantity, value| Err(CountingError::Plan { quantity, value });
        if !(self.open_rate.is_finite() && self.open_rate > 0.0) {
            wrong("open_rate", self.open_rate)
        } else if !(self.dispersion.is_finite() && self.dispersion >= 0.0) {
            wrong("dispersion", self.dispersion)
        } else if self.readings == 0 {
            wrong("readings", 0.0)
        } else if !(self.level > 0.0 && self.level < 1.0) {
            wrong("level", self.level)
        } else if !(self.assurance > 0.0 && self.assurance < 1.0) {
            wrong("assurance", self.assurance)
        } else {
            Ok(())
        }
    }

    fn excess_variance(&self) -> f64 {
        self.dispersion * self.dispersion / f64::from(self.readings)
    }

    fn spread(&self, mean: f64) -> SpreadOfCounts {
        SpreadOfCounts { mean, excess_variance: self.excess_variance() }
    }

    /// Exact one-sided lower end of a ratio of rates from counts that need not be whole, `exposures` being that of the
    /// second over that of the first.
    fn lower_end(&self, first: f64, second: f64, exposures: f64, tail: f64) -> f64 {
        let narrowing = |counts: f64| 1.0 / (1.0 + counts * self.excess_variance());
        let (of_first, of_second) = (narrowing(first), narrowing(second));
        odds_below(first * of_first, second * of_second, tail) * exposures * of_second / of_first
    }

    /// The upper end likewise.
    fn upper_end(&self, first: f64, second: f64, exposures: f64, tail: f64) -> f64 {
        let narrowing = |counts: f64| 1.0 / (1.0 + counts * self.excess_variance());
        let (of_first, of_second) = (narrowing(first), narrowing(second));
        odds_above(first * of_first, second * of_second, tail) * exposures * of_second / of_first
    }

    fn wider_arm(&self, through: f64, open: f64, exposures: f64) -> f64 {
        let tail = (1.0 - self.level) / 2.0;
        let low = self.lower_end(through, open, exposures, tail);
        let high = self.upper_end(through, open, exposures, tail);
        let estimate = through / open * exposures;
        (high - estimate).max(estimate - low)
    }
}

/// Whether what is asked of a bench is within the ranges.
fn is_sound(bench: &Bench, penetrations: &[f64], times: Times) -> bool {
    let seconds = [times.open_seconds, times.through_seconds];
    bench.check().is_ok()
        && penetrations.iter().all(|&p| p >= 0.0 && p.is_finite())
        && seconds.iter().all(|&t| t > 0.0 && t.is_finite())
}

/// Half-width of the interval of the efficiency, the wider arm, where the counts are those expected.
///
/// NaN where the bench, the penetration (from 0 up) or the times (above 0) are outside their ranges.
pub fn half_width(bench: &Bench, penetration: f64, times: Times) -> f64 {
    if !is_sound(bench, &[penetration], times) {
        return f64::NAN;
    }
    let open = bench.open_rate * times.open_seconds;
    let through = bench.open_rate * penetration * times.through_seconds;
    bench.wider_arm(through, open, times.open_seconds / times.through_seconds)
}

/// Probability that the half-width of the interval of the efficiency comes out at most as wanted. NaN as [`half_width`].
pub fn power_of_width(bench: &Bench, penetration: f64, times: Times, wanted: f64) -> f64 {
    let exposures = times.open_seconds / times.through_seconds;
    power(bench, penetration, times, |through, open| bench.wider_arm(through, open, exposures) <= wanted)
}

/// Probability that the counts show a penetration of at most `claimed`, its one-sided upper bound at the level lying no
/// higher. NaN as [`half_width`].
pub fn power_of_claim(bench: &Bench, penetration: f64, times: Times, claimed: f64) -> f64 {
    let exposures = times.open_seconds / times.through_seconds;
    power(bench, penetration, times, |through, open| {
        bench.upper_end(through, open, exposures, 1.0 - bench.level) <= claimed
    })
}

/// Probability that two specimens, each counted through for the same time in the same room, are told apart the right way
/// round by the two-sided interval of their ratio. The room open is not needed for it. NaN as [`half_width`].
pub fn power_of_difference(
    bench: &Bench,
    penetration_a: f64,
    penetration_b: f64,
    through_seconds: f64,
) -> f64 {
    let times = Times { open_seconds: through_seconds, through_seconds };
    if !is_sound(bench, &[penetration_a, penetration_b], times) {
        return f64::NAN;
    }
    let (lower, higher) = (penetration_a.min(penetration_b), penetration_a.max(penetration_b));
    let scaled = Bench { open_rate: bench.open_rate * higher, ..*bench };
    let tail = (1.0 - bench.level) / 2.0;
    if higher <= 0.0 {
        return 0.0;
    }
    power(&scaled, lower / higher, times, |few, many| bench.upper_end(few, many, 1.0, tail) < 1.0)
}

/// Sum over the counts with the room open of the probability that the counts through are low enough for an aim. `reached`
/// holds up to some count through and not beyond.
fn power(bench: &Bench, penetration: f64, times: Times, reached: impl Fn(f64, f64) -> bool) -> f64 {
    if !is_sound(bench, &[penetration], times) {
        return f64::NAN;
    }
    let through = bench.spread(bench.open_rate * penetration * times.through_seconds);
    let mut start = libm::floor(through.mean);
    let mut sum = 0.0;
    for (open, weight) in weighed(bench.spread(bench.open_rate * times.open_seconds)) {
        if open < 1.0 {
            continue;
        }
        if let Some(most) = largest_reaching(start, through.farthest(), |counts| reached(counts, open)) {
            sum += weight * through.at_most(most);
            start = most;
        } else {
            start = 0.0;
        }
    }
    sum.min(1.0)
}

/// The largest whole count for which a condition holds that holds up to some count; none where it does not hold at 0.
/// The search opens in doubling steps about a start.
fn largest_reaching(start: f64, farthest: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (start.min(farthest), farthest + 1.0);
    let mut step = 1.0;
    if holds(low) {
        while low + step < high {
            if !holds(low + step) {
                high = low + step;
                break;
            }
            low += step;
            step *= 2.0;
        }
    } else {
        loop {
            high = low;
            if high <= 0.0 {
                return None;
            }
            low = (low - step).max(0.0);
            if holds(low) {
                break;
            }
            step *= 2.0;
        }
    }
    while high - low > 1.0 {
        let middle = libm::floor(0.5 * (low + high));
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low)
}

/// The split of a total time between the room open and the specimen that gives the narrowest interval at the expected
/// counts. NaN as [`half_width`].
pub fn best_split(bench: &Bench, penetration: f64, total_seconds: f64) -> Times {
    let times = |share: f64| Times {
        open_seconds: share * total_seconds,
        through_seconds: (1.0 - share) * total_seconds,
    };
    if !is_sound(bench, &[penetration], times(0.5)) {
        return Times { open_seconds: f64::NAN, through_seconds: f64::NAN };
    }
    let width = |logit: f64| half_width(bench, penetration, times(1.0 / (1.0 + libm::exp(-logit))));
    let (mut low, mut high) = (-7.0, 7.0);
    let mut inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    let mut widths = inner.map(width);
    for _ in 0..SPLIT_STEPS {
        if widths[0] < widths[1] {
            high = inner[1];
            inner = [high - GOLDEN * (high - low), inner[0]];
            widths = [width(inner[0]), widths[0]];
        } else {
            low = inner[0];
            inner = [inner[1], low + GOLDEN * (high - low)];
            widths = [widths[1], width(inner[1])];
        }
        if high - low < 1e-3 {
            break;
        }
    }
    times(1.0 / (1.0 + libm::exp(-0.5 * (low + high))))
}

/// Half-width of the interval of the efficiency at each total time, well split.
pub fn curve(bench: &Bench, penetration: f64, seconds: &[f64]) -> Vec<f64> {
    seconds
        .iter()
        .map(|&total| half_width(bench, penetration, best_split(bench, penetration, total)))
        .collect()
}

/// The shortest time, well split, after which the efficiency is known to plus or minus `wanted` with the assurance of the
/// bench. None where no time up to four months or some hundred thousand
/// counts through suffices, as with a dispersion and few readings.
pub fn time_for_width(bench: &Bench, penetration: f64, wanted: f64) -> Option<Planned> {
    shortest(bench, penetration, |total| {
        let times = best_split(bench, penetration, total);
        (times, power_of_width(bench, penetration, times, wanted))
    })
}

/// The shortest time, well split, after which a penetration of at most `claimed` is shown with the assurance of the bench.
/// None where no time suffices, as where the penetration is not below the claim.
pub fn time_for_claim(bench: &Bench, penetration: f64, claimed: f64) -> Option<Planned> {
    shortest(bench, penetration, |total| {
        let times = best_split(bench, penetration, total);
        (times, power_of_claim(bench, penetration, times, claimed))
    })
}

/// The shortest time through each of two specimens after which they are told apart with the assurance of the bench. None
/// where no time suffices. The plan's open time is 0.
pub fn time_for_difference(bench: &Bench, penetration_a: f64, penetration_b: f64) -> Option<Planned> {
    shortest(bench, penetration_a.max(penetration_b), |total| {
        let times = Times { open_seconds: 0.0, through_seconds: total };
        (times, power_of_difference(bench, penetration_a, penetration_b, total))
    })
}

/// Bisection of the logarithm of the time. The power rises with small steps back, as counts are whole; what is found has
/// the power that is stated with it.
fn shortest(bench: &Bench, penetration: f64, plan: impl Fn(f64) -> (Times, f64)) -> Option<Planned> {
    let longest = LONGEST.min(2.0 * MOST_COUNTS / (bench.open_rate * penetration.max(1e-9)));
    let planned = |total: f64| {
        let (times, power) = plan(total);
        (power >= bench.assurance).then_some(Planned { times, power })
    };
    let mut total = (10.0 / bench.open_rate).max(SHORTEST);
    let mut found = planned(total);
    let (mut low, mut high) = (SHORTEST, total);
    while found.is_none() {
        if total >= longest {
            return None;
        }
        low = total;
        total = (total * 4.0).min(longest);
        high = total;
        found = planned(total);
    }
    for _ in 0..HALVINGS {
        if high / low < 1.002 {
            break;
        }
        let middle = libm::sqrt(low * high);
        match planned(middle) {
            Some(shorter) => {
                found = Some(shorter);
                high = middle;
            }
            None => low = middle,
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    const BENCH: Bench =
        Bench { open_rate: 100.0, dispersion: 0.0, readings: 1, level: 0.95, assurance: 0.8 };

    /// The power of a claim, summed by hand over both counts.
    #[test]
    fn power_of_a_claim_is_the_double_sum() {
        let bench = Bench { open_rate: 10.0, ..BENCH };
        let times = Times { open_seconds: 6.0, through_seconds: 10.0 };
        let poisson =
            |n: u32, mean: f64| (f64::from(n) * mean.ln() - mean - libm::lgamma(f64::from(n) + 1.0)).exp();
        let mut sum = 0.0;
        for open in 1..200_u32 {
            for through in 0..40_u32 {
                let (_, odds) = (0, odds_above(f64::from(through), f64::from(open), 0.05));
                if odds * 0.6 <= 0.05 {
                    sum += poisson(open, 60.0) * poisson(through, 1.0);
                }
            }
        }
        let got = power_of_claim(&bench, 0.01, times, 0.05);
        assert!((got - sum).abs() < 1e-6, "{got} for {sum}");
        assert!(sum > 0.3 && sum < 0.99, "a power that tells something: {sum}");
    }

    #[test]
    fn more_time_narrows_and_the_split_follows_the_root() {
        let split = best_split(&BENCH, 0.01, 10_000.0);
        // The variance of ln P is 1/n_o + 1/n_s: open over through is the root of P.
        let ratio = split.open_seconds / split.through_seconds;
        assert!((ratio / 0.1 - 1.0).abs() < 0.15, "{ratio}");
        let widths = curve(&BENCH, 0.01, &[10.0, 100.0, 1000.0, 1e4]);
        assert!(widths.windows(2).all(|pair| pair[1] < pair[0]), "{widths:?}");
        assert!((widths[2] / widths[3] / 10_f64.sqrt() - 1.0).abs() < 0.1);
        assert!(half_width(&BENCH, -1.0, split).is_nan());
    }

    #[test]
    fn plans_reach_their_aim_and_no_sooner() {
        let claim = time_for_claim(&BENCH, 0.03, 0.05).expect("it lies below the claim");
        assert!(claim.power >= 0.8 && claim.power < 0.9, "{claim:?}");
        let half = Times {
            open_seconds: claim.times.open_seconds / 2.0,
            through_seconds: claim.times.through_seconds / 2.0,
        };
        assert!(power_of_claim(&BENCH, 0.03, half, 0.05) < 0.8);
        assert!(time_for_claim(&BENCH, 0.06, 0.05).is_none());
        let width = time_for_width(&BENCH, 0.05, 0.01).expect("some time will do");
        let at_expected = half_width(&BENCH, 0.05, width.times);
        assert!(at_expected < 0.01 && at_expected > 0.008, "{at_expected}");
        let apart = time_for_difference(&BENCH, 0.05, 0.08).expect("they differ");
        // Normal theory: (1.96 + 0.84)^2 (1/n_a + 1/n_b) = ln(1.6)^2.
        let normal = 7.85 / (1.6_f64.ln().powi(2)) * (1.0 / 5.0 + 1.0 / 8.0);
        assert!((apart.times.through_seconds / normal - 1.0).abs() < 0.2, "{apart:?} for {normal}");
    }

    #[test]
    fn dispersion_sets_a_floor() {
        let bench = Bench { dispersion: 0.1, ..BENCH };
        assert!(time_for_width(&bench, 0.3, 0.005).is_none());
        let times = Times { open_seconds: 1e6, through_seconds: 1e6 };
        let floor = half_width(&bench, 0.3, times) / 0.3;
        // Two factors of 10 %: 1.96 times the root of 2 times 0.1.
        assert!((floor - 0.32).abs() < 0.03, "{floor}");
        let divided = half_width(&Bench { readings: 4, ..bench }, 0.3, times) / 0.3;
        assert!((divided / floor - 0.5).abs() < 0.05, "{divided}");
    }
}
