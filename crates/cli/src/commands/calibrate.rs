//! `calibrate`: the model after what was measured.

use std::path::Path;

use moteweir::calibrate::{CalibrationOptions, calibrate, invent as invent_counts};
use moteweir::report::{self, CalibrationReport};
use moteweir::words;
use moteweir_plot::calibration_figures;

use crate::arguments::{CalibrateArguments, InventArguments};
use crate::drawing::{File, drawn};
use crate::folder;
use crate::long_run::LongRun;
use crate::outcome::{Failure, say};
use crate::show_problems::{Source, case_of};

/// Sweeps of each chain at the most, as the library takes them.
const MOST: u64 = 20_000;

pub(crate) fn run(arguments: &CalibrateArguments, quiet: bool) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    if let Some(out) = &arguments.out {
        folder::check(out)?;
    }
    let case = case_of(&source)?;
    let run = LongRun::begin(quiet)?;
    let options = CalibrationOptions {
        seed: arguments.seed,
        most_sweeps: arguments.most,
        next_seconds: arguments.next_seconds.map(f64::from),
    };
    let expected = arguments.most.unwrap_or(MOST);
    let report = calibrate(&case, options, |progress| run.step("calibrating", progress.sweeps, expected))?;
    run.end();
    if let Some(out) = &arguments.out {
        folder::write(out, &files(&report)?)?;
    }
    if arguments.json {
        say(&serde_json::to_string_pretty(&report)?)?;
    } else {
        say(&words::calibration(&report))?;
    }
    if report.converged {
        return Ok(());
    }
    Err(Failure::NotConverged { rhat: report.largest_rhat, ess: report.fewest_effective_draws })
}

/// What a folder holds.
fn files(report: &CalibrationReport) -> Result<Vec<File>, Failure> {
    let (mut files, _) = drawn(calibration_figures(report))?;
    files.extend([
        ("calibration.txt".to_owned(), words::calibration(report).into_bytes()),
        ("calibration.json".to_owned(), serde_json::to_vec_pretty(report)?),
        ("curves.csv".to_owned(), report::csv::calibrated_curves(report)?.into_bytes()),
        ("parameters.csv".to_owned(), report::csv::calibrated_parameters(report)?.into_bytes()),
        ("readings.csv".to_owned(), report::csv::predictive(report)?.into_bytes()),
    ]);
    Ok(files)
}

/// Prints the file of counts of a scenario, filled with invented counts.
pub(crate) fn invent(arguments: &InventArguments) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let case = case_of(&source)?;
    let name = case.bench.as_ref().and_then(|b| b.counts.as_ref()).map(|c| c.name.clone());
    let folder = arguments.file.parent().unwrap_or_else(|| Path::new("."));
    let path = folder.join(name.unwrap_or_default());
    let text = std::fs::read_to_string(&path).map_err(|source| Failure::Read { path, source })?;
    say(&invent_counts(&case, &text)?)
}
