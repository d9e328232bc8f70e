//! Many steps by what was learnt of a model, taken or refused together for one evaluation.

use super::model::Model;
use super::proposal::Proposal;
use super::surrogate::Surrogate;
use crate::random::Stream;

/// Steps of a leap.
const STEPS: u32 = 50;

/// What the surrogate makes of the posterior along a block, with the other numbers taking up what the block gives up.
///
/// It hangs on the position only by what a step along leaves alone, so that the way back from the end has the same.
pub(super) struct Likeness<'a, M: Model> {
    pub(super) model: &'a M,
    pub(super) surrogate: &'a Surrogate,
    pub(super) block: &'a [usize],
    /// Where the leap begins.
    pub(super) at: &'a [f64],
    /// What is kept there, as it was worked out.
    pub(super) kept: Vec<f64>,
}

/// Where a leap ends.
#[derive(Clone, Debug)]
pub(super) struct End {
    pub(super) at: Vec<f64>,
    /// How much more likely the likeness has the end than the beginning, as a logarithm.
    pub(super) better: f64,
    /// Mean chance of its steps.
    pub(super) chance: f64,
}

impl<M: Model> Likeness<'_, M> {
    /// The logarithm of its density where the block's numbers are those of a position.
    fn ln_density(&self, at: &[f64]) -> f64 {
        let outputs = self.surrogate.outputs(&inputs(self.model, self.block, at));
        let given_up: Vec<f64> = self.kept.iter().zip(&outputs).map(|(kept, output)| kept - output).collect();
        let prior = -0.5 * self.block.iter().map(|&number| at[number] * at[number]).sum::<f64>();
        prior + self.model.ln_taken_up(self.at, self.block, &given_up)
    }

    /// Metropolis steps, reversible for the likeness.
    pub(super) fn leap(&self, proposal: &Proposal, stream: &mut Stream) -> End {
        let mut at = self.at.to_vec();
        let mut next = at.clone();
        let first = self.ln_density(&at);
        let (mut here, mut chances) = (first, 0.0);
        for _ in 0..STEPS {
            next.clone_from(&at);
            proposal.step(self.block, &mut next, stream);
            let there = self.ln_density(&next);
            let chance = libm::exp((there - here).min(0.0));
            chances += chance;
            if stream.uniform() < chance {
                std::mem::swap(&mut at, &mut next);
                here = there;
            }
        }
        End { at, better: here - first, chance: chances / f64::from(STEPS) }
    }
}

/// What a surrogate is a function of: the numbers of the block and those beside it.
pub(super) fn inputs<M: Model>(model: &M, block: &[usize], at: &[f64]) -> Vec<f64> {
    block.iter().chain(&model.beside(block)).map(|&number| at[number]).collect()
}

#[cfg(test)]
mod tests {
    use std::ops::ControlFlow;

    use crate::inference::{Model, Move, Plan, Posterior, sample};

    /// Variance of the first number, weight and error of the reading.
    const VARIANCE: f64 = 0.5;
    const TAKES_UP: f64 = 0.4;
    const ERROR: f64 = 0.02;
    const BESIDE: f64 = 0.4;
    /// Numbers: two of the block, the one that takes up, and the one beside.
    const BLOCK: [usize; 2] = [0, 1];
    const TAKER: usize = 2;
    const OTHER: usize = 3;

    /// A reading 0 of f + 0.4 x2 with the error 0.02, where f = x1 + bend(x0) + 0.4 x3. The likelihood makes x0 normal of
    /// variance 0.5 and x1 flat before the reading, so that afterwards x0 is as it was, x2 and x3 are standard normal,
    /// f is normal of the variance 0.4^2 + 0.02^2, and x1 = f - bend(x0) - 0.4 x3.
    struct Bent<F>(F);

    impl<F: Fn(f64) -> f64 + Sync> Bent<F> {
        fn read(&self, at: &[f64]) -> f64 {
            at[1] + self.0(at[0]) + BESIDE * at[OTHER]
        }
    }

    impl<F: Fn(f64) -> f64 + Sync> Model for Bent<F> {
        /// f.
        type Known = f64;

        fn dimension(&self) -> usize {
            4
        }

        fn room(&self) -> f64 {
            0.0
        }

        fn log_likelihood(&self, at: &[f64], _: Option<&[usize]>, known: &mut f64) -> f64 {
            *known = self.read(at);
            let flat = 0.5 * at[1] * at[1] + 0.5 * at[0] * at[0] * (1.0 - 1.0 / VARIANCE);
            flat - 0.5 * ((*known + TAKES_UP * at[TAKER]) / ERROR).powi(2)
        }

        fn log_likelihood_along(&self, at: &mut [f64], changed: &[usize], known: &mut f64) -> f64 {
            at[TAKER] += (*known - self.read(at)) / TAKES_UP;
            self.log_likelihood(at, Some(changed), known)
        }

        fn kept(&self, _: &[usize], known: &f64) -> Vec<f64> {
            vec![*known]
        }

        fn beside(&self, _: &[usize]) -> Vec<usize> {
            vec![OTHER]
        }

        fn ln_taken_up(&self, at: &[f64], _: &[usize], given_up: &[f64]) -> f64 {
            -0.5 * (at[TAKER] + given_up[0] / TAKES_UP).powi(2)
        }

        fn moves(&self) -> Vec<Move> {
            vec![Move::Leap(BLOCK.to_vec()), Move::Step(vec![TAKER]), Move::Along(vec![OTHER])]
        }
    }

    /// Chains of leaps, their means and standard deviations beside the exact ones; the share of leaps that was taken.
    fn checked(bend: impl Fn(f64) -> f64 + Sync, mean_of_x1: f64, variance_of_bend: f64) -> f64 {
        let plan = Plan { most: 40_000, round: 3000, ess_at_least: 800.0, ..Plan::usual(17) };
        let found = sample(&Bent(bend), &plan, |_| ControlFlow::Continue(()));
        assert!(found.converged, "{:?} {:?}", found.diagnoses, found.acceptance);
        let of_f = TAKES_UP * TAKES_UP + ERROR * ERROR;
        let variances = [VARIANCE, of_f + variance_of_bend + BESIDE * BESIDE, 1.0, 1.0];
        for (number, variance) in variances.into_iter().enumerate() {
            let mean = if number == 1 { mean_of_x1 } else { 0.0 };
            moments_agree(&found, number, mean, variance.sqrt());
        }
        found.acceptance.iter().map(|of| of[0]).sum::<f64>() / found.acceptance.len() as f64
    }

    /// To five standard errors; that of a standard deviation is its own over root two for a normal number, and up to twice
    /// that for the tails of a bent one.
    fn moments_agree(found: &Posterior, number: usize, mean: f64, sd: f64) {
        let values = found.number(number);
        let n = values.len() as f64;
        let m = values.iter().sum::<f64>() / n;
        let s = (values.iter().map(|x| (x - m).powi(2)).sum::<f64>() / n).sqrt();
        let error = sd / found.diagnoses[number].ess.sqrt();
        assert!((m - mean).abs() < 5.0 * error, "{number}: mean {m}, exact {mean} +- {error}");
        assert!((s - sd).abs() < 7.0 * error, "{number}: sd {s}, exact {sd} +- {error}");
    }

    #[test]
    fn a_normal_posterior_is_leapt_through_exactly() {
        let taken = checked(|x| 0.8 * x, 0.0, 0.64 * VARIANCE);
        assert!(taken > 0.3, "{taken}");
    }

    /// A parabola is a polynomial that the surrogate can be: var x^2 = 2 var^2.
    #[test]
    fn a_banana_is_leapt_through_exactly() {
        let taken = checked(|x| x * x - VARIANCE, 0.0, 2.0 * VARIANCE * VARIANCE);
        assert!(taken > 0.3, "{taken}");
    }

    /// A cubic knows nothing of a sine of four waves: leaps are refused more often, and what is taken is as exact. The
    /// variance of sin(k x) of a normal x of variance v is (1 - exp(-2 k^2 v))/2.
    #[test]
    fn a_poor_surrogate_leaves_the_posterior_exact() {
        let waves = 4.0_f64;
        let variance = 0.5 * (1.0 - (-2.0 * waves * waves * VARIANCE).exp());
        let taken = checked(|x| (waves * x).sin(), 0.0, variance);
        assert!(taken < 0.3, "{taken}: the surrogate is not poor");
    }
}
