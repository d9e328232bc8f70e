//! Runs that take a while: a bar of progress on standard error, and an interrupt that ends them with what is known.

use std::io::IsTerminal;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use indicatif::{ProgressBar, ProgressStyle};

use crate::outcome::Failure;

/// A run under way.
pub(crate) struct LongRun {
    stop: Arc<AtomicBool>,
    bar: ProgressBar,
}

impl LongRun {
    /// Catches interrupts and shows a bar, unless it should be quiet or nobody looks.
    ///
    /// The first interrupt lets [`LongRun::step`] break the run off; a second one ends the program.
    pub(crate) fn begin(quiet: bool) -> Result<Self, Failure> {
        let stop = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&stop);
        ctrlc::set_handler(move || {
            if flag.swap(true, Ordering::Relaxed) {
                std::process::exit(130);
            }
        })
        .map_err(|source| Failure::Interrupts { source })?;
        Ok(Self { stop, bar: bar(quiet) })
    }

    /// Shows how far a run is, and says whether it should go on.
    pub(crate) fn step(&self, stack: &str, drawn: u64, expected: u64) -> ControlFlow<()> {
        self.bar.set_message(stack.to_owned());
        self.bar.set_length(expected);
        self.bar.set_position(drawn);
        if self.stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }

    /// Takes the bar away.
    pub(crate) fn end(&self) {
        self.bar.finish_and_clear();
    }
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
