//! The verdict on closed forms: each against the solved cell, over the range that it is claimed for and beyond.
//!
//! Points are spread over the claimed range by a scrambled Sobol sequence; the group that a form depends on most, its
//! main group, runs over all that the solvers answer. Each point is solved afresh: nothing here is interpolated.
//!
//! A form of diffusion or interception misses by its value over the solved one, less 1. An increment of inertia or
//! settling can be next to nothing; it misses by its difference over the whole, interception included.

mod charge;
mod design;
mod judge;
mod truth;

pub use charge::{JudgedChargeLaw, judge_charge};
pub use design::Group;
pub use judge::{Judged, Miss, VerdictFault, judge};

/// A form is taken to hold where nine in ten points miss by no more.
pub const GOOD: f64 = 0.1;
