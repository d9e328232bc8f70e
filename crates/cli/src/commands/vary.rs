//! `vary`: many draws of whole stacks.

use std::io::IsTerminal;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressStyle};
use moteweir::vary::{VaryOptions, vary};
use moteweir::words;

use crate::arguments::VaryArguments;
use crate::outcome::{Failure, say};
use crate::show_problems::{Source, case_of};

pub(crate) fn run(arguments: &VaryArguments, quiet: bool) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let case = case_of(&source)?;
    let stop = stop_on_interrupt()?;
    let bar = bar(quiet);
    let options = VaryOptions { seed: arguments.seed, draws: arguments.draws };
    let report = vary(&case, options, |stack, progress| {
        bar.set_message(stack.to_owned());
        bar.set_length(progress.expected);
        bar.set_position(progress.drawn);
        if stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    })?;
    bar.finish_and_clear();
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::vary(&report)) }
}

/// A flag that the first interrupt sets; the run then ends with what is known. A second interrupt ends the program.
fn stop_on_interrupt() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&stop);
    ctrlc::set_handler(move || {
        if flag.swap(true, Ordering::Relaxed) {
            std::process::exit(130);
        }
    })
    .map_err(|source| Failure::Interrupts { source })?;
    Ok(stop)
}

fn bar(quiet: bool) -> ProgressBar {
    if quiet || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(0);
    if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {pos} of {len} draws {eta}") {
        bar.set_style(style);
    }
    bar
}
