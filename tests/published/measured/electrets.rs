//! Charged media and their most penetrating sizes, and what is left when the charge is gone.

use moteweir_tests::{Table, Tally, web};
use moteweir_units::Length;

use super::finding::{Finding, exponent_of_percent, hold};
use super::sheet::{Bench, Known, POLYPROPYLENE, charge_for, charged, fitted};
use moteweir_physics::web::Web;

const LIN: &str = "Lin et al. 2017";
/// Face velocity of the heat and humidity test [m/s].
const HEAT_VELOCITY: f64 = 0.1416;

fn fact(name: &str) -> f64 {
    Table::read("measured/electret_facts.csv").row("fact", name).number("value")
}

/// A respirator's filter: 50 g/m2, 90 Pa at 8.7 cm/s (a certified cup respirator of common practice).
fn respirator() -> Web {
    fitted(Known { gsm: 50.0, density: POLYPROPYLENE, solidity: 0.08, pascal: 90.0, velocity: 0.087 })
}

fn worst(sheet: &Web, velocity: f64) -> (f64, f64) {
    Bench::salt(sheet, velocity).worst()
}

pub(super) fn findings() -> Vec<Finding> {
    let sheet = respirator();
    let through = fact("respirator-penetration") / 100.0;
    let sigma = charge_for(-through.ln(), |sigma| -worst(&charged(&sheet, sigma), 0.087).1.ln());
    let (charged_nm, _) = worst(&charged(&sheet, sigma), 0.087);
    let size =
        |what: &str, name: &str, model: f64| Finding::explained(LIN, what, fact(name), model).of_size();
    let coarse = |um: f64| worst(&web(0.1, Length::from_mm(0.3), Length::from_um(um)), 0.10).0;
    vec![
        size("gauze, 14 um and 10 cm/s assumed", "gauze-size", coarse(14.0)),
        size("spunlace, 12 um and 10 cm/s assumed", "spunlace-size", coarse(12.0))
            .missed(0.35..=0.50, "finer fibres (6 um would do), charge or a higher velocity: none is stated"),
        size("charged respirator, charge fitted to its penetration there", "respirator-size", charged_nm)
            .missed(-0.71..=-0.63, "charge is joined too simply, or the web is uneven: not settled"),
    ]
}

#[test]
fn most_penetrating_sizes() {
    hold(&findings());
}

#[test]
fn sizes_rank_as_measured_from_charged_to_fine_to_coarse() {
    let mut tally = Tally::of("order of the most penetrating sizes");
    let fine = worst(&web(0.1, Length::from_mm(0.3), Length::from_um(6.0)), 0.10).0;
    let coarse = worst(&web(0.1, Length::from_mm(0.3), Length::from_um(14.0)), 0.10).0;
    let charged = worst(&charged(&respirator(), 70.0), 0.087).0;
    tally.holds("model", "charged < fine < coarse", charged < fine && fine < coarse);
    let facts = [fact("respirator-size"), fact("spunlace-size"), fact("gauze-size")];
    tally.holds("measured", "charged < spunlace < gauze", facts[0] < facts[1] && facts[1] < facts[2]);
    tally.relative("6 um against the spunlace", fine, facts[1], 0.26);
    tally.close_all();
}

#[test]
fn a_discharged_melt_blown_keeps_a_sixth_of_its_exponent() {
    // Structure unchanged: a web of 25 g/m2 (assumed) as fine as the discharged efficiency asks for, then charged until
    // it has the efficiency it had. The charge must be one that fibres can hold.
    let (with, without) = (exponent_of_percent(fact("charged")), exponent_of_percent(fact("discharged")));
    let sheet = |um: f64| {
        let alpha = 0.08;
        web(alpha, Length::from_m(0.025 / (POLYPROPYLENE * alpha)), Length::from_um(um))
    };
    let (mut low, mut high) = (0.5_f64, 20.0_f64);
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        let exponent = Bench::salt(&sheet(middle), HEAT_VELOCITY).certification_salt();
        if exponent > without { low = middle } else { high = middle }
    }
    let sigma = charge_for(with, |sigma| {
        Bench::salt(&charged(&sheet(low), sigma), HEAT_VELOCITY).certification_salt()
    });
    let mut tally = Tally::of("heat and humidity, Materials 2020 (PMC7662889)");
    let words = format!("structure unchanged, needs {sigma:.0}");
    tally.holds("MEASURED.md", &words, super::page_says(&words));
    tally.close("share of the exponent that is left", without / with, 0.155, 0.001);
    tally.within("fibre diameter [um]: melt-blown lies between 1 and 5", low, 1.0..=5.0);
    // Typical electrets are said to carry 1 to 100 uC/m2 (from memory).
    tally.within("surface charge [uC/m2]", sigma, 1.0..=150.0);
    tally.close_all();
}
