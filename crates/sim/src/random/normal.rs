//! Normal numbers by the inverse of their distribution, so that a number is always one uniform.
#![expect(clippy::excessive_precision, reason = "coefficients and check values as printed")]

/// Coefficients of a ratio of polynomials, lowest power first.
type Coefficients = [f64; 8];

// Coefficients of PPND16, algorithm AS 241, as its authors print them.
const CENTRE: [Coefficients; 2] = [
    [
        3.3871328727963666080e0,
        1.3314166789178437745e2,
        1.9715909503065514427e3,
        1.3731693765509461125e4,
        4.5921953931549871457e4,
        6.7265770927008700853e4,
        3.3430575583588128105e4,
        2.5090809287301226727e3,
    ],
    [
        1.0,
        4.2313330701600911252e1,
        6.8718700749205790830e2,
        5.3941960214247511077e3,
        2.1213794301586595867e4,
        3.9307895800092710610e4,
        2.8729085735721942674e4,
        5.2264952788528545610e3,
    ],
];
const SHOULDER: [Coefficients; 2] = [
    [
        1.42343711074968357734e0,
        4.63033784615654529590e0,
        5.76949722146069140550e0,
        3.64784832476320460504e0,
        1.27045825245236838258e0,
        2.41780725177450611770e-1,
        2.27238449892691845833e-2,
        7.74545014278341407640e-4,
    ],
    [
        1.0,
        2.05319162663775882187e0,
        1.67638483018380384940e0,
        6.89767334985100004550e-1,
        1.48103976427480074590e-1,
        1.51986665636164571966e-2,
        5.47593808499534494600e-4,
        1.05075007164441684324e-9,
    ],
];
const TAIL: [Coefficients; 2] = [
    [
        6.65790464350110377720e0,
        5.46378491116411436990e0,
        1.78482653991729133580e0,
        2.96560571828504891230e-1,
        2.65321895265761230930e-2,
        1.24266094738807843860e-3,
        2.71155556874348757815e-5,
        2.01033439929228813265e-7,
    ],
    [
        1.0,
        5.99832206555887937690e-1,
        1.36929880922735805310e-1,
        1.48753612908506148525e-2,
        7.86869131145613259100e-4,
        1.84631831751005468180e-5,
        1.42151175831644588870e-7,
        2.04426310338993978564e-15,
    ],
];

/// The standard normal quantile: the number below which the share `p` of a standard normal distribution lies \[-\].
///
/// Source: Wichura (1988), Algorithm AS 241, Applied Statistics 37, 477, PPND16 (coefficients from memory, checked
/// below against 40-digit arithmetic; largest relative miss 7e-16 away from the zero at 1/2).
/// Valid for 0 < p < 1; 0 and 1 give the infinities, all else NaN.
#[inline]
pub fn normal_quantile(p: f64) -> f64 {
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        return q * ratio(&CENTRE, 0.180625 - q * q);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    if tail <= 0.0 || tail.is_nan() {
        return if tail == 0.0 { f64::INFINITY.copysign(q) } else { f64::NAN };
    }
    let r = (-libm::log(tail)).sqrt();
    let size = if r <= 5.0 { ratio(&SHOULDER, r - 1.6) } else { ratio(&TAIL, r - 5.0) };
    size.copysign(q)
}

/// The quantile of a standard normal distribution of which only the part from `low` to `high` is left \[-\].
///
/// ```text
/// x = F^-1[F(low) + p (F(high) - F(low))]          F the standard normal distribution
/// ```
/// For 0 < p < 1 and `low` not above `high`, which may be infinite. Works on the side where F is small, so that a part
/// far out in either tail keeps its digits, up to 37 standard deviations; beyond, it is the end nearer to 0.
pub fn truncated_normal_quantile(p: f64, low: f64, high: f64) -> f64 {
    if low > 0.0 {
        return -truncated_normal_quantile(1.0 - p, -high, -low);
    }
    let below = |x: f64| 0.5 * libm::erfc(-x / std::f64::consts::SQRT_2);
    let (first, last) = (below(low), below(high));
    let x = if last > 0.0 { normal_quantile(first + p * (last - first)) } else { high };
    x.max(low).min(high)
}

#[inline]
fn ratio([above, below]: &[Coefficients; 2], x: f64) -> f64 {
    let polynomial = |c: &Coefficients| c.iter().rev().fold(0.0, |sum, c| sum * x + c);
    polynomial(above) / polynomial(below)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Share and quantile by mpmath 1.3 with 40 digits, of the `f64` nearest to the share as written.
    const KNOWN: [(f64, f64); 13] = [
        (1e-300, -37.047096299361199237),
        (1e-20, -9.2623400897984075796),
        (1e-10, -6.3613409024040561991),
        (0.001, -3.0902323061678135354),
        (0.025, -1.9599639845400542118),
        (0.075, -1.4395314709384559349),
        (0.0749, -1.4402382675279636631),
        (0.3, -0.52440051270804081597),
        (0.425, -0.18911842627279251844),
        (0.6, 0.25334710313579974132),
        (0.9, 1.2815515655446005935),
        (0.975, 1.9599639845400538556),
        (0.999999, 4.7534243088170877657),
    ];

    #[test]
    fn quantiles_have_sixteen_digits() {
        for (p, expected) in KNOWN {
            let got = normal_quantile(p);
            let miss = (got / expected - 1.0).abs();
            assert!(miss < 7e-16, "p {p}: got {got}, expected {expected}, miss {miss}");
        }
    }

    #[test]
    fn the_ends_are_infinite_and_nothing_lies_beyond() {
        assert!(normal_quantile(0.5).abs() < f64::MIN_POSITIVE);
        assert!(normal_quantile(0.0) < f64::MIN);
        assert!(normal_quantile(1.0) > f64::MAX);
        for p in [-0.1, 1.1, f64::NAN] {
            assert!(normal_quantile(p).is_nan(), "p {p}");
        }
    }

    /// A relative error e of the quantile z is one of about z^2 e of a small share; e is 7e-16 at most, the division by
    /// the root of two and `erfc` add a unit or two of the last place.
    #[test]
    fn the_distribution_gives_every_share_back() {
        for step in 1..2000 {
            let p = f64::from(step) / 2000.0;
            let z = normal_quantile(p);
            let back = 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
            let bound = (1.0 + z * z) * 1e-15;
            assert!((back / p - 1.0).abs() < bound, "p {p}, back {back}, bound {bound}");
        }
    }

    /// By mpmath with 40 digits: rank, ends, quantile.
    #[test]
    fn what_is_left_of_a_normal_has_its_own_quantiles() {
        for (p, low, high, expected) in [
            (0.3, -1.0, 2.0, -0.24240381788922682623),
            (0.9, -0.5, f64::INFINITY, 1.4821796784409071974),
            (0.25, 8.0, 9.0, 8.0353396219050171815),
            (0.25, f64::NEG_INFINITY, -20.0, -20.06902419403102763),
        ] {
            let got = truncated_normal_quantile(p, low, high);
            assert!(
                (got / expected - 1.0).abs() < 1e-14,
                "p {p} of {low} to {high}: {got}, expected {expected}"
            );
        }
    }

    #[test]
    fn no_bounds_change_nothing_and_bounds_are_kept() {
        for step in 1..100 {
            let p = f64::from(step) / 100.0;
            let free = truncated_normal_quantile(p, f64::NEG_INFINITY, f64::INFINITY);
            assert_eq!(free.to_bits(), normal_quantile(p).to_bits());
            for (low, high) in [(-0.1, 0.2), (0.3, 0.3), (50.0, 60.0), (-60.0, -50.0)] {
                let x = truncated_normal_quantile(p, low, high);
                assert!(x >= low && x <= high, "p {p} of {low} to {high}: {x}");
            }
        }
        assert!((truncated_normal_quantile(0.5, 50.0, 60.0) - 50.0).abs() < 1e-12);
    }
}
