//! From a checked case to its prediction.

mod at_velocity;
mod ends;
mod measured;
mod medium;
mod peak;
mod sources;
mod stack_model;
mod sweep;

use moteweir_physics::breathability::{Breathability, quality_factor};
use moteweir_physics::layer::PreparedLayer;
use moteweir_physics::particle::Particle;
use moteweir_physics::range::Remarks;
use moteweir_units::{Length, Pressure, Velocity};
use rayon::prelude::*;

pub use ends::Ends;
pub use medium::{Medium, MediumFault, medium};
pub use sweep::{LARGEST_STACK, review};

use crate::case::{Case, FibreFacts, Material, Stack, Structure};
use crate::report::{
    self, AirReport, Average, Breathing, Curve, Groups, LayerReport, Prediction, SingleFibreCurves,
    StackReport, WarningReport,
};
use at_velocity::ModelAtVelocity;
use measured::MeasuredModel;
pub(crate) use peak::peak;
use stack_model::StackModel;
pub(crate) use stack_model::{Surroundings, log_spaced};

/// Single sizes that every prediction states.
const STATED_SIZES_UM: [f64; 2] = [0.3, 1.0];
/// Sizes of a curve at most this far apart in the logarithm are close enough for a cubic between them.
const CLOSE_SIZES: f64 = 0.08;
/// The charge a single-fibre curve is drawn for where particles carry a distribution of charges.
const DRAWN_CHARGE: i32 = 1;

/// Predicts a case: every stack at every face velocity.
///
/// The result does not depend on the number of threads.
///
/// # Errors
/// Every material that physics cannot make a layer of.
pub fn predict(case: &Case) -> Result<Prediction, Vec<MediumFault>> {
    let surroundings = Surroundings::of(case);
    let models = models(case, &surroundings)?;
    let measured = measured::models(case, &surroundings)?;
    let stack_reports = || -> Vec<StackReport> {
        case.stacks
            .par_iter()
            .zip(&models)
            .map(|(stack, model)| stack_report(case, stack, model, &surroundings))
            .collect()
    };
    let (stacks, warnings) = rayon::join(stack_reports, || warnings(case, &models, &measured));
    Ok(Prediction {
        format: crate::report::PREDICTION_FORMAT,
        title: case.title.clone(),
        air: air_report(&surroundings),
        stacks,
        measured: measured::compare(case, &measured, &surroundings),
        warnings,
        // What differs from piece to piece is no part of a prediction.
        assumed: report::assumed(case).into_iter().filter(|a| !a.key.starts_with("varies.")).collect(),
        sources: sources::of(case),
    })
}

/// Tries to make a layer of every material, used in a stack or not.
///
/// # Errors
/// Every material that physics cannot make a layer of.
pub fn check_media(case: &Case) -> Result<(), Vec<MediumFault>> {
    let surroundings = Surroundings::of(case);
    let faults: Vec<MediumFault> =
        case.materials.iter().filter_map(|m| surroundings.medium(m).err()).collect();
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

fn models<'a>(case: &Case, surroundings: &'a Surroundings) -> Result<Vec<StackModel<'a>>, Vec<MediumFault>> {
    check_media(case)?;
    let model = |stack: &Stack| StackModel::new(&counted(case, &stack.layers), surroundings);
    case.stacks.iter().map(model).collect()
}

/// The materials of sheets by their positions, each with how many sheets.
fn counted<'a>(case: &'a Case, sheets: &[usize]) -> Vec<(&'a Material, u32)> {
    let mut counted: Vec<(usize, u32)> = Vec::new();
    for &index in sheets {
        match counted.iter_mut().find(|(known, _)| *known == index) {
            Some((_, times)) => *times += 1,
            None => counted.push((index, 1)),
        }
    }
    counted.into_iter().map(|(index, times)| (&case.materials[index], times)).collect()
}

fn stack_report(
    case: &Case,
    stack: &Stack,
    model: &StackModel<'_>,
    surroundings: &Surroundings,
) -> StackReport {
    let materials: Vec<&Material> = counted(case, &stack.layers).into_iter().map(|(m, _)| m).collect();
    let mut curves: Vec<Curve> = case
        .usage
        .face_velocities
        .par_iter()
        .map(|v| {
            let at = model.at(v.velocity);
            let mut curve = curve(&at, surroundings, &materials);
            curve.face_velocity_m_per_s = v.velocity.to_m_per_s();
            curve.label.clone_from(&v.label);
            curve.averages = averages(case, &at, surroundings, &curve);
            curve
        })
        .collect();
    curves.sort_by(|a, b| a.face_velocity_m_per_s.total_cmp(&b.face_velocity_m_per_s));
    StackReport {
        name: stack.name.clone(),
        closure: case.model.closure.name(),
        layers: stack.layers.iter().map(|&i| layer_report(&case.materials[i], surroundings)).collect(),
        breathing: breathing(case, model),
        curves,
    }
}

fn curve(at: &ModelAtVelocity<'_>, surroundings: &Surroundings, materials: &[&Material]) -> Curve {
    let sizes = surroundings.sizes();
    let at_velocity::CurveEnds { sizes: ends, worst, at_worst: there, doubts } = at.curve();
    let pressure = at.pressure_drop();
    let dp = Pressure::from_pa(pressure.value);
    Curve {
        face_velocity_m_per_s: f64::NAN,
        label: String::new(),
        pressure_drop_pa: pressure.value,
        pressure_drop_low_pa: pressure.models.0,
        pressure_drop_high_pa: pressure.models.1,
        diameter_m: sizes.iter().map(|d| d.to_m()).collect(),
        penetration: ends.iter().map(|e| e.value).collect(),
        penetration_low: ends.iter().map(|e| e.models.0).collect(),
        penetration_high: ends.iter().map(|e| e.models.1).collect(),
        penetration_input_low: ends.iter().map(|e| e.inputs.0).collect(),
        penetration_input_high: ends.iter().map(|e| e.inputs.1).collect(),
        quality_factor_per_pa: ends.iter().map(|e| quality_factor(e.value, dp)).collect(),
        mpps_m: worst.diameter.to_m(),
        mpps_penetration: worst.penetration,
        mpps_penetration_low: there.both.0,
        mpps_penetration_high: there.both.1,
        mpps_at: worst.place.name(),
        mpps_flat_from_m: worst.flat_from.to_m(),
        mpps_flat_to_m: worst.flat_to.to_m(),
        other_maxima_m: worst.rivals.iter().map(|(d, _)| d.to_m()).collect(),
        mpps_doubts: doubts,
        mpps_groups: groups(at, surroundings, materials, worst.diameter),
        averages: Vec::new(),
        single_fibre: single_fibre(at, surroundings, materials),
    }
}

/// The prepared layers in the order of the distinct materials of the stack.
fn named_layers<'a>(
    at: &'a ModelAtVelocity<'_>,
    materials: &'a [&Material],
) -> impl Iterator<Item = (&'a str, &'a PreparedLayer)> {
    materials.iter().map(|m| m.name.as_str()).zip(at.layers.iter().map(|(layer, _)| layer))
}

fn groups(
    at: &ModelAtVelocity<'_>,
    surroundings: &Surroundings,
    materials: &[&Material],
    size: Length,
) -> Vec<Groups> {
    let particle = Particle::new(&surroundings.air, size, surroundings.kind.density);
    named_layers(at, materials)
        .map(|(material, layer)| {
            let g = layer.groups(&particle);
            Groups {
                material: material.to_owned(),
                peclet: g.peclet,
                stokes: g.stokes,
                interception: g.interception,
                fibre_knudsen: g.fibre_knudsen,
                fibre_reynolds: g.fibre_reynolds,
            }
        })
        .collect()
}

fn single_fibre(
    at: &ModelAtVelocity<'_>,
    surroundings: &Surroundings,
    materials: &[&Material],
) -> Vec<SingleFibreCurves> {
    let charge = match surroundings.kind.charge {
        moteweir_physics::charging::ParticleCharge::Neutral => 0,
        moteweir_physics::charging::ParticleCharge::Equilibrium => DRAWN_CHARGE,
        moteweir_physics::charging::ParticleCharge::Each(n) => n,
    };
    let particles: Vec<Particle> = surroundings
        .sizes()
        .iter()
        .map(|&d| Particle::new(&surroundings.air, d, surroundings.kind.density))
        .collect();
    named_layers(at, materials)
        .map(|(material, layer)| {
            let fibre: Vec<_> = particles.iter().map(|p| layer.single_fibre(p, charge)).collect();
            SingleFibreCurves {
                material: material.to_owned(),
                charges_e: charge,
                diffusion: fibre.iter().map(|f| f.diffusion).collect(),
                interception: fibre.iter().map(|f| f.interception).collect(),
                diffusion_interception: fibre.iter().map(|f| f.cross).collect(),
                impaction: fibre.iter().map(|f| f.impaction).collect(),
                gravity: fibre.iter().map(|f| f.gravity).collect(),
                electrostatic: fibre.iter().map(|f| f.electrostatic).collect(),
                total: fibre.iter().map(|f| f.total.value).collect(),
            }
        })
        .collect()
}

/// Penetration at the stated sizes, against each aerosol and in each channel.
fn averages(
    case: &Case,
    at: &ModelAtVelocity<'_>,
    surroundings: &Surroundings,
    curve: &Curve,
) -> Vec<Average> {
    let sizes = STATED_SIZES_UM.iter().map(|&um| {
        let ends = at.ends(Length::from_um(um));
        Average {
            kind: "size",
            name: format!("at {um} um (mobility)"),
            penetration: ends.value,
            penetration_low: ends.both.0,
            penetration_high: ends.both.1,
        }
    });
    let (air, density) = (&surroundings.air, surroundings.kind.density);
    let over = |nodes: &[(Length, f64)]| -> [f64; 3] {
        nodes.iter().fold([0.0; 3], |[value, low, high], &(d, w)| {
            let p = curve.interpolated(d).unwrap_or_else(|| at.penetration(d));
            let (below, above) = curve.ends_near(d, p);
            [value + w * p, low + w * below, high + w * above]
        })
    };
    let average = |kind, name: String, nodes: &[(Length, f64)]| {
        let [penetration, penetration_low, penetration_high] = over(nodes);
        Average { kind, name, penetration, penetration_low, penetration_high }
    };
    let aerosols = case.aerosols.iter().map(|a| {
        let name =
            format!("{} (by {}, {} diameter)", a.name, a.weighted_by.name(), a.aerosol.diameter.name());
        average("aerosol", name, &a.aerosol.nodes(a.weighted_by, air, density))
    });
    let channels = case.channels.iter().map(|c| {
        let aerosol = case.channel_aerosol(c);
        average("channel", c.describe(case), &aerosol.nodes_in_channel(c.from, c.to, air, density))
    });
    sizes.chain(aerosols).chain(channels).collect()
}

fn breathing(case: &Case, model: &StackModel<'_>) -> Breathing {
    let trade = Breathability::of(|u| model.pressure_drop(u));
    let velocity: Velocity = case.usage.flow / case.usage.area;
    let pressure = model.at(velocity).pressure_drop();
    Breathing {
        flow_m3_per_s: case.usage.flow.to_m3_per_s(),
        area_m2: case.usage.area.to_m2(),
        face_velocity_m_per_s: velocity.to_m_per_s(),
        pressure_drop_pa: pressure.value,
        pressure_drop_low_pa: pressure.both.0,
        pressure_drop_high_pa: pressure.both.1,
        pressure_drop_mm_h2o: Pressure::from_pa(pressure.value).to_mm_h2o(),
        resistance_pa_s_per_m: trade.resistance.to_pa_s_per_m(),
        air_permeability_100_pa_mm_per_s: trade.permeability_100_pa.to_mm_per_s(),
        air_permeability_200_pa_mm_per_s: trade.permeability_200_pa.to_mm_per_s(),
        air_permeability_125_pa_cfm_per_ft2: trade.permeability_125_pa.to_cfm_per_ft2(),
        medical_head_pa_per_cm2: trade.medical_pa_per_cm2,
    }
}

fn layer_report(material: &Material, surroundings: &Surroundings) -> LayerReport {
    let built = surroundings.medium(material).ok().map(|m| m.layer);
    let blank = LayerReport {
        material: material.name.clone(),
        structure: material.structure.name(),
        solidity: None,
        thickness_m: None,
        basis_weight_kg_per_m2: None,
        fibre_diameter_m: None,
        fibre_diameter_is_effective: false,
        cover_factor: None,
        open_area: None,
        pore_diameter_m: None,
        hazards: material.hazards.clone(),
        note: material.note.clone(),
    };
    match (&material.structure, built) {
        (Structure::Web(facts), Some(moteweir_physics::layer::Layer::Web(web))) => LayerReport {
            solidity: Some(web.solidity.fraction()),
            thickness_m: Some(web.thickness.to_m()),
            basis_weight_kg_per_m2: Some(facts.basis_weight.value.to_kg_per_m2()),
            fibre_diameter_m: Some(web.fibres.median().to_m()),
            fibre_diameter_is_effective: matches!(facts.fibre, FibreFacts::FromReading { .. }),
            ..blank
        },
        (Structure::Weave(facts), Some(moteweir_physics::layer::Layer::Weave(weave))) => LayerReport {
            solidity: Some(weave.fabric.yarn_solidity.fraction()),
            thickness_m: Some(weave.fabric.thickness.to_m()),
            basis_weight_kg_per_m2: Some(facts.basis_weight.value.to_kg_per_m2()),
            fibre_diameter_m: Some(facts.fibre_diameter.value.to_m()),
            cover_factor: Some(1.0 - weave.fabric.open_area()),
            open_area: Some(weave.fabric.open_area()),
            pore_diameter_m: weave.fabric.pores.map(|p| p.diameter.to_m()),
            ..blank
        },
        _ => blank,
    }
}

fn air_report(surroundings: &Surroundings) -> AirReport {
    let air = &surroundings.air;
    AirReport {
        temperature_k: air.temperature().to_kelvin(),
        pressure_pa: air.pressure().to_pa(),
        viscosity_pa_s: air.viscosity().to_pa_s(),
        density_kg_per_m3: air.density().to_kg_per_m3(),
        mean_free_path_m: air.mean_free_path().to_m(),
    }
}

/// Remarks of the scenario, of the materials and of the physics, each once.
fn warnings(case: &Case, models: &[StackModel<'_>], measured: &[MeasuredModel<'_>]) -> Vec<WarningReport> {
    let mut all: Vec<WarningReport> = case
        .warnings
        .iter()
        .map(|w| WarningReport {
            kind: "scenario".to_owned(),
            text: w.file.as_ref().map_or_else(|| w.message(), |file| format!("{file}: {}", w.message())),
        })
        .collect();
    let twice = crate::vary::uneven_twice(case, false);
    all.extend(twice.map(|text| WarningReport { kind: "uneven_twice".to_owned(), text }));
    let unused = crate::vary::inhomogeneity_unused(case);
    all.extend(unused.map(|text| WarningReport { kind: "inhomogeneity_unused".to_owned(), text }));
    let mut remarks = Remarks::default();
    for model in models {
        for remark in &model.remarks {
            all.push(WarningReport { kind: "reading".to_owned(), text: remark.clone() });
        }
        for v in &case.usage.face_velocities {
            model.check(v.velocity, &mut remarks);
        }
    }
    for model in measured {
        model.check(&mut remarks);
    }
    all.extend(
        remarks.warnings().into_iter().map(|w| WarningReport { kind: w.kind.to_owned(), text: w.text }),
    );
    let mut once: Vec<WarningReport> = Vec::new();
    for warning in all {
        if !once.contains(&warning) {
            once.push(warning);
        }
    }
    once
}

impl Curve {
    /// Penetration between the sizes of the curve, by a cubic through four of them in the logarithms of size and
    /// exponent; `None` near or beyond the ends, or where the sizes lie too far apart for that.
    fn interpolated(&self, size: Length) -> Option<f64> {
        let d = size.to_m();
        let above = self.diameter_m.partition_point(|&x| x <= d);
        if above < 2 || above + 1 >= self.diameter_m.len() {
            return None;
        }
        let (d0, d1) = (self.diameter_m[above - 1], self.diameter_m[above]);
        let step = (d1 / d0).ln();
        if step > CLOSE_SIZES {
            return None;
        }
        let k = |i: usize| (-self.penetration[i].ln()).ln();
        let y = [k(above - 2), k(above - 1), k(above), k(above + 1)];
        if y.iter().any(|k| !k.is_finite()) {
            return None;
        }
        let t = (d / d0).ln() / step;
        let (s0, s1) = (0.5 * (y[2] - y[0]), 0.5 * (y[3] - y[1]));
        let rise = y[2] - y[1];
        let log_k = y[1] + t * (s0 + t * (3.0 * rise - 2.0 * s0 - s1 + t * (s0 + s1 - 2.0 * rise)));
        Some((-log_k.exp()).exp())
    }

    /// Low and high ends of a penetration between the sizes of the curve: the exponents' ratios to the headline's,
    /// interpolated; beyond the curve those of its ends. Models and inputs joined by squares.
    fn ends_near(&self, size: Length, penetration: f64) -> (f64, f64) {
        let d = size.to_m();
        let last = self.diameter_m.len() - 1;
        let above = self.diameter_m.partition_point(|&x| x <= d).clamp(1, last);
        let (d0, d1) = (self.diameter_m[above - 1], self.diameter_m[above]);
        let share = ((d / d0).ln() / (d1 / d0).ln()).clamp(0.0, 1.0);
        let at = |i: usize| {
            let ratio = |p: f64| (p.ln() / self.penetration[i].ln()).ln();
            let down = ratio(self.penetration_low[i]).hypot(ratio(self.penetration_input_low[i]));
            let up = ratio(self.penetration_high[i]).hypot(ratio(self.penetration_input_high[i]));
            (if down.is_finite() { down } else { 0.0 }, if up.is_finite() { up } else { 0.0 })
        };
        let ((down0, up0), (down1, up1)) = (at(above - 1), at(above));
        let exponent = penetration.ln();
        let down = down0 + share * (down1 - down0);
        let up = up0 + share * (up1 - up0);
        ((exponent * down.exp()).exp().min(penetration), (exponent * (-up).exp()).exp().max(penetration))
    }
}
