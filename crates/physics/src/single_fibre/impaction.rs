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
pub(crate) use slice::{RoomPlace, straight_on};
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

/// Stokes number below which inertia adds less to interception than any other relation here is known to.
pub const NEGLIGIBLE_STOKES: f64 = 1e-3;

/// Half of all points of the table miss a fresh trajectory by no more than this: |E_table - E|/(E + 0.001), E the
/// efficiency of interception and inertia together, points spread over the table's axes.
///
/// Measured at 20 000 points and both releases (7.6e-6); asserted at fewer by the tests of `moteweir-sim`.
pub const MEDIAN_MISS: f64 = 1.2e-5;

/// No point tried misses a fresh trajectory by more than this, in the measure of [`MEDIAN_MISS`].
///
/// Measured at 20 000 points and both releases: 2.1e-3, for a particle that all but fills a dense cell; 1.2e-3 in front
/// of the steep rise; 99 in 100 miss by less than 5.5e-4, 999 in 1000 by less than 9.2e-4.
pub const LARGEST_MISS: f64 = 2.5e-3;
