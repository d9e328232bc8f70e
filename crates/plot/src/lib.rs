//! Reports as figures for a design review.
//!
//! [`kit`] draws charts of any kind as SVG, PNG and CSV; [`figures`] turns results into charts;
//! [`review_figures()`], [`variation_figures()`] and [`wear_figures()`] draw everything that a report shows. Everything in
//! the crate is text and bytes: nothing here reads or writes files.

mod calibration_figures;
mod counts_figures;
mod error;
mod figure;
pub mod figures;
pub mod kit;
mod measured_figures;
mod resolve_figures;
mod review_figures;
mod variation_figures;
mod wear_figures;

pub use calibration_figures::calibration_figures;
pub use counts_figures::{counts_figures, plan_figure};
pub use error::PlotError;
pub use figure::Figure;
pub use measured_figures::measured_figures;
pub use resolve_figures::{cell_figure, verdict_figures};
pub use review_figures::review_figures;
pub use variation_figures::variation_figures;
pub use wear_figures::wear_figures;
