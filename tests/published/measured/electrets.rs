//! Charged media and their most penetrating sizes, and what is left when the charge is gone.

use moteweir_physics::closure::Closure;
use moteweir_tests::{Table, Tally, web};
use moteweir_units::Length;

use super::finding::{Finding, exponent_of_percent, hold};
use super::sheet::{Known, Model, POLYPROPYLENE, charge_for, charged};
use moteweir_physics::web::Web;

const LIN: &str = "Lin et al. 2017";
/// Face velocity of the heat and humidity test [m/s].
const HEAT_VELOCITY: f64 = 0.1416;

fn fact(name: &str) -> f64 {
    Table::read("measured/electret_facts.csv").row("fact", name).number("value")
}

/// A respirator's filter: 50 g/m2, 90 Pa at 8.7 cm/s (a certified cup respirator of common practice).
fn respirator(model: Model) -> Web {
    model.fitted(Known { gsm: 50.0, density: POLYPROPYLENE, solidity: 0.08, pascal: 90.0, velocity: 0.087 })
}

fn worst(model: Model, sheet: &Web, velocity: f64) -> (f64, f64) {
    model.salt(sheet, velocity).worst()
}

pub(super) fn findings(model: Model) -> Vec<Finding> {
    let sheet = respirator(model);
    let through = fact("respirator-penetration") / 100.0;
    let sigma = charge_for(-through.ln(), |sigma| -worst(model, &charged(&sheet, sigma), 0.087).1.ln());
    let (charged_nm, _) = worst(model, &charged(&sheet, sigma), 0.087);
    let size =
        |what: &str, name: &str, model: f64| Finding::explained(LIN, what, fact(name), model).of_size();
    let coarse = |um: f64| worst(model, &model.web(0.1, Length::from_mm(0.3), Length::from_um(um)), 0.10).0;
    vec![
        size("gauze, 14 um and 10 cm/s assumed", "gauze-size", coarse(14.0)),
        size("spunlace, 12 um and 10 cm/s assumed", "spunlace-size", coarse(12.0))
            .missed(0.35..=0.50, "finer fibres (6 um would do), charge or a higher velocity: none is stated"),
        size("charged respirator, charge fitted to its penetration there", "respirator-size", charged_nm)
            .missed(-0.79..=-0.74, "charge and diffusion join as solved in the cell; an uneven web or its charge is left: not settled"),
    ]
}

#[test]
fn most_penetrating_sizes() {
    hold(&findings(Model::FITTED));
}

#[test]
fn sizes_rank_as_measured_from_charged_to_fine_to_coarse() {
    let mut tally = Tally::of("order of the most penetrating sizes");
    let fine = worst(Model::FITTED, &web(0.1, Length::from_mm(0.3), Length::from_um(6.0)), 0.10).0;
    let coarse = worst(Model::FITTED, &web(0.1, Length::from_mm(0.3), Length::from_um(14.0)), 0.10).0;
    let charged = worst(Model::FITTED, &charged(&respirator(Model::FITTED), 70.0), 0.087).0;
    tally.holds("model", "charged < fine < coarse", charged < fine && fine < coarse);
    let facts = [fact("respirator-size"), fact("spunlace-size"), fact("gauze-size")];
    tally.holds("measured", "charged < spunlace < gauze", facts[0] < facts[1] && facts[1] < facts[2]);
    tally.relative("6 um against the spunlace", fine, facts[1], 0.26);
    tally.close_all();
}

/// Fibre diameter [um] that the discharged efficiency asks for, and the charge [uC/m2] that the charged one does: a web
/// of 25 g/m2 (assumed), its structure unchanged.
fn as_fine_and_as_charged(model: Model, without: f64, with: f64) -> (f64, f64) {
    let sheet = |um: f64| {
        let alpha = 0.08;
        model.web(alpha, Length::from_m(0.025 / (POLYPROPYLENE * alpha)), Length::from_um(um))
    };
    let exponent = |sheet: &Web| model.salt(sheet, HEAT_VELOCITY).certification_salt();
    let (mut low, mut high) = (0.5_f64, 20.0_f64);
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if exponent(&sheet(middle)) > without { low = middle } else { high = middle }
    }
    (low, charge_for(with, |sigma| exponent(&charged(&sheet(low), sigma))))
}

#[test]
fn a_discharged_melt_blown_keeps_a_sixth_of_its_exponent() {
    let (with, without) = (exponent_of_percent(fact("charged")), exponent_of_percent(fact("discharged")));
    let mut tally = Tally::of("heat and humidity, Materials 2020 (PMC7662889)");
    tally.close("share of the exponent that is left", without / with, 0.155, 0.001);
    for model in [Model::FITTED, Model::EVEN_CELL] {
        let (um, sigma) = as_fine_and_as_charged(model, without, with);
        let words = match model.closure {
            Closure::LeeLiu => format!("structure unchanged, needs {sigma:.0}"),
            _ => format!("{sigma:.0} by the solved cell"),
        };
        tally.holds("MEASURED.md", &words, crate::page::says(&words));
        tally.within(format!("{model:?}: fibre diameter [um], melt-blown has 1 to 5"), um, 1.0..=5.0);
        // Typical electrets are said to carry 1 to 100 uC/m2 (from memory).
        tally.within(format!("{model:?}: surface charge [uC/m2]"), sigma, 1.0..=150.0);
    }
    tally.close_all();
}
