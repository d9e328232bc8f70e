//! `wear`: a filter on a face.

use moteweir::wear::{WearOptions, wear_watched};
use moteweir::words;

use crate::arguments::WearArguments;
use crate::long_run::LongRun;
use crate::outcome::{Failure, say};
use crate::show_problems::{Source, case_of};

pub(crate) fn run(arguments: &WearArguments, quiet: bool) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let case = case_of(&source)?;
    let run = LongRun::begin(quiet)?;
    let options = WearOptions { seed: arguments.seed, draws: arguments.draws };
    let report =
        wear_watched(&case, options, |stack, progress| run.step(stack, progress.drawn, progress.expected))?;
    run.end();
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::wear(&report)) }
}
