//! Pores of the width that a measured flow asks for.

use std::f64::consts::PI;

use moteweir_units::Length;

use super::error::WeaveError;
use super::fabric::{Fabric, Pores};
use super::split::flow_at;
use crate::air::Air;
use crate::drag::FlowReading;

/// Largest open area that a fit tries.
const MOST_OPEN: f64 = 0.9;
/// Halvings of the pore's diameter: past the last digit of a double.
const HALVINGS: u32 = 60;

/// The cloth with its pores, or where there is no room for them its yarns, fitted to a reading.
pub(super) fn to_reading(
    fabric: &Fabric,
    fibre_diameter: Length,
    reading: FlowReading,
    air: &Air,
) -> Result<Fabric, WeaveError> {
    let dp = reading.pressure_drop.to_pa();
    let target = reading.face_velocity.to_m_per_s();
    WeaveError::unless_positive("pressure drop of a reading", dp)?;
    WeaveError::unless_positive("face velocity of a reading", target)?;
    let closed = Fabric { pores: None, ..*fabric };
    let by_yarns = flow_at(&closed, fibre_diameter, air, dp);
    let Some(pores) = fabric.pores.filter(|_| by_yarns < target) else {
        let yarn_drag_factor = fabric.yarn_drag_factor * by_yarns / target;
        return Ok(Fabric { yarn_drag_factor, ..closed });
    };
    let with = |diameter: f64| {
        let pores = Pores { diameter: Length::from_m(diameter), ..pores };
        Fabric { pores: Some(pores), ..*fabric }
    };
    let passes = |diameter: f64| flow_at(&with(diameter), fibre_diameter, air, dp) >= target;
    let (mut low, mut high) = (0.0, (4.0 * MOST_OPEN / (PI * pores.per_area)).sqrt());
    if !passes(high) {
        return Err(WeaveError::ReadingTooOpen {
            face_velocity: reading.face_velocity,
            pressure_drop_pa: dp,
            most_open: MOST_OPEN,
        });
    }
    // The flow has the target between closed and wide open, so halving finds a width that has it.
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if passes(middle) { high = middle } else { low = middle }
    }
    Ok(with(high))
}
