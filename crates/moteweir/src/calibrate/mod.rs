//! Calibration: the model's unknown quantities after counts, curves and resistances that were measured.
//!
//! The numbers that are sampled are the unknown inputs of the materials that were measured, what is not known of the
//! counter and the room, of each channel (its level, drift, dispersion, background, leak), how far the model itself may
//! be off ([`discrepancy`], functions of size and velocity), and what all readings of a file are off by together. Lot and
//! sheet variations are left out: what was measured is those pieces.

mod channel_table;
mod charge_pattern;
mod counts;
mod discrepancy;
mod evidence;
mod fault;
mod forward;
mod invented;
mod knots;
mod layout;
mod marginal;
mod marginal_draws;
#[cfg(test)]
mod marginal_tests;
mod misfit_sum;
mod next;
mod outlook;
mod parameters;
mod predictive;
#[cfg(test)]
mod rank_tests;
mod run;
mod shown;
mod sight;
mod sight_nodes;
mod strain;
#[cfg(test)]
mod tests;
mod unable;
mod unknowns;
mod work;

pub use fault::CalibrationFault;
pub use invented::{InventionFault, invent};
pub use run::{CalibrationOptions, calibrate};

/// The share of a standard normal distribution below a number, kept inside the open unit interval.
fn share_below(z: f64) -> f64 {
    (0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)).clamp(1e-15, 1.0 - 1e-15)
}
