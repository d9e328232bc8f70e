//! The regularised incomplete gamma functions and their inverse.

use super::deviance::ln_gamma_term;
use super::tail::{Tail, abscissa};

/// Terms of the series and steps of the continued fraction; both take about the root of the shape.
const MOST_STEPS: u32 = 2_000_000;
/// Smallest denominator of the continued fraction.
const TINY: f64 = 1e-300;

/// The two tails of a gamma variable, `P(a, x)` and `Q(a, x) = 1 - P`, for a > 0 and x >= 0.
///
/// Series below a + 1, continued fraction above (both from memory).
pub fn incomplete_gamma(a: f64, x: f64) -> (f64, f64) {
    if !(a > 0.0 && x >= 0.0) {
        return (f64::NAN, f64::NAN);
    }
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    let front = libm::exp(ln_gamma_term(a, x));
    if x < a + 1.0 {
        let below = front * series(a, x);
        (below, 1.0 - below)
    } else {
        let above = front * a * fraction(a, x);
        (1.0 - above, above)
    }
}

/// Logarithm of the value below which a gamma variable lies with a probability.
pub(crate) fn log_of_lower_tail(a: f64, probability: f64) -> f64 {
    abscissa(libm::log(probability), libm::log(a), 1.0 / libm::sqrt(a), |at| {
        let x = libm::exp(at);
        let (below, _) = incomplete_gamma(a, x);
        Tail { ln_probability: libm::log(below), slope: a * libm::exp(ln_gamma_term(a, x)) / below }
    })
}

/// Logarithm of the value above which a gamma variable lies with a probability.
pub(crate) fn log_of_upper_tail(a: f64, probability: f64) -> f64 {
    -abscissa(libm::log(probability), -libm::log(a), 1.0 / libm::sqrt(a), |at| {
        let x = libm::exp(-at);
        let (_, above) = incomplete_gamma(a, x);
        Tail { ln_probability: libm::log(above), slope: a * libm::exp(ln_gamma_term(a, x)) / above }
    })
}

fn series(a: f64, x: f64) -> f64 {
    let (mut term, mut sum) = (1.0, 1.0);
    for step in 1..MOST_STEPS {
        term *= x / (a + f64::from(step));
        sum += term;
        if term < sum * f64::EPSILON {
            break;
        }
    }
    sum
}

fn fraction(a: f64, x: f64) -> f64 {
    let guarded = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / TINY;
    let mut d = 1.0 / guarded(b);
    let mut value = d;
    for step in 1..MOST_STEPS {
        let i = f64::from(step);
        let numerator = -i * (i - a);
        b += 2.0;
        d = 1.0 / guarded(numerator * d + b);
        c = guarded(b + numerator / c);
        let change = d * c;
        value *= change;
        if (change - 1.0).abs() < f64::EPSILON {
            break;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_forms_and_inverse() {
        for x in [1e-8_f64, 0.3, 2.0, 30.0] {
            let (below, above) = incomplete_gamma(1.0, x);
            assert!((below + (-x).exp_m1()).abs() < 1e-15 && (above / (-x).exp() - 1.0).abs() < 1e-13, "{x}");
        }
        for a in [0.4, 1.0, 9.0, 1e6] {
            for p in [1e-5, 0.025, 0.5] {
                let (below, _) = incomplete_gamma(a, log_of_lower_tail(a, p).exp());
                let (_, above) = incomplete_gamma(a, log_of_upper_tail(a, p).exp());
                assert!((below / p - 1.0).abs() < 1e-9 && (above / p - 1.0).abs() < 1e-9, "{a} {p}");
            }
        }
    }
}
