//! One particle at one fibre, solved: the single-fibre efficiency from the equations of motion, beside what the closed
//! forms of the literature say.
//!
//! All efficiencies are referred to the fibre's diameter and the velocity of the cell, which is the superficial one.

mod comparison;
mod method;
mod options;
mod picture;
mod question;
mod solved;
mod verdict;

use moteweir_sim::convection::ConvectionError;
use moteweir_sim::langevin::LangevinError;
use moteweir_sim::trajectory::TrajectoryError;

pub use method::Method;
pub use options::{OptionFault, OptionFaultKind, ResolveOptions};
pub use picture::{CellPicture, PictureFault, picture};
pub use question::CellQuestion;
pub use verdict::verdict;

use crate::report::{RESOLVED_FORMAT, ResolvedReport};
use solved::{Solved, solve};

/// Histories of the random method where no number is asked for: about 1 % at an efficiency of 0.05.
pub const USUAL_HISTORIES: u64 = 20_000;
/// Where random numbers begin when nothing is said.
pub const USUAL_SEED: u64 = 1;

/// Why nothing could be solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ResolveFault {
    /// The options do not say what to solve.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n       "))]
    Options(Vec<OptionFault>),
    /// The diffusing particle is none that the solver takes.
    #[error(transparent)]
    Convection(#[from] ConvectionError),
    /// Nor the particle with inertia.
    #[error(transparent)]
    Trajectory(#[from] TrajectoryError),
    /// Nor the random walker.
    #[error(transparent)]
    Langevin(#[from] LangevinError),
}

/// How much work a random method does, and with which random numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Where the random numbers begin.
    pub seed: u64,
    /// Particles that are let in.
    pub histories: u64,
}

impl Default for Effort {
    fn default() -> Self {
        Self { seed: USUAL_SEED, histories: USUAL_HISTORIES }
    }
}

/// Solves one particle at one fibre by a method, or by the one that leaves nothing out.
///
/// # Errors
/// Where the particle does not fit into the cell or a group is not possible.
pub fn resolve(
    question: &CellQuestion,
    method: Option<Method>,
    effort: Effort,
) -> Result<ResolvedReport, ResolveFault> {
    let method = method.unwrap_or_else(|| Method::that_leaves_nothing_out(question));
    let Solved { efficiency, low, high, standard_error, grid_error, notes } =
        solve(question, method, effort)?;
    Ok(ResolvedReport {
        format: RESOLVED_FORMAT,
        method: method.name(),
        method_in_words: method.words(),
        single_fibre_efficiency: efficiency,
        low,
        high,
        standard_error,
        grid_error,
        groups: question.report(),
        closed_forms: comparison::closed_forms(question, method),
        notes,
    })
}

#[cfg(test)]
mod tests;
