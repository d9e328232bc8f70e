//! Leaks beside a filter: the air that goes through gaps, and how a flow divides between filter and leak.
//!
//! A [`LeakLaw`] is a relation of flow and pressure drop. [`split`] finds the pressure drop at which filter and leak
//! together pass a flow. What comes through is weighted with the flows ([`total_inward_leakage`]).
//!
//! Cautions: a leak is hardly ever known. A slit or a hole stands for gaps that change with every movement; of leaks on
//! faces, slit-like ones were seen about twice as often as points. Particles are lost in narrow leaks too, which
//! the penetration of the leak may express, and which is 1 unless somebody knows better.

mod error;
mod fit;
mod law;
mod root;
mod slit;
mod split;

pub use error::LeakError;
pub use fit::{FitReading, LeakShape};
pub use law::{LeakLaw, ORIFICE_DISCHARGE, PowerLaw};
pub use slit::{SLIT_ENTRY_EXIT_LOSS, SLIT_REYNOLDS, Slit};
pub use split::{Split, split, total_inward_leakage};
