//! The resolved cell: capture by diffusion, interception and inertia as solved, not as fitted.
//!
//! `moteweir-sim` solves convective diffusion and limiting trajectories in Kuwabara's cell, slip on the fibre included,
//! over all webs, fibres and particles that occur; what it finds is compiled in as an [`Atlas`]. A [`Slice`] is the
//! atlas at one solidity and one fibre Knudsen number, ready for many particles. Diffusion and inertia together follow
//! from it by a rule that was measured against particles followed one by one ([`Slice::composed`]).
//!
//! Rebuilt by
//! `cargo run --release -p moteweir-sim --example rebuild_atlas -- crates/physics/src/single_fibre/resolved/atlas.bin`.

mod atlas;
mod axes;
mod composing;
mod field;
mod reference;
mod slice;
mod slip;
mod spline;
#[cfg(test)]
mod tests;

pub use atlas::{Atlas, AtlasError};
pub use axes::{Axes, Place};
pub use composing::{Layered, RULE_DOUBT};
pub use reference::closed_form;
pub use slice::{Mechanical, Slice};
pub use slip::{SlipAxes, SlipPlace};

/// Half of all points of the atlas miss a fresh solution of diffusion and interception by no more than this:
/// |E_atlas/E - 1|, points spread evenly over its axes.
///
/// Measured at 500 points (2.0e-5); asserted at fewer by the tests of `moteweir-sim`.
pub const MEDIAN_MISS: f64 = 4e-5;

/// No point tried misses a fresh solution of diffusion and interception by more than this.
///
/// Measured at 500 points (5.4e-4); nine in ten miss by less than 1.2e-4, 99 in 100 by less than 3.4e-4.
pub const LARGEST_MISS: f64 = 1e-3;

/// Nine points in ten miss a fresh limiting trajectory with slip on the fibre by no more than this:
/// |E_atlas - E|/(E + 0.001), E the efficiency of interception and inertia together.
///
/// Measured at 500 points (4.6e-4; half 3.1e-5, 99 in 100 4.3e-2). The rest are particles of R below 0.01 near the
/// Stokes number at which points begin to be caught, up to 0.18 off: sizes of a few nanometres, which have no such
/// inertia.
pub const MISS_WITH_SLIP: f64 = 2e-3;
