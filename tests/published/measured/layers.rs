//! Layers of one sheet: does -ln P grow with their number, and the pressure drop?

use moteweir_physics::aerosol::{Aerosol, DiameterKind, Shape, Weighting};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_tests::{Table, Tally};
use moteweir_units::{Density, Length};

use super::finding::{Finding, exponent_of_percent, hold};
use super::sheet::Model;

const GUYTON: &str = "Guyton et al. 1959";
const SONG: &str = "Song et al. 2020";
const TISSUE: &str = "common practice, no source";

/// One layer's and several layers' exponent, and how many they are.
fn cloth(material: &str, layers: &str) -> (f64, f64, f64) {
    let table = Table::read("measured/guyton_1959_layers.csv");
    let find = |count: &str| {
        let row = table.rows().iter().find(|r| r.text("material") == material && r.text("layers") == count);
        exponent_of_percent(row.expect("the table has the row").number("efficiency_pct"))
    };
    (find("1"), find(layers), layers.parse().expect("a count"))
}

/// Product law size by size for particles of 1 to 5 um, number per unit of ln d as d^-exponent: a web of 15 um fibres as
/// thick as one layer's efficiency asks for, then `times` as thick.
fn mixed_sizes(model: Model, one: f64, times: f64, exponent: f64) -> f64 {
    let aerosol = Aerosol {
        shape: Shape::PowerLaw { exponent, from: Length::from_um(1.0), to: Length::from_um(5.0) },
        diameter: DiameterKind::Optical,
    };
    let sheet = model.web(0.1, Length::from_mm(0.1), Length::from_um(15.0));
    let bench = model.bench(&sheet, 0.05, 1000.0, ParticleCharge::Neutral);
    let nodes = aerosol.nodes(Weighting::Number, &Air::reference(), Density::from_kg_per_m3(1000.0));
    let through: Vec<(f64, f64)> = nodes.into_iter().map(|(d, w)| (bench.penetration(d), w)).collect();
    let at = |layers: f64| -through.iter().map(|(p, w)| w * p.powf(layers)).sum::<f64>().ln();
    let (mut low, mut high) = (1e-4_f64, 1e4_f64);
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if at(middle) < one { low = middle } else { high = middle }
    }
    at(low * times)
}

pub(super) fn findings(model: Model) -> Vec<Finding> {
    let product = |material: &str, layers: &str| {
        let (one, measured, times) = cloth(material, layers);
        let what = format!("{layers} layers of {material}, 1 to 5 um, product law");
        Finding::explained(GUYTON, what, measured, one * times)
    };
    let mixed = |material: &str, layers: &str, exponent: f64| {
        let (one, measured, times) = cloth(material, layers);
        let what = format!("{layers} layers of {material}, product law size by size, sizes as d^-{exponent}");
        Finding::explained(GUYTON, what, measured, mixed_sizes(model, one, times, exponent))
    };
    let mut found = vec![
        product("handkerchief", "8"),
        product("handkerchief", "16")
            .missed(0.75..=0.85, "a mixture of sizes: what many layers leave is the most penetrating"),
        mixed("handkerchief", "16", 1.0),
        mixed("handkerchief", "16", 3.0)
            .missed(0.34..=0.44, "the size distribution is not known: the flatter one above explains it"),
        product("towel", "2").missed(0.38..=0.44, "a mixture of sizes: see the next row"),
        mixed("towel", "2", 1.0),
        product("cotton shirt", "2"),
    ];
    let tissue = Table::read("measured/tissue_layers.csv");
    let one = exponent_of_percent(tissue.row("layers", "1").number("efficiency_pct"));
    for layers in ["2", "3"] {
        let measured = exponent_of_percent(tissue.row("layers", layers).number("efficiency_pct"));
        let times: f64 = layers.parse().expect("a count");
        found.push(Finding::explained(
            TISSUE,
            format!("{layers} layers of one tissue at 1 um, product law"),
            measured,
            one * times,
        ));
    }
    let song = Table::read("measured/song_2020_nanofibre.csv");
    let thickest = song.row("grade", "99");
    let quality = exponent_of_percent(thickest.number("efficiency_pct")) / thickest.number("pressure_pa");
    for grade in ["60", "80", "90"] {
        let row = song.row("grade", grade);
        found.push(Finding::explained(
            SONG,
            format!("nanofibre web of {} Pa, quality of the thickest", row.text("pressure_pa")),
            exponent_of_percent(row.number("efficiency_pct")),
            quality * row.number("pressure_pa"),
        ));
    }
    found
}

#[test]
fn layers_follow_the_product_law_as_far_as_stated() {
    hold(&findings(Model::FITTED));
}

#[test]
fn pressure_drops_of_cloth_add() {
    // Readings of 1 mm of water: half a millimetre is left open in the single layer, times the layers.
    let table = Table::read("measured/guyton_1959_layers.csv");
    let mut tally = Tally::of("pressure drop of layers [mm H2O]");
    for row in table.rows() {
        let one = table.row("material", row.text("material")).printed("pressure_mmh2o");
        let layers = row.number("layers");
        let tolerance = layers * one.half_digit + row.printed("pressure_mmh2o").half_digit;
        let input = format!("{layers} of {}", row.text("material"));
        tally.close(input, row.number("pressure_mmh2o"), layers * one.value, tolerance);
    }
    tally.close_all();
}
