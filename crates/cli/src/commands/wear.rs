//! `wear`: a filter on a face.

use moteweir::wear::{WearOptions, wear};
use moteweir::words;

use crate::arguments::WearArguments;
use crate::outcome::{Failure, say};
use crate::show_problems::{Source, case_of};

pub(crate) fn run(arguments: &WearArguments) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let case = case_of(&source)?;
    let options = WearOptions { seed: arguments.seed, draws: arguments.draws };
    let report = wear(&case, options)?;
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::wear(&report)) }
}
