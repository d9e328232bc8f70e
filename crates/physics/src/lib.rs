//! Closed-form physics of filtration: air, particles, fibres, webs, weaves and stacks of them.
//!
//! Pure functions and small immutable values: no random numbers, no files, no threads. Every relation says where it
//! comes from ([`refs`]) and in which range it holds ([`range`]); outside it still answers, and the excursion is
//! noted. Start at [`stack`] for the whole way from a layer to a curve, at [`closure`] for the sets of single-fibre
//! expressions, at [`single_fibre`] for one mechanism.

pub mod aerosol;
pub mod air;
pub mod breathability;
pub mod breathing;
pub mod cell;
pub mod charging;
pub mod closure;
pub mod constants;
pub mod drag;
pub mod estimate;
pub mod fibre;
pub mod inhalation;
pub mod layer;
pub mod leak;
pub mod particle;
pub mod polymer;
pub mod range;
pub mod refs;
pub mod single_fibre;
pub mod slip;
pub mod stack;
pub mod weave;
pub mod web;
pub mod worst_size;
