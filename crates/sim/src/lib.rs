//! Everything iterative, parallel or random: limiting trajectories and the tables computed from them.
//!
//! [`trajectory`] solves what a fibre catches by interception and inertia. [`impaction_table`] runs it over the whole
//! range of particles, fibres and webs and writes the table that `moteweir-physics` compiles in.

pub mod atlas;
pub mod charge_table;
pub mod convection;
pub mod counting;
pub mod drift;
pub mod impaction_table;
pub mod inference;
pub mod langevin;
pub mod quantile;
pub mod random;
pub mod sensitivity;
pub mod trajectory;
pub mod variation;
pub mod verdict;
