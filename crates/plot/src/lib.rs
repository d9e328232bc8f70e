//! Reports as figures for a design review.
//!
//! [`kit`] draws charts of any kind as SVG, PNG and CSV; [`figures`] turns results into charts;
//! [`review_figures`] draws everything that a review shows. Everything in the crate is text and bytes: nothing here
//! reads or writes files.

mod error;
pub mod figures;
pub mod kit;
mod review_figures;

pub use error::PlotError;
pub use review_figures::{Figure, review_figures};
