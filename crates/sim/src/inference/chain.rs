//! One chain: where it is, what is known there, and how it moves.

use std::f64::consts::PI;

use super::model::{Model, Move};
use super::proposal::Proposal;
use super::surrogate::Surrogate;
use crate::random::{Purpose, Stream};

const CHAIN: Purpose = Purpose::named("posterior chain");
const START: Purpose = Purpose::named("posterior start");
/// Draws of the prior that may be impossible before a chain starts at one all the same.
const STARTS: u64 = 100;
/// An ellipse is cut so often at the most: by then its bracket is 1e-9 of a turn.
const CUTS: u32 = 100;
/// Steps of a leap.
const STEPS_OF_A_LEAP: u32 = 50;

/// A chain.
#[derive(Debug)]
pub(super) struct Chain<K> {
    number: u64,
    seed: u64,
    sweeps: u64,
    at: Vec<f64>,
    known: K,
    log_likelihood: f64,
    tried: Vec<f64>,
    tried_known: K,
    moves: Vec<Moving>,
}

/// A move with what it has learnt and how it has done since the warm-up.
#[derive(Debug)]
struct Moving {
    of: Move,
    proposal: Proposal,
    surrogate: Option<Surrogate>,
    tries: f64,
    taken: f64,
}

impl<K: Clone + Send> Chain<K> {
    /// A chain at a draw of the prior: the most likely of a few possible ones would hide what the others would find.
    pub(super) fn start<M: Model<Known = K>>(model: &M, moves: &[Move], seed: u64, number: u64) -> Self {
        let (mut at, mut known) = (vec![0.0; model.dimension()], model.room());
        let mut log_likelihood = f64::NEG_INFINITY;
        for index in 0..STARTS {
            let mut stream = Stream::new(seed, START.item(number), index);
            for z in &mut at {
                *z = stream.normal();
            }
            log_likelihood = possible(model.log_likelihood(&at, None, &mut known));
            if log_likelihood > f64::NEG_INFINITY {
                break;
            }
        }
        let moves = moves.iter().map(|of| Moving {
            of: of.clone(),
            proposal: Proposal::new(of.block().len()),
            surrogate: matches!(of, Move::Leap(_))
                .then(|| Surrogate::new(of.block().len(), model.beside(of.block()).len())),
            tries: 0.0,
            taken: 0.0,
        });
        Self {
            number,
            seed,
            sweeps: 0,
            tried: at.clone(),
            tried_known: known.clone(),
            at,
            known,
            log_likelihood,
            moves: moves.collect(),
        }
    }

    pub(super) fn at(&self) -> &[f64] {
        &self.at
    }

    pub(super) const fn log_likelihood(&self) -> f64 {
        self.log_likelihood
    }

    /// Share of the steps taken since the warm-up, by move; slices always take one.
    pub(super) fn acceptance(&self) -> Vec<f64> {
        self.moves.iter().map(|m| if m.tries > 0.0 { m.taken / m.tries } else { 1.0 }).collect()
    }

    /// Every move once.
    pub(super) fn sweep<M: Model<Known = K>>(&mut self, model: &M, learning: bool) {
        let mut stream = Stream::new(self.seed, CHAIN.item(self.number), self.sweeps);
        self.sweeps += 1;
        let mut moves = std::mem::take(&mut self.moves);
        for moving in &mut moves {
            match &moving.of {
                Move::Leap(_) => self.leap(model, moving, learning, &mut stream),
                Move::Slice(block) => self.slice(model, block, &mut stream),
                Move::Step(block) => {
                    let chance = self.step(model, &moving.proposal, block, false, &mut stream);
                    moving.count(chance, learning, &self.at);
                }
                Move::Along(block) => {
                    let chance = self.step(model, &moving.proposal, block, true, &mut stream);
                    moving.count(chance, learning, &self.at);
                }
            }
        }
        self.moves = moves;
    }

    /// Takes the shapes that were seen.
    pub(super) fn reshape(&mut self) {
        for moving in &mut self.moves {
            moving.proposal.reshape();
            if let Some(surrogate) = &mut moving.surrogate {
                surrogate.fit();
            }
        }
    }

    fn step<M: Model<Known = K>>(
        &mut self,
        model: &M,
        proposal: &Proposal,
        block: &[usize],
        along: bool,
        stream: &mut Stream,
    ) -> (f64, bool) {
        self.tried.clone_from(&self.at);
        self.tried_known.clone_from(&self.known);
        proposal.step(block, &mut self.tried, stream);
        let log_likelihood = possible(if along {
            model.log_likelihood_along(&mut self.tried, block, &mut self.tried_known)
        } else {
            model.log_likelihood(&self.tried, Some(block), &mut self.tried_known)
        });
        let chance = self.chance(log_likelihood, 0.0);
        let taken = stream.uniform() < chance;
        if taken {
            self.take(log_likelihood);
        }
        (chance, taken)
    }

    /// Steps by the surrogate of what is kept, reversible for the posterior that it makes; where they end is taken or
    /// refused by how much better it is than the surrogate had it: Liu 2001, Monte Carlo Strategies in Scientific
    /// Computing, 9.4.3, the surrogate transition method (from memory). The surrogate's posterior hangs on the position
    /// only by what a step along leaves alone, so the way back has the same.
    fn leap<M: Model<Known = K>>(
        &mut self,
        model: &M,
        moving: &mut Moving,
        learning: bool,
        stream: &mut Stream,
    ) {
        let Moving { of, proposal, surrogate: Some(surrogate), .. } = moving else { return };
        let block = of.block();
        let beside = model.beside(block);
        let inputs = |at: &[f64]| block.iter().chain(&beside).map(|&number| at[number]).collect::<Vec<f64>>();
        let mut better = 0.0;
        let mut end = self.at.clone();
        let fitted = surrogate.is_fitted() && self.log_likelihood > f64::NEG_INFINITY;
        if fitted {
            let kept = model.kept(block, &self.known);
            let density = |at: &[f64]| {
                let outputs = surrogate.outputs(&inputs(at));
                let given_up: Vec<f64> = kept.iter().zip(&outputs).map(|(k, o)| k - o).collect();
                let prior = -0.5 * block.iter().map(|&number| at[number] * at[number]).sum::<f64>();
                prior + model.ln_taken_up(&self.at, block, &given_up)
            };
            let (first, mut next) = (density(&end), end.clone());
            let (mut here, mut chances) = (first, 0.0);
            for _ in 0..STEPS_OF_A_LEAP {
                next.clone_from(&end);
                proposal.step(block, &mut next, stream);
                let there = density(&next);
                let chance = libm::exp((there - here).min(0.0));
                chances += chance;
                if stream.uniform() < chance {
                    std::mem::swap(&mut end, &mut next);
                    here = there;
                }
            }
            better = here - first;
            if learning {
                proposal.learn(chances / f64::from(STEPS_OF_A_LEAP), block, &self.at);
            }
        } else {
            proposal.step(block, &mut end, stream);
        }
        self.tried = end;
        self.tried_known.clone_from(&self.known);
        let log_likelihood =
            possible(model.log_likelihood_along(&mut self.tried, block, &mut self.tried_known));
        if learning && log_likelihood > f64::NEG_INFINITY {
            surrogate.learn(&inputs(&self.tried), &model.kept(block, &self.tried_known));
        }
        let chance = self.chance(log_likelihood, better);
        let taken = stream.uniform() < chance;
        if taken {
            self.take(log_likelihood);
        }
        if learning && !fitted {
            proposal.learn(chance, block, &self.at);
        }
        if !learning {
            moving.tries += 1.0;
            moving.taken += f64::from(u8::from(taken));
        }
    }

    /// An elliptical slice: Murray, Adams and MacKay 2010, Elliptical slice sampling, AISTATS, figure 2 (from memory).
    fn slice<M: Model<Known = K>>(&mut self, model: &M, block: &[usize], stream: &mut Stream) {
        let other: Vec<f64> = block.iter().map(|_| stream.normal()).collect();
        let height = self.log_likelihood + libm::log(stream.uniform());
        let mut angle = 2.0 * PI * stream.uniform();
        let (mut low, mut high) = (angle - 2.0 * PI, angle);
        self.tried.clone_from(&self.at);
        self.tried_known.clone_from(&self.known);
        for _ in 0..CUTS {
            let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
            for (&number, other) in block.iter().zip(&other) {
                self.tried[number] = cosine * self.at[number] + sine * other;
            }
            let log_likelihood =
                possible(model.log_likelihood(&self.tried, Some(block), &mut self.tried_known));
            if log_likelihood >= height {
                self.take(log_likelihood);
                return;
            }
            if angle < 0.0 {
                low = angle;
            } else {
                high = angle;
            }
            angle = low + (high - low) * stream.uniform();
        }
    }

    /// The chance that a tried position is taken, that was proposed as so much `better` (the logarithm of a ratio).
    fn chance(&self, log_likelihood: f64, better: f64) -> f64 {
        let prior = |at: &[f64]| -0.5 * at.iter().map(|z| z * z).sum::<f64>();
        let gain = log_likelihood - self.log_likelihood + prior(&self.tried) - prior(&self.at) - better;
        // From an impossible start anything possible is better, and the difference of two infinities is not a number.
        if self.log_likelihood == f64::NEG_INFINITY { 1.0 } else { libm::exp(gain.min(0.0)) }
    }

    fn take(&mut self, log_likelihood: f64) {
        std::mem::swap(&mut self.at, &mut self.tried);
        std::mem::swap(&mut self.known, &mut self.tried_known);
        self.log_likelihood = log_likelihood;
    }
}

impl Moving {
    fn count(&mut self, (chance, taken): (f64, bool), learning: bool, at: &[f64]) {
        if learning {
            self.proposal.learn(chance, self.of.block(), at);
        } else {
            self.tries += 1.0;
            self.taken += f64::from(u8::from(taken));
        }
    }
}

fn possible(log_likelihood: f64) -> f64 {
    if log_likelihood.is_nan() { f64::NEG_INFINITY } else { log_likelihood }
}
