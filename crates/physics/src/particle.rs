//! A particle in air: slip, diffusivity, settling velocity, relaxation time, and its other diameters.

use std::f64::consts::PI;

use moteweir_units::{Density, Diffusivity, Length, Time, Velocity};

use crate::air::Air;
use crate::constants::{BOLTZMANN, STANDARD_GRAVITY, UNIT_DENSITY};
use crate::slip::slip_correction;

/// A sphere in air. Its diameter is the mobility diameter, which for a sphere is the geometric one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Particle {
    diameter: Length,
    density: Density,
    slip: f64,
    diffusivity: Diffusivity,
    relaxation_time: Time,
}

impl Particle {
    /// A sphere of a mobility diameter and a density.
    ///
    /// ```text
    /// D = k T Cc/(3 pi mu d),   tau = rho d^2 Cc/(18 mu),   V = tau g
    /// ```
    /// Source: [`crate::refs::TAN_2014`], eq. 6.81; Stokes' law with slip. Valid below a particle Reynolds number
    /// of 1, that is below about 80 um when settling in air.
    pub fn new(air: &Air, diameter: Length, density: Density) -> Self {
        let d = diameter.to_m();
        let mu = air.viscosity().to_pa_s();
        let slip = slip_correction(air, diameter);
        Self {
            diameter,
            density,
            slip,
            diffusivity: Diffusivity::from_m2_per_s(
                BOLTZMANN * air.temperature().to_kelvin() * slip / (3.0 * PI * mu * d),
            ),
            relaxation_time: Time::from_s(density.to_kg_per_m3() * d * d * slip / (18.0 * mu)),
        }
    }

    /// Mobility diameter \[m\].
    pub const fn diameter(&self) -> Length {
        self.diameter
    }

    /// Density \[kg/m3\].
    pub const fn density(&self) -> Density {
        self.density
    }

    /// Slip correction factor \[-\].
    pub const fn slip(&self) -> f64 {
        self.slip
    }

    /// Diffusivity \[m2/s\].
    pub const fn diffusivity(&self) -> Diffusivity {
        self.diffusivity
    }

    /// Relaxation time \[s\].
    pub const fn relaxation_time(&self) -> Time {
        self.relaxation_time
    }

    /// Settling velocity under standard gravity \[m/s\].
    pub fn settling_velocity(&self) -> Velocity {
        Velocity::from_m_per_s(self.relaxation_time.to_s() * STANDARD_GRAVITY)
    }
}

/// Aerodynamic diameter \[m\] of a sphere of a mobility diameter and density.
///
/// ```text
/// d_a^2 Cc(d_a) rho_0 = d^2 Cc(d) rho,   rho_0 = 1000 kg/m3
/// ```
/// Leaves out the shape factor of particles that are not spheres.
pub fn aerodynamic_diameter(air: &Air, mobility_diameter: Length, density: Density) -> Length {
    equal_settling(air, mobility_diameter, density.to_kg_per_m3(), UNIT_DENSITY)
}

/// Mobility diameter \[m\] of a sphere of an aerodynamic diameter and density; the inverse of
/// [`aerodynamic_diameter`].
pub fn mobility_diameter(air: &Air, aerodynamic_diameter: Length, density: Density) -> Length {
    equal_settling(air, aerodynamic_diameter, UNIT_DENSITY, density.to_kg_per_m3())
}

/// The diameter at `to_density` that settles like `diameter` at `from_density`, by Newton's method on ln d.
fn equal_settling(air: &Air, diameter: Length, from_density: f64, to_density: f64) -> Length {
    let settling = |d: f64| 2.0 * d.ln() + slip_correction(air, Length::from_m(d)).ln();
    let target = settling(diameter.to_m()) + (from_density / to_density).ln();
    let mut log_d = diameter.to_m().ln() + 0.5 * (from_density / to_density).ln();
    for _ in 0..60 {
        let step = 1e-6;
        let here = settling(log_d.exp());
        let slope = (settling((log_d + step).exp()) - here) / step;
        let change = (target - here) / slope;
        log_d += change;
        if change.abs() < 1e-14 {
            break;
        }
    }
    Length::from_m(log_d.exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diameters_go_there_and_back() {
        let air = Air::reference();
        for um in [0.01, 0.1, 1.0, 10.0] {
            for density in [800.0, 1000.0, 2165.0] {
                let rho = Density::from_kg_per_m3(density);
                let there = aerodynamic_diameter(&air, Length::from_um(um), rho);
                let back = mobility_diameter(&air, there, rho);
                assert!((back.to_um() / um - 1.0).abs() < 1e-9, "{um} um at {density}: {back:?}");
            }
        }
    }

    #[test]
    fn salt_of_238_nm_is_384_nm_aerodynamic() {
        // By hand: Cc(0.238) = 1.7057, Cc(0.3841) = 1.4182; 0.238^2 x 1.7057 x 2.165 = 0.3841^2 x 1.4182.
        // Slip sets fitted with 66 nm give 0.386.
        let air = Air::reference();
        let d = aerodynamic_diameter(&air, Length::from_um(0.238), Density::from_kg_per_m3(2165.0));
        assert!((d.to_um() - 0.3841).abs() < 1e-4, "{d:?}");
    }
}
