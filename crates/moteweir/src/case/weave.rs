//! From statements to a fabric of yarns: counts, yarn and weight from any sufficient set.

use moteweir_physics::weave::WeaveClass;
use moteweir_units::{BasisWeight, Density, Length, LinearDensity, ThreadCount};

use super::facts::{Facts, Found, significant, stated};
use super::known::{Derivation, Known, Origin};
use super::material::{Binding, Weave};
use crate::doubt::Doubt;
use crate::problem::Fault;
use crate::scenario::keys;

/// A share of the ground yarn below this is worth a line among the assumptions: the rest is nap.
const NAPPED: f64 = 0.9;
/// What hairs are thought to be, lowest and highest: an assumption that only a bench can replace.
const HAIRS_RANGE: (f64, f64) = (0.0, 0.01);

const COUNT: &str = "count the threads over 1 cm or 1 in under a lens (`warp = \"30 /cm\"`, `weft = \"28 /cm\"`), \
                     or name a `class`";
const YARN: &str = "state `yarn_linear_density`, weigh a swatch \
                    (`swatch = { mass = \"1.80 g\", width = \"10 cm\", length = \"15 cm\" }`), or name a `class`";
const SIZE: &str = "state `fibre_diameter` or `fibre_linear_density`, or name a `class`";

/// The fabric that a material's statements describe; `None` with the reasons noted.
pub(super) fn build(facts: &mut Facts<'_, '_>, binding: Binding) -> Option<Weave> {
    let class = binding.weave_class();
    refuse_keys_of_webs(facts, binding);
    let (polymer, density) = facts.fibre();
    let fibre_diameter = fibre(facts, density.as_ref());
    let warp = facts.quantity(&facts.written.warp, &keys::Material::WARP);
    let warp = facts.need(warp, "its count of warp threads", COUNT);
    let weft = facts.quantity(&facts.written.weft, &keys::Material::WEFT);
    let weft = facts.need(weft, "its count of weft threads", COUNT);
    let run = warp.as_ref().zip(weft.as_ref()).map(|(warp, weft)| yarn_run(class, warp, weft));
    let yarn = yarn(facts, class, run);
    let (thickness, yarn_width) = section(facts);
    let hairs = facts.quantity(&facts.written.hairs, &keys::Material::HAIRS);
    let hairs = facts.or_default(hairs, &keys::Material::HAIRS);
    let reading = facts.reading(false);
    let (yarn, weight) = yarn?;
    compare_with_class(facts, &yarn, &weight);
    let hairs = hairs?;
    Some(Weave {
        binding,
        warp: warp?.map(ThreadCount::from_si),
        weft: weft?.map(ThreadCount::from_si),
        yarn_linear_density: yarn.map(LinearDensity::from_si),
        basis_weight: weight.map(BasisWeight::from_si),
        fibre_diameter: fibre_diameter?.map(Length::from_si),
        fibre_linear_density: facts.fibre_linear_density(),
        fibre_density: density?.map(Density::from_si),
        polymer,
        thickness: thickness.ok().map(|known| known.map(Length::from_si)),
        yarn_width: yarn_width.ok().map(|known| known.map(Length::from_si)),
        hairs: assumed_hairs(hairs),
        reading,
    })
}

fn refuse_keys_of_webs(facts: &mut Facts<'_, '_>, binding: Binding) {
    use keys::Material as K;
    let written = facts.written;
    let structure = match binding {
        Binding::Woven => "weave",
        Binding::Knitted => "knit",
    };
    let of_webs = [
        (written.solidity.span(), &K::SOLIDITY),
        (written.surface_charge.span(), &K::SURFACE_CHARGE),
        (written.unevenness.span(), &K::UNEVENNESS),
        (written.inhomogeneity.span(), &K::INHOMOGENEITY),
    ];
    facts.refuse(&of_webs, structure, "webs");
    // The fibres of a yarn are taken as all of the median diameter.
    let spread =
        written.fibre_diameter.stated().filter(|diameter| diameter.value.gsd.is_some_and(|gsd| gsd > 1.0));
    if let Some(diameter) = spread {
        let fault = Fault::SpreadNotUsed { material: facts.name.to_owned() };
        facts.ledger.warning(fault, diameter.span.clone());
    }
}

/// Thickness of the cloth and width of the yarn \[m\]. A class's own belong to its own yarn and counts.
fn section(facts: &mut Facts<'_, '_>) -> (Found<f64>, Found<f64>) {
    let written = facts.written;
    let (thickness, yarn_width) = (facts.stated_thickness(), stated(&written.yarn_width));
    if !(written.warp.is_absent() && written.weft.is_absent() && written.yarn_linear_density.is_absent()) {
        return (thickness, yarn_width);
    }
    (
        thickness.or_else(|| facts.of_class(keys::Material::THICKNESS.name)),
        yarn_width.or_else(|| facts.of_class(keys::Material::YARN_WIDTH.name)),
    )
}

fn compare_with_class(facts: &mut Facts<'_, '_>, yarn: &Known<f64>, weight: &Known<f64>) {
    use keys::Material as K;
    let weighed = facts.written.basis_weight.span().or_else(|| facts.written.swatch.span());
    facts.compare_with_class(weight, &K::BASIS_WEIGHT, (1e3, " g/m2"), weighed);
    let spun = facts.written.yarn_linear_density.span();
    facts.compare_with_class(yarn, &K::YARN_LINEAR_DENSITY, (1e6, " tex"), spun);
}

/// What nobody stated of hairs is known within a range at best.
fn assumed_hairs(hairs: Known<f64>) -> Known<f64> {
    let (low, high) = HAIRS_RANGE;
    if hairs.is_given() || !hairs.doubt.is_none() {
        hairs
    } else {
        hairs.with_doubt(Doubt::between(low, high))
    }
}

/// Length of yarn in an area \[1/m\].
fn yarn_run(class: WeaveClass, warp: &Known<f64>, weft: &Known<f64>) -> f64 {
    class.yarn_length_per_area(ThreadCount::from_si(warp.value), ThreadCount::from_si(weft.value))
}

/// Share of a class's weight that is in the yarn which counts and run describe; the rest is nap. 1 without class.
fn ground_share(facts: &mut Facts<'_, '_>, weave: WeaveClass) -> f64 {
    use keys::Material as K;
    let Some(class) = facts.class else { return 1.0 };
    let typical = |key: &str| class.value(key).and_then(|value| Some(value.number?.typical_si));
    let all = (typical(K::WARP.name), typical(K::WEFT.name), typical(K::YARN_LINEAR_DENSITY.name));
    let ((Some(warp), Some(weft), Some(yarn)), Some(weight)) = (all, class.value(K::BASIS_WEIGHT.name))
    else {
        return 1.0;
    };
    let Some(weight_number) = weight.number else { return 1.0 };
    let run = weave.yarn_length_per_area(ThreadCount::from_si(warp), ThreadCount::from_si(weft));
    let share = (yarn * run / weight_number.typical_si).min(1.0);
    if share < NAPPED {
        let origin = Origin::Class { class: class.name.clone(), source: weight.source.clone() };
        let value = format!("{} % of the weight", significant(100.0 * share));
        facts.ledger.assume(Some(facts.name), K::YARN_LINEAR_DENSITY.name, value, origin);
    }
    share
}

/// Linear density of the yarn [kg/m] and weight of the fabric [kg/m2]. A stated yarn goes before a weight, because
/// the pores follow from the yarn; where both are stated, they have to agree.
fn yarn(facts: &mut Facts<'_, '_>, class: WeaveClass, run: Option<f64>) -> Option<(Known<f64>, Known<f64>)> {
    use keys::Material as K;
    let from = Derivation::WeightAndThreadCounts;
    let written = facts.written;
    let weight = facts.stated_weight();
    let yarn = stated(&written.yarn_linear_density);
    if matches!(yarn, Found::Broken) || matches!(weight, Found::Broken) {
        return None;
    }
    let share = ground_share(facts, class);
    match (yarn.ok(), weight.ok()) {
        (Some(yarn), Some(weight)) => {
            let woven = yarn.value * run? / share;
            let span = written.yarn_linear_density.span().unwrap_or_else(|| facts.place());
            let measured = format!("yarn and thread counts ({} g/m2)", significant(woven * 1e3));
            let said = format!("weight {} g/m2", significant(weight.value * 1e3));
            let agrees = facts.agree((weight.value, said), (woven, measured), span);
            // The yarn goes before the weight, with what is not known of it.
            agrees.then(|| (yarn, weight.with_doubt(Doubt::None)))
        }
        (Some(yarn), None) => {
            let weight = Known::derived(yarn.value * run? / share, from);
            Some((yarn, weight))
        }
        (None, Some(weight)) => {
            let yarn = Known::derived(share * weight.value / run?, from);
            Some((yarn, weight))
        }
        (None, None) => {
            let yarn = facts.of_class(K::YARN_LINEAR_DENSITY.name);
            let yarn = facts.need(yarn, "its yarn linear density", YARN)?;
            let weight = Known::derived(yarn.value * run? / share, from);
            Some((yarn, weight))
        }
    }
}

/// Diameter of the fibres in the yarn \[m\].
fn fibre(facts: &mut Facts<'_, '_>, density: Option<&Known<f64>>) -> Option<Known<f64>> {
    let found = match facts.stated_fibre_diameter(density) {
        Found::Unknown => facts.of_class(keys::Material::FIBRE_DIAMETER.name),
        found => found,
    };
    let diameter = facts.need(found, "its fibre diameter", SIZE)?;
    let stated = facts.written.fibre_diameter.span().or_else(|| facts.written.fibre_linear_density.span());
    facts.compare_with_class(&diameter, &keys::Material::FIBRE_DIAMETER, (1e6, " um"), stated);
    Some(diameter)
}
