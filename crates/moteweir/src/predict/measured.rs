//! What laboratories measured beside the model of the same specimen.

use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::range::Remarks;
use moteweir_units::{SurfaceCharge, Velocity};
use rayon::prelude::*;

use super::at_velocity::ModelAtVelocity;
use super::ends::Ends;
use super::stack_model::{StackModel, Surroundings};
use super::{MediumFault, counted};
use crate::bench::treatment::Treatment;
use crate::case::{Case, Known, Material, Measured, MeasuredFlow, MeasuredPenetration, Origin, Structure};
use crate::doubt::Doubt;
use crate::report::{Agreement, ComparedPenetration, ComparedPressureDrop, MeasuredReport, ModelCurve};

/// A measurement lies in a band where this many standard uncertainties either way reach it.
const COVERAGE: f64 = 2.0;
/// The most face velocities that the model is drawn for.
const MOST_CURVES: usize = 6;

/// What one laboratory measured, and the model of it.
#[derive(Debug)]
pub(super) struct MeasuredModel<'a> {
    measured: &'a Measured,
    model: StackModel<'a>,
    /// Face velocities of penetrations, rising, each once.
    velocities: Vec<Velocity>,
}

/// The models of everything that was measured.
///
/// # Errors
/// Every material that physics cannot make a layer of.
pub(super) fn models<'a>(
    case: &'a Case,
    surroundings: &'a Surroundings,
) -> Result<Vec<MeasuredModel<'a>>, Vec<MediumFault>> {
    let model = |measured: &'a Measured| {
        let sheets = case.sheets_of(measured.specimen, measured.layers);
        let layers = counted(case, &sheets);
        let model = if Treatment::of(&measured.treatment) == Treatment::Discharged {
            let bare: Vec<(Material, u32)> =
                layers.iter().map(|(m, times)| (discharged(m), *times)).collect();
            let bare: Vec<(&Material, u32)> = bare.iter().map(|(m, times)| (m, *times)).collect();
            StackModel::new(&bare, surroundings)?
        } else {
            StackModel::new(&layers, surroundings)?
        };
        Ok(MeasuredModel { measured, model, velocities: velocities(measured) })
    };
    case.measured.iter().map(model).collect()
}

/// A material without its charge.
fn discharged(material: &Material) -> Material {
    let mut material = material.clone();
    if let Structure::Web(web) = &mut material.structure {
        web.surface_charge =
            Known { value: SurfaceCharge::from_si(0.0), doubt: Doubt::None, origin: Origin::Given };
    }
    material
}

impl MeasuredModel<'_> {
    /// Notes where the model leaves the ranges of its relations at the slowest and the fastest velocity measured.
    pub(super) fn check(&self, remarks: &mut Remarks) {
        for &velocity in self.velocities.first().iter().chain(&self.velocities.last()) {
            self.model.check(*velocity, remarks);
        }
    }
}

/// Everything that was measured beside its model.
pub(super) fn compare(
    case: &Case,
    models: &[MeasuredModel<'_>],
    surroundings: &Surroundings,
) -> Vec<MeasuredReport> {
    models.iter().map(|model| beside(case, model, surroundings)).collect()
}

fn beside(case: &Case, compared: &MeasuredModel<'_>, surroundings: &Surroundings) -> MeasuredReport {
    let MeasuredModel { measured, model, velocities } = compared;
    let by_velocity: Vec<Vec<ComparedPenetration>> = velocities
        .par_iter()
        .map(|&velocity| {
            let at = model.at(velocity);
            let mut points: Vec<_> = measured
                .penetrations
                .iter()
                .filter(|point| point.face_velocity == velocity)
                .map(|point| penetration(point, &at))
                .collect();
            points.sort_by(|a, b| a.diameter_m.total_cmp(&b.diameter_m));
            points
        })
        .collect();
    let mut pressure_drops: Vec<_> = measured.flows.iter().map(|flow| pressure_drop(flow, model)).collect();
    pressure_drops.sort_by(|a, b| a.face_velocity_m_per_s.total_cmp(&b.face_velocity_m_per_s));
    let curves = drawn(&by_velocity).par_iter().map(|&n| curve(velocities[n], model, surroundings)).collect();
    let penetrations: Vec<_> = by_velocity.into_iter().flatten().collect();
    let agreement = agreement(&penetrations, &pressure_drops);
    MeasuredReport {
        file: measured.file.clone(),
        specimen: case.specimen_name(measured.specimen).to_owned(),
        layers: measured.layers,
        side: measured.side.clone(),
        treatment: measured.treatment.clone(),
        aerosol: measured.aerosol.clone(),
        closure: case.model.closure.name(),
        diameter: (!penetrations.is_empty()).then(|| measured.diameter.name()),
        assumed: if penetrations.is_empty() { Vec::new() } else { assumed(case, measured) }
            .into_iter()
            .chain(of_treatment(measured))
            .collect(),
        source: measured.source.clone(),
        date: measured.date.clone(),
        instrument: measured.instrument.clone(),
        conditioning: measured.conditioning.clone(),
        penetrations,
        pressure_drops,
        curves,
        agreement,
    }
}

/// The face velocities of penetrations, rising, each once.
fn velocities(measured: &Measured) -> Vec<Velocity> {
    let mut velocities: Vec<Velocity> =
        measured.penetrations.iter().map(|point| point.face_velocity).collect();
    velocities.sort_by(|a, b| a.to_m_per_s().total_cmp(&b.to_m_per_s()));
    velocities.dedup();
    velocities
}

/// Positions of the velocities with most points, in their order.
fn drawn(by_velocity: &[Vec<ComparedPenetration>]) -> Vec<usize> {
    let mut positions: Vec<usize> = (0..by_velocity.len()).collect();
    positions.sort_by_key(|&n| std::cmp::Reverse(by_velocity[n].len()));
    positions.truncate(MOST_CURVES);
    positions.sort_unstable();
    positions
}

fn penetration(point: &MeasuredPenetration, at: &ModelAtVelocity<'_>) -> ComparedPenetration {
    let ends = at.ends(point.diameter);
    let (residual_ln, is_hit) = if point.is_limit {
        beside_limit(point.penetration, &ends)
    } else {
        judged(point.penetration, point.uncertainty_of_ln_p().unwrap_or(0.0), &ends)
    };
    ComparedPenetration {
        line: point.line,
        diameter_m: point.diameter.to_m(),
        stated_diameter_m: point.stated_diameter.to_m(),
        face_velocity_m_per_s: point.face_velocity.to_m_per_s(),
        measured: point.penetration,
        is_limit: point.is_limit,
        standard_uncertainty: point.standard_uncertainty,
        model: ends.value,
        model_low: ends.both.0,
        model_high: ends.both.1,
        residual_ln,
        is_hit,
    }
}

fn pressure_drop(flow: &MeasuredFlow, model: &StackModel<'_>) -> ComparedPressureDrop {
    let ends = model.at(flow.face_velocity).pressure_drop();
    let (residual_ln, is_hit) =
        judged(flow.pressure_drop.to_pa(), flow.relative_uncertainty.unwrap_or(0.0), &ends);
    ComparedPressureDrop {
        line: flow.line,
        face_velocity_m_per_s: flow.face_velocity.to_m_per_s(),
        measured_pa: flow.pressure_drop.to_pa(),
        relative_uncertainty: flow.relative_uncertainty,
        model_pa: ends.value,
        model_low_pa: ends.both.0,
        model_high_pa: ends.both.1,
        residual_ln,
        is_hit,
    }
}

/// ln of measured over model, and whether the measured value with its uncertainty reaches the model's band.
fn judged(measured: f64, uncertainty_of_ln: f64, model: &Ends) -> (f64, bool) {
    // A model that lets nothing through at all is a residual without end; a number that is not finite is no JSON.
    let ln = |value: f64| value.max(f64::MIN_POSITIVE).ln();
    let reach = COVERAGE * uncertainty_of_ln;
    let is_hit = ln(measured) + reach >= ln(model.both.0) && ln(measured) - reach <= ln(model.both.1);
    (ln(measured) - ln(model.value), is_hit)
}

/// ln of a limit over a model that exceeds it, 0 for one that does not, and whether the model's band reaches below it.
fn beside_limit(limit: f64, model: &Ends) -> (f64, bool) {
    ((limit / model.value.max(f64::MIN_POSITIVE)).ln().min(0.0), model.both.0 <= limit)
}

fn curve(velocity: Velocity, model: &StackModel<'_>, surroundings: &Surroundings) -> ModelCurve {
    let ends = model.at(velocity).curve().sizes;
    ModelCurve {
        face_velocity_m_per_s: velocity.to_m_per_s(),
        diameter_m: surroundings.sizes().iter().map(|d| d.to_m()).collect(),
        penetration: ends.iter().map(|e| e.value).collect(),
        penetration_low: ends.iter().map(|e| e.both.0).collect(),
        penetration_high: ends.iter().map(|e| e.both.1).collect(),
    }
}

/// -ln P, kept off 0, where nothing is caught and a ratio means nothing.
fn exponent(penetration: f64) -> f64 {
    -penetration.clamp(f64::MIN_POSITIVE, 1.0 - 1e-12).ln()
}

/// The middle one; of an even number the mean of the two in the middle, of none none.
fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    let upper = *values.get(half)?;
    Some(if values.len() % 2 == 1 { upper } else { 0.5 * (values[half - 1] + upper) })
}

fn agreement(penetrations: &[ComparedPenetration], drops: &[ComparedPressureDrop]) -> Agreement {
    let judged: Vec<(f64, bool)> = if penetrations.is_empty() {
        drops.iter().map(|drop| (drop.residual_ln, drop.is_hit)).collect()
    } else {
        penetrations.iter().map(|point| (point.residual_ln, point.is_hit)).collect()
    };
    // A limit that the model stays below tells no residual.
    let telling = || penetrations.iter().filter(|point| !point.is_limit || point.model > point.measured);
    let (ratios, residuals): (Vec<f64>, Vec<f64>) = if penetrations.is_empty() {
        drops.iter().map(|drop| (drop.model_pa / drop.measured_pa, drop.residual_ln)).unzip()
    } else {
        let ratio = |point: &ComparedPenetration| exponent(point.model) / exponent(point.measured);
        telling().map(|point| (ratio(point), point.residual_ln)).unzip()
    };
    let count = residuals.len().max(1) as f64;
    let hits = judged.iter().filter(|(_, is_hit)| *is_hit).count();
    let sum: f64 = residuals.iter().sum();
    let squares: f64 = residuals.iter().map(|residual| residual * residual).sum();
    let largest = judged.iter().enumerate().max_by(|(_, a), (_, b)| a.0.abs().total_cmp(&b.0.abs()));
    Agreement {
        hits,
        misses: judged.len() - hits,
        median_ratio: median(ratios),
        mean_residual_ln: sum / count,
        root_mean_square_residual_ln: (squares / count).sqrt(),
        worst: largest.map_or(0, |(position, _)| position),
    }
}

/// What the comparison takes for granted about the particles.
fn assumed(case: &Case, measured: &Measured) -> Vec<String> {
    use moteweir_physics::aerosol::DiameterKind as D;
    let density = case.particles.density.to_kg_per_m3();
    let sizes = match measured.diameter {
        D::Mobility => "Sizes are mobility diameters, the model's own.".to_owned(),
        D::Aerodynamic => format!(
            "Aerodynamic diameters are made mobility diameters of spheres of {density:.0} kg/m3, the density in \
             [particles]."
        ),
        D::Optical => {
            "Optical diameters are taken as mobility diameters; they are those of the spheres that the counter was \
             calibrated with."
                .to_owned()
        }
    };
    let charge = match case.particles.charge {
        ParticleCharge::Neutral => "uncharged".to_owned(),
        ParticleCharge::Equilibrium => "at charge equilibrium".to_owned(),
        ParticleCharge::Each(charges) => format!("of {charges} elementary charges each"),
    };
    let mut assumed =
        vec![sizes, format!("The model's particles are those of [particles]: {density:.0} kg/m3, {charge}.")];
    if let Some(name) = measured.aerosol.as_ref().filter(|name| has_aerosol(case, name))
        && measured.penetrations.iter().any(|point| point.channel.is_some())
    {
        assumed.push(format!("A channel stands for the mean size of \"{name}\" in it."));
    }
    assumed
}

fn has_aerosol(case: &Case, name: &str) -> bool {
    case.aerosols.iter().any(|aerosol| aerosol.name == name)
}

/// What the comparison makes of what was done to the specimen.
fn of_treatment(measured: &Measured) -> Option<String> {
    match Treatment::of(&measured.treatment) {
        Treatment::AsReceived => None,
        Treatment::Discharged => Some("The model is without the charge of its fibres.".to_owned()),
        Treatment::Unknown => Some(format!(
            "The model is of the material as received: what \"{}\" did to it is not in it.",
            measured.treatment
        )),
    }
}
