//! Quantities as text: what is printed reads back, and every unit of a dimension reads.

use moteweir_tests::Tally;
use moteweir_units::show::Show;
use moteweir_units::text::{Dimension, FromText, read, read_pair};
use moteweir_units::{
    Area, BasisWeight, Density, Flow, Length, LinearDensity, Mass, Pressure, Resistance, SurfaceCharge,
    Temperature, ThreadCount, Velocity,
};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

#[test]
fn every_unit_that_is_named_reads_as_its_dimension() {
    let mut tally = Tally::of("units");
    for dimension in Dimension::ALL {
        tally.holds(dimension.noun(), "its example reads", read(dimension.example(), dimension).is_ok());
        for unit in dimension.units() {
            let (one, two) = (read(&format!("1 {unit}"), dimension), read(&format!("2 {unit}"), dimension));
            tally.holds(format!("{} in {unit}", dimension.noun()), "reads", one.is_ok() && two.is_ok());
            let affine = ["degC", "degF", "°C", "°F", "Ne"].contains(unit);
            if let (Ok(one), Ok(two), false) = (one, two, affine) {
                tally.relative(format!("2 {unit}"), two, 2.0 * one, 1e-15);
            }
        }
    }
    tally.close_all();
}

#[test]
fn conversions_of_the_trade() {
    let mut tally = Tally::of("conversions to SI");
    for (text, dimension, si) in [
        ("1 mmH2O", Dimension::Pressure, 9.80665),
        ("1 inH2O", Dimension::Pressure, 249.08891),
        ("1 mbar", Dimension::Pressure, 100.0),
        ("1 ft/min", Dimension::Velocity, 5.08e-3),
        ("1 cfm", Dimension::Flow, 4.719_474_432e-4),
        ("1 cfm/ft2", Dimension::Velocity, 5.08e-3),
        ("1 L/min", Dimension::Flow, 1.0 / 60_000.0),
        ("1 oz/yd2", Dimension::BasisWeight, 0.033_905_747_5),
        ("1 dtex", Dimension::LinearDensity, 1e-7),
        ("9 denier", Dimension::LinearDensity, 1e-6),
        ("1 Ne", Dimension::LinearDensity, 590.541_247e-6),
        ("23 degC", Dimension::Temperature, 296.15),
        ("73.4 degF", Dimension::Temperature, 296.15),
        ("1 mil", Dimension::Length, 25.4e-6),
        ("60 /in", Dimension::ThreadCount, 60.0 / 0.0254),
        ("45 %", Dimension::Fraction, 0.45),
    ] {
        tally.relative(text, read(text, dimension).unwrap_or(f64::NAN), si, 2e-8);
    }
    let pair = read_pair("350 mm/s at 200 Pa", Dimension::Velocity, Dimension::Pressure).unwrap();
    tally.relative("permeability", pair.0, 0.35, 1e-15);
    tally.relative("its pressure", pair.1, 200.0, 1e-15);
    tally.close_all();
}

/// What is shown with 17 digits reads back to a few last places.
fn comes_back<Q: Show + FromText>(quantity: Q, si: f64, of: fn(Q) -> f64) -> Result<(), TestCaseError> {
    let text = quantity.show(17);
    let back = Q::read(&text).map(of).map_err(|e| TestCaseError::fail(format!("`{text}`: {e}")))?;
    prop_assert!((back / si - 1.0).abs() < 1e-14, "`{text}` read as {back}, was {si}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, rng_seed: RngSeed::Fixed(20), ..ProptestConfig::default() })]

    #[test]
    fn what_is_shown_reads_back(mantissa in 1.0_f64..10.0, exponent in -3_i32..3) {
        let scale = mantissa * 10.0_f64.powi(exponent);
        comes_back(Length::from_si(scale * 1e-5), scale * 1e-5, Length::si)?;
        comes_back(Area::from_si(scale * 1e-3), scale * 1e-3, Area::si)?;
        comes_back(Mass::from_si(scale * 1e-3), scale * 1e-3, Mass::si)?;
        comes_back(Pressure::from_si(scale * 10.0), scale * 10.0, Pressure::si)?;
        comes_back(Velocity::from_si(scale * 0.1), scale * 0.1, Velocity::si)?;
        comes_back(Flow::from_si(scale * 1e-3), scale * 1e-3, Flow::si)?;
        comes_back(BasisWeight::from_si(scale * 0.1), scale * 0.1, BasisWeight::si)?;
        comes_back(Density::from_si(scale * 100.0), scale * 100.0, Density::si)?;
        comes_back(LinearDensity::from_si(scale * 1e-6), scale * 1e-6, LinearDensity::si)?;
        comes_back(ThreadCount::from_si(scale * 1e3), scale * 1e3, ThreadCount::si)?;
        comes_back(Temperature::from_si(300.0 + scale), 300.0 + scale, Temperature::si)?;
        comes_back(SurfaceCharge::from_si(scale * 1e-5), scale * 1e-5, SurfaceCharge::si)?;
        comes_back(Resistance::from_si(scale * 100.0), scale * 100.0, Resistance::si)?;
    }

    #[test]
    fn any_text_is_a_quantity_or_an_error_that_points_into_it(text in "\\PC{0,40}") {
        for dimension in Dimension::ALL {
            if let Err(error) = read(&text, dimension) {
                prop_assert!(text.get(error.span.clone()).is_some(), "{:?} in {text:?}", error.span);
                prop_assert!(!error.to_string().is_empty());
            }
        }
    }
}
