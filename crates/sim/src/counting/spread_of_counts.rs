//! How the counts of a plan may come out.

use super::deviance::{ln_negative_binomial, stirling_error};
use super::incomplete_beta::lower_tail;
use super::incomplete_gamma::incomplete_gamma;

/// Standard deviations on either side that are summed over.
const REACH: f64 = 7.0;
/// Counts that are summed over one by one; where more may come, this many evenly spaced ones stand for them.
const MOST_POINTS: f64 = 257.0;

/// Counts of a given mean: Poisson, or negative binomial where the relative variance exceeds that of counting.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SpreadOfCounts {
    pub(crate) mean: f64,
    pub(crate) excess_variance: f64,
}

impl SpreadOfCounts {
    fn sd(&self) -> f64 {
        libm::sqrt(self.mean * (1.0 + self.mean * self.excess_variance))
    }

    /// A count that is hardly ever exceeded.
    pub(crate) fn farthest(&self) -> f64 {
        libm::ceil(self.mean + 2.0 * REACH * self.sd() + 20.0)
    }

    /// Probability of a whole count or fewer.
    pub(crate) fn at_most(&self, counts: f64) -> f64 {
        if self.mean <= 0.0 {
            return 1.0;
        }
        if self.excess_variance <= 0.0 {
            return incomplete_gamma(counts + 1.0, self.mean).1;
        }
        let shape = 1.0 / self.excess_variance;
        let total = shape + self.mean;
        lower_tail(shape, counts + 1.0, shape / total, self.mean / total)
    }

    fn probability(&self, counts: f64) -> f64 {
        let shape = 1.0 / self.excess_variance;
        let error = |x: f64| if x > 0.0 && x.is_finite() { stirling_error(x) } else { 0.0 };
        libm::exp(ln_negative_binomial(counts, self.mean, shape, [error(shape), error(counts)]))
    }
}

/// Counts with the weights of a sum over all of them, together 1.
pub(crate) fn weighed(spread: SpreadOfCounts) -> Vec<(f64, f64)> {
    let reach = REACH * spread.sd() + 3.0;
    let from = libm::floor((spread.mean - reach).max(0.0));
    let to = libm::ceil(spread.mean + 1.3 * reach);
    let stride = libm::ceil((to - from) / MOST_POINTS).max(1.0);
    let mut points = Vec::new();
    let mut at = from;
    while at <= to {
        points.push((at, spread.probability(at)));
        at += stride;
    }
    let total: f64 = points.iter().map(|(_, weight)| weight).sum();
    for (_, weight) in &mut points {
        *weight /= total;
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_to_the_mean_and_to_the_distribution() {
        for (mean, excess_variance) in [(3.0, 0.0), (40.0, 0.04), (1e6, 0.0), (1e4, 0.01)] {
            let spread = SpreadOfCounts { mean, excess_variance };
            let points = weighed(spread);
            let got: f64 = points.iter().map(|(count, weight)| count * weight).sum();
            assert!((got / mean - 1.0).abs() < 1e-6, "{mean} {excess_variance}: {got}");
            let cut = libm::floor(mean);
            let below: f64 = points.iter().filter(|(count, _)| *count <= cut).map(|(_, weight)| weight).sum();
            let exact = spread.at_most(cut);
            assert!((below - exact).abs() < 0.02, "{mean} {excess_variance}: {below} for {exact}");
        }
    }
}
