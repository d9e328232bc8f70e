//! How far the model itself may be off: functions of size and velocity for each material.
//!
//! ```text
//! K(d, U) = K_m e^g_m(ln d, ln U) + (K - K_m) e^g_c(ln d, ln U)      of one sheet, P = exp(-K)
//! ```
//! K is the exponent of the physics, K_m what is left of it without charge; g_m and g_c are Gaussian processes, g_c of
//! webs that may be charged. Charge makes the share w of K: to first order ln K is off by (1 - w) g_m + w g_c, so that a
//! sheet whose charge was taken away knows nothing of g_c. A scalar would shrink with every reading and leave the way from
//! 1 um to 0.2 um falsely sure; a function is known where it was measured and opens again away from there.
//!
//! **Size of `g_m`.** From the spread between the closures that the scenario compares, D = ln of the ratio of their
//! exponents without charge, at the sizes and velocities that were measured: a rectangular distribution of half-width D has
//! the standard deviation D/sqrt(3). Closures that agree rest on the same cell of fibres in order; they are not taken to be
//! nearer to a sheet than 0.05 (a choice). Of cloth the closures do not differ (yarns always take the cell), but the models
//! miss measured cloth by far more than webs (`tests/published/MEASURED.md`): 0.5 is added.
//!
//! **Size of `g_c`.** From what is not known of how charge sits on the fibres ([`charge_pattern`]) and of how it joins the
//! other forces (the band of the physics' own rule), each as a rectangular distribution.
//!
//! **Lengths.** A factor e in size and one in velocity: diffusion, interception and inertia hand over to one another
//! within about that, and so does what is wrong with each; so does charge's pull on charges and on what it polarises.
//!
//! **What all readings of a file share.** Laboratories that measure the same sheets differ by 26 % of ln P, expanded
//! ([`refs::SIPKENS_2025`]): a level b of each file of counts and each measured file, normal with 0.13 of ln(-ln P), is
//! added to all that was read there, whatever the size, the velocity and the specimen. What is foretold is of the
//! material, without b: no number of counts tells the two apart, so that no bench is believed further than another
//! would confirm. Of resistances no source was seen that says how far laboratories differ: theirs is what the bench
//! states, beside the drag law's own doubt.

use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
#[cfg(doc)]
use moteweir_physics::refs;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_sim::inference::Covariance;
use moteweir_units::{Length, Velocity};

use super::charge_pattern;
use super::work::without_charge;
use crate::predict::Surroundings;

/// Reproducibility between laboratories: standard uncertainty of ln(-ln P), [`refs::SIPKENS_2025`].
pub(super) const REPRODUCIBILITY: f64 = 0.13;
/// What cloth adds.
const CLOTH: f64 = 0.5;
/// Closures are not taken to be nearer to a sheet than this; a choice.
const LEAST: f64 = 0.05;
/// ln d over which the misfit forgets itself.
const LENGTH_IN_SIZE: f64 = 1.0;
/// ln U likewise.
const LENGTH_IN_VELOCITY: f64 = 1.0;
/// Standard deviation of ln of the drag: the drag laws differ by 1.4 to 1.8 times, ln 1.6/sqrt(3).
pub(super) const DRAG: f64 = 0.27;

const fn of_amplitude(amplitude: f64) -> Covariance {
    Covariance { amplitude, lengths: [LENGTH_IN_SIZE, LENGTH_IN_VELOCITY] }
}

/// The covariance of a material's misfit without charge.
///
/// `layers` has the layer of the material by closure, the headline's first; sizes and velocities are where it was
/// measured.
pub(super) fn mechanical(
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
                .map(|(c, layer)| exponent(&without_charge(layer), *c, surroundings, size, velocity, kind)[1])
                .collect();
            for (square, exponent) in squares.iter_mut().zip(&exponents) {
                *square += (exponent / exponents[0]).ln().powi(2);
            }
            count += 1.0;
        }
    }
    let spread = squares.iter().fold(0.0_f64, |most, s| most.max(s / f64::max(count, 1.0)));
    let cloth = if layers.iter().any(|(_, layer)| matches!(layer, Layer::Weave(_))) { CLOTH } else { 0.0 };
    of_amplitude((spread / 3.0 + LEAST * LEAST + cloth * cloth).sqrt())
}

/// The covariance of what charge adds to a web's exponent; `None` where it adds nothing.
///
/// The squares of the half-widths at some sizes and velocities, each weighted by the square of charge's share there.
pub(super) fn of_charge(
    layer: &(Closure, Layer),
    surroundings: &Surroundings,
    sizes: &[Length],
    velocities: &[Velocity],
) -> Option<Covariance> {
    let (closure, layer) = layer;
    let Layer::Web(web) = layer else { return None };
    let kind = surroundings.kind();
    let (mut sum, mut weights) = (0.0, 0.0);
    for &velocity in velocities {
        for &size in sizes {
            let Some(pattern) = charge_pattern::half_width(web, surroundings.air(), size, velocity, kind)
            else {
                continue;
            };
            let of = |layer: &Layer| exponent(layer, *closure, surroundings, size, velocity, kind);
            let ([low, value, high], [_, plain, _]) = (of(layer), of(&without_charge(layer)));
            let joined = 0.5 * (high / low).ln();
            let weight = (1.0 - plain / value).max(0.0).powi(2);
            sum += weight * (pattern * pattern + joined * joined);
            weights += weight;
        }
    }
    (weights > 0.0).then(|| of_amplitude((sum / weights / 3.0).sqrt()))
}

/// Low, best and high.
fn exponent(
    layer: &Layer,
    closure: Closure,
    surroundings: &Surroundings,
    size: Length,
    velocity: Velocity,
    kind: &ParticleKind,
) -> [f64; 3] {
    let setting = Setting { closure, ..surroundings.headline() };
    let prepared = Stack::new([(layer.clone(), 1)]).prepare(&setting, velocity);
    let penetration = prepared.penetration(size, kind);
    [penetration.high, penetration.value, penetration.low].map(|p| -p.clamp(1e-300, 1.0 - 1e-12).ln())
}
