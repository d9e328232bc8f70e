//! From the facts of a material to a layer that the physics understands, and to the variants that its unknown
//! quantities allow.

use moteweir_physics::air::Air;
use moteweir_physics::closure::Closure;
use moteweir_physics::drag::{self, FlowReading};
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::Layer;
use moteweir_physics::polymer::Polymer;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::weave::{PoresFrom, Weave, WeaveConstruction, WeaveError};
use moteweir_physics::web::Web;
use moteweir_units::SurfaceCharge;

use crate::case::{self, FibreFacts, Input, Known, Material, Origin, Structure, Uncertain};

/// Relative permittivity of fibres whose polymer is not known.
const USUAL_FIBRE_PERMITTIVITY: f64 = 2.5;
/// Measured and predicted pressure drop further apart than this factor are worth a warning.
const READING_DISAGREES: f64 = 1.5;

/// A material that cannot be turned into a layer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MediumFault {
    /// The measured flow asks for impossible fibres.
    #[error(
        "material `{material}`: {pressure_drop_pa:.3} Pa at {face_velocity_cm_per_s:.3} cm/s asks for fibres thinner than 1 nm or thicker than 10 mm at this weight and thickness; check the reading, its unit and whether it was one sheet"
    )]
    Reading {
        /// The material.
        material: String,
        /// The reading's pressure drop.
        pressure_drop_pa: f64,
        /// The reading's face velocity.
        face_velocity_cm_per_s: f64,
    },
    /// The yarns do not make a fabric.
    #[error("material `{material}`: {source}")]
    Weave {
        /// The material.
        material: String,
        /// Why.
        source: WeaveError,
    },
}

/// A layer with what is worth saying about how it came about.
#[derive(Clone, Debug)]
pub struct Medium {
    /// The layer.
    pub layer: Layer,
    /// Where stated facts contradict one another through the physics.
    pub remark: Option<String>,
}

/// Turns a material into a layer for a closure, and for particles of a relative permittivity.
///
/// # Errors
/// Where a measured flow or a fabric's construction is physically impossible.
pub fn medium(
    material: &Material,
    closure: Closure,
    air: &Air,
    particle_permittivity: f64,
) -> Result<Medium, MediumFault> {
    let electret = |surface_charge, polymer: Option<Polymer>| Electret {
        surface_charge,
        fibre_permittivity: polymer.map_or(USUAL_FIBRE_PERMITTIVITY, Polymer::relative_permittivity),
        particle_permittivity,
    };
    match &material.structure {
        Structure::Web(facts) => {
            web_medium(material, facts, closure, air, electret(facts.surface_charge.value, facts.polymer))
        }
        Structure::Weave(facts) => {
            weave_medium(material, facts, air, electret(SurfaceCharge::from_c_per_m2(0.0), facts.polymer))
        }
    }
}

fn web_medium(
    material: &Material,
    facts: &case::Web,
    closure: Closure,
    air: &Air,
    electret: Electret,
) -> Result<Medium, MediumFault> {
    let solidity = facts.solidity.value;
    let thickness = facts.thickness.value;
    let reading =
        facts.reading.map(|r| FlowReading { pressure_drop: r.pressure_drop, face_velocity: r.face_velocity });
    // What an uneven web lets through at a pressure drop an even one of the same fibres would at this much more.
    let flat = 1.0 - facts.unevenness.value.powi(2);
    let fibres = match &facts.fibre {
        FibreFacts::Diameter { median, gsd } => FibreDiameters::lognormal(median.value, gsd.value),
        // The effective diameter is Davies inverted whatever the closure: one fibre, whichever way it is looked at.
        FibreFacts::FromReading { reading, gsd } => {
            let flow = FlowReading {
                pressure_drop: reading.pressure_drop / flat,
                face_velocity: reading.face_velocity,
            };
            drag::effective_fibre_diameter(Closure::LeeLiu, air, solidity, thickness, gsd.value, flow)
                .ok_or_else(|| MediumFault::Reading {
                    material: material.name.clone(),
                    pressure_drop_pa: reading.pressure_drop.to_pa(),
                    face_velocity_cm_per_s: flow.face_velocity.to_cm_per_s(),
                })?
        }
    };
    let web = Web {
        solidity,
        thickness,
        fibres,
        electret,
        unevenness: facts.unevenness.value,
        inhomogeneity: facts.inhomogeneity.value,
        drag_factor: None,
    };
    let predicted = |flow: FlowReading| web.pressure_drop(closure, air, flow.face_velocity).value;
    let drag_factor = reading.map(|flow| flow.pressure_drop.to_pa() / predicted(flow));
    let stated_both = matches!(facts.fibre, FibreFacts::Diameter { .. }) && facts.reading.is_some();
    let remark = (stated_both && closure == Closure::LeeLiu)
        .then(|| disagreement(&material.name, drag_factor?))
        .flatten();
    Ok(Medium { layer: Layer::Web(Web { drag_factor, ..web }), remark })
}

/// What a measured resistance says of the stated fibre diameter.
fn disagreement(material: &str, measured_over_predicted: f64) -> Option<String> {
    let off = measured_over_predicted.max(1.0 / measured_over_predicted);
    (off > READING_DISAGREES).then(|| {
        let finer = if measured_over_predicted > 1.0 { "finer" } else { "coarser" };
        format!(
            "material `{material}`: the measured resistance is {measured_over_predicted:.2} times what its fibre diameter, weight and thickness give; the fibres may be {finer} by about {:.1} times, or one of the numbers is off. The measured resistance is used for the pressure drop, the stated diameter for the capture",
            off.sqrt()
        )
    })
}

fn weave_medium(
    material: &Material,
    facts: &case::Weave,
    air: &Air,
    electret: Electret,
) -> Result<Medium, MediumFault> {
    let fault = |source| MediumFault::Weave { material: material.name.clone(), source };
    let construction = WeaveConstruction {
        class: facts.binding.weave_class(),
        warp: facts.warp.value,
        weft: facts.weft.value,
        yarn_linear_density: facts.yarn_linear_density.value,
        fibre_diameter: facts.fibre_diameter.value,
        fibre_density: facts.fibre_density.value,
        thickness: facts.thickness.as_ref().map(|t| t.value),
        yarn_width: facts.yarn_width.as_ref().map(|w| w.value),
        hairs: facts.hairs.value,
        electret,
    };
    let mut weave = Weave::from_construction(&construction).map_err(fault)?;
    // A class's width or thickness is no measurement: the flattening of the yarns is assumed all the same.
    if [&facts.yarn_width, &facts.thickness].into_iter().flatten().any(is_of_class) {
        weave.pores_from = PoresFrom::Class;
    }
    let weave = match facts.reading {
        Some(r) => weave
            .fitted_to_reading(
                FlowReading { pressure_drop: r.pressure_drop, face_velocity: r.face_velocity },
                air,
            )
            .map_err(fault)?,
        None => weave,
    };
    Ok(Medium { layer: Layer::Weave(weave), remark: None })
}

fn is_of_class<T>(known: &Known<T>) -> bool {
    matches!(known.origin, Origin::Class { .. })
}

/// A quantity of a material that is not known, with the material at both ends of it.
#[derive(Clone, Debug)]
pub(super) struct Unknown {
    /// Which.
    pub input: Input,
    /// The material with the quantity at the ends of its 95 % band; an end that geometry forbids is left out.
    pub ends: Vec<Material>,
}

/// The unknown quantities of a material, each varied alone; what follows from them follows.
pub(super) fn unknowns(material: &Material) -> Vec<Unknown> {
    let ends = |unknown: &Uncertain| {
        let (low, high) = unknown.ends();
        [low, high].into_iter().filter_map(|end| material.with_inputs(&[(unknown.input, end)])).collect()
    };
    let all = material.unknowns();
    all.iter()
        .map(|unknown| Unknown { input: unknown.input, ends: ends(unknown) })
        .filter(|unknown| !unknown.ends.is_empty())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::problem::Problems;
    use crate::shelf::Shelf;
    use moteweir_physics::range::Remarks;
    use moteweir_units::Velocity;

    /// The layer of the only material of a scenario.
    fn layer(material: &str) -> Layer {
        let text = format!("[[material]]\nname = \"it\"\n{material}\n[[stack]]\nlayers = \"it\"\n");
        let case = Case::read(&text, Shelf::built_in())
            .unwrap_or_else(|Problems(problems)| panic!("{text}: {problems:?}"));
        medium(&case.materials[0], Closure::LeeLiu, &Air::reference(), case.particles.relative_permittivity)
            .expect("it makes a layer")
            .layer
    }

    fn web(unevenness: f64) -> Web {
        let text = format!(
            "structure = \"web\"\nbasis_weight = \"25 g/m2\"\nsolidity = 0.08\npolymer = \"polypropylene\"\n\
             unevenness = {unevenness}\npressure_drop = \"40 Pa at 10 cm/s\""
        );
        match layer(&text) {
            Layer::Web(web) => web,
            Layer::Weave(weave) => panic!("{weave:?}"),
        }
    }

    #[test]
    fn the_effective_diameter_allows_for_unevenness() {
        // An uneven web lets air through its thin spots, so its fibres are finer for the same pressure drop.
        let (even, uneven) = (web(0.0), web(0.4));
        let ratio = uneven.fibres.median() / even.fibres.median();
        assert!((ratio - (1.0_f64 - 0.16).sqrt()).abs() < 0.01, "{ratio}");
        for web in [even, uneven] {
            assert!((web.drag_factor.expect("it was read") - 1.0).abs() < 1e-9, "{web:?}");
            let at = Velocity::from_cm_per_s(10.0);
            let dp = web.pressure_drop(Closure::LeeLiu, &Air::reference(), at);
            assert!((dp.value - 40.0).abs() < 1e-9 && (dp.high - dp.low).abs() < 1e-9, "{dp:?}");
        }
    }

    #[test]
    fn a_reading_is_met_whatever_the_inhomogeneity() {
        let (air, at) = (Air::reference(), Velocity::from_cm_per_s(10.0));
        let of = |inhomogeneity: f64| {
            let text = format!(
                "[[material]]\nname = \"it\"\nstructure = \"web\"\nbasis_weight = \"25 g/m2\"\nsolidity = 0.08\n\
                 polymer = \"polypropylene\"\ninhomogeneity = {inhomogeneity}\npressure_drop = \"40 Pa at 10 cm/s\"\n\
                 [[stack]]\nlayers = \"it\"\n"
            );
            let case = Case::read(&text, Shelf::built_in())
                .unwrap_or_else(|Problems(problems)| panic!("{text}: {problems:?}"));
            let medium =
                medium(&case.materials[0], Closure::KuwabaraCell, &air, 3.0).expect("it makes a layer");
            let Layer::Web(web) = medium.layer else { panic!("{medium:?}") };
            let dp = web.pressure_drop(Closure::KuwabaraCell, &air, at).value;
            assert!((dp - 40.0).abs() < 1e-9, "{dp}");
            (web.fibres.median(), web.drag_factor.expect("it was read"))
        };
        let (even, real) = (of(1.0), of(1.4));
        // One fibre, by Davies' law of real pads; the cell's drag is nearer the reading by the factor.
        assert_eq!(even.0, real.0);
        assert!((real.1 / even.1 - 1.4).abs() < 1e-12, "{real:?}, {even:?}");
    }

    #[test]
    fn particles_have_the_permittivity_that_is_stated() {
        let electret = |stated: &str| {
            let text = format!(
                "[particles]\n{stated}\n[[material]]\nname = \"it\"\nstructure = \"web\"\nbasis_weight = \"25 g/m2\"\n\
                 solidity = 0.08\npolymer = \"polypropylene\"\nfibre_diameter = \"3 um\"\n[[stack]]\nlayers = \"it\"\n"
            );
            let case = Case::read(&text, Shelf::built_in()).expect("it is sound");
            let assumed = case.assumed.iter().any(|a| a.key == "relative_permittivity");
            let of = case.particles.relative_permittivity;
            let built = medium(&case.materials[0], Closure::LeeLiu, &Air::reference(), of).expect("a layer");
            match built.layer {
                Layer::Web(web) => (web.electret.particle_permittivity, assumed),
                Layer::Weave(weave) => panic!("{weave:?}"),
            }
        };
        assert_eq!(electret("relative_permittivity = 5.9"), (5.9, false));
        assert_eq!(electret(""), (3.0, true));
    }

    #[test]
    fn pores_from_a_class_s_yarn_width_are_assumed() {
        let kinds = |material: &str| {
            let mut remarks = Remarks::default();
            let setting = moteweir_physics::layer::Setting {
                closure: Closure::LeeLiu,
                air: Air::reference(),
                direction: moteweir_physics::single_fibre::gravity::FlowDirection::Horizontal,
            };
            layer(material).check(&setting, Velocity::from_cm_per_s(5.0), &mut remarks);
            remarks.warnings().iter().any(|w| w.kind == "pores_assumed")
        };
        let class = Shelf::built_in()
            .classes()
            .iter()
            .find(|c| c.structure == crate::shelf::ClassStructure::Weave && c.value("yarn_width").is_some())
            .map(|c| c.name.clone())
            .expect("some woven class has a width");
        assert!(kinds(&format!("class = \"{class}\"")));
        let stated = "structure = \"weave\"\nwarp = \"30 /cm\"\nweft = \"28 /cm\"\nyarn_linear_density = \"20 tex\"\n\
                      fibre_diameter = \"14 um\"\npolymer = \"cotton\"\nyarn_width = \"0.27 mm\"";
        assert!(!kinds(stated));
    }
}
