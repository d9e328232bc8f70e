//! Class medians of masks: how much of the efficiency is charge, and whether one efficiency gives the other.

use moteweir_tests::{Row, Table, Tally, logarithmic};
use moteweir_units::Length;

use super::finding::{Finding, exponent_of_percent, hold};
use super::sheet::{Bench, Known, Model, POLYPROPYLENE, charge_for, charged};

const MORAIS: &str = "Morais et al. 2021";
/// Face velocity of the pressure drop: 8 L/min on 4.91 cm2 [m/s].
const HEAD: f64 = 0.272;
/// Face velocity of the efficiency, which was not seen; assumed [m/s].
const ASSUMED: f64 = 0.10;
const NONWOVENS: [&str; 4] = ["nonwoven", "surgical", "nonwoven SMS", "nonwoven SMMMS"];

fn known(row: &Row) -> Known {
    Known {
        gsm: row.number("basis_weight_g_per_m2"),
        density: POLYPROPYLENE,
        solidity: 0.10,
        pascal: row.number("pressure_pa"),
        velocity: HEAD,
    }
}

fn measured_at_300_nm(row: &Row) -> f64 {
    exponent_of_percent(row.number("efficiency_300nm_pct"))
}

/// -ln P of the mean penetration from 60 to 300 nm, even in ln d.
fn band(bench: &Bench) -> f64 {
    let through: Vec<f64> =
        logarithmic(60.0, 300.0, 25).map(|nm| bench.penetration(Length::from_nm(nm))).collect();
    -(through.iter().sum::<f64>() / through.len() as f64).ln()
}

pub(super) fn findings(model: Model) -> Vec<Finding> {
    let table = Table::read("measured/morais_2021_classes.csv");
    let of = |class: &&str| {
        let row = table.row("class", class);
        let sheet = model.fitted(known(row));
        let at = |sigma: f64| model.salt(&charged(&sheet, sigma), ASSUMED);
        let sigma = charge_for(measured_at_300_nm(row), |sigma| at(sigma).exponent(300.0));
        let what = format!("{class}: 60 to 300 nm from 300 nm, charge fitted");
        let measured = exponent_of_percent(100.0 * row.number("efficiency_60_300nm"));
        let found = Finding::explained(MORAIS, what, measured, band(&at(sigma)));
        let why = "below 300 nm the model catches too little; velocity and charge of the test were not seen";
        match *class {
            "surgical" => found.missed(-0.39..=-0.35, why),
            "nonwoven SMS" => found.missed(-0.32..=-0.28, why),
            "nonwoven SMMMS" => found.missed(-0.37..=-0.33, why),
            _ => found,
        }
    };
    NONWOVENS.iter().map(of).collect()
}

#[test]
fn small_sizes_from_one_efficiency_at_300_nm() {
    hold(&findings(Model::FITTED));
}

#[test]
fn fibres_alone_explain_the_order_of_the_nonwovens_and_a_tenth_of_their_efficiency() {
    let table = Table::read("measured/morais_2021_classes.csv");
    let mut tally = Tally::of("nonwovens by weight and pressure drop alone, 300 nm");
    let (mut model_before, mut measured_before) = (0.0, 0.0);
    for class in NONWOVENS {
        let row = table.row("class", class);
        let model = Model::FITTED.salt(&Model::FITTED.fitted(known(row)), ASSUMED).exponent(300.0);
        let measured = measured_at_300_nm(row);
        tally.holds(class, "the model ranks it above the one before", model > model_before);
        tally.holds(class, "and so does the measurement", measured >= measured_before);
        let why = "the webs are charged: fibres alone catch 4 to 15 % of it";
        tally.known_miss(class, model, measured, -0.97..=-0.84, why);
        (model_before, measured_before) = (model, measured);
    }
    tally.close_all();
}

#[test]
fn pressure_drops_in_both_units_agree() {
    let mut tally = Tally::of("mm H2O/cm2 on 4.91 cm2 against Pa");
    for row in Table::read("measured/morais_2021_classes.csv").rows() {
        let printed = row.printed("pressure_mmh2o_per_cm2");
        let scale = 9.80665 * 4.91;
        let tolerance = scale * printed.half_digit + row.printed("pressure_pa").half_digit;
        tally.close(row.text("class"), row.number("pressure_pa"), scale * printed.value, tolerance);
    }
    tally.close_all();
}

#[test]
fn cotton_and_foam_are_not_for_this_check() {
    // No counts or yarn for the cloth, no fibres in the foam: weight and pressure drop of a web rank them wrongly.
    let table = Table::read("measured/morais_2021_classes.csv");
    let at = |class: &str| {
        let row = table.row("class", class);
        (
            Model::FITTED.salt(&Model::FITTED.fitted(known(row)), ASSUMED).exponent(300.0),
            measured_at_300_nm(row),
        )
    };
    let (cotton, nonwoven) = (at("cotton"), at("nonwoven"));
    let mut tally = Tally::of("cotton taken as a web");
    tally.holds("cotton", "measured below the nonwovens", cotton.1 < nonwoven.1);
    tally.holds("cotton", "ranked above them as a web", cotton.0 > nonwoven.0);
    tally.close_all();
}
