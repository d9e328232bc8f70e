//! Draws of everything, where the unknowns of the material went by quadrature.
//!
//! The unknowns are drawn from their grid. Given those, what was summed away is drawn from the rules by which it was
//! summed, and then moved by a few slices, which leave the posterior as it is and take out how coarse the rules are.

use std::ops::Range;

use moteweir_sim::inference::{Grid, Model, Move, Posterior, integrate, settle};
use moteweir_sim::random::{Purpose, Stream};
use rayon::prelude::*;

use super::forward::Forward;
use super::marginal::{Marginal, Room};

const REST: Purpose = Purpose::named("what was summed away");
/// Positions of a channel's numbers are spread by this share of what they stand for.
const SPREAD: f64 = 0.35;
/// Sweeps of slices.
const SWEEPS: u64 = 4;

/// The posterior of a model of one or two unknowns by quadrature; `None` where the rule ends or its grid is not fine
/// enough.
pub(super) fn by_quadrature(forward: &Forward<'_>, seed: u64) -> Option<Posterior> {
    let marginal = Marginal::new(forward)?;
    let found = integrate(&marginal, &Grid::dear()).filter(|found| found.converged)?;
    let unknowns: Vec<Vec<f64>> = found.draws().map(<[f64]>::to_vec).collect();
    let moves = moves(forward, marginal.latent());
    let whole: Vec<(Vec<f64>, f64)> = unknowns
        .par_iter()
        .enumerate()
        .map_init(
            || marginal.room(),
            |room, (index, unknowns)| {
                let number = index as u64;
                let mut stream = Stream::new(seed, REST, number);
                let at = drawn(forward, &marginal, unknowns, room, &mut stream);
                settle(forward, &moves, at, SWEEPS, (seed, number))
            },
        )
        .collect();
    Some(found.made_whole(|number, _| whole[number].clone()))
}

/// Slices of everything but the unknowns.
fn moves(forward: &Forward<'_>, latent: &[usize]) -> Vec<Move> {
    let slice = |range: &Range<usize>| Move::Slice(range.clone().collect());
    let mut moves = Vec::new();
    for range in &forward.numbers.channels {
        moves.extend((0..2).map(|_| slice(range)));
    }
    moves.push(Move::Slice(latent.to_vec()));
    moves.push(slice(&forward.numbers.sight));
    moves.extend(forward.numbers.drag.iter().flatten().map(|number| Move::Slice(vec![*number])));
    moves.retain(|of| !of.block().is_empty());
    moves
}

/// All numbers given the unknowns, nearly.
fn drawn(
    forward: &Forward<'_>,
    marginal: &Marginal<'_>,
    unknowns: &[f64],
    room: &mut Room,
    stream: &mut Stream,
) -> Vec<f64> {
    let mut at: Vec<f64> = (0..forward.dimension()).map(|_| stream.normal()).collect();
    at[..unknowns.len()].copy_from_slice(unknowns);
    let Some(given) = marginal.given(unknowns, room) else { return at };
    for &(number, mean, deviation) in &given.drags {
        at[number] = mean + deviation * stream.normal();
    }
    let Some(table) = marginal.table() else { return at };
    let shares: Vec<f64> = given.sums.iter().map(|sum| sum.ln_integral).collect();
    let sight = chosen(&shares, stream);
    let sum = &given.sums[sight];
    let (v, y) = sum.about(chosen(sum.ln_shares(), stream), stream.uniform() - 0.5);
    draw_sight(forward, marginal, sight, &mut at, stream);
    let free: Vec<f64> = marginal.latent().iter().map(|&number| at[number]).collect();
    for (number, z) in marginal.latent().iter().zip(given.latent(v, &free)) {
        at[*number] = z;
    }
    let positions = table.positions(y);
    let shares: Vec<f64> = positions.iter().map(|p| p.ln_weight).collect();
    if let Some(position) = positions.get(chosen(&shares, stream)) {
        for (k, number) in forward.numbers.channels[0].clone().enumerate() {
            at[number] = position.numbers[k] + SPREAD * position.about[k] * stream.normal();
        }
    }
    at
}

fn draw_sight(
    forward: &Forward<'_>,
    marginal: &Marginal<'_>,
    sight: usize,
    at: &mut [f64],
    stream: &mut Stream,
) {
    let (numbers, about) = marginal.sight(sight);
    for (k, number) in forward.numbers.sight.clone().enumerate() {
        // What is given is as it was before the data.
        if about[k] > 0.0 {
            at[number] = numbers[k] + about[k] * (2.0 * stream.uniform() - 1.0);
        }
    }
}

/// One of some, by the logarithms of their shares.
fn chosen(logarithms: &[f64], stream: &mut Stream) -> usize {
    let most = logarithms.iter().fold(f64::NEG_INFINITY, |most, l| most.max(*l));
    let shares: Vec<f64> = logarithms.iter().map(|l| libm::exp(l - most)).collect();
    let mut rest = stream.uniform() * shares.iter().sum::<f64>();
    for (i, share) in shares.iter().enumerate() {
        rest -= share;
        if rest < 0.0 {
            return i;
        }
    }
    shares.len().saturating_sub(1)
}
