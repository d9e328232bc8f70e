//! Uneven sheets in a stack: layers apart, between which the air evens out, against layers that touch.
//!
//! Each layer's local basis weight w is gamma-distributed with mean 1 and a coefficient of variation c, at a common
//! pressure drop across the sheet (`moteweir_physics::web::uneven_penetration`). Apart, every layer divides the air anew
//! and penetrations multiply. In contact the air that enters at a spot stays there: the spot passes what its exponents
//! leave, in proportion to one over its resistance,
//!
//! ```text
//! P = <exp(-sum K_i w_i)/sum r_i w_i> / <1/sum r_i w_i>,   dp = 1/<1/sum r_i w_i>
//! ```
//! K the exponent and r the pressure drop of the even layer. With 1/x = integral of exp(-s x) over s from 0 the mean
//! over gamma distributions is a closed form, and one integral is left:
//!
//! ```text
//! <exp(-sum K_i w_i)/sum r_i w_i> = integral over s of prod (1 + (K_i + s r_i) c_i^2)^(-1/c_i^2)
//! ```
//! Derived. Leaves out that capture falls with the local velocity, and how far spots reach beside the thickness of the
//! stack: touching layers of real cloth lie between both arrangements.

use std::f64::consts::FRAC_PI_2;

use multiversion::multiversion;

use super::elementary::ln_1p;

/// How layers lie on one another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Arrangement {
    /// Apart: flow evens out between them. Penetrations multiply.
    #[default]
    Apart,
    /// In contact, thin and thick spots of the layers independent of one another.
    Touching,
    /// In contact, all layers thin at the same spots: as pieces of one sheet that are folded on a repeating pattern.
    Aligned,
}

/// A layer of a stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnevenLayer {
    /// Exponent K of the even layer, P = exp(-K), from 0 to infinity.
    pub exponent: f64,
    /// Pressure drop of the even layer \[Pa\], above 0.
    pub pressure_drop: f64,
    /// Coefficient of variation of its local basis weight, 0 to below 1.
    pub unevenness: f64,
}

/// What uneven layers come to together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnevenStack {
    /// Penetration.
    pub penetration: f64,
    /// Pressure drop \[Pa\].
    pub pressure_drop: f64,
}

/// Penetration and pressure drop of uneven layers.
///
/// Apart in closed form; in contact by quadrature to a relative error of 1e-9 up to an unevenness of 0.95, tested against the closed forms of like
/// layers and against a Monte Carlo of spots. Where aligned layers differ in their unevenness, their weights are taken
/// as straight-line functions of one gamma-distributed number, the most uneven layer's own.
pub fn uneven_stack(layers: &[UnevenLayer], arrangement: Arrangement) -> UnevenStack {
    if arrangement == Arrangement::Apart {
        return apart(layers);
    }
    let spots = Spots::new(layers.iter().map(|l| (l.pressure_drop, l.unevenness)), arrangement);
    UnevenStack {
        penetration: spots.penetration(|i| layers[i].exponent),
        pressure_drop: spots.pressure_drop(),
    }
}

fn apart(layers: &[UnevenLayer]) -> UnevenStack {
    layers.iter().fold(UnevenStack { penetration: 1.0, pressure_drop: 0.0 }, |stack, layer| UnevenStack {
        penetration: stack.penetration
            * moteweir_physics::web::uneven_penetration(layer.exponent, layer.unevenness),
        pressure_drop: stack.pressure_drop
            + layer.pressure_drop * (1.0 - layer.unevenness * layer.unevenness),
    })
}

/// The spots of a stack in contact, ready for many exponents of the same layers.
#[derive(Clone, Debug)]
pub(super) struct Spots {
    /// Share of each layer in the even stack's resistance, its c^2, and how much of its weight varies.
    layers: Vec<Layer>,
    /// c^2 of the number that all share, where they share one.
    shared: Option<f64>,
    nodes: Nodes,
    without: f64,
    even: f64,
}

#[derive(Clone, Copy, Debug)]
struct Layer {
    resistance: f64,
    square: f64,
    /// c/c of the most uneven.
    moving: f64,
}

impl Spots {
    /// From even pressure drops and coefficients of variation.
    pub(super) fn new(layers: impl Iterator<Item = (f64, f64)>, arrangement: Arrangement) -> Self {
        let layers: Vec<(f64, f64)> = layers.collect();
        let even: f64 = layers.iter().map(|(drop, _)| drop).sum();
        let most = layers.iter().map(|(_, c)| *c).fold(0.0, f64::max);
        let shared = (arrangement == Arrangement::Aligned && most > 0.0).then_some(most * most);
        let layer = |(drop, c): (f64, f64)| Layer {
            resistance: drop / even,
            square: c * c,
            moving: if most > 0.0 { c / most } else { 0.0 },
        };
        let mut spots = Self {
            layers: layers.into_iter().map(layer).collect(),
            shared,
            nodes: Nodes::new(),
            without: 1.0,
            even,
        };
        spots.without = spots.integral(|_| 0.0);
        spots
    }

    /// Pressure drop of the stack \[Pa\].
    pub(super) fn pressure_drop(&self) -> f64 {
        self.even / self.without
    }

    /// Penetration at an exponent of each even layer.
    pub(super) fn penetration(&self, exponent: impl Fn(usize) -> f64) -> f64 {
        (self.integral(exponent) / self.without).min(1.0)
    }

    /// <exp(-sum K w)/sum r w>, the shares of resistance for r.
    fn integral(&self, exponent: impl Fn(usize) -> f64) -> f64 {
        let mut sums = [0.0; NODES];
        let mut moving = [0.0; 2];
        for (i, layer) in self.layers.iter().enumerate() {
            // Finite, and yet nothing gets through.
            let k = exponent(i).min(1e300);
            if self.shared.is_none() {
                add_gamma(&self.nodes, [k, layer.resistance], layer.square, &mut sums);
            } else {
                let still = 1.0 - layer.moving;
                add_gamma(&self.nodes, [k * still, layer.resistance * still], 0.0, &mut sums);
                moving = [moving[0] + k * layer.moving, moving[1] + layer.resistance * layer.moving];
            }
        }
        if let Some(square) = self.shared {
            add_gamma(&self.nodes, moving, square, &mut sums);
        }
        self.nodes.weights.iter().zip(&sums).map(|(weight, sum)| weight * libm::exp(-sum)).sum()
    }
}

/// Adds -ln <exp(-(k + s r) w)> at each node s, w gamma-distributed with mean 1 and squared coefficient of variation
/// `square`.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn add_gamma(nodes: &Nodes, [k, r]: [f64; 2], square: f64, sums: &mut [f64; NODES]) {
    if square == 0.0 {
        for (sum, s) in sums.iter_mut().zip(&nodes.places) {
            *sum += k + s * r;
        }
    } else {
        let inverse = 1.0 / square;
        for (sum, s) in sums.iter_mut().zip(&nodes.places) {
            *sum += ln_1p((k + s * r) * square) * inverse;
        }
    }
}

/// Where the nodes begin in t.
const FIRST: f64 = -3.6;
/// Distance between nodes in t.
const STEP: f64 = 0.08;
/// Nodes in all: up to t = 5.6, s = 1e92, since the tail of one very uneven layer falls slowly.
const NODES: usize = 116;

/// Nodes for integrals from 0 to infinity: s = exp(pi/2 sinh t), evenly spaced in t.
#[derive(Clone, Debug)]
struct Nodes {
    places: [f64; NODES],
    weights: [f64; NODES],
}

impl Nodes {
    fn new() -> Self {
        let t: [f64; NODES] = std::array::from_fn(|i| FIRST + STEP * i as f64);
        let places = t.map(|t| libm::exp(FRAC_PI_2 * libm::sinh(t)));
        let weights = std::array::from_fn(|i| STEP * FRAC_PI_2 * libm::cosh(t[i]) * places[i]);
        Self { places, weights }
    }
}

#[cfg(test)]
mod tests {
    use rand_distr::{Distribution, Gamma};

    use super::*;
    use crate::random::{Purpose, Stream};

    fn close(what: &str, got: f64, expected: f64, tolerance: f64) {
        let miss = (got / expected - 1.0).abs();
        assert!(miss <= tolerance, "{what}: got {got}, expected {expected}, miss {miss}");
    }

    /// Three like layers of P = 0.1 when even, c = 0.3, worked by hand from the closed forms.
    #[test]
    fn three_like_layers_of_the_derived_table() {
        let layers = [UnevenLayer { exponent: -(0.1_f64.ln()), pressure_drop: 10.0, unevenness: 0.3 }; 3];
        let of = |arrangement| uneven_stack(&layers, arrangement);
        for (arrangement, penetration, drop) in [
            (Arrangement::Apart, 3.3e-3, 27.3),
            (Arrangement::Touching, 2.3e-3, 29.1),
            (Arrangement::Aligned, 7.5e-3, 27.3),
        ] {
            let got = of(arrangement);
            assert!((got.penetration - penetration).abs() < 0.5e-4, "{arrangement:?}: {got:?}");
            close("pressure drop", got.pressure_drop, drop, 1e-10);
        }
    }

    /// n like layers in contact are one layer of n times the weight with c^2/n; aligned, with c^2.
    #[test]
    fn like_layers_in_contact_are_one_thicker_layer() {
        for c in [0.02, 0.3, 0.7, 0.95] {
            for n in [1_u32, 2, 5, 12] {
                for exponent in [0.01, 2.0, 30.0] {
                    let layers =
                        vec![UnevenLayer { exponent, pressure_drop: 3.0, unevenness: c }; n as usize];
                    let (count, k) = (f64::from(n), f64::from(n) / (c * c));
                    let touching = uneven_stack(&layers, Arrangement::Touching);
                    close("touching", touching.penetration, (1.0 + exponent * c * c).powf(1.0 - k), 1e-9);
                    close("drop", touching.pressure_drop, 3.0 * count * (1.0 - 1.0 / k), 1e-9);
                    let aligned = uneven_stack(&layers, Arrangement::Aligned);
                    let closed = (1.0 + count * exponent * c * c).powf(1.0 - 1.0 / (c * c));
                    close("aligned", aligned.penetration, closed, 1e-9);
                    close("drop", aligned.pressure_drop, 3.0 * count * (1.0 - c * c), 1e-9);
                }
            }
        }
    }

    #[test]
    fn even_layers_do_not_care_how_they_lie() {
        let layers = [(1.5, 3.0), (0.2, 40.0), (4.0, 7.0)].map(|(exponent, pressure_drop)| UnevenLayer {
            exponent,
            pressure_drop,
            unevenness: 0.0,
        });
        for arrangement in [Arrangement::Apart, Arrangement::Touching, Arrangement::Aligned] {
            let stack = uneven_stack(&layers, arrangement);
            close("penetration", stack.penetration, (-5.7_f64).exp(), 1e-10);
            close("pressure drop", stack.pressure_drop, 50.0, 1e-10);
        }
    }

    #[test]
    fn a_layer_that_lets_nothing_through_does_so_in_any_stack() {
        let wall = UnevenLayer { exponent: f64::INFINITY, pressure_drop: 5.0, unevenness: 0.0 };
        let sheet = UnevenLayer { exponent: 1.0, pressure_drop: 5.0, unevenness: 0.4 };
        for arrangement in [Arrangement::Apart, Arrangement::Touching, Arrangement::Aligned] {
            let stack = uneven_stack(&[wall, sheet], arrangement);
            assert_eq!(stack.penetration.to_bits(), 0.0_f64.to_bits(), "{arrangement:?}");
        }
    }

    /// Unlike layers against a million spots: the ratio of two means, its error by linear propagation. Significance
    /// 1e-6 (4.9 standard errors) for each of the two arrangements.
    #[test]
    fn unlike_layers_agree_with_a_monte_carlo_of_spots() {
        const SPOT: Purpose = Purpose::named("spot");
        let layers = [(1.2, 4.0, 0.5), (0.4, 20.0, 0.25), (2.0, 9.0, 0.1)]
            .map(|(exponent, pressure_drop, unevenness)| UnevenLayer { exponent, pressure_drop, unevenness });
        for arrangement in [Arrangement::Touching, Arrangement::Aligned] {
            let expected = uneven_stack(&layers, arrangement);
            let spots: Vec<[f64; 2]> = (0..1_000_000_u64)
                .map(|index| {
                    let weight = |item: u64, c: f64| {
                        let gamma = Gamma::new(1.0 / (c * c), c * c).expect("positive");
                        gamma.sample(&mut Stream::new(8, SPOT.item(item), index))
                    };
                    let (mut k, mut r) = (0.0, 0.0);
                    for (item, layer) in layers.iter().enumerate() {
                        let c = layer.unevenness;
                        let w = match arrangement {
                            Arrangement::Aligned => 1.0 + c / 0.5 * (weight(0, 0.5) - 1.0),
                            _ => weight(item as u64, c),
                        };
                        k += layer.exponent * w;
                        r += layer.pressure_drop * w;
                    }
                    [(-k).exp() / r, 1.0 / r]
                })
                .collect();
            let n = spots.len() as f64;
            let mean = |j: usize| spots.iter().map(|spot| spot[j]).sum::<f64>() / n;
            let (through, flow) = (mean(0), mean(1));
            let p = through / flow;
            let variance = spots.iter().map(|[a, b]| ((a - p * b) / flow).powi(2)).sum::<f64>() / n;
            let (miss, error) = (p - expected.penetration, (variance / n).sqrt());
            assert!(miss.abs() < 4.9 * error, "{arrangement:?}: {p} for {expected:?}, error {error}");
            let scatter = spots.iter().map(|[_, b]| (b / flow - 1.0).powi(2)).sum::<f64>() / n;
            let (drop, error) = (1.0 / flow, (scatter / n).sqrt() / flow);
            let miss = drop - expected.pressure_drop;
            assert!(miss.abs() < 4.9 * error, "{arrangement:?}: {drop} for {expected:?}, error {error}");
        }
    }
}
