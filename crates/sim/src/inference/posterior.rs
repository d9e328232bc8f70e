//! What is known after the data: draws, and how far they can be trusted.

use super::diagnostics::Diagnosis;

/// How a posterior was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Markov chains.
    Chains,
    /// Sums over a grid.
    Quadrature,
}

/// A number that does not move in a chain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stuck {
    /// Which chain.
    pub chain: usize,
    /// Which number.
    pub number: usize,
}

/// A posterior as draws of its numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Posterior {
    pub(super) dimension: usize,
    /// Row after row, by chain.
    pub(super) draws: Vec<Vec<f64>>,
    pub(super) log_likelihoods: Vec<Vec<f64>>,
    /// Of each number.
    pub diagnoses: Vec<Diagnosis>,
    /// Of the logarithm of the likelihood.
    pub of_likelihood: Diagnosis,
    /// Whether all numbers reached what the plan asks, and no chain is stuck.
    pub converged: bool,
    /// Numbers that do not move in a chain.
    pub stuck: Vec<Stuck>,
    /// Share of the steps taken, by chain and move; 1 for slices.
    pub acceptance: Vec<Vec<f64>>,
    /// How it was found.
    pub method: Method,
}

impl Posterior {
    /// The same posterior with numbers that its draws did not have: each draw made whole, with the logarithm of its
    /// likelihood. The new numbers are drawn given the others, so that a draw is as good in them.
    #[must_use]
    pub fn made_whole(mut self, mut whole: impl FnMut(usize, &[f64]) -> (Vec<f64>, f64)) -> Self {
        let before = self.dimension.max(1);
        let mut number = 0;
        for (draws, log_likelihoods) in self.draws.iter_mut().zip(&mut self.log_likelihoods) {
            let mut longer = Vec::new();
            for (draw, log_likelihood) in draws.chunks_exact(before).zip(log_likelihoods) {
                let (at, l) = whole(number, draw);
                number += 1;
                self.dimension = at.len();
                longer.extend(at);
                *log_likelihood = l;
            }
            *draws = longer;
        }
        self.diagnoses.resize(self.dimension, self.of_likelihood);
        self
    }

    /// How many numbers a draw has.
    pub const fn dimension(&self) -> usize {
        self.dimension
    }

    /// Draws in all.
    pub fn len(&self) -> usize {
        self.log_likelihoods.iter().map(Vec::len).sum()
    }

    /// Whether there is no draw.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Every draw, chain after chain.
    pub fn draws(&self) -> impl Iterator<Item = &[f64]> {
        self.draws.iter().flat_map(|chain| chain.chunks_exact(self.dimension.max(1)))
    }

    /// So many draws, evenly over all chains and sweeps; all of them where there are no more.
    pub fn thinned(&self, count: usize) -> Vec<&[f64]> {
        let all = self.len();
        let count = count.min(all);
        let rows: Vec<&[f64]> = self.draws().collect();
        (0..count).map(|i| rows[(2 * i + 1) * all / (2 * count)]).collect()
    }

    /// The draws of one number, chain after chain.
    pub fn number(&self, number: usize) -> Vec<f64> {
        self.draws().map(|draw| draw[number]).collect()
    }

    /// A function of the draws, chain by chain, for [`super::diagnose`].
    pub fn by_chain(&self, of: impl Fn(&[f64]) -> f64) -> Vec<Vec<f64>> {
        let rows = |chain: &Vec<f64>| chain.chunks_exact(self.dimension.max(1)).map(&of).collect();
        self.draws.iter().map(rows).collect()
    }

    /// The logarithm of the likelihood of every draw, chain after chain.
    pub fn log_likelihoods(&self) -> impl Iterator<Item = f64> {
        self.log_likelihoods.iter().flatten().copied()
    }
}
