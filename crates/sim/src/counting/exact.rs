//! Exact intervals of one share, one rate, and the ratio of two rates.
//!
//! Exact means: with counts that are Poisson (or binomial) and nothing else, the true value lies below the interval in
//! at most half of 1 - level of all repetitions, and above it likewise. They are never shorter than stated, and with few
//! counts longer. They cover counting noise alone.

use super::incomplete_beta::log_odds_of_lower_tail;
use super::incomplete_gamma::{log_of_lower_tail, log_of_upper_tail};

/// An estimate with the ends of its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower end.
    pub low: f64,
    /// The estimate.
    pub estimate: f64,
    /// Upper end; infinite where nothing limits it.
    pub high: f64,
}

/// A count and what it was counted in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted {
    /// Particles counted.
    pub counts: u64,
    /// Volume or time that was looked at, above 0; of two counts in the same unit.
    pub exposure: f64,
}

/// Share of successes with its interval of Clopper and Pearson (1934, from memory), two-sided.
/// ```text
/// low: I_low(k, n - k + 1) = (1 - level)/2        high: 1 - I_high(k + 1, n - k) = (1 - level)/2
/// ```
/// Without successes the low end is 0, with nothing else the high end is 1. `level` lies between 0 and 1; more successes
/// than trials, no trials or another level give NaN.
///
/// Checked by `tests/published/counting.rs`.
pub fn binomial_interval(successes: u64, trials: u64, level: f64) -> Bounds {
    if successes > trials || trials == 0 || !is_level(level) {
        return Bounds { low: f64::NAN, estimate: f64::NAN, high: f64::NAN };
    }
    let (low, high) = odds_interval(successes as f64, (trials - successes) as f64, (1.0 - level) / 2.0);
    Bounds { low: share(low), estimate: successes as f64 / trials as f64, high: share(high) }
}

/// Counts per exposure with its interval of Garwood (1936, from memory), two-sided.
/// ```text
/// low: P(n, low) = (1 - level)/2        high: Q(n + 1, high) = (1 - level)/2
/// ```
/// Without counts the low end is 0. An exposure that is not above 0 or a level outside 0 to 1 gives NaN.
pub fn rate_interval(counted: Counted, level: f64) -> Bounds {
    if !(is_level(level) && is_exposure(counted.exposure)) {
        return Bounds { low: f64::NAN, estimate: f64::NAN, high: f64::NAN };
    }
    let (n, tail) = (counted.counts as f64, (1.0 - level) / 2.0);
    let low = if counted.counts == 0 { 0.0 } else { libm::exp(log_of_lower_tail(n, tail)) };
    let high = libm::exp(log_of_upper_tail(n + 1.0, tail));
    Bounds { low: low / counted.exposure, estimate: n / counted.exposure, high: high / counted.exposure }
}

/// Ratio of the rate of `sample` to the rate of `open` with its exact conditional interval, two-sided.
/// ```text
/// given n_s + n_o, n_s is binomial with the odds  P V_s / V_o:  the interval of the odds, times V_o / V_s
/// ```
/// Without sample counts the low end is 0; without open counts the high end is infinite (and the estimate, unless both
/// are 0, when it is NaN). It is not cut at 1: a ratio above 1 is a message. Exposures not above 0 or a level outside 0
/// to 1 give NaN.
///
/// Checked by `tests/published/counting.rs`.
pub fn ratio_interval(sample: Counted, open: Counted, level: f64) -> Bounds {
    if !(is_level(level) && is_exposure(sample.exposure) && is_exposure(open.exposure)) {
        return Bounds { low: f64::NAN, estimate: f64::NAN, high: f64::NAN };
    }
    let volumes = open.exposure / sample.exposure;
    let (n_s, n_o) = (sample.counts as f64, open.counts as f64);
    let (low, high) = odds_interval(n_s, n_o, (1.0 - level) / 2.0);
    Bounds { low: low * volumes, estimate: n_s / n_o * volumes, high: high * volumes }
}

/// Ends of the exact interval of the odds of successes against failures, each missed with the probability `tail`. The
/// counts need not be whole.
pub(crate) fn odds_interval(successes: f64, failures: f64, tail: f64) -> (f64, f64) {
    (odds_below(successes, failures, tail), odds_above(successes, failures, tail))
}

/// Lower end of the exact one-sided interval of the odds.
pub(crate) fn odds_below(successes: f64, failures: f64, tail: f64) -> f64 {
    if successes <= 0.0 {
        0.0
    } else if failures <= 0.0 {
        // Nothing but successes: low^k = tail.
        odds_of_power(tail, successes)
    } else {
        libm::exp(log_odds_of_lower_tail(successes, failures + 1.0, tail))
    }
}

/// Upper end of the exact one-sided interval of the odds.
pub(crate) fn odds_above(successes: f64, failures: f64, tail: f64) -> f64 {
    1.0 / odds_below(failures, successes, tail)
}

/// Odds of x where x^k is the tail.
fn odds_of_power(tail: f64, k: f64) -> f64 {
    1.0 / libm::expm1(-libm::log(tail) / k)
}

fn share(odds: f64) -> f64 {
    if odds.is_infinite() { 1.0 } else { odds / (1.0 + odds) }
}

pub(crate) fn is_level(level: f64) -> bool {
    level > 0.0 && level < 1.0
}

fn is_exposure(exposure: f64) -> bool {
    exposure > 0.0
}
