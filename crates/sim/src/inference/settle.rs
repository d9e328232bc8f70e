//! A draw that is nearly one of the posterior, made one by a few moves.

use super::chain::Chain;
use super::model::{Model, Move};

/// Where a chain is after so many sweeps of some moves from a position, and how likely the data are there.
///
/// Slices are as they should be at once; steps are taken as they are before anything was learnt. The chain draws from the
/// stream of its number; the same seed and number give the same bits.
pub fn settle<M: Model>(
    model: &M,
    moves: &[Move],
    at: Vec<f64>,
    sweeps: u64,
    (seed, number): (u64, u64),
) -> (Vec<f64>, f64) {
    let mut chain = Chain::at_position(model, moves, seed, number, at);
    for _ in 0..sweeps {
        chain.sweep(model, false);
    }
    (chain.at().to_vec(), chain.log_likelihood())
}
