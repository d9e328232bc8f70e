//! Draws the gallery: chosen figures of the example scenarios into `figures/` at the root of the repository, and the verdict
//! on closed forms into `figures/VERDICT.md` and, in brief, `README.md`.
//!
//! `cargo run --release -p moteweir-plot --example draw_gallery`, or with a folder to draw all figures of the
//! scenarios into it as PNG, to look at.

use std::error::Error;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::{env, fs};

use moteweir::predict::review;
use moteweir::resolve::{Effort, ResolveOptions, picture, resolve, verdict};
use moteweir::vary::{VaryOptions, vary};
use moteweir::wear::{WearOptions, wear};
use moteweir::{Case, Files, Scenario, Shelf, words};
use moteweir_plot::{Figure, cell_figure, review_figures, variation_figures, verdict_figures, wear_figures};

/// Stacks to sew, as they are; and a felt of unknown fibre on a face that leaks.
const STACKS: &str = "seaside-inserts.toml";
const UNSURE: &str = "unsure-felt.toml";

/// A 3 um particle at an 8 um fibre, light enough to wander a little: what the picture of a cell shows.
const CELL: ResolveOptions<'_> = ResolveOptions {
    solidity: 0.05,
    interception: Some(0.3),
    stokes: Some(0.6),
    peclet: Some(1e3),
    fibre_diameter: None,
    particle_diameter: None,
    face_velocity: None,
    particle_density: None,
    temperature: None,
    fibre_knudsen: None,
};
/// What stands over the table of the verdict.
const VERDICT_HEAD: &str = "# Closed forms against the solved cell

Drawn up by `cargo run --release -p moteweir-plot --example draw_gallery`. Each form is held against fresh solutions of \
one fibre in Kuwabara's cell, over the range that it is claimed for (sources from memory where `refs` says so); forms on \
the interstitial velocity are brought to the superficial one, as the penetration law does it; forms without slip are \
asked where there is none. The fitted forms were made for real, uneven filters: that they lie at 0.55 to 0.6 of an even \
cell is their business, not their fault.";
const CHARGE_HEAD: &str = "## Laws of charge

Against paths of points without inertia and diffusion, at solidity 0.02, 0.05 and 0.2, averaged over the orientation of \
the fibre's dipole. N is the drift speed at the fibre's surface over the velocity of the air. What the forces catch \
together with each other and with the particle's size is tabulated by the project (`electret_law`); it does not add.";
/// Points that each closed form is judged at.
const JUDGED: u32 = 400;

/// Figures of the first scenario, then of the second, by name.
const CHOSEN: [&str; 16] = [
    "efficiency-1-felt-between-sheeting",
    "efficiency-3-plain-melt-blown-between-interfacing",
    "mechanisms-2-craft-felt",
    "layers-efficiency-against-pressure-drop",
    "worst-size-against-velocity",
    "fan-1-two-felts-between-sheeting",
    "measure-next-1-two-felts-between-sheeting-1",
    "layers-alone-1-craft-felt",
    "worn-layers-1-craft-felt",
    "worn-pressure-1-craft-felt",
    "breath-1-craft-felt",
    "cell",
    "verdict-1-diffusion",
    "verdict-2-interception",
    "verdict-3-diffusion-and-interception",
    "verdict-4-inertial-increment",
];

/// The figure that the README shows, and its width (px).
const FRONT: (&str, u32) = ("layers-efficiency-against-pressure-drop", 1080);
/// Draws behind the fans: quantiles good to some per cent of themselves, in half a minute.
const DRAWS: u64 = 400;
/// Draws behind the worn layers.
const WORN_DRAWS: u64 = 100;
/// Width of a figure to look at (px).
const LOOK: u32 = 1080;

fn main() -> Result<(), Box<dyn Error>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut figures = review_figures(&review(&read(&root, STACKS)?).map_err(|faults| several(&faults))?);
    let unsure = read(&root, UNSURE)?;
    let draws = VaryOptions { draws: Some(DRAWS), ..VaryOptions::default() };
    figures.extend(variation_figures(&vary(&unsure, draws, |_, _| ControlFlow::Continue(()))?));
    let draws = WearOptions { draws: Some(WORN_DRAWS), ..WearOptions::default() };
    figures.extend(wear_figures(&wear(&unsure, draws)?));
    let cell = CELL.question()?;
    let solved = resolve(&cell, None, Effort::default())?;
    figures.push(cell_figure(&picture(&cell)?, &words::resolved_caption(&solved)));
    let judged = verdict(JUDGED, 1)?;
    figures.extend(verdict_figures(&judged));
    if let Some(folder) = env::args_os().nth(1) {
        return look(&PathBuf::from(folder), &figures);
    }
    let parts = [
        VERDICT_HEAD.to_owned(),
        words::verdict_sentence(&judged),
        words::verdict(&judged),
        CHARGE_HEAD.to_owned(),
        words::verdict_on_charge(&judged),
    ];
    let table = format!("{}\n", parts.join("\n\n"));
    fs::write(root.join("figures/VERDICT.md"), table)?;
    let brief = [words::verdict_sentence(&judged), words::verdict_in_brief(&judged)].join("\n\n");
    write_between_marks(&root.join("README.md"), &brief)?;
    publish(&root.join("figures"), &figures)
}

/// Puts the verdict between the marks of a page.
fn write_between_marks(page: &Path, text: &str) -> Result<(), Box<dyn Error>> {
    const MARKS: [&str; 2] = ["<!-- verdict -->", "<!-- end of verdict -->"];
    let whole = fs::read_to_string(page)?;
    let (before, rest) = whole.split_once(MARKS[0]).ok_or("README.md has no place for the verdict")?;
    let (_, after) = rest.split_once(MARKS[1]).ok_or("README.md has no end of the verdict")?;
    Ok(fs::write(page, format!("{before}{}\n{text}\n{}{after}", MARKS[0], MARKS[1]))?)
}

fn read(root: &Path, scenario: &str) -> Result<Case, Box<dyn Error>> {
    let folder = root.join("scenarios");
    let text = fs::read_to_string(folder.join(scenario))?;
    let mut files = Files::none();
    for file in Scenario::read(&text).0.files() {
        let text = fs::read_to_string(folder.join(&file.value))?;
        files.insert(&file.value, Ok(text));
    }
    Ok(Case::read_with(&text, Shelf::built_in(), &files)
        .map_err(|problems| format!("{scenario}: {problems:?}"))?)
}

/// Several faults as one text.
fn several(faults: &[impl Error]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

fn publish(folder: &Path, figures: &[Figure]) -> Result<(), Box<dyn Error>> {
    for name in CHOSEN {
        let figure = find(figures, name)?;
        fs::write(folder.join(format!("{name}.svg")), figure.chart.to_svg()?)?;
    }
    let (name, width) = FRONT;
    fs::write(folder.join(format!("{name}.png")), find(figures, name)?.chart.to_png(width)?)?;
    Ok(())
}

fn look(folder: &Path, figures: &[Figure]) -> Result<(), Box<dyn Error>> {
    fs::create_dir_all(folder)?;
    for figure in figures {
        fs::write(folder.join(format!("{}.png", figure.name)), figure.chart.to_png(LOOK)?)?;
    }
    Ok(())
}

fn find<'a>(figures: &'a [Figure], name: &str) -> Result<&'a Figure, Box<dyn Error>> {
    let found = figures.iter().find(|figure| figure.name == name);
    Ok(found.ok_or_else(|| format!("no figure is called {name}"))?)
}
