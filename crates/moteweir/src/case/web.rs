//! From statements to a web: weight, thickness, solidity and fibre from any sufficient set.

use moteweir_units::{BasisWeight, Density, Length, Solidity, SurfaceCharge};

use super::facts::{Facts, Found, significant, stated};
use super::known::{Derivation, Known};
use super::material::{FibreFacts, Web};
use crate::problem::Fault;
use crate::scenario::keys;

/// Solidities that a web of fibres can have: from a veil of nanofibres to hexagonal packing.
pub(super) const POSSIBLE_SOLIDITY: std::ops::RangeInclusive<f64> = 0.0001..=0.9;

const WEIGH: &str = "weigh a swatch (`swatch = { mass = \"1.80 g\", width = \"10 cm\", length = \"15 cm\" }`), \
                     state `basis_weight`, or name a `class`";
const GAUGE: &str = "measure it as layered in use (`thickness = \"1.1 mm\"`, or several sheets together), \
                     state `solidity`, or name a `class`";
const SIZE: &str = "state `fibre_diameter` or `fibre_linear_density`, measure a flow (`air_permeability` or \
                    `pressure_drop`), or name a `class`";

/// Weight [kg/m2], thickness \[m\] and solidity \[-\] that agree.
struct Build {
    weight: Known<f64>,
    thickness: Known<f64>,
    solidity: Known<f64>,
}

/// The web that a material's statements describe; `None` with the reasons noted.
pub(super) fn build(facts: &mut Facts<'_, '_>) -> Option<Web> {
    use keys::Material as K;
    let written = facts.written;
    facts.refuse(
        &[
            (written.warp.span(), &K::WARP),
            (written.weft.span(), &K::WEFT),
            (written.yarn_linear_density.span(), &K::YARN_LINEAR_DENSITY),
            (written.yarn_width.span(), &K::YARN_WIDTH),
            (written.hairs.span(), &K::HAIRS),
        ],
        "web",
        "weaves and knits",
    );
    let (polymer, density) = facts.fibre();
    let reading = facts.reading(true);
    let fibre = fibre(facts, density.as_ref(), reading);
    let build = sheet(facts, density.as_ref());
    let unevenness = facts.quantity(&written.unevenness, &K::UNEVENNESS);
    let unevenness = facts.or_default(unevenness, &K::UNEVENNESS);
    let inhomogeneity = facts.quantity(&written.inhomogeneity, &K::INHOMOGENEITY);
    let inhomogeneity = facts.or_default(inhomogeneity, &K::INHOMOGENEITY);
    let charge = facts.quantity(&written.surface_charge, &K::SURFACE_CHARGE);
    let charge = facts.or_default(charge, &K::SURFACE_CHARGE);
    let build = build.filter(|build| is_possible(facts, build))?;
    let weighed = written.basis_weight.span().or_else(|| written.swatch.span());
    facts.compare_with_class(&build.weight, &K::BASIS_WEIGHT, (1e3, " g/m2"), weighed.clone());
    facts.compare_with_class(&build.thickness, &K::THICKNESS, (1e3, " mm"), written.thickness.span());
    let packed = written.solidity.span().or_else(|| weighed.and(written.thickness.span()));
    facts.compare_with_class(&build.solidity, &K::SOLIDITY, (1.0, ""), packed);
    let fibre = fibre.filter(|fibre| is_thinner_than_sheet(facts, fibre, &build))?;
    Some(Web {
        basis_weight: build.weight.map(BasisWeight::from_si),
        thickness: build.thickness.map(Length::from_si),
        solidity: build.solidity.map(solidity),
        fibre_density: density?.map(Density::from_si),
        polymer,
        fibre,
        fibre_linear_density: facts.fibre_linear_density(),
        unevenness: unevenness?,
        inhomogeneity: inhomogeneity?,
        surface_charge: charge?.map(SurfaceCharge::from_si),
        reading,
    })
}

/// A solidity that has been found possible.
fn solidity(fraction: f64) -> Solidity {
    Solidity::new(fraction).expect("a possible solidity lies between 0 and 1")
}

/// Any two of weight, thickness and solidity give the third. Where the scenario states one of them, the class's
/// solidity is the first to fill in: a heavier sheet of a kind is thicker rather than denser.
fn sheet(facts: &mut Facts<'_, '_>, density: Option<&Known<f64>>) -> Option<Build> {
    let weight = facts.stated_weight();
    let thickness = facts.stated_thickness();
    let solidity = stated(&facts.written.solidity);
    match (weight, thickness, solidity) {
        (Found::Broken, ..) | (_, Found::Broken, _) | (.., Found::Broken) => None,
        (Found::Known(weight), Found::Known(thickness), Found::Known(stated)) => {
            let build = from_weight_and_thickness(weight, thickness, density?);
            let span = facts.written.solidity.span().unwrap_or_else(|| facts.place());
            let fraction = build.solidity.value;
            let said = format!("solidity {}", significant(stated.value));
            let measured = format!("weight and thickness (solidity {})", significant(fraction));
            facts.agree((stated.value, said), (fraction, measured), span).then_some(build)
        }
        (Found::Known(weight), Found::Known(thickness), Found::Unknown) => {
            Some(from_weight_and_thickness(weight, thickness, density?))
        }
        (Found::Known(weight), Found::Unknown, Found::Known(solidity)) => {
            Some(from_weight_and_solidity(weight, solidity, density?))
        }
        (Found::Unknown, Found::Known(thickness), Found::Known(solidity)) => {
            Some(from_thickness_and_solidity(thickness, solidity, density?))
        }
        (Found::Known(weight), Found::Unknown, Found::Unknown) => with_weight(facts, weight, density),
        (Found::Unknown, Found::Known(thickness), Found::Unknown) => {
            if let Found::Known(solidity) = facts.of_class(keys::Material::SOLIDITY.name) {
                return Some(from_thickness_and_solidity(thickness, solidity, density?));
            }
            let weight = class_weight(facts)?;
            Some(from_weight_and_thickness(weight, thickness, density?))
        }
        (Found::Unknown, Found::Unknown, Found::Known(solidity)) => {
            let weight = class_weight(facts)?;
            Some(from_weight_and_solidity(weight, solidity, density?))
        }
        (Found::Unknown, Found::Unknown, Found::Unknown) => {
            if let Some(weight) = class_weight(facts) {
                return with_weight(facts, weight, density);
            }
            let found = class_solidity_or_thickness(facts);
            facts.need(found, "its thickness", GAUGE);
            None
        }
    }
}

fn class_weight(facts: &mut Facts<'_, '_>) -> Option<Known<f64>> {
    let found = facts.of_class(keys::Material::BASIS_WEIGHT.name);
    facts.need(found, "its basis weight", WEIGH)
}

fn class_solidity_or_thickness(facts: &mut Facts<'_, '_>) -> Found<f64> {
    let solidity = facts.of_class(keys::Material::SOLIDITY.name);
    solidity.or_else(|| facts.of_class(keys::Material::THICKNESS.name))
}

/// The rest from the class, where only the weight is known.
fn with_weight(facts: &mut Facts<'_, '_>, weight: Known<f64>, density: Option<&Known<f64>>) -> Option<Build> {
    if let Found::Known(solidity) = facts.of_class(keys::Material::SOLIDITY.name) {
        return Some(from_weight_and_solidity(weight, solidity, density?));
    }
    let thickness = facts.of_class(keys::Material::THICKNESS.name);
    let thickness = facts.need(thickness, "its thickness", GAUGE)?;
    Some(from_weight_and_thickness(weight, thickness, density?))
}

fn from_weight_and_thickness(weight: Known<f64>, thickness: Known<f64>, density: &Known<f64>) -> Build {
    let from = Derivation::WeightAndThickness;
    let solidity = Known::derived(weight.value / density.value / thickness.value, from);
    Build { weight, thickness, solidity }
}

fn from_weight_and_solidity(weight: Known<f64>, solidity: Known<f64>, density: &Known<f64>) -> Build {
    let from = Derivation::WeightAndSolidity;
    let thickness = Known::derived(weight.value / density.value / solidity.value, from);
    Build { weight, thickness, solidity }
}

fn from_thickness_and_solidity(thickness: Known<f64>, solidity: Known<f64>, density: &Known<f64>) -> Build {
    let from = Derivation::ThicknessAndSolidity;
    let weight = Known::derived(thickness.value * density.value * solidity.value, from);
    Build { weight, thickness, solidity }
}

/// Whether fibres can be packed like that.
fn is_possible(facts: &mut Facts<'_, '_>, build: &Build) -> bool {
    let fraction = build.solidity.value;
    if POSSIBLE_SOLIDITY.contains(&fraction) {
        return true;
    }
    let fault = Fault::ImpossibleSolidity {
        material: facts.name.to_owned(),
        solidity: significant(fraction),
        is_too_dense: fraction > *POSSIBLE_SOLIDITY.end(),
    };
    let span = facts.written.thickness.span().unwrap_or_else(|| facts.place());
    facts.ledger.error(fault, span);
    false
}

/// What is known of the fibre diameter, the surest first: stated, from a linear density, from a flow, the class's.
fn fibre(
    facts: &mut Facts<'_, '_>,
    density: Option<&Known<f64>>,
    reading: Option<super::FlowReading>,
) -> Option<FibreFacts> {
    let written = facts.written;
    let found = match facts.stated_fibre_diameter(density) {
        Found::Unknown => {
            if let Some(reading) = reading {
                return Some(FibreFacts::FromReading { reading, gsd: facts.fibre_gsd() });
            }
            if written.pressure_drop.is_broken() || written.air_permeability.is_broken() {
                return None;
            }
            facts.of_class(keys::Material::FIBRE_DIAMETER.name)
        }
        found => found,
    };
    let median = facts.need(found, "its fibre diameter", SIZE)?;
    let stated = written.fibre_diameter.span().or_else(|| written.fibre_linear_density.span());
    facts.compare_with_class(&median, &keys::Material::FIBRE_DIAMETER, (1e6, " um"), stated);
    Some(FibreFacts::Diameter { median: median.map(Length::from_si), gsd: facts.fibre_gsd() })
}

/// A stated fibre has to fit into a stated sheet.
fn is_thinner_than_sheet(facts: &mut Facts<'_, '_>, fibre: &FibreFacts, build: &Build) -> bool {
    let FibreFacts::Diameter { median, .. } = fibre else { return true };
    let stated = facts.written.fibre_diameter.span().zip(facts.written.thickness.span());
    if stated.is_none() || median.value.si() < build.thickness.value {
        return true;
    }
    let fault = Fault::NotBelow {
        lower: "fibre_diameter",
        low: format!("{} um", significant(median.value.to_um())),
        upper: "thickness",
        high: format!("{} um", significant(build.thickness.value * 1e6)),
    };
    let span = facts.written.fibre_diameter.span().unwrap_or_else(|| facts.place());
    facts.ledger.error(fault, span);
    false
}
