//! How a run can fail, what is said then, and the exit code.

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use moteweir::predict::MediumFault;
use moteweir_units::text::TextError;

/// The input is wrong.
const WRONG_INPUT: u8 = 2;
/// The answer cannot be trusted.
const CANNOT_BE_TRUSTED: u8 = 3;

/// Why a run did not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// The scenario has problems; they have been shown.
    #[error("nothing was computed: {count} problem{} in {name}", if *.count == 1 { "" } else { "s" })]
    Problems {
        /// How many.
        count: usize,
        /// Where.
        name: String,
    },
    /// The physics cannot make layers of the materials.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Media(Vec<MediumFault>),
    /// Neither a file nor a material.
    #[error(
        "there is nothing to predict: name a scenario, or describe a material by --class (`moteweir predict --help` has an example of each)"
    )]
    Nothing,
    /// A file cannot be read.
    #[error("{} cannot be read: {source}", .path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file is no text.
    #[error("{} is not text in UTF-8 (byte {at} is not); save it as plain text", .path.display())]
    NotText {
        /// The file.
        path: PathBuf,
        /// The first byte that is no text.
        at: usize,
    },
    /// A file or folder cannot be written.
    #[error("{} cannot be written: {source}; nothing was changed", .path.display())]
    Write {
        /// The file or folder.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file is there already.
    #[error("{} is there already and was not touched; choose another name", .path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// A folder holds other things.
    #[error("{} holds {found}, which is not of an earlier review, so nothing in it was touched; choose another folder with --out", .path.display())]
    ForeignFolder {
        /// The folder.
        path: PathBuf,
        /// What it holds.
        found: String,
    },
    /// No class of that name.
    #[error("the shelf has no class \"{name}\"{}", .nearest.as_ref().map_or_else(|| "; `moteweir materials` lists them".to_owned(), |n| format!("; did you mean \"{n}\"?")))]
    NoClass {
        /// What was asked for.
        name: String,
        /// The most similar name.
        nearest: Option<String>,
    },
    /// Standard output is gone.
    #[error("the output cannot be written: {0}")]
    Output(#[from] io::Error),
    /// A table cannot be written.
    #[error(transparent)]
    Csv(#[from] moteweir::report::csv::CsvError),
    /// Results cannot be written as JSON.
    #[error("the results cannot be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// A figure cannot be drawn.
    #[error(transparent)]
    Figure(#[from] moteweir_plot::PlotError),
    /// The stacks cannot be drawn.
    #[error(transparent)]
    Vary(#[from] moteweir::vary::VaryFault),
    /// The filter cannot be worn.
    #[error(transparent)]
    Wear(#[from] moteweir::wear::WearFault),
    /// A particle at a fibre cannot be solved.
    #[error(transparent)]
    Resolve(#[from] moteweir::resolve::ResolveFault),
    /// An option that is no quantity.
    #[error("`{name}`: {error}")]
    Option {
        /// With its dashes.
        name: &'static str,
        /// As the unit reader says it.
        error: TextError,
    },
    /// An option outside what is possible.
    #[error("`{name}` = {text} is outside what is possible: {possible}")]
    OptionRange {
        /// With its dashes.
        name: &'static str,
        /// As written.
        text: String,
        /// What is possible.
        possible: &'static str,
    },
    /// The mass of a swatch of unknown size.
    #[error(
        "`--mass` = {mass} is that of a swatch: give its --width and --length too, or the mass over area, such as \"27 g/m2\""
    )]
    NoSides {
        /// As written.
        mass: String,
    },
    /// Counts without the velocity that a class needs.
    #[error(
        "a class says what layers must show only at a face velocity: give the column face_velocity_cm_per_s"
    )]
    NoVelocity,
    /// Counts that cannot be judged.
    #[error(transparent)]
    Counts(#[from] moteweir::bench::CountsError),
    /// A pair of counts that says nothing.
    #[error(transparent)]
    Tally(#[from] moteweir::bench::TallyFault),
    /// A time that cannot be planned.
    #[error(transparent)]
    Plan(#[from] moteweir::bench::PlanFault),
    /// The case cannot be calibrated.
    #[error(transparent)]
    Calibrate(#[from] moteweir::calibrate::CalibrationFault),
    /// A bench cannot be made up.
    #[error(transparent)]
    Invent(#[from] moteweir::calibrate::InventionFault),
    /// The chains of a calibration do not agree.
    #[error(
        "the calibration has not converged (R-hat {rhat:.3}, {ess:.0} effective draws); the result above cannot be trusted"
    )]
    NotConverged {
        /// The largest split R-hat.
        rhat: f64,
        /// The fewest effective draws.
        ess: f64,
    },
    /// A cell cannot be drawn.
    #[error("the cell cannot be drawn: {0}")]
    Picture(#[from] moteweir::resolve::PictureFault),
    /// Interrupts cannot be caught.
    #[error("interrupts cannot be caught: {source}")]
    Interrupts {
        /// Why.
        source: ctrlc::Error,
    },
    /// Threads cannot be started.
    #[error("the threads cannot be started: {source}")]
    Threads {
        /// Why.
        source: rayon::ThreadPoolBuildError,
    },
}

impl Failure {
    /// Says what went wrong on standard error and gives the exit code.
    pub(crate) fn report(&self) -> ExitCode {
        if let Self::Output(source) = self
            && source.kind() == io::ErrorKind::BrokenPipe
        {
            // Whoever read the output has seen enough.
            return ExitCode::SUCCESS;
        }
        let said = writeln!(io::stderr().lock(), "error: {self}");
        match self {
            _ if said.is_err() => ExitCode::FAILURE,
            Self::Problems { .. }
            | Self::Media(_)
            | Self::Nothing
            | Self::Vary(_)
            | Self::Option { .. }
            | Self::OptionRange { .. }
            | Self::NoSides { .. }
            | Self::NoVelocity
            | Self::Counts(_)
            | Self::Tally(_)
            | Self::Plan(_)
            | Self::Wear(_)
            | Self::Calibrate(_)
            | Self::Invent(_)
            | Self::Resolve(_)
            | Self::Picture(_)
            | Self::Read { .. }
            | Self::NotText { .. }
            | Self::Exists { .. }
            | Self::ForeignFolder { .. }
            | Self::NoClass { .. } => ExitCode::from(WRONG_INPUT),
            Self::NotConverged { .. } => ExitCode::from(CANNOT_BE_TRUSTED),
            _ => ExitCode::FAILURE,
        }
    }
}

/// Prints text and a line end to standard output.
pub(crate) fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    writeln!(out, "{}", text.trim_end_matches('\n'))?;
    Ok(out.flush()?)
}

/// Prints a remark to standard error, unless it should be quiet.
pub(crate) fn remark(text: &str, quiet: bool) -> Result<(), Failure> {
    if quiet {
        return Ok(());
    }
    Ok(writeln!(io::stderr().lock(), "{text}")?)
}
