//! What the program can be asked.

mod bench;

use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::sync::LazyLock;

use clap::{Args, Parser, Subcommand, ValueEnum};

use moteweir::words;

pub(crate) use bench::{CountsArguments, PlanArguments, SwatchArguments, TallyArguments};

/// Which material, which side out, how many layers, over what area: predicts what breathable filter layers catch
/// at every particle size, and what they cost in breath.
#[derive(Debug, Parser)]
#[command(name = "moteweir", version, after_help = EXIT_CODES)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
    /// Say nothing but results and problems.
    #[arg(long, global = true)]
    pub(crate) quiet: bool,
    /// Threads to use; the result is the same on any number.
    #[arg(long, global = true, value_name = "N")]
    pub(crate) threads: Option<NonZeroUsize>,
}

const EXIT_CODES: &str = "\
Exit codes: 0 done; 2 the input is wrong; 3 the answer cannot be trusted; 1 anything else.

Start:
  moteweir materials
  moteweir predict --class \"creped tissue\" --mass \"0.6 g\" --width \"20 cm\" --length \"11 cm\"
  moteweir new my-mask.toml
  moteweir review my-mask.toml";

static COUNTS_HELP: LazyLock<String> = LazyLock::new(|| {
    format!("{}\n\nExample:\n  moteweir counts scenarios/bench-counts.csv", words::count_columns())
});

/// One thing to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Say what is wrong with a scenario, or that it is fine and which defaults it would use.
    #[command(after_help = "Example:\n  moteweir check scenarios/smallest.toml")]
    Check(CheckArguments),
    /// List the classes of material on the shelf, or show one with its ranges and sources.
    #[command(after_help = "Example:\n  moteweir materials \"needled felt\"")]
    Materials(MaterialsArguments),
    /// List every key of a scenario, with its unit, range, default and an example.
    #[command(after_help = "Example:\n  moteweir keys")]
    Keys,
    /// Write a commented scenario to start from.
    #[command(after_help = "Example:\n  moteweir new my-mask.toml")]
    New(NewArguments),
    /// Predict what the stacks of a scenario catch, or one material from the command line.
    #[command(
        after_help = "Examples:\n  moteweir predict scenarios/smallest.toml\n  moteweir predict my-mask.toml --json > prediction.json\n  moteweir predict --class \"creped tissue\" --mass \"0.6 g\" --width \"20 cm\" --length \"11 cm\" \\\n      --thickness \"0.2 mm\" --layers 3 --velocity \"10 cm/s\""
    )]
    Predict(Box<PredictArguments>),
    /// Do the whole job: predictions, more layers, figures, data and a summary.
    #[command(
        after_help = "Example:\n  moteweir review scenarios/seaside-inserts.toml --out review\n\nThe folder is written whole or not at all. One that holds anything but an earlier review is not touched."
    )]
    Review(ReviewArguments),
    /// Solve one particle at one fibre, and hold the closed forms of the literature against it.
    #[command(
        after_help = "Examples:\n  moteweir resolve --solidity 0.05 --fibre-diameter \"2 um\" --particle-diameter \"1 um\" \\\n      --face-velocity \"10 cm/s\" --method trajectories\n  moteweir resolve --solidity 0.05 --interception 0.1 --peclet 1e4"
    )]
    Resolve(Box<ResolveArguments>),
    /// Count with and without a sample: what is caught, how sure that is, what a claim needs.
    #[command(
        after_help = "Examples:\n  moteweir tally --open 1104 --through 9 --seconds 10\n  moteweir tally --open 1104 --through 9 --seconds 10 --size \"1 um\" \\\n      --hole \"20 mm\" --pump \"2.83 L/min\" --class \"creped tissue\" \\\n      --mass \"27 g/m2\" --thickness \"0.2 mm\" --layers 3"
    )]
    Tally(Box<TallyArguments>),
    /// Judge a file of counts: what is caught, what can be told apart, what looks wrong.
    #[command(
        after_help = COUNTS_HELP.as_str()
    )]
    Counts(Box<CountsArguments>),
    /// Plan how long to count, open and through, and through how large a hole.
    #[command(
        after_help = "Example:\n  moteweir plan --open 1104 --seconds 10 --efficiency \"97 %\" --within \"0.5 %\" --other \"96 %\" \\\n      --pump \"2.83 L/min\""
    )]
    Plan(Box<PlanArguments>),
    /// Draw whole stacks many times: how sure, which targets hold, what to measure next.
    #[command(
        after_help = "Example:\n  moteweir vary scenarios/unsure-felt.toml --draws 200\n\nAn interrupt ends it with what is known by then."
    )]
    Vary(VaryArguments),
    /// Wear a filter on a leaking face: what is inhaled, and how many layers protect most.
    #[command(
        after_help = "Example:\n  moteweir wear scenarios/unsure-felt.toml --draws 50\n\nAn interrupt ends it with what is known by then."
    )]
    Wear(WearArguments),
    /// Calibrate the model to counts, curves and resistances that were measured.
    #[command(
        after_help = "Example:\n  moteweir calibrate scenarios/tested-felt.toml\n\nExit code 3 where the chains have not converged."
    )]
    Calibrate(CalibrateArguments),
    /// Make up the counts of a bench from the parameters in its file's comments.
    #[command(hide = true)]
    InventBench(InventArguments),
}

/// Arguments of `check`.
#[derive(Debug, Args)]
pub(crate) struct CheckArguments {
    /// The scenario.
    pub(crate) file: PathBuf,
}

/// Arguments of `materials`.
#[derive(Debug, Args)]
pub(crate) struct MaterialsArguments {
    /// A class of the shelf.
    pub(crate) name: Option<String>,
}

/// Arguments of `new`.
#[derive(Debug, Args)]
pub(crate) struct NewArguments {
    /// Where to write; must not exist yet.
    pub(crate) file: PathBuf,
}

/// Arguments of `predict`.
#[derive(Debug, Args)]
pub(crate) struct PredictArguments {
    /// The scenario; without one, describe a material by the options.
    #[arg(conflicts_with = "QuickMaterial")]
    pub(crate) file: Option<PathBuf>,
    /// Print the whole prediction as JSON.
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,
    /// Print the curves as CSV.
    #[arg(long)]
    pub(crate) csv: bool,
    /// The material, when there is no file.
    #[command(flatten)]
    pub(crate) quick: QuickMaterial,
}

/// A material described on the command line; every quantity with its unit.
#[derive(Debug, Args)]
#[command(next_help_heading = "A material without a file")]
pub(crate) struct QuickMaterial {
    /// Class of the shelf, such as "creped tissue".
    #[arg(long)]
    pub(crate) class: Option<String>,
    /// Mass of a swatch, such as "0.6 g".
    #[arg(long, requires = "class", requires = "width", requires = "length")]
    pub(crate) mass: Option<String>,
    /// Width of the swatch, such as "20 cm".
    #[arg(long, requires = "mass")]
    pub(crate) width: Option<String>,
    /// Length of the swatch, such as "11 cm".
    #[arg(long, requires = "mass")]
    pub(crate) length: Option<String>,
    /// Sheets in the swatch.
    #[arg(long, requires = "mass")]
    pub(crate) sheets: Option<u32>,
    /// Basis weight, instead of a swatch, such as "25 g/m2".
    #[arg(long, requires = "class", conflicts_with = "mass")]
    pub(crate) basis_weight: Option<String>,
    /// Thickness of one sheet, such as "0.2 mm".
    #[arg(long, requires = "class")]
    pub(crate) thickness: Option<String>,
    /// Fibre diameter, such as "14 um".
    #[arg(long, requires = "class")]
    pub(crate) fibre_diameter: Option<String>,
    /// Air permeability of one sheet, such as "350 mm/s at 200 Pa".
    #[arg(long, requires = "class")]
    pub(crate) air_permeability: Option<String>,
    /// Pressure drop of one sheet, such as "24 Pa at 10 cm/s".
    #[arg(long, requires = "class", conflicts_with = "air_permeability")]
    pub(crate) pressure_drop: Option<String>,
    /// How many layers.
    #[arg(long, requires = "class", value_parser = clap::value_parser!(u32).range(1..=100))]
    pub(crate) layers: Option<u32>,
    /// Face velocity, such as "10 cm/s"; may be given more than once.
    #[arg(long, requires = "class")]
    pub(crate) velocity: Vec<String>,
    /// Flow through the device, such as "85 L/min".
    #[arg(long, requires = "class")]
    pub(crate) flow: Option<String>,
    /// Filtering area of the device, such as "150 cm2".
    #[arg(long, requires = "class")]
    pub(crate) area: Option<String>,
}

/// Arguments of `review`.
#[derive(Debug, Args)]
pub(crate) struct ReviewArguments {
    /// The scenario.
    pub(crate) file: PathBuf,
    /// The folder to write; by default beside the file, named after it.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

/// Arguments of `resolve`.
#[derive(Debug, Args)]
pub(crate) struct ResolveArguments {
    /// Share of the web's volume that is fibre.
    #[arg(long, allow_negative_numbers = true)]
    pub(crate) solidity: f64,
    /// Fibre diameter, such as "2 um".
    #[arg(long, help_heading = "In sizes")]
    pub(crate) fibre_diameter: Option<String>,
    /// Particle diameter, such as "1 um".
    #[arg(long, help_heading = "In sizes")]
    pub(crate) particle_diameter: Option<String>,
    /// Face velocity, such as "10 cm/s".
    #[arg(long, help_heading = "In sizes")]
    pub(crate) face_velocity: Option<String>,
    /// Particle density; that of water if not given.
    #[arg(long, help_heading = "In sizes")]
    pub(crate) particle_density: Option<String>,
    /// Temperature of the air; 23 degC if not given.
    #[arg(long, help_heading = "In sizes")]
    pub(crate) temperature: Option<String>,
    /// Particle over fibre diameter; a point if not given.
    #[arg(long, allow_negative_numbers = true, help_heading = "In groups, over the face velocity")]
    pub(crate) interception: Option<f64>,
    /// Stokes number over the fibre diameter; no inertia if not given.
    #[arg(long, allow_negative_numbers = true, help_heading = "In groups, over the face velocity")]
    pub(crate) stokes: Option<f64>,
    /// Peclet number; no diffusion if not given.
    #[arg(long, allow_negative_numbers = true, help_heading = "In groups, over the face velocity")]
    pub(crate) peclet: Option<f64>,
    /// Twice the mean free path over the fibre diameter; no slip if not given.
    #[arg(long, allow_negative_numbers = true, help_heading = "In groups, over the face velocity")]
    pub(crate) fibre_knudsen: Option<f64>,
    /// How to solve; by default what leaves nothing out.
    #[arg(long, value_enum)]
    pub(crate) method: Option<SolveBy>,
    /// Also draw the cell into this new file, .svg or .png.
    #[arg(long, value_name = "FILE")]
    pub(crate) picture: Option<PathBuf>,
    /// Random histories of the method langevin.
    #[arg(long, default_value_t = moteweir::resolve::USUAL_HISTORIES, value_parser = clap::value_parser!(u64).range(2..))]
    pub(crate) histories: u64,
    /// Where the random numbers begin; the same seed gives the same result.
    #[arg(long, default_value_t = moteweir::resolve::USUAL_SEED)]
    pub(crate) seed: u64,
    /// Print the whole result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
}

/// How to solve.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum SolveBy {
    /// The concentration round the fibre: diffusion and interception.
    Cell,
    /// Limiting trajectories: interception and inertia.
    Trajectories,
    /// Random histories: everything at once.
    Langevin,
    /// What was solved before, interpolated: quick.
    Atlas,
}

impl From<SolveBy> for moteweir::resolve::Method {
    fn from(by: SolveBy) -> Self {
        match by {
            SolveBy::Cell => Self::Cell,
            SolveBy::Trajectories => Self::Trajectories,
            SolveBy::Langevin => Self::Langevin,
            SolveBy::Atlas => Self::Atlas,
        }
    }
}

/// Arguments of `vary`.
#[derive(Debug, Args)]
pub(crate) struct VaryArguments {
    /// The scenario.
    pub(crate) file: PathBuf,
    /// Print the whole result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// Where the random numbers begin; the same seed gives the same result.
    #[arg(long)]
    pub(crate) seed: Option<u64>,
    /// Exactly this many draws; else as many as the tolerance needs.
    #[arg(long, value_parser = clap::value_parser!(u64).range(2..))]
    pub(crate) draws: Option<u64>,
}

/// Arguments of `calibrate`.
#[derive(Debug, Args)]
pub(crate) struct CalibrateArguments {
    /// The scenario.
    pub(crate) file: PathBuf,
    /// Print the whole result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// Write the result and its curves into this folder as well.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Where the random numbers begin; the same seed gives the same result.
    #[arg(long)]
    pub(crate) seed: Option<u64>,
    /// Sweeps of each chain at the most.
    #[arg(long, value_name = "SWEEPS", value_parser = clap::value_parser!(u64).range(100..))]
    pub(crate) most: Option<u64>,
    /// Seconds of counting that the next measurement may take.
    #[arg(long, value_name = "S", value_parser = clap::value_parser!(u32).range(1..))]
    pub(crate) next_seconds: Option<u32>,
}

/// Arguments of `invent-bench`.
#[derive(Debug, Args)]
pub(crate) struct InventArguments {
    /// The scenario.
    pub(crate) file: PathBuf,
}

/// Arguments of `wear`.
#[derive(Debug, Args)]
pub(crate) struct WearArguments {
    /// The scenario.
    pub(crate) file: PathBuf,
    /// Print the whole result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// Where the random numbers begin; the same seed gives the same result.
    #[arg(long)]
    pub(crate) seed: Option<u64>,
    /// How many draws.
    #[arg(long, value_parser = clap::value_parser!(u64).range(2..))]
    pub(crate) draws: Option<u64>,
}
