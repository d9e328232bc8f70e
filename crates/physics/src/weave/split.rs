//! How the air divides between pores and yarns at their common pressure drop.

use moteweir_units::{Length, Velocity};

use super::fabric::Fabric;
use super::pores::PoreDrag;
use super::yarns;
use crate::air::Air;

/// The air's two ways through a cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// Common pressure drop \[Pa\].
    pub pressure_drop_pa: f64,
    /// Share of the flow that goes through the pores, 0 to 1.
    pub pore_share_of_flow: f64,
    /// Mean velocity in the narrowest part of the pores; 0 where there are none.
    pub pore_velocity: Velocity,
    /// Velocity over the area that yarns cover.
    pub yarn_velocity: Velocity,
}

impl Split {
    /// The split at a face velocity U0, which must be positive.
    ///
    /// ```text
    /// phi V + g (b V + a V^2) = U0,   dp = b V + a V^2
    /// ```
    /// phi open area, g the yarns' conductance over the sheet, b and a of [`PoreDrag`]: a quadratic in the pore
    /// velocity V with one positive root, so nothing is iterated.
    pub fn new(fabric: &Fabric, fibre_diameter: Length, air: &Air, face_velocity: Velocity) -> Self {
        let u0 = face_velocity.to_m_per_s();
        let open = fabric.open_area();
        let yarns = yarns::conductance(fabric, fibre_diameter, air);
        let g = yarns * (1.0 - open);
        let (pressure_drop, v) = match fabric.pores {
            Some(pores) if open > 0.0 => {
                let drag = PoreDrag::new(&pores, fabric, air);
                let linear = open + g * drag.viscous;
                let v = 2.0 * u0 / (linear + (linear * linear + 4.0 * g * drag.inertial * u0).sqrt());
                (drag.pressure_drop(v), v)
            }
            _ => (u0 / g, 0.0),
        };
        Self {
            pressure_drop_pa: pressure_drop,
            pore_share_of_flow: (open * v / u0).min(1.0),
            pore_velocity: Velocity::from_m_per_s(v),
            yarn_velocity: Velocity::from_m_per_s(yarns * pressure_drop),
        }
    }
}

/// Face velocity at a pressure drop \[m/s\]: both ways added.
pub(super) fn flow_at(fabric: &Fabric, fibre_diameter: Length, air: &Air, pressure_drop: f64) -> f64 {
    let open = fabric.open_area();
    let yarns = yarns::conductance(fabric, fibre_diameter, air) * (1.0 - open) * pressure_drop;
    let pores =
        fabric.pores.map_or(0.0, |pores| open * PoreDrag::new(&pores, fabric, air).velocity(pressure_drop));
    yarns + if pores.is_finite() { pores } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weave::tests::{worked_air, worked_fabric};

    #[test]
    fn the_worked_example_splits_two_to_one_without_inertia() {
        // Conductances 1.07e-4 and 2.10e-4 m/(s Pa): the pores carry 66 %. Slow air has no inertia to speak of.
        let (fabric, fibre) = (worked_fabric(), Length::from_um(12.0));
        let split = Split::new(&fabric, fibre, &worked_air(), Velocity::from_m_per_s(1e-5));
        assert!((split.pore_share_of_flow - 0.66).abs() < 5e-3, "{split:?}");
        assert!((split.pressure_drop_pa * 1e5 - 1.0 / (1.07e-4 + 2.10e-4)).abs() < 15.0);
    }

    #[test]
    fn the_flow_of_both_ways_is_the_flow() {
        let (air, fibre) = (worked_air(), Length::from_um(12.0));
        for u in [1e-4, 0.02, 0.1, 1.0, 10.0] {
            let fabric = worked_fabric();
            let open = fabric.open_area();
            let split = Split::new(&fabric, fibre, &air, Velocity::from_m_per_s(u));
            let sum =
                open * split.pore_velocity.to_m_per_s() + (1.0 - open) * split.yarn_velocity.to_m_per_s();
            assert!((sum / u - 1.0).abs() < 1e-12, "at {u} m/s: {sum}");
            assert!((flow_at(&fabric, fibre, &air, split.pressure_drop_pa) / u - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn pressure_drop_grows_faster_than_velocity() {
        let (air, fibre, fabric) = (worked_air(), Length::from_um(12.0), worked_fabric());
        let at = |u| Split::new(&fabric, fibre, &air, Velocity::from_m_per_s(u));
        assert!(at(0.2).pressure_drop_pa > 2.0 * at(0.1).pressure_drop_pa);
        // The pores' share falls: the yarns' drag stays proportional to the velocity.
        assert!(at(0.2).pore_share_of_flow < at(0.1).pore_share_of_flow);
    }

    #[test]
    fn without_pores_the_yarns_carry_all() {
        let fabric = Fabric { pores: None, ..worked_fabric() };
        let split = Split::new(&fabric, Length::from_um(12.0), &worked_air(), Velocity::from_m_per_s(0.1));
        assert!(split.pore_share_of_flow.abs() < f64::MIN_POSITIVE);
        assert!((split.yarn_velocity.to_m_per_s() / 0.1 - 1.0).abs() < 1e-12);
    }
}
