//! Counts as they would be counted again.

use rand_distr::{Distribution, Gamma, Poisson};

use crate::random::Stream;

/// Counts above this are drawn as normal numbers: a Poisson number of more than 1e12 differs by less than its 1e-6.
const MANY: f64 = 1e12;

/// A count of an expected number, with a coefficient of variation on top of that of counting: a Poisson number whose mean
/// is a gamma variable. A mean that is not above 0 counts none.
pub fn replicate(mean: f64, dispersion: f64, stream: &mut Stream) -> f64 {
    let shape = 1.0 / (dispersion * dispersion);
    let varied = match Gamma::new(shape, mean / shape) {
        Ok(gamma) if shape < 1e14 => gamma.sample(stream),
        _ => mean,
    };
    match Poisson::new(varied) {
        Ok(poisson) if varied < MANY => poisson.sample(stream),
        _ if varied > 0.0 => (varied + varied.sqrt() * stream.normal()).round(),
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Purpose;

    #[test]
    fn replicates_have_the_mean_and_variance_that_are_stated() {
        for (mean, dispersion) in [(3.0, 0.4), (200.0, 0.1), (50.0, 0.0)] {
            let n = 100_000_u64;
            let draws: Vec<f64> = (0..n)
                .map(|i| replicate(mean, dispersion, &mut Stream::new(1, Purpose::named("replicate"), i)))
                .collect();
            let m = draws.iter().sum::<f64>() / n as f64;
            let v = draws.iter().map(|x| (x - m).powi(2)).sum::<f64>() / n as f64;
            let expected = mean + (dispersion * mean).powi(2);
            // Five standard errors of the mean; of the variance about sqrt(2 to 4 / n).
            assert!((m - mean).abs() < 5.0 * (expected / n as f64).sqrt(), "{m} {mean}");
            assert!((v / expected - 1.0).abs() < 0.04, "{v} {expected}");
        }
        assert_eq!(replicate(0.0, 0.1, &mut Stream::new(1, Purpose::named("replicate"), 0)).to_bits(), 0);
    }
}
