//! Quantiles of a gamma variable, fast enough for thousands of draws.

use super::deviance::deviance;
use super::incomplete_gamma::{log_of_lower_tail, log_of_upper_tail};

/// From this shape the cube-root rule is within 1 % of a standard deviation over 3.3 of them on both sides.
const CUBE_ROOT_FROM: f64 = 60.0;
/// From here one correction does, and below it two.
const CORRECTED_ONCE_FROM: f64 = 12.0;
/// Below this shape a quantile that is not tabulated is solved for.
const SOLVED_BELOW: f64 = 3.0;
/// Half the range of a table, in standard deviations, and its intervals.
const TABLE_REACH: f64 = 4.5;
const INTERVALS: usize = 24;
const INTERVAL: f64 = 2.0 * TABLE_REACH / INTERVALS as f64;
/// One over the root of two, and of two pi.
const ONE_OVER_ROOT_TWO: f64 = std::f64::consts::FRAC_1_SQRT_2;
const ONE_OVER_ROOT_TWO_PI: f64 = 0.398_942_280_401_432_7;

/// Quantiles of G, which is gamma distributed with a shape that many draws share.
///
/// Large shapes by the rule of Wilson and Hilferty (1931, from memory): the cube root of G is nearly normal.
#[derive(Clone, Debug)]
pub(crate) enum GammaQuantiles {
    /// The shape, and one ninth of its reciprocal with its root.
    Large { shape: f64, ninth: f64, root: f64 },
    /// Values and slopes of ln G at evenly spaced normal deviates.
    Table { nodes: Vec<(f64, f64)> },
}

impl GammaQuantiles {
    /// For a shape above 0.
    pub(crate) fn new(shape: f64) -> Self {
        if shape >= CUBE_ROOT_FROM {
            let ninth = 1.0 / (9.0 * shape);
            return Self::Large { shape, ninth, root: libm::sqrt(ninth) };
        }
        let nodes = (0..=INTERVALS).map(|node| {
            let z = node as f64 * INTERVAL - TABLE_REACH;
            let value = exact(shape, z);
            (value, slope(shape, z, value))
        });
        Self::Table { nodes: nodes.collect() }
    }

    /// The quantile of G whose probability is that of a standard normal deviate.
    pub(crate) fn at(&self, z: f64) -> f64 {
        match self {
            Self::Large { shape, ninth, root } => shape * cube(1.0 - ninth + z * root),
            Self::Table { nodes } => {
                let along = (z.clamp(-TABLE_REACH, TABLE_REACH) + TABLE_REACH) / INTERVAL;
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "between 0 and the number of intervals"
                )]
                let node = (along as usize).min(INTERVALS - 1);
                libm::exp(hermite(nodes[node], nodes[node + 1], along - node as f64))
            }
        }
    }
}

/// One quantile of `G / shape` for a shape of its own, as a normal deviate says.
pub(crate) fn relative_gamma_at(shape: f64, z: f64) -> f64 {
    let ninth = 1.0 / (9.0 * shape);
    let root = 1.0 - ninth + z * ninth.sqrt();
    if shape >= CUBE_ROOT_FROM {
        return cube(root);
    }
    let ln_shape = libm::log(shape);
    let by_rule = |ln_shape: f64| 3.0 * libm::log(root) + ln_shape;
    let ln_gamma = if shape >= CORRECTED_ONCE_FROM {
        corrected(shape, z, by_rule(ln_shape))
    } else if shape >= SOLVED_BELOW {
        let first = corrected(shape, z, by_rule(ln_shape));
        corrected(shape, z, first)
    } else {
        exact(shape, z)
    };
    libm::exp(ln_gamma - ln_shape)
}

fn cube(root: f64) -> f64 {
    root * root * root
}

/// One Newton step towards the quantile, its normal deviate being that of the modified signed root of the deviance
/// (Barndorff-Nielsen 1986, from memory).
fn corrected(shape: f64, z: f64, value: f64) -> f64 {
    let x = libm::exp(value);
    let root = libm::copysign(libm::sqrt(2.0 * deviance(shape, x)), x - shape);
    let standard = (x - shape) / libm::sqrt(shape);
    if root.abs() < 1e-4 {
        return value + (z - root) / libm::sqrt(shape) - 1.0 / (3.0 * shape);
    }
    let modified = root + libm::log(standard / root) / root;
    value + (z - modified) * root / (x - shape)
}

fn exact(shape: f64, z: f64) -> f64 {
    let tail = 0.5 * libm::erfc(z.abs() * ONE_OVER_ROOT_TWO);
    if z < 0.0 { log_of_lower_tail(shape, tail) } else { log_of_upper_tail(shape, tail) }
}

/// Derivative of the quantile by the normal deviate: density of the normal over that of ln G.
fn slope(shape: f64, z: f64, value: f64) -> f64 {
    let normal = libm::exp(-0.5 * z * z) * ONE_OVER_ROOT_TWO_PI;
    normal / libm::exp(shape * value - libm::exp(value) - libm::lgamma(shape))
}

fn hermite((from, slope_from): (f64, f64), (to, slope_to): (f64, f64), t: f64) -> f64 {
    let (a, b) = (slope_from * INTERVAL, slope_to * INTERVAL);
    let rise = to - from;
    from + t * (a + t * ((3.0 * rise - 2.0 * a - b) + t * (a + b - 2.0 * rise)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counting::incomplete_gamma;

    #[test]
    fn tables_and_rules_are_quantiles() {
        for shape in [1.0_f64, 2.0, 4.0, 13.0, 59.0, 61.0, 4e4] {
            let table = GammaQuantiles::new(shape);
            let sd = 1.0 / shape.sqrt();
            for z in [-3.3, -1.96, -0.4, 0.0, 1.1, 2.6] {
                let right = exact(shape, z);
                let ln = table.at(z).ln();
                assert!((ln - right).abs() < 1e-2 * sd, "{shape} {z}: {ln} for {right}");
                let single = relative_gamma_at(shape, z).ln() + shape.ln();
                assert!((single - right).abs() < 1e-2 * sd, "{shape} {z}: {single} for {right}");
                let (below, _) = incomplete_gamma(shape, right.exp());
                let normal = 0.5 * libm::erfc(-z * ONE_OVER_ROOT_TWO);
                assert!((below - normal).abs() < 1e-9, "{shape} {z}: {below} for {normal}");
            }
        }
    }
}
