//! The two pieces that keep densities of counts exact when the counts are large.
//!
//! A density such as `x^a e^-x / Gamma(a + 1)` written with logarithms of gamma functions loses a digit for every tenfold
//! count. Written with a deviance and the error of Stirling's formula it loses none (Loader 2000, from memory).

/// Half the logarithm of two pi.
const HALF_LN_TWO_PI: f64 = 0.918_938_533_204_672_8;
/// From here the asymptotic series of the error of Stirling's formula is exact to the last bit.
const SERIES_FROM: f64 = 15.0;

/// Deviance of an observed from an expected count, both above 0.
/// ```text
/// x ln(x/m) + m - x
/// ```
pub(crate) fn deviance(observed: f64, expected: f64) -> f64 {
    let difference = observed - expected;
    if difference.abs() >= 0.1 * (observed + expected) {
        return observed * libm::log(observed / expected) - difference;
    }
    let v = difference / (observed + expected);
    let mut sum = difference * v;
    let mut power = 2.0 * observed * v;
    for odd in 1..1000 {
        power *= v * v;
        let next = sum + power / f64::from(2 * odd + 1);
        if next.to_bits() == sum.to_bits() {
            break;
        }
        sum = next;
    }
    sum
}

/// Error of Stirling's formula for `ln Gamma(x)`, for x > 0.
/// ```text
/// ln Gamma(x) - ((x - 1/2) ln x - x + (1/2) ln 2 pi)
/// ```
pub(crate) fn stirling_error(x: f64) -> f64 {
    if x < SERIES_FROM {
        return libm::lgamma(x) - ((x - 0.5) * libm::log(x) - x + HALF_LN_TWO_PI);
    }
    let square = x * x;
    let tail = 1.0 / 1260.0 - (1.0 / 1680.0 - 1.0 / (1188.0 * square)) / square;
    (1.0 / 12.0 - (1.0 / 360.0 - tail / square) / square) / x
}

/// Logarithm of `x^a e^-x / Gamma(a + 1)` for a > 0 and x > 0.
pub(crate) fn ln_gamma_term(a: f64, x: f64) -> f64 {
    -deviance(a, x) - 0.5 * libm::log(a) - HALF_LN_TWO_PI - stirling_error(a)
}

/// Logarithm of `x^a y^b / B(a, b)` for x + y = 1, a > 0 and b > 0.
pub(crate) fn ln_beta_term(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    let half_logs = 0.5 * (libm::log(a) + libm::log(b / n)) - HALF_LN_TWO_PI;
    half_logs + stirling_error(n)
        - stirling_error(a)
        - stirling_error(b)
        - deviance(a, n * x)
        - deviance(b, n * y)
}

/// Logarithm of the negative binomial probability of a count, given its mean and the shape `k = 1/cv^2` of the gamma
/// that multiplies the mean. A shape of infinity is the Poisson. The errors of Stirling's formula for the shape and for the
/// counts come from outside: they are the same for many means.
pub(crate) fn ln_negative_binomial(
    counts: f64,
    mean: f64,
    shape: f64,
    [of_shape, of_counts]: [f64; 2],
) -> f64 {
    if mean <= 0.0 {
        return if counts > 0.0 { f64::NEG_INFINITY } else { 0.0 };
    }
    if shape.is_infinite() {
        return if counts > 0.0 {
            -deviance(counts, mean) - 0.5 * libm::log(counts) - HALF_LN_TWO_PI - of_counts
        } else {
            -mean
        };
    }
    if counts <= 0.0 {
        return -shape * libm::log1p(mean / shape);
    }
    let total = counts + shape;
    let stirling = stirling_error(total) - of_shape - of_counts;
    let half_logs = 0.5 * (libm::log(counts) + libm::log1p(counts / shape)) + HALF_LN_TWO_PI;
    stirling - half_logs - deviance(counts, mean) + deviance(total, mean + shape)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ln_probability(counts: f64, mean: f64, shape: f64) -> f64 {
        let error = |x: f64| if x > 0.0 && x.is_finite() { stirling_error(x) } else { 0.0 };
        ln_negative_binomial(counts, mean, shape, [error(shape), error(counts)])
    }

    #[test]
    fn deviance_is_one_function_on_both_sides_of_its_switch() {
        for x in [0.5_f64, 3.0, 1e6] {
            for ratio in [0.8181, 0.8183, 1.2221, 1.2223, 1.0001] {
                let m = x * ratio;
                let direct = x * (x / m).ln() + m - x;
                assert!((deviance(x, m) - direct).abs() < 1e-13 * x.max(1.0), "{x} {m}");
            }
        }
    }

    #[test]
    fn negative_binomial_sums_to_one_and_tends_to_the_poisson() {
        for (mean, shape) in [(3.0, 2.0), (40.0, 30.0), (0.2, 1e6)] {
            let sum: f64 = (0..2000).map(|n| ln_probability(f64::from(n), mean, shape).exp()).sum();
            assert!((sum - 1.0).abs() < 1e-12, "{mean} {shape}: {sum}");
        }
        for n in [0.0, 1.0, 7.0, 1e6] {
            let mean = n * 1.001 + 0.3;
            let (near, limit) = (ln_probability(n, mean, 1e18), ln_probability(n, mean, f64::INFINITY));
            assert!((near - limit).abs() < 1e-9, "{n}: {near} against {limit}");
        }
    }
}
