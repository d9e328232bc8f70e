//! The `moteweir` program: arguments in, sentences and files out.

mod arguments;
mod bench_review;
mod commands;
mod drawing;
mod folder;
mod long_run;
mod option;
mod outcome;
mod quick;
mod show_problems;
mod swatch;

use std::process::ExitCode;

use clap::Parser;

use arguments::{Arguments, Command};
use outcome::Failure;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match run(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}

fn run(arguments: &Arguments) -> Result<(), Failure> {
    if let Some(threads) = arguments.threads {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads.get())
            .build_global()
            .map_err(|source| Failure::Threads { source })?;
    }
    match &arguments.command {
        Command::Check(check) => commands::check::run(check),
        Command::Materials(materials) => commands::materials::run(materials),
        Command::Keys => commands::keys::run(),
        Command::New(new) => commands::new::run(new, arguments.quiet),
        Command::Predict(predict) => commands::predict::run(predict),
        Command::Resolve(one) => commands::resolve::run(one),
        Command::Review(review) => commands::review::run(review, arguments.quiet),
        Command::Tally(tally) => commands::tally::run(tally),
        Command::Counts(counts) => commands::counts::run(counts),
        Command::Plan(plan) => commands::plan::run(plan),
        Command::Vary(vary) => commands::vary::run(vary, arguments.quiet),
        Command::Wear(wear) => commands::wear::run(wear, arguments.quiet),
        Command::Calibrate(calibrate) => commands::calibrate::run(calibrate, arguments.quiet),
        Command::InventBench(invent) => commands::calibrate::invent(invent),
    }
}
