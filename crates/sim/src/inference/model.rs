//! What is sampled: numbers that are standard normal before the data, and how likely the data are at them.

/// A likelihood over numbers that are independent and standard normal before the data.
///
/// A prior of any other shape enters by its quantile function: the number z stands for the value below which the share
/// F(z) of the prior lies, F the standard normal distribution. A Gaussian field enters by the numbers that its root
/// turns into values.
pub trait Model: Sync {
    /// What is worked out at a position and kept beside it, so that a step in few numbers need not work out all.
    type Known: Clone + Send + Sync;

    /// How many numbers there are.
    fn dimension(&self) -> usize;

    /// Room for what is worked out.
    fn room(&self) -> Self::Known;

    /// The logarithm of the likelihood, up to a constant. What is not a number counts as impossible.
    ///
    /// `known` belongs to a position that differs from `at` in the numbers `changed` at most, or to none where `changed`
    /// is `None`; afterwards it belongs to `at`.
    fn log_likelihood(&self, at: &[f64], changed: Option<&[usize]>, known: &mut Self::Known) -> f64;

    /// As [`Model::log_likelihood`], and moves other numbers along so that the data stay as likely as they can: the step
    /// of [`Move::Along`].
    ///
    /// What is added to the other numbers has to be a difference, f(`at`) - f(before), of a function f of the changed
    /// numbers alone: then the step has a way back and keeps volumes, and the acceptance of a plain step is right for it.
    fn log_likelihood_along(&self, at: &mut [f64], changed: &[usize], known: &mut Self::Known) -> f64 {
        self.log_likelihood(at, Some(changed), known)
    }

    /// What a step along in a block keeps, of what was worked out: by [`Move::Leap`], which learns it as a polynomial.
    fn kept(&self, _changed: &[usize], _known: &Self::Known) -> Vec<f64> {
        Vec::new()
    }

    /// Numbers outside a block that what it keeps depends on.
    fn beside(&self, _changed: &[usize]) -> Vec<usize> {
        Vec::new()
    }

    /// The logarithm of the density, before the data, of the other numbers once they have taken up what the block
    /// `given_up` of what is kept. `at` is where they are before that.
    fn ln_taken_up(&self, _at: &[f64], _changed: &[usize], _given_up: &[f64]) -> f64 {
        0.0
    }

    /// What a sweep does, in order. By default one step in all numbers together.
    fn moves(&self) -> Vec<Move> {
        vec![Move::Step((0..self.dimension()).collect())]
    }
}

/// A move of a chain, in some of its numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Move {
    /// A step of adaptive Metropolis: one evaluation. For numbers whose likelihood is dear.
    Step(Vec<usize>),
    /// The same, other numbers moving along ([`Model::log_likelihood_along`]).
    Along(Vec<usize>),
    /// Many steps along by what was learnt of [`Model::kept`], taken or refused together: one evaluation. For numbers
    /// whose likelihood is dear and whose way is bent. Falls back on a step along until enough was learnt.
    Leap(Vec<usize>),
    /// An elliptical slice: as many evaluations as it takes, five or so, and nothing to tune. For many numbers that the
    /// data tell little about each.
    Slice(Vec<usize>),
}

impl Move {
    /// The numbers that it moves.
    pub fn block(&self) -> &[usize] {
        match self {
            Self::Step(block) | Self::Along(block) | Self::Leap(block) | Self::Slice(block) => block,
        }
    }
}

/// A likelihood that is a function and keeps nothing.
#[derive(Clone, Copy, Debug)]
pub struct Likelihood<F> {
    /// How many numbers.
    pub dimension: usize,
    /// The logarithm of the likelihood.
    pub of: F,
}

impl<F: Fn(&[f64]) -> f64 + Sync> Model for Likelihood<F> {
    type Known = ();

    fn dimension(&self) -> usize {
        self.dimension
    }

    fn room(&self) {}

    fn log_likelihood(&self, at: &[f64], _: Option<&[usize]>, (): &mut ()) -> f64 {
        (self.of)(at)
    }
}
