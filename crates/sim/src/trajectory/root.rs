//! The root of a function between two bounds, by Brent's method.

/// The place where `function` crosses zero between `low` and `high`, where it has the values given, of opposite signs.
///
/// Ends when the bracket is narrower than `tolerance` relative to the root.
///
/// Source: Brent (1973), Algorithms for Minimization without Derivatives, chapter 4 (from memory).
///
/// # Errors
/// The first that the function returns.
pub(super) fn root<E>(
    mut function: impl FnMut(f64) -> Result<f64, E>,
    low: (f64, f64),
    high: (f64, f64),
    tolerance: f64,
) -> Result<f64, E> {
    let ((mut a, mut fa), (mut b, mut fb)) = (low, high);
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut step_before = step;
    for _ in 0..200 {
        if (fb > 0.0) == (fc > 0.0) {
            (c, fc) = (a, fa);
            step = b - a;
            step_before = step;
        }
        if fc.abs() < fb.abs() {
            (a, fa) = (b, fb);
            (b, fb) = (c, fc);
            (c, fc) = (a, fa);
        }
        let least = 0.5 * tolerance * b.abs() + f64::MIN_POSITIVE;
        let middle = 0.5 * (c - b);
        if middle.abs() <= least || fb == 0.0 {
            break;
        }
        let proposal = interpolate((a, fa), (b, fb), (c, fc));
        let worthwhile = step_before.abs() >= least
            && fa.abs() > fb.abs()
            && proposal * middle > 0.0
            && proposal.abs() < (1.5 * middle.abs() - 0.5 * least).min(0.5 * step_before.abs());
        step_before = if worthwhile { step } else { middle };
        step = if worthwhile { proposal } else { middle };
        (a, fa) = (b, fb);
        b += if step.abs() > least { step } else { least.copysign(middle) };
        fb = function(b)?;
    }
    Ok(b)
}

/// The step from `b` by inverse quadratic interpolation, or by the secant where only two points differ.
#[expect(clippy::float_cmp, reason = "the two are the same number or were found apart")]
fn interpolate(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    let s = b.1 / a.1;
    if a.0 == c.0 {
        return -s * (c.0 - b.0) / (1.0 - s);
    }
    let (q, r) = (a.1 / c.1, b.1 / c.1);
    let p = s * ((c.0 - b.0) * q * (q - r) - (b.0 - a.0) * (r - 1.0));
    -p / ((q - 1.0) * (r - 1.0) * (s - 1.0))
}

#[cfg(test)]
mod tests {
    use std::convert::Infallible;

    use super::*;

    fn solve(function: impl Fn(f64) -> f64, low: f64, high: f64) -> (f64, usize) {
        let mut calls = 0;
        let found = root(
            |x| {
                calls += 1;
                Ok::<f64, Infallible>(function(x))
            },
            (low, function(low)),
            (high, function(high)),
            1e-12,
        );
        (found.unwrap(), calls)
    }

    #[test]
    fn finds_the_roots_of_smooth_functions_in_few_calls() {
        let (x, calls) = solve(|x| x.cos() - x, 0.0, 1.0);
        assert!((x - 0.7390851332151607).abs() < 1e-12 && calls <= 9, "{x} in {calls} calls");
        let (x, calls) = solve(|x| x.powi(3) - 1e-6, 0.0, 4.0);
        assert!((x - 0.01).abs() < 1e-13 && calls <= 60, "{x} in {calls} calls");
    }

    #[test]
    fn a_plateau_before_the_root_costs_no_more_than_halving() {
        let (x, calls) = solve(|x| if x < 0.5 { -1.0 } else { 100.0 * (x - 0.51) }, 0.0, 4.0);
        assert!((x - 0.51).abs() < 1e-12 && calls <= 60, "{x} in {calls} calls");
    }

    #[test]
    fn a_jump_is_found_as_a_root() {
        let (x, _) = solve(|x| if x < 0.3 { -1.0 } else { 1.0 }, 0.0, 1.0);
        assert!((x - 0.3).abs() < 1e-12, "{x}");
    }
}
