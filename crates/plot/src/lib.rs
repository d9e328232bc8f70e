//! Reports as figures for a design review.
//!
//! [`kit`] draws charts of any kind as SVG, PNG and CSV; [`figures`] turns results into charts. Everything in the crate is text and bytes: nothing here
//! reads or writes files.

mod error;
pub mod figures;
pub mod kit;

pub use error::PlotError;
