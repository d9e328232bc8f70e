//! Reports as figures for a design review.
//!
//! [`kit`] draws charts of any kind as SVG, PNG and CSV. Everything in the crate is text and bytes: nothing here
//! reads or writes files.

mod error;
pub mod kit;

pub use error::PlotError;
