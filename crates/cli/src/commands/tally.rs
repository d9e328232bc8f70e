//! `tally`: one count of the room, one through a sample.

use moteweir::bench::{Instrument, Tally, tally};
use moteweir::words;
use moteweir_units::Flow;

use crate::arguments::TallyArguments;
use crate::option::{Given, given, if_given, seconds};
use crate::outcome::{Failure, say};
use crate::swatch;

pub(crate) fn run(arguments: &TallyArguments) -> Result<(), Failure> {
    let hole = if_given("--hole", arguments.hole.as_ref(), Given::hole)?;
    let pump = if_given("--pump", arguments.pump.as_ref(), Given::pump)?;
    let open_time = seconds("--seconds", arguments.seconds)?;
    let through_time = arguments.through_seconds.map(|s| seconds("--through-seconds", s)).transpose()?;
    let size = if_given("--size", arguments.size.as_ref(), Given::particle_size)?;
    let claim = given("--claim", &arguments.claim).efficiency()?;
    let level = given("--level", &arguments.level).level()?;
    let dead_time_s = if_given("--dead-time", arguments.dead_time.as_ref(), Given::dead_time)?;
    let most = arguments.maximum_concentration.as_ref();
    let maximum_per_m3 = if_given("--maximum-concentration", most, Given::concentration)?;
    let case = swatch::case(&arguments.swatch)?;
    let report = tally(&Tally {
        open: arguments.open,
        open_time,
        through: arguments.through,
        through_time: through_time.unwrap_or(open_time),
        level,
        claim,
        size,
        suction: hole.zip(pump),
        instrument: Instrument { dead_time_s, maximum_per_m3, flow_m3_per_s: pump.map(Flow::si) },
        material: case.as_ref().map(|(case, name)| (case, name.as_str())),
    })?;
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::tally(&report)) }
}
