//! Which inputs an uncertain answer comes from: first-order and total Sobol indices, with standard errors.
//!
//! Inputs may be taken in groups, so that what the user does not know can be asked apart from what varies from piece to
//! piece. A group's first-order index is the share of the variance that would go if the group alone were known exactly;
//! its total index is the share that would stay if all else were known.

mod design;
mod sums;

pub use design::{Design, DesignError, Sensitivity, sensitivity};
pub use sums::{GroupIndices, OutputIndices};
