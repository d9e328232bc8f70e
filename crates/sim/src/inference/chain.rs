//! One chain: where it is, what is known there, and how it moves.

use std::f64::consts::PI;

use super::leap::{Likeness, inputs};
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
        Self::of(model, moves, seed, number, (at, known, log_likelihood))
    }

    /// A chain at a given position.
    pub(super) fn at_position<M: Model<Known = K>>(
        model: &M,
        moves: &[Move],
        seed: u64,
        number: u64,
        at: Vec<f64>,
    ) -> Self {
        let mut known = model.room();
        let log_likelihood = possible(model.log_likelihood(&at, None, &mut known));
        Self::of(model, moves, seed, number, (at, known, log_likelihood))
    }

    fn of<M: Model<Known = K>>(
        model: &M,
        moves: &[Move],
        seed: u64,
        number: u64,
        (at, known, log_likelihood): (Vec<f64>, K, f64),
    ) -> Self {
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
    /// refused by how much better it is than the surrogate had it: the surrogate transition method,
    /// [`moteweir_physics::refs::LIU_2001`]. A plain step along until enough was learnt.
    fn leap<M: Model<Known = K>>(
        &mut self,
        model: &M,
        moving: &mut Moving,
        learning: bool,
        stream: &mut Stream,
    ) {
        let Moving { of, proposal, surrogate: Some(surrogate), .. } = moving else { return };
        let block = of.block();
        let walked = (surrogate.is_fitted() && self.log_likelihood > f64::NEG_INFINITY).then(|| {
            let kept = model.kept(block, &self.known);
            Likeness { model, surrogate, block, at: &self.at, kept }.leap(proposal, stream)
        });
        self.tried.clone_from(&self.at);
        self.tried_known.clone_from(&self.known);
        match &walked {
            Some(end) => self.tried.clone_from(&end.at),
            None => proposal.step(block, &mut self.tried, stream),
        }
        let log_likelihood =
            possible(model.log_likelihood_along(&mut self.tried, block, &mut self.tried_known));
        if learning && log_likelihood > f64::NEG_INFINITY {
            surrogate.learn(&inputs(model, block, &self.tried), &model.kept(block, &self.tried_known));
        }
        let chance = self.chance(log_likelihood, walked.as_ref().map_or(0.0, |end| end.better));
        // The likeness is to be walked through well, whatever becomes of the leap.
        let of_steps = walked.map_or(chance, |end| end.chance);
        let taken = stream.uniform() < chance;
        if taken {
            self.take(log_likelihood);
        }
        moving.count((of_steps, taken), learning, &self.at);
    }

    /// An elliptical slice: [`moteweir_physics::refs::MURRAY_2010`], figure 2.
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
