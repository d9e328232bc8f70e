//! What the checks of the workspace share: tables of published rows, and comparisons that say what missed what.
//!
//! The folder of a test says what its failure means. `analytic`: a closed form or an identity is broken, so the code is
//! wrong. `published`: the code and the literature, or the code and a measurement, no longer agree as they did.
//! `regression`: a number moved, for good or ill.

mod fixtures;
mod table;
mod tally;

pub use fixtures::{air_with_mean_free_path, quadrature, solidity, still_air, web};
pub use table::{Printed, Row, Table};
pub use tally::{Tally, logarithmic};
