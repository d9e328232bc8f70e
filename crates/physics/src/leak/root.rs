//! The root of a function that changes sign between two bounds.

/// Evaluations at most: halving alone reaches the last place of a number within 60 of any bracket of the same order.
const MOST: u32 = 200;

/// Where a function crosses zero between `low` and `high`, to the last places; `None` where it does not change sign
/// there, or is not a number.
///
/// Source: Chandrupatla (1997), Adv. Eng. Softw. 28, 145 (from memory): inverse quadratic interpolation where the three
/// last points allow it, halving elsewhere.
pub(super) fn root(function: impl Fn(f64) -> f64, low: f64, high: f64) -> Option<f64> {
    let mut newest = (high, function(high));
    let mut other = (low, function(low));
    if let Some(end) = [other, newest].into_iter().find(|end| end.1 == 0.0) {
        return Some(end.0);
    }
    if newest.1.is_nan() || other.1.is_nan() || newest.1 * other.1 > 0.0 {
        return None;
    }
    let mut share = 0.5;
    for _ in 0..MOST {
        let x = newest.0 + share * (other.0 - newest.0);
        let tried = (x, function(x));
        if tried.1.is_nan() {
            return None;
        }
        let third =
            if (tried.1 > 0.0) == (newest.1 > 0.0) { newest } else { std::mem::replace(&mut other, newest) };
        newest = tried;
        let best = if newest.1.abs() < other.1.abs() { newest } else { other };
        let least = (2.0 * f64::EPSILON * best.0.abs() + f64::MIN_POSITIVE) / (other.0 - newest.0).abs();
        if best.1 == 0.0 || least > 0.5 {
            return Some(best.0);
        }
        share = interpolated(newest, other, third).unwrap_or(0.5).clamp(least, 1.0 - least);
    }
    Some(newest.0)
}

/// The share of the way from `a` to `b` at which the parabola through three points has its zero, where it is monotone.
fn interpolated(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> Option<f64> {
    let xi = (a.0 - b.0) / (c.0 - b.0);
    let phi = (a.1 - b.1) / (c.1 - b.1);
    (phi * phi < xi && (1.0 - phi).powi(2) < 1.0 - xi).then(|| {
        a.1 / (b.1 - a.1) * c.1 / (b.1 - c.1)
            + (c.0 - a.0) / (b.0 - a.0) * a.1 / (c.1 - a.1) * b.1 / (c.1 - b.1)
    })
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    fn solve(function: impl Fn(f64) -> f64, low: f64, high: f64) -> (f64, u32) {
        let calls = Cell::new(0);
        let counted = |x| {
            calls.set(calls.get() + 1);
            function(x)
        };
        (root(counted, low, high).unwrap(), calls.get())
    }

    #[test]
    fn smooth_roots_take_few_calls_and_hard_ones_not_many() {
        for (name, function, low, high, exact, most) in [
            ("cosine", (|x: f64| x.cos() - x) as fn(f64) -> f64, 0.0, 1.0, 0.7390851332151607, 15),
            ("root", |x| x.sqrt() - 1e-5, 0.0, 1.0, 1e-10, 70),
            ("tenth power", |x| x.powi(10) - 1e-10, 0.0, 3.0, 0.1, 60),
            ("falling", |x| 2.0 - x, 0.0, 5.0, 2.0, 10),
        ] {
            let (x, calls) = solve(function, low, high);
            assert!((x / exact - 1.0).abs() < 1e-14, "{name}: {x}, expected {exact}");
            assert!(calls <= most, "{name}: {calls} calls");
        }
    }

    #[test]
    fn ends_may_be_roots_and_no_change_of_sign_is_none() {
        assert_eq!(root(|x| x, 0.0, 1.0), Some(0.0));
        assert_eq!(root(|x| x - 1.0, 0.0, 1.0), Some(1.0));
        assert_eq!(root(|x| x + 1.0, 0.0, 1.0), None);
        assert_eq!(root(|_| f64::NAN, 0.0, 1.0), None);
    }
}
