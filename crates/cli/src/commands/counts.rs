//! `counts`: what a file of counts says.

use moteweir::bench::{CountsOptions, Expected, Instrument, LayerModel, Readings, counts};
use moteweir::{Case, words};
use moteweir_units::text::Dimension;
use moteweir_units::{Flow, Length, Velocity};

use crate::arguments::CountsArguments;
use crate::option::{Given, given, if_given};
use crate::outcome::{Failure, say};
use crate::show_problems::{Source, accepted};
use crate::swatch;

pub(crate) fn run(arguments: &CountsArguments) -> Result<(), Failure> {
    let level = given("--level", &arguments.level).level()?;
    let spread = if_given("--spread", arguments.spread.as_ref(), |option| {
        option.si(Dimension::Fraction, 0.0..=3.0, "0 to 300 %")
    })?;
    let instrument = instrument(arguments)?;
    let case = swatch::case(&arguments.swatch)?;
    let source = Source::plain(&arguments.file)?;
    let readings = accepted(&source, Readings::read(&source.text), |readings| &readings.warnings)?;
    let velocity = readings.readings.iter().find_map(|reading| reading.face_velocity);
    let model = case.as_ref().map(|(case, _)| layer(case, velocity)).transpose()?;
    let exponent = |size: Length| model.as_ref().map_or(f64::NAN, |model| model.exponent(size));
    let expected = match (&case, spread) {
        (Some((_, of)), _) => Expected::Model { exponent: &exponent, of },
        (None, Some(spread)) => Expected::Spread(spread),
        (None, None) => Expected::Usual,
    };
    let report = counts(&readings, &CountsOptions { level, instrument, expected })?;
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::counts(&report)) }
}

fn layer(case: &Case, velocity: Option<Velocity>) -> Result<LayerModel, Failure> {
    let velocity = velocity.ok_or(Failure::NoVelocity)?;
    LayerModel::new(case, velocity).map_err(|fault| Failure::Media(vec![fault]))?.ok_or(Failure::Nothing)
}

fn instrument(arguments: &CountsArguments) -> Result<Instrument, Failure> {
    let dead_time_s = if_given("--dead-time", arguments.dead_time.as_ref(), Given::dead_time)?;
    let most = arguments.maximum_concentration.as_ref();
    let maximum_per_m3 = if_given("--maximum-concentration", most, Given::concentration)?;
    let flow_m3_per_s = if_given("--pump", arguments.pump.as_ref(), Given::pump)?;
    Ok(Instrument { dead_time_s, maximum_per_m3, flow_m3_per_s: flow_m3_per_s.map(Flow::si) })
}
