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

pub use atlas::{Atlas, AtlasError};
pub use axes::{Axes, Place};
pub use composing::{Layered, RULE_DOUBT};
pub use reference::closed_form;
pub use slice::{Mechanical, Slice};
pub use slip::{SlipAxes, SlipPlace};
