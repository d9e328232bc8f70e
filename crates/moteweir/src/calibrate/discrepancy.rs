//! How far the model itself may be off: a function of size and velocity for each material.
//!
//! ```text
//! ln[-ln P(d, U)] = ln[-ln P_physics(d, U; inputs)] + g(ln d, ln U)
//! ```
//! of one sheet, g a Gaussian process. A scalar would shrink with every reading and leave the way from 1 um to 0.2 um
//! falsely sure; a function is known where it was measured and opens again away from there.
//!
//! **Size.** From the spread between the closures that the scenario compares, D = ln of the ratio of their exponents, at
//! the sizes and velocities that were measured: a rectangular distribution of half-width D has the standard deviation
//! D/sqrt(3). To its square comes that of the reproducibility between laboratories, 0.13 of ln P (26 % expanded: Sipkens
//! and others 2025, abstract), so that no bench is believed further than another would confirm. Of cloth the closures
//! do not differ (yarns always take the cell), but the models miss measured cloth by far more than webs
//! (`tests/published/MEASURED.md`): 0.5 is added.
//!
//! **Lengths.** A factor e in size and one in velocity: diffusion, interception and inertia hand over to one another
//! within about that, and so does what is wrong with each.

use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_sim::inference::Covariance;
use moteweir_units::{Length, Velocity};

use crate::predict::Surroundings;

/// Reproducibility between laboratories: standard uncertainty of ln(-ln P).
pub(super) const REPRODUCIBILITY: f64 = 0.13;
/// What cloth adds.
const CLOTH: f64 = 0.5;
/// ln d over which the misfit forgets itself.
const LENGTH_IN_SIZE: f64 = 1.0;
/// ln U likewise.
const LENGTH_IN_VELOCITY: f64 = 1.0;
/// Standard deviation of ln of the drag: the drag laws differ by 1.4 to 1.8 times, ln 1.6/sqrt(3).
pub(super) const DRAG: f64 = 0.27;

/// The covariance of a material's misfit.
///
/// `layers` has the layer of the material by closure, the headline's first; sizes and velocities are where it was
/// measured.
pub(super) fn covariance(
    layers: &[(Closure, Layer)],
    surroundings: &Surroundings,
    sizes: &[Length],
    velocities: &[Velocity],
) -> Covariance {
    let kind = surroundings.kind();
    let mut squares = vec![0.0; layers.len()];
    let mut count = 0.0;
    for &velocity in velocities {
        for &size in sizes {
            let exponents: Vec<f64> = layers
                .iter()
                .map(|(c, layer)| exponent(layer, *c, surroundings, size, velocity, kind))
                .collect();
            for (square, exponent) in squares.iter_mut().zip(&exponents) {
                *square += (exponent / exponents[0]).ln().powi(2);
            }
            count += 1.0;
        }
    }
    let spread = squares.iter().fold(0.0_f64, |most, s| most.max(s / f64::max(count, 1.0)));
    let cloth = if layers.iter().any(|(_, layer)| matches!(layer, Layer::Weave(_))) { CLOTH } else { 0.0 };
    let amplitude = (spread / 3.0 + REPRODUCIBILITY.powi(2) + cloth * cloth).sqrt();
    Covariance { amplitude, lengths: [LENGTH_IN_SIZE, LENGTH_IN_VELOCITY] }
}

fn exponent(
    layer: &Layer,
    closure: Closure,
    surroundings: &Surroundings,
    size: Length,
    velocity: Velocity,
    kind: &ParticleKind,
) -> f64 {
    let setting = Setting { closure, ..surroundings.headline() };
    let prepared = Stack::new([(layer.clone(), 1)]).prepare(&setting, velocity);
    -prepared.penetration(size, kind).value.max(1e-300).ln()
}
