//! Impaction: what inertia adds to interception, from a table of limiting trajectories in the Kuwabara cell.
//!
//! No printed closed form is usable: below a Stokes number of 0.2 leaving impaction out is nearer the truth than the
//! straight lines of the literature (see [`published`]), since the increment first dips below zero, then rises
//! steeply. The trajectories are solved by `moteweir-sim` (`trajectory`), for a particle with Stokes drag in the flow
//! without slip; [`ImpactionSlice`] reads the table at one solidity. [`ImpactionTable`] documents the file.
//!
//! Rebuilt by `cargo run --release -p moteweir-sim --example rebuild_impaction_table -- <out>`.

pub mod published;
mod slice;
mod table;

pub use slice::{ImpactionSlice, Increment};
pub use table::{Axes, Axis, ImpactionTable, TableError};

use crate::range::Range;
use crate::refs;

/// How a particle enters the cell of a fibre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Release {
    /// With the uniform velocity U along the axis: it has the right limit, 1 + R, for heavy particles.
    Uniform,
    /// With the velocity that the air has where it enters: the other bound.
    Fluid,
}

/// Solidities that the table covers. Beyond them the nearest solidity's ratios to pure interception answer.
pub const SOLIDITY_RANGE: Range = Range {
    relation: "impaction table",
    quantity: "solidity",
    low: 0.003,
    high: 0.7,
    source: refs::CELL_TRAJECTORIES,
};
