//! Household and filter sheets by weight and pressure drop: one number fitted, the efficiency predicted.

use moteweir_physics::single_fibre::electrostatic::BREAKDOWN_SURFACE_CHARGE;
use moteweir_tests::{Row, Table, Tally};

use super::finding::{Finding, exponent_of_percent, hold};
use super::sheet::{CELLULOSE, Known, Model, POLYPROPYLENE, charge_for, charged};

const ZHAO: &str = "Zhao et al. 2020 (from memory)";
const FACE_VELOCITY: f64 = 0.0533;

/// Solidity by what a sheet is: common practice, no source.
fn assumed(row: &Row) -> (f64, f64) {
    match (row.text("structure"), row.text("material")) {
        ("melt-blown", _) => (POLYPROPYLENE, 0.08),
        ("spunbond", _) => (POLYPROPYLENE, 0.12),
        (_, "copy paper") => (CELLULOSE, 0.5),
        _ => (CELLULOSE, 0.12),
    }
}

fn known(row: &Row) -> Known {
    let (density, solidity) = assumed(row);
    Known {
        gsm: row.number("basis_weight_g_per_m2"),
        density,
        solidity,
        pascal: row.number("pressure_pa"),
        velocity: FACE_VELOCITY,
    }
}

fn predicted(model: Model, known: Known) -> f64 {
    model.salt(&model.fitted(known), FACE_VELOCITY).certification_salt()
}

pub(super) fn findings(model: Model) -> Vec<Finding> {
    let of = |row: &Row| {
        let known = known(row);
        let what = format!(
            "{}: from {} g/m2 and {} Pa, solidity {} assumed",
            row.text("material"),
            row.text("basis_weight_g_per_m2"),
            row.text("pressure_pa"),
            known.solidity
        );
        let measured = exponent_of_percent(row.number("efficiency_pct"));
        let found = Finding::explained(ZHAO, what, measured, predicted(model, known));
        match row.text("material") {
            "charged filter layer" => found.missed(
                -0.98..=-0.96,
                "the sheet is charged; without charge its fibres would catch 3 % of that",
            ),
            "interfacing" => found.missed(
                -0.78..=-0.70,
                "4.5 points of efficiency that coarse fibres do not catch: a little charge, or the reading",
            ),
            _ => found,
        }
    };
    let table = Table::read("measured/household_2020.csv");
    let mut found: Vec<Finding> = table.rows().iter().map(of).collect();
    let row = table.row("material", "charged filter layer");
    let sheet = charged(&model.fitted(known(row)), BREAKDOWN_SURFACE_CHARGE * 1e6);
    let model = model.salt(&sheet, FACE_VELOCITY).certification_salt();
    let what = "charged filter layer: the same with the charge that air holds at a flat surface, 85 uC/m2";
    let measured = exponent_of_percent(row.number("efficiency_pct"));
    let why = "finer fibres than the pressure drop asks for, or more charge: neither is known";
    found.push(Finding::explained(ZHAO, what, measured, model).missed(-0.60..=-0.40, why));
    found
}

#[test]
fn uncharged_webs_and_papers_are_predicted_from_weight_and_pressure_drop() {
    hold(&findings(Model::FITTED));
}

#[test]
fn uncharged_sheets_lie_between_the_closures() {
    let sheets = ["filter layer A", "filter layer B", "paper towel", "tissue paper"];
    let table = Table::read("measured/household_2020.csv");
    let range = |model: Model| {
        let ratio = |sheet: &&str| {
            let row = table.row("material", sheet);
            predicted(model, known(row)) / exponent_of_percent(row.number("efficiency_pct"))
        };
        let ratios: Vec<f64> = sheets.iter().map(ratio).collect();
        let ends = (
            ratios.iter().copied().fold(f64::INFINITY, f64::min),
            ratios.iter().copied().fold(0.0, f64::max),
        );
        (ends, format!("{:.2} to {:.2}", ends.0, ends.1))
    };
    let mut tally = Tally::of("uncharged sheets, model over measured");
    let (fitted, fitted_words) = range(Model::FITTED);
    let (even, even_words) = range(Model::EVEN_CELL);
    tally.holds("fitted set", "below the measurements", fitted.1 < 1.0);
    tally.holds("even cell", "above them", even.0 > 1.0);
    for words in [
        format!("{fitted_words} by the fitted set and at {even_words} by the even cell"),
        format!("come out at {}, nearer", range(Model::INHOMOGENEOUS_CELL).1),
        format!("comes from the pressure drop, {}", range(Model::UNEVEN_CELL).1),
    ] {
        tally.holds("MEASURED.md", &words, crate::page::says(&words));
    }
    for factor in [1.2, 1.65] {
        let input = format!("over {factor}");
        tally.holds(input, "all explained", even.0 / factor >= 0.74 && even.1 / factor <= 1.26);
    }
    tally.close_all();
}

#[test]
fn the_assumed_solidity_hardly_matters() {
    // Between 0.6 and 1.6 times the assumed solidity the exponent moves by less than a third: the pressure drop holds it.
    let mut tally = Tally::of("exponent against assumed solidity");
    for row in Table::read("measured/household_2020.csv").rows() {
        if row.text("material") == "copy paper" {
            continue; // see the next test
        }
        let known = known(row);
        let at = |factor: f64| predicted(Model::FITTED, Known { solidity: factor * known.solidity, ..known });
        let spread = (at(0.6) / at(1.6)).ln().abs();
        tally.within(row.text("material"), spread, 0.0..=0.40);
    }
    tally.close_all();
}

#[test]
fn copy_paper_is_luck() {
    // At 0.5 the drag law is far outside its range, which ends at 0.3, and the assumed solidity decides.
    let table = Table::read("measured/household_2020.csv");
    let paper = known(table.row("material", "copy paper"));
    let at = |solidity: f64| predicted(Model::FITTED, Known { solidity, ..paper });
    let words = format!("moves from {:.1} to {:.1} as the solidity", at(0.4), at(0.6));
    let mut tally = Tally::of("copy paper");
    tally.holds("MEASURED.md", &words, crate::page::says(&words));
    tally.within("exponent at 0.4 over that at 0.6", at(0.4) / at(0.6), 1.4..=1.6);
    tally.close_all();
}

#[test]
fn the_charged_layer_asks_for_more_charge_than_air_holds() {
    // A result on the model, not on the sheet: at a charge that air holds the model catches too little.
    let table = Table::read("measured/household_2020.csv");
    let row = table.row("material", "charged filter layer");
    let sheet = Model::FITTED.fitted(known(row));
    let wanted = exponent_of_percent(row.number("efficiency_pct"));
    let needed = charge_for(wanted, |sigma| {
        Model::FITTED.salt(&charged(&sheet, sigma), FACE_VELOCITY).certification_salt()
    });
    let breakdown = BREAKDOWN_SURFACE_CHARGE * 1e6;
    let mut tally = Tally::of("surface charge [uC/m2]");
    let words = format!("would need {needed:.0} uC/m2");
    tally.holds("MEASURED.md", &words, crate::page::says(&words));
    let why = "thin fibres hold more than a flat surface, and the sheet may be finer or of another solidity than assumed";
    tally.known_miss("charged filter layer", needed, breakdown, 0.8..=1.2, why);
    tally.close_all();
}
