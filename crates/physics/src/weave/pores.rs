//! Flow through the pores: viscous drag, and the kinetic energy that a pore's jet loses.

use std::f64::consts::PI;

use super::fabric::{Fabric, PoreShape, Pores};
use crate::air::Air;
use crate::range::Range;
use crate::refs;

/// Reynolds numbers at which the flow in a pore is laminar.
pub const PORE_REYNOLDS_RANGE: Range = Range {
    relation: "flow through pores of a weave",
    quantity: "pore Reynolds number",
    low: 0.0,
    high: 2000.0,
    source: refs::HAGENBACH_1860,
};

/// Kinetic energy that a pore loses, in rho V^2: 2.24 times the dynamic pressure.
const INERTIAL_LOSS: f64 = 1.12;

/// Pressure drop of a pore by the mean velocity V at its narrowest: `viscous V + inertial V^2` \[Pa\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoreDrag {
    /// Viscous part \[Pa s/m\].
    pub viscous: f64,
    /// Inertial part \[Pa s2/m2\].
    pub inertial: f64,
}

impl PoreDrag {
    /// The drag of a cloth's pores.
    ///
    /// ```text
    /// straight  dp/q = mu [128 L/(pi d^4) + 24/d^3] + 1.12 rho q/A^2,    A = pi d^2/4
    /// throat    dp/q = mu  128 L_eff/(pi d^4)       + 1.12 rho q/A^2,    L_eff = (5 pi/16) sqrt(d R_y)
    /// ```
    /// Poiseuille's law with the entry of [`refs::SAMPSON_1891`] and the loss of [`refs::HAGENBACH_1860`], from
    /// memory. The throat is Poiseuille's law in a channel that widens as d + z^2/R_y ([`refs::YARN_THROAT`]): it
    /// has no rim, so no entry term. Valid for creeping to laminar flow; a slit passes up to half more and a
    /// square 11 % more than round holes of its hydraulic diameter and area.
    pub fn new(pores: &Pores, fabric: &Fabric, air: &Air) -> Self {
        let d = pores.diameter.to_m();
        let mu = air.viscosity().to_pa_s();
        let viscous = match pores.shape {
            PoreShape::Straight => mu * (32.0 * fabric.thickness.to_m() / (d * d) + 6.0 * PI / d),
            PoreShape::Throat { yarn_radius } => 32.0 * mu * throat_length(d, yarn_radius.to_m()) / (d * d),
        };
        Self { viscous, inertial: INERTIAL_LOSS * air.density().to_kg_per_m3() }
    }

    /// Pressure drop at a velocity \[Pa\].
    pub fn pressure_drop(&self, velocity: f64) -> f64 {
        (self.viscous + self.inertial * velocity) * velocity
    }

    /// Velocity at a pressure drop \[m/s\].
    pub fn velocity(&self, pressure_drop: f64) -> f64 {
        let b = self.viscous;
        2.0 * pressure_drop / (b + (b * b + 4.0 * self.inertial * pressure_drop).sqrt())
    }
}

/// Length of a straight tube of the throat's narrowest width with the throat's viscous drag \[m\].
///
/// ```text
/// integral of (1 + z^2/(d R))^-4 dz = (5 pi/16) sqrt(d R)
/// ```
fn throat_length(diameter: f64, yarn_radius: f64) -> f64 {
    5.0 * PI / 16.0 * (diameter * yarn_radius).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weave::tests::{worked_air, worked_fabric};
    use moteweir_units::Length;

    #[test]
    fn a_pore_of_the_worked_example() {
        // 400 pores/cm2, d 60 um, L 300 um, mu 1.81e-5: 1.908e10 Pa s/m3 a pore, 4770 Pa/(m/s), 1.13 % open.
        let (fabric, air) = (worked_fabric(), worked_air());
        let pores = fabric.pores.expect("has pores");
        let drag = PoreDrag::new(&pores, &fabric, &air);
        let area = PI / 4.0 * 60e-6 * 60e-6;
        assert!((drag.viscous / area / 1.908e10 - 1.0).abs() < 5e-4, "{}", drag.viscous / area);
        assert!((drag.viscous / pores.open_area() / 4770.0 - 1.0).abs() < 5e-4);
        assert!((pores.open_area() - 0.0113).abs() < 5e-5);
        // All of 0.1 m/s through the pores: 477 Pa viscous at 8.84 m/s; dynamic pressure 47 Pa, Reynolds number 35.
        let v = 0.1 / pores.open_area();
        assert!((v - 8.84).abs() < 5e-3);
        assert!((drag.viscous * v - 477.0).abs() < 0.5);
        let rho = air.density().to_kg_per_m3();
        assert!((0.5 * rho * v * v - 47.0).abs() < 0.5);
        assert!((rho * v * 60e-6 / air.viscosity().to_pa_s() - 35.0).abs() < 0.5);
    }

    #[test]
    fn a_throat_is_a_short_tube() {
        // Yarns of radius 150 um, pore 60 um: 93 um, against 300 um of straight hole: 87 against 282 Pa at 5.84 m/s.
        assert!((throat_length(60e-6, 150e-6) * 1e6 - 93.0).abs() < 0.5);
        let air = worked_air();
        let fabric = worked_fabric();
        let shape = PoreShape::Throat { yarn_radius: Length::from_um(150.0) };
        let pores = Pores { shape, ..fabric.pores.expect("has pores") };
        let drag = PoreDrag::new(&pores, &fabric, &air);
        assert!((drag.viscous * 5.84 - 87.4).abs() < 0.5, "{}", drag.viscous * 5.84);
        // The length by summing the drag of thin slices of the channel d + z^2/R.
        let slices = 200_000;
        let step = 20.0 * 150e-6 / f64::from(slices);
        let summed: f64 = (0..slices)
            .map(|i| (f64::from(i) + 0.5) * step - 10.0 * 150e-6)
            .map(|z| step * (60e-6 / (60e-6 + z * z / 150e-6)).powi(4))
            .sum();
        assert!((summed / throat_length(60e-6, 150e-6) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn velocity_and_pressure_drop_invert_each_other() {
        let drag = PoreDrag { viscous: 50.0, inertial: 1.3 };
        for v in [1e-9, 0.01, 1.0, 50.0] {
            assert!((drag.velocity(drag.pressure_drop(v)) / v - 1.0).abs() < 1e-12);
        }
    }
}
