//! `predict`: what the stacks of a scenario catch.

use moteweir::{predict, report, words};

use crate::arguments::PredictArguments;
use crate::outcome::{Failure, say};
use crate::quick;
use crate::show_problems::{Source, case_of};

pub(crate) fn run(arguments: &PredictArguments) -> Result<(), Failure> {
    let source = match &arguments.file {
        Some(path) => Source::read(path)?,
        None if arguments.quick.class.is_none() => return Err(Failure::Nothing),
        None => Source::of_options(quick::scenario(&arguments.quick)),
    };
    let case = case_of(&source)?;
    let prediction = predict::predict(&case).map_err(Failure::Media)?;
    if arguments.json {
        say(&serde_json::to_string_pretty(&prediction)?)
    } else if arguments.csv {
        say(&report::csv::curves(&prediction)?)
    } else {
        say(&words::prediction(&prediction))
    }
}
