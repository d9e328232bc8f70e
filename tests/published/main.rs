//! Models against numbers in print, against other libraries, and against measurements.
//!
//! Each table in `data` is a CSV with its source, units and standing in its comments; each module compares one source or
//! one model. A computed number is met to half its last printed digit. A known miss is asserted as a miss, with size and
//! reason, so that it cannot go away unnoticed.

mod air;
mod breathing;
mod counting;
mod diffusion;
mod drag;
mod electrostatic;
mod formula_sets;
mod gravity;
mod impaction;
mod inhalation;
mod interception;
mod leak;
mod leaking_masks;
mod lee_liu;
mod libraries;
mod lot_scatter;
mod measured;
mod page;
mod particle;
mod tables;
mod test_aerosols;
mod uneven;
mod uneven_gap;
mod worked_examples;
mod worst_size;
