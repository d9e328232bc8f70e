//! The design review: one to eight layers of each material, and each stack over a range of velocities.

use moteweir_physics::breathability::quality_factor;
use moteweir_units::{Length, Pressure, Velocity};
use rayon::prelude::*;

use super::stack_model::{StackModel, Surroundings, log_spaced};
use super::{MediumFault, models, predict};
use crate::case::{Case, Material};
use crate::report::{LayerStep, LayerSweep, REVIEW_FORMAT, Review, VelocityPoint, VelocitySweep};

/// The most layers that a sweep goes to.
pub const LARGEST_STACK: u32 = 8;
/// Slowest face velocity of a sweep, below a resting breath through a large filter.
const SLOWEST: Velocity = Velocity::from_cm_per_s(0.5);
/// Fastest face velocity of a sweep, that of air handling.
const FASTEST: Velocity = Velocity::from_cm_per_s(100.0);
/// Sizes among which a sweep of layers looks for the worst of each model and variant.
const SWEPT_SIZES: usize = 61;
/// Velocities in a sweep.
const VELOCITIES: usize = 24;

/// Predicts a case and everything else that a design review shows.
///
/// # Errors
/// As [`predict`].
pub fn review(case: &Case) -> Result<Review, Vec<MediumFault>> {
    let prediction = predict(case)?;
    let surroundings = Surroundings::of(case);
    let coarse = Surroundings::of_case(case, SWEPT_SIZES);
    let stacks = models(case, &surroundings)?;
    let layers = case
        .materials
        .par_iter()
        .map(|material| layer_sweep(material, case, &coarse))
        .collect::<Result<Vec<_>, _>>()?;
    let velocities = case
        .stacks
        .par_iter()
        .zip(&stacks)
        .map(|(stack, model)| VelocitySweep { stack: stack.name.clone(), points: velocity_sweep(model) })
        .collect();
    Ok(Review { format: REVIEW_FORMAT, prediction, layers, velocities })
}

fn layer_sweep(
    material: &Material,
    case: &Case,
    surroundings: &Surroundings,
) -> Result<LayerSweep, Vec<MediumFault>> {
    let velocity = case.usage.flow / case.usage.area;
    let step = |layers: u32| -> Result<LayerStep, Vec<MediumFault>> {
        let at = StackModel::new(&[(material, layers)], surroundings)?.at(velocity);
        let (worst, ends) = at.worst();
        let pressure = at.pressure_drop();
        let dp = Pressure::from_pa(pressure.value);
        Ok(LayerStep {
            layers,
            penetration_300_nm: at.penetration(Length::from_um(0.3)),
            penetration_1_um: at.penetration(Length::from_um(1.0)),
            mpps_m: worst.diameter.to_m(),
            mpps_penetration: worst.penetration,
            mpps_penetration_low: ends.both.0,
            mpps_penetration_high: ends.both.1,
            pressure_drop_pa: pressure.value,
            pressure_drop_low_pa: pressure.both.0,
            pressure_drop_high_pa: pressure.both.1,
            resistance_pa_s_per_m: (dp / velocity).to_pa_s_per_m(),
            mpps_quality_factor_per_pa: quality_factor(worst.penetration, dp),
        })
    };
    Ok(LayerSweep {
        material: material.name.clone(),
        face_velocity_m_per_s: velocity.to_m_per_s(),
        steps: (1..=LARGEST_STACK).map(step).collect::<Result<_, _>>()?,
    })
}

fn velocity_sweep(model: &StackModel<'_>) -> Vec<VelocityPoint> {
    log_spaced(SLOWEST.to_m_per_s(), FASTEST.to_m_per_s(), VELOCITIES)
        .into_par_iter()
        .map(|face_velocity_m_per_s| {
            let at = model.at(Velocity::from_m_per_s(face_velocity_m_per_s));
            let worst = at.worst_size();
            let pressure = at.pressure_drop();
            VelocityPoint {
                face_velocity_m_per_s,
                pressure_drop_pa: pressure.value,
                pressure_drop_low_pa: pressure.models.0,
                pressure_drop_high_pa: pressure.models.1,
                mpps_m: worst.diameter.to_m(),
                mpps_penetration: worst.penetration,
                mpps_at: worst.place.name(),
            }
        })
        .collect()
}
