//! The joint law of a line-dipole electret: interception, Coulomb force and polarisation at once.
//!
//! A charged particle at an electret fibre is drawn by two forces while the air carries it past; what they catch does not
//! add. The law here is computed: paths of particles without inertia in Kuwabara's cell, averaged over the orientation of
//! the fibre's dipole, tabulated over both charge numbers, the particle's size and the web's solidity.
//!
//! [`joined`] brings in what diffusion and inertia catch.

mod axis;
mod join;
mod law;
mod table;

pub use axis::{Axis, Place};
pub use join::{Parts, joined, joining_miss, joining_spread};
pub(crate) use join::{held_off, spread};
pub use law::{ChargeNumbers, ElectretLaw, SLIP_LAYER};
pub use table::{Axes, ElectretTable, TableError};

use crate::range::Range;
use crate::refs;

/// Largest miss of the compiled table at fresh random points: |E_table/E - 1|.
///
/// At 4000 points 0.05, where polarisation above 30 draws in more than the air of a dense cell brings; nine in ten within
/// 0.003, 99 in 100 within 0.02.
pub const LARGEST_MISS: f64 = 0.06;
/// Median miss of the compiled table.
pub const MEDIAN_MISS: f64 = 4e-4;

/// Largest miss of the rule for slip, at fibre Knudsen numbers to 0.5.
pub const SLIP_MISS: f64 = 0.06;

/// Charge numbers over which the law holds. The table begins at a sum of 1e-5; below, the law is that of a layer as thin as
/// there, up to 4 % low; above it is held.
pub const CHARGE_RANGE: Range = Range {
    relation: "joint electret capture",
    quantity: "charge parameter N",
    low: 0.0,
    high: 100.0,
    source: refs::CELL_ELECTRET,
};

/// Solidities over which the table was computed; it is held beyond.
pub const SOLIDITY_RANGE: Range = Range {
    relation: "joint electret capture",
    quantity: "solidity",
    low: 0.003,
    high: 0.4,
    source: refs::CELL_ELECTRET,
};
