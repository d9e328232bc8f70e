//! `resolve`: one particle at one fibre.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::Path;

use moteweir::report::ResolvedReport;
use moteweir::resolve::{CellQuestion, Effort, Method, ResolveOptions, picture, resolve};
use moteweir::words;
use moteweir_plot::cell_figure;
use moteweir_plot::kit::Chart;

use crate::arguments::ResolveArguments;
use crate::outcome::{Failure, say};

pub(crate) fn run(arguments: &ResolveArguments) -> Result<(), Failure> {
    let question = options(arguments).question()?;
    let effort = Effort { seed: arguments.seed, histories: arguments.histories };
    let report = resolve(&question, arguments.method.map(Method::from), effort)?;
    if let Some(path) = &arguments.picture {
        draw(&question, &report, path)?;
    }
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::resolve(&report)) }
}

fn options(arguments: &ResolveArguments) -> ResolveOptions<'_> {
    ResolveOptions {
        solidity: arguments.solidity,
        fibre_diameter: arguments.fibre_diameter.as_deref(),
        particle_diameter: arguments.particle_diameter.as_deref(),
        face_velocity: arguments.face_velocity.as_deref(),
        particle_density: arguments.particle_density.as_deref(),
        temperature: arguments.temperature.as_deref(),
        interception: arguments.interception,
        stokes: arguments.stokes,
        peclet: arguments.peclet,
        fibre_knudsen: arguments.fibre_knudsen,
    }
}

/// Draws the cell into a file that must not exist yet.
fn draw(question: &CellQuestion, report: &ResolvedReport, path: &Path) -> Result<(), Failure> {
    let figure = cell_figure(&picture(question)?, &words::resolved_caption(report));
    let is_png = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("png"));
    let bytes =
        if is_png { figure.chart.to_png(Chart::PNG_WIDTH)? } else { figure.chart.to_svg()?.into_bytes() };
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|source| {
        if source.kind() == ErrorKind::AlreadyExists {
            Failure::Exists { path: path.to_owned() }
        } else {
            Failure::Write { path: path.to_owned(), source }
        }
    })?;
    file.write_all(&bytes).map_err(|source| Failure::Write { path: path.to_owned(), source })
}
