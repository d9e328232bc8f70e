//! Laboratories' curves as text: penetrations over size, or pressure drops over velocity, one row a point.

mod columns;
mod fault;
mod penetrations;
mod read;
mod row;
mod table;
#[cfg(test)]
mod tests;

pub use columns::CurveColumn;
pub use fault::CurveFault;
pub use read::{Curve, MOST_POINTS};
