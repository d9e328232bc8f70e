//! Quantiles of very many draws, each with its Monte Carlo standard error, in a memory that does not grow.
//!
//! [`run`] draws until the quantiles that were asked for are known well enough, or as often as it was told. Each
//! quantity goes into a [`Sketch`], which knows every quantile within one part in 2048 of its value.

mod estimate;
mod plan;
mod run;
mod sketch;

pub use estimate::{Estimate, Proportion};
pub use plan::{Draws, Plan, PlanError, Tolerance, Wanted};
pub use run::{Ending, Outcome, Progress, run};
pub use sketch::Sketch;
