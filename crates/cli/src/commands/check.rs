//! `check`: what is wrong with a scenario, or the defaults it would use.

use moteweir::{report, words};

use crate::arguments::CheckArguments;
use crate::outcome::{Failure, say};
use crate::show_problems::{Source, case_of};

pub(crate) fn run(arguments: &CheckArguments) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let case = case_of(&source)?;
    say(&format!("{} is fine.", source.name))?;
    let assumed = words::assumed(&report::assumed(&case));
    if assumed.is_empty() { Ok(()) } else { say(&format!("\n{assumed}")) }
}
