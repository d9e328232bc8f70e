//! `review`: the whole job into a folder.

use std::io::IsTerminal;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use moteweir::report::{VariationReport, WearReport};
use moteweir::vary::{VaryOptions, vary};
use moteweir::wear::{WearOptions, wear};
use moteweir::words::Decisions;
use moteweir::{Case, predict, report, words};
use moteweir_plot::{review_figures, variation_figures, wear_figures};

use crate::arguments::ReviewArguments;
use crate::bench_review::BenchReview;
use crate::drawing::{File, drawn};
use crate::folder;
use crate::outcome::{Failure, remark, say};
use crate::show_problems::{Source, case_of};

/// Draws of whole stacks in a review where the scenario names no number; `vary` makes as many as its tolerance needs.
const DRAWS: u64 = 500;

pub(crate) fn run(arguments: &ReviewArguments, quiet: bool) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let out = arguments.out.clone().unwrap_or_else(|| default_folder(arguments));
    folder::check(&out)?;
    let case = case_of(&source)?;
    let progress = progress(quiet);
    progress.set_message("predicting");
    let review = predict::review(&case).map_err(Failure::Media)?;
    let (varied, worn) = decisions(&case, &progress)?;
    progress.set_message("calibrating");
    let bench = BenchReview::of(&case, quiet)?;
    progress.set_message("drawing");
    let mut figures: Vec<_> = bench.iter().flat_map(BenchReview::figures).collect();
    figures.extend(review_figures(&review));
    figures.extend(varied.iter().flat_map(variation_figures));
    figures.extend(worn.iter().flat_map(wear_figures));
    let calibrated = bench.as_ref().and_then(|bench| bench.calibrated.as_ref());
    let decisions = Decisions { calibrated, varied: varied.as_ref(), worn: worn.as_ref() };
    let (mut files, figures) = drawn(figures)?;
    let captions: Vec<(String, String)> =
        figures.iter().map(|f| (format!("{}.svg", f.name), f.chart.title.clone())).collect();
    files.push(("summary.md".to_owned(), words::review(&review, decisions, &captions).into_bytes()));
    files.push(("curves.csv".to_owned(), report::csv::curves(&review.prediction)?.into_bytes()));
    files.push(("layers.csv".to_owned(), report::csv::layers(&review)?.into_bytes()));
    files.push(("velocities.csv".to_owned(), report::csv::velocities(&review)?.into_bytes()));
    files.push(("review.json".to_owned(), serde_json::to_vec_pretty(&review)?));
    if let Some(varied) = &varied {
        files.push(("variation.json".to_owned(), serde_json::to_vec_pretty(varied)?));
    }
    if let Some(worn) = &worn {
        files.push(("wear.json".to_owned(), serde_json::to_vec_pretty(worn)?));
    }
    if let Some(bench) = &bench {
        files.extend(bench.files()?);
    }
    files.push(("scenario.toml".to_owned(), source.text.clone().into_bytes()));
    files.extend(named_files(&source, &files));
    progress.finish_and_clear();
    folder::write(&out, &files)?;
    say(&words::review_screen(&review, decisions))?;
    remark(&format!("\nThe review is in {}; begin with summary.md.", out.display()), quiet)?;
    bench.as_ref().map_or(Ok(()), BenchReview::verdict)
}

/// The files that the scenario names, so that the copy of it in the folder can be run again: those that lie beside the
/// scenario and are called like no file of the review.
fn named_files(source: &Source, files: &[File]) -> Vec<File> {
    let is_plain =
        |name: &str| !name.starts_with('.') && Path::new(name).file_name().is_some_and(|plain| plain == name);
    let is_free = |name: &str| files.iter().all(|(taken, _)| taken != name);
    let texts = source.files.texts().filter(|(name, _)| is_plain(name) && is_free(name));
    texts.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).collect()
}

/// Draws of whole stacks where the scenario has something to decide, and a face where it has one.
fn decisions(
    case: &Case,
    progress: &ProgressBar,
) -> Result<(Option<VariationReport>, Option<WearReport>), Failure> {
    let decides = !case.targets.is_empty() || case.question.is_some();
    progress.set_message("drawing stacks");
    let options = VaryOptions { seed: None, draws: case.vary.draws.or(Some(DRAWS)) };
    let varied = decides.then(|| vary(case, options, |_, _| ControlFlow::Continue(()))).transpose()?;
    progress.set_message("wearing");
    let worn = case.face.is_some().then(|| wear(case, WearOptions::default())).transpose()?;
    Ok((varied, worn))
}

fn default_folder(arguments: &ReviewArguments) -> PathBuf {
    let stem = arguments.file.file_stem().unwrap_or_default().to_string_lossy();
    arguments.file.with_file_name(format!("{stem}-review"))
}

fn progress(quiet: bool) -> ProgressBar {
    if quiet || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new_spinner();
    if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(std::time::Duration::from_millis(100));
    bar
}
