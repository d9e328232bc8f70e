//! How one fibre catches a particle, one mechanism a file.
//!
//! All efficiencies are referred to the fibre diameter: the width of the stream that is cleared, over the fibre's
//! width. They can exceed 1. Which expressions belong together, and on which velocity, is the business of
//! [`crate::closure`].

pub mod closed_forms;
pub mod diffusion;
pub mod electret_law;
pub mod electrostatic;
pub mod gravity;
pub mod impaction;
pub mod interception;
pub mod resolved;
