//! The atlas: capture by diffusion, interception and inertia in the cell, tabulated, and how far the tables and the rule
//! that joins them are from the solvers.

mod build;
mod design;
pub mod together;
mod trial;

pub use build::{Nodes, build};
pub use design::{Joint, JointError, Origin, Point, design, solve};
pub use together::Comparison;
pub use trial::{Misses, Sample, diffusive_misses, inertial_misses, spread_misses};
