//! Charge: fields of charged fibres, and images of charged particles in neutral fibres.
//!
//! How strongly they draw a particle; what that catches at a charged fibre is the business of
//! [`electret_law`](crate::single_fibre::electret_law).
//!
//! A particle's charge goes with it through all layers, so the sum over charge states belongs after stacking
//! ([`crate::stack`]); here everything is for one particle of a given charge.

use std::f64::consts::PI;

use moteweir_units::{Length, SurfaceCharge, Velocity};

use crate::air::Air;
use crate::cell::KuwabaraCell;
use crate::constants::{ELECTRIC_CONSTANT, ELEMENTARY_CHARGE};
use crate::particle::Particle;

/// Highest surface charge that air holds before it breaks down, as an amplitude on a fibre \[C/m2\].
///
/// Field at the surface sigma/((1 + eps_f) eps0) of 3 MV/m for eps_f = 2.2, common practice; thin fibres hold more.
pub const BREAKDOWN_SURFACE_CHARGE: f64 = 3.0e6 * 3.2 * ELECTRIC_CONSTANT;

/// N of a point particle with charge at a line-dipole fibre: drift speed at the surface over velocity \[-\].
///
/// ```text
/// N_sq = sigma q Cc/(3 pi mu (1 + eps_f) eps0 d_p U)
/// ```
pub fn coulomb_parameter(
    air: &Air,
    particle: &Particle,
    charges: i32,
    electret: &Electret,
    velocity: Velocity,
) -> f64 {
    let q = f64::from(charges.abs()) * ELEMENTARY_CHARGE;
    electret.surface_charge.to_c_per_m2().abs() * q * particle.slip()
        / (3.0
            * PI
            * air.viscosity().to_pa_s()
            * (1.0 + electret.fibre_permittivity)
            * ELECTRIC_CONSTANT
            * particle.diameter().to_m()
            * velocity.to_m_per_s())
}

/// N of a neutral particle that the same fibre's field polarises \[-\].
///
/// ```text
/// N_s0 = ((eps_p - 1)/(eps_p + 2)) 2 sigma^2 d_p^2 Cc/(3 eps0 (1 + eps_f)^2 mu d_f U)
/// ```
pub fn polarisation_parameter(
    air: &Air,
    particle: &Particle,
    electret: &Electret,
    fibre_diameter: Length,
    velocity: Velocity,
) -> f64 {
    let eps_p = electret.particle_permittivity;
    let sigma = electret.surface_charge.to_c_per_m2();
    let dp = particle.diameter().to_m();
    (eps_p - 1.0) / (eps_p + 2.0) * 2.0 * sigma * sigma * dp * dp * particle.slip()
        / (3.0
            * ELECTRIC_CONSTANT
            * (1.0 + electret.fibre_permittivity).powi(2)
            * air.viscosity().to_pa_s()
            * fibre_diameter.to_m()
            * velocity.to_m_per_s())
}

/// N of a charged particle and its image in a neutral fibre \[-\].
///
/// ```text
/// N_0q = ((eps_f - 1)/(eps_f + 1)) q^2 Cc/(12 pi^2 eps0 mu U d_p d_f^2)
/// ```
/// The second pi follows from the force law; copies without it are in print.
pub fn image_parameter(
    air: &Air,
    particle: &Particle,
    charges: i32,
    fibre_permittivity: f64,
    fibre_diameter: Length,
    velocity: Velocity,
) -> f64 {
    let q = f64::from(charges) * ELEMENTARY_CHARGE;
    let df = fibre_diameter.to_m();
    (fibre_permittivity - 1.0) / (fibre_permittivity + 1.0) * q * q * particle.slip()
        / (12.0
            * PI
            * PI
            * ELECTRIC_CONSTANT
            * air.viscosity().to_pa_s()
            * velocity.to_m_per_s()
            * particle.diameter().to_m()
            * df
            * df)
}

/// Charge on a web's fibres, and what polarises in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Electret {
    /// Amplitude sigma of the surface charge sigma cos(phi) round the fibre.
    pub surface_charge: SurfaceCharge,
    /// Relative permittivity of the fibre.
    pub fibre_permittivity: f64,
    /// Relative permittivity of the particles; salt and oils of test aerosols lie near 2 to 6.
    pub particle_permittivity: f64,
}

/// Single-fibre efficiency of the image force \[-\], thin layer in Kuwabara's field.
///
/// ```text
/// E = 2 sqrt((1 - alpha) N_0q/Ku)
/// ```
/// Derived; 3 to 6 % from solved trajectories.
pub fn image_in_cell(cell: &KuwabaraCell, parameter: f64) -> f64 {
    2.0 * ((1.0 - cell.solidity()) * parameter / cell.kuwabara_factor()).sqrt()
}
