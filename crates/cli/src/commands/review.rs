//! `review`: the whole job into a folder.

use std::io::IsTerminal;
use std::path::PathBuf;

use indicatif::{ProgressBar, ProgressStyle};
use moteweir::{predict, report, words};
use moteweir_plot::{Figure, PlotError, review_figures};
use rayon::prelude::*;

use crate::arguments::ReviewArguments;
use crate::folder;
use crate::outcome::{Failure, remark, say};
use crate::show_problems::{Source, case_of};

/// Width of a PNG in pixels: twice that of the figure on a page, for print.
const PNG_WIDTH: u32 = 1440;

pub(crate) fn run(arguments: &ReviewArguments, quiet: bool) -> Result<(), Failure> {
    let source = Source::read(&arguments.file)?;
    let out = arguments.out.clone().unwrap_or_else(|| default_folder(arguments));
    folder::check(&out)?;
    let case = case_of(&source)?;
    let progress = progress(quiet);
    progress.set_message("predicting");
    let review = predict::review(&case).map_err(Failure::Media)?;
    progress.set_message("drawing");
    let figures = review_figures(&review);
    let captions: Vec<(String, String)> =
        figures.iter().map(|f| (format!("{}.svg", f.name), f.chart.title.clone())).collect();
    let mut files = drawn(&figures)?;
    files.push(("summary.md".to_owned(), words::review(&review, &captions).into_bytes()));
    files.push(("curves.csv".to_owned(), report::csv::curves(&review.prediction)?.into_bytes()));
    files.push(("layers.csv".to_owned(), report::csv::layers(&review)?.into_bytes()));
    files.push(("velocities.csv".to_owned(), report::csv::velocities(&review)?.into_bytes()));
    files.push(("review.json".to_owned(), serde_json::to_vec_pretty(&review)?));
    files.push(("scenario.toml".to_owned(), source.text.clone().into_bytes()));
    progress.finish_and_clear();
    folder::write(&out, &files)?;
    say(&words::review_screen(&review))?;
    remark(&format!("\nThe review is in {}; begin with summary.md.", out.display()), quiet)
}

/// The files of the figures: picture, printable picture and the data beside them.
fn drawn(figures: &[Figure]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let files = figures
        .par_iter()
        .map(|figure| {
            let Figure { name, chart } = figure;
            Ok([
                (format!("{name}.svg"), chart.to_svg()?.into_bytes()),
                (format!("{name}.png"), chart.to_png(PNG_WIDTH)?),
                (format!("{name}.csv"), chart.to_csv().into_bytes()),
            ])
        })
        .collect::<Result<Vec<_>, PlotError>>()?;
    Ok(files.into_iter().flatten().collect())
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
