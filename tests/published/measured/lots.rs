//! 580 lots of medical masks: linear pressure drop, constant quality, and what latex without neutraliser does.

use moteweir_physics::charging::ParticleCharge;
use moteweir_tests::{Row, Table, Tally};

use super::finding::{Finding, LABORATORIES_DIFFER, exponent_of_percent, hold};
use super::sheet::{Known, Model, POLYPROPYLENE, charge_for, charged};

const SIPKENS: &str = "Sipkens et al. 2022";
/// Face velocity of the salt test, which the file does not state: 85 L/min on 100 cm2, assumed [m/s].
const SALT_VELOCITY: f64 = 0.1417;
/// Density of polystyrene latex [kg/m3].
const LATEX: f64 = 1050.0;

fn table() -> Table {
    Table::read("measured/nrc_2022_lots.csv")
}

fn sorted(of: impl Fn(&Row) -> f64) -> Vec<f64> {
    let mut values: Vec<f64> = table().rows().iter().map(of).collect();
    values.sort_by(f64::total_cmp);
    values
}

fn median(of: impl Fn(&Row) -> f64) -> f64 {
    let values = sorted(of);
    values[values.len() / 2]
}

fn salt(row: &Row) -> f64 {
    exponent_of_percent(row.number("salt_efficiency_pct"))
}

fn latex(row: &Row) -> f64 {
    exponent_of_percent(row.number("latex_efficiency_pct"))
}

fn velocity_ratio(row: &Row) -> f64 {
    row.number("salt_pressure_pa") / row.number("latex_pressure_pa")
}

/// -ln P of 0.1 um latex of a charge through a melt-blown of 25 g/m2 whose charge is fitted to salt.
fn latex_predicted(model: Model, charge: ParticleCharge) -> f64 {
    let sheet = model.fitted(Known {
        gsm: 25.0,
        density: POLYPROPYLENE,
        solidity: 0.08,
        pascal: median(|r| r.number("salt_pressure_pa")),
        velocity: SALT_VELOCITY,
    });
    let sigma = charge_for(median(salt), |sigma| {
        model.salt(&charged(&sheet, sigma), SALT_VELOCITY).certification_salt()
    });
    let velocity = SALT_VELOCITY / median(velocity_ratio);
    model.bench(&charged(&sheet, sigma), velocity, LATEX, charge).exponent(100.0)
}

pub(super) fn findings(model: Model) -> Vec<Finding> {
    let quality = median(|r| salt(r) / r.number("salt_pressure_pa"));
    let quarter = |of: fn(&Row) -> f64, share: f64| {
        let values = sorted(of);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an index into the lots")]
        let index = (share * values.len() as f64) as usize;
        values[index]
    };
    let low = quarter(|r| r.number("salt_pressure_pa"), 0.1);
    let high = quarter(|r| r.number("salt_pressure_pa"), 0.9);
    let near = |pascal: f64| {
        let lots = table();
        let mut found: Vec<f64> = lots
            .rows()
            .iter()
            .filter(|r| (r.number("salt_pressure_pa") / pascal - 1.0).abs() < 0.03)
            .map(salt)
            .collect();
        found.sort_by(f64::total_cmp);
        found[found.len() / 2]
    };
    let at = |pascal: f64| {
        let what = format!("lots of about {pascal:.0} Pa, quality of all lots");
        Finding::explained(SIPKENS, what, near(pascal), quality * pascal)
    };
    let latex_median = median(latex);
    let of = |name: &str, charge| {
        let what = format!("0.1 um latex, {name}, charge of the fibres from salt");
        Finding::explained(SIPKENS, what, latex_median, latex_predicted(model, charge))
    };
    vec![
        at(low),
        at(high),
        of("taken as neutralised", ParticleCharge::Equilibrium)
            .missed(-0.42..=-0.37, "the latex is not neutralised, and its charge is not known"),
        of("taken as neutral", ParticleCharge::Neutral)
            .missed(-0.57..=-0.52, "some of the latex is charged: the low end"),
        of("taken as one charge each", ParticleCharge::Each(1))
            .missed(0.75..=0.95, "some of the latex is neutral: the high end"),
    ]
}

#[test]
fn lots_have_one_quality_and_latex_lies_between_neutral_and_one_charge() {
    hold(&findings(Model::FITTED));
    let mut tally = Tally::of("latex");
    let ends = latex_predicted(Model::FITTED, ParticleCharge::Neutral)
        ..=latex_predicted(Model::FITTED, ParticleCharge::Each(1));
    tally.within("median of the lots", median(latex), ends);
    tally.close_all();
}

#[test]
fn pressure_drop_is_linear_in_velocity_for_nine_lots_in_ten() {
    // Two flows, one ratio: were the drag not linear, thick and thin lots would differ.
    let ratio = median(velocity_ratio);
    let mut tally = Tally::of("ratio of the two pressure drops");
    tally.within("median", ratio, 3.2..=3.4);
    let close = sorted(|r| (velocity_ratio(r) / ratio - 1.0).abs());
    let share = close.iter().filter(|miss| **miss <= 0.10).count() as f64 / close.len() as f64;
    tally.within("share of lots within 10 %", share, 0.88..=0.92);
    let half = median(|r| r.number("salt_pressure_pa"));
    let of_half = |thick: bool| {
        let lots = table();
        let mut ratios: Vec<f64> = lots
            .rows()
            .iter()
            .filter(|r| (r.number("salt_pressure_pa") > half) == thick)
            .map(velocity_ratio)
            .collect();
        ratios.sort_by(f64::total_cmp);
        ratios[ratios.len() / 2]
    };
    tally.relative("thick lots against thin ones", of_half(true), of_half(false), 0.03);
    tally.close_all();
}

#[test]
fn nine_lots_in_ten_have_the_quality_of_the_median() {
    let quality = median(|r| salt(r) / r.number("salt_pressure_pa"));
    let misses = sorted(|r| (salt(r) / r.number("salt_pressure_pa") / quality - 1.0).abs());
    let within = misses.iter().filter(|m| **m <= LABORATORIES_DIFFER).count() as f64 / misses.len() as f64;

    let mut tally = Tally::of("-ln P over pressure drop");
    tally.within("median [1/kPa]", 1e3 * quality, 28.5..=29.5);
    tally.within("share of lots within 26 %", within, 0.90..=1.0);
    tally.close_all();
}
