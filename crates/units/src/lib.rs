//! Quantities of the trade as types, and the reading and printing of text such as `0.3 um`.
//!
//! SI inside, a private field, named units at the door. Nothing here knows about filters.

pub mod conversion;
mod fraction;
mod quantity;
pub mod show;
pub mod text;

pub use fraction::{Efficiency, Penetration, Solidity};
pub use quantity::{
    Area, BasisWeight, Density, Diffusivity, Flow, Length, LinearDensity, Mass, Pressure, Resistance,
    SurfaceCharge, Temperature, ThreadCount, Time, Velocity, Viscosity,
};
