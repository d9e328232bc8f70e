//! Breathing through a mask: the flow through an inhalation, and means over it.
//!
//! An [`Inhalation`] is a set of flows with weights: how much of the time, and how much of the inhaled volume, is breathed
//! at each. What comes in with the air is weighted with volume, a pressure that is felt with time, work with volume.

mod error;
mod gauss_legendre;
mod inhalation;
mod work_level;

pub use error::BreathingError;
pub use inhalation::{Effort, Inhalation, Moment, USUAL_TIME_OF_INHALING};
pub use work_level::WorkLevel;
