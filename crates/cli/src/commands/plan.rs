//! `plan`: how long to count.

use moteweir::bench::{Plan, plan_counts};
use moteweir::words;
use moteweir_units::text::Dimension;

use crate::arguments::PlanArguments;
use crate::option::{Given, given, if_given, seconds};
use crate::outcome::{Failure, say};

pub(crate) fn run(arguments: &PlanArguments) -> Result<(), Failure> {
    let within = given("--within", &arguments.within);
    let report = plan_counts(&Plan {
        open: arguments.open,
        open_time: seconds("--seconds", arguments.seconds)?,
        efficiency: given("--efficiency", &arguments.efficiency).efficiency()?,
        within: within.si(Dimension::Fraction, 1e-6..=0.5, "0.0001 to 50 %")?,
        other: if_given("--other", arguments.other.as_ref(), Given::efficiency)?,
        claim: given("--claim", &arguments.claim).efficiency()?,
        total: given("--total", &arguments.total).time()?,
        dispersion: given("--dispersion", &arguments.dispersion).share()?,
        readings: arguments.readings,
        level: given("--level", &arguments.level).level()?,
        pump: if_given("--pump", arguments.pump.as_ref(), Given::pump)?,
        velocity: if_given("--velocity", arguments.velocity.as_ref(), Given::velocity)?,
    })?;
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::plan(&report)) }
}
