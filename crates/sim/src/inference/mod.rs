//! What data say of numbers that are not known: chains, or quadrature for one or two, and functions as Gaussian processes.
//!
//! A [`Model`] is a likelihood over numbers that are standard normal before the data. [`sample`] draws from what is known
//! after by several Markov chains without gradients; [`integrate`] sums over a grid where there are one or two numbers.
//! Both give a [`Posterior`]. [`Field`] is a function that is not known: its [`Field::values`] are linear in standard
//! normal numbers, which a [`Move::Slice`] moves.
//!
//! **Why adaptive Metropolis in blocks.** Of samplers that need no gradient an affine-invariant ensemble (Goodman and
//! Weare 2010) was tried beside it on a ridge 0.05 wide (`trial`, a test): the adaptive step gave 124, 65 and 32 effective
//! draws a thousand evaluations of 2, 4 and 8 numbers, the ensemble 40, 18 and 3. And a block can leave alone what is dear
//! to work out, which an ensemble, moving all numbers at once, cannot.
//!
//! **Why leaps.** Where the data fix what other numbers can take up, steps along a bent ridge mix slowly. A polynomial of
//! what is kept, learnt in the warm-up and frozen, lets a chain take fifty steps for one evaluation ([`Move::Leap`]). On a
//! bench of a charged and a plain material (30 numbers) the slowest unknown rose from 271 effective draws in 24 000 to
//! 1489 in 12 200, together with more of the cheap steps in a sweep. A poor polynomial costs leaps, not truth (tests of `leap`).
//!
//! [`Adapted`] integrates over a few numbers whose density is nearly normal; [`settle`] makes a draw that is nearly one of
//! the posterior into one. With both, a model of one or two numbers that matter and many that do not needs no chains.

mod adapted;
mod chain;
mod cholesky;
mod diagnostics;
mod gaussian_process;
mod leap;
mod model;
mod posterior;
mod proposal;
mod quadrature;
mod ranks;
mod replicate;
mod sampler;
mod settle;
mod surrogate;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod trial;

pub use adapted::{Adapted, gauss_hermite, ln_of_sum};
pub use cholesky::{cholesky, root_of_covariance, solve_lower, solve_upper};
pub use diagnostics::{Diagnosis, diagnose};
pub use gaussian_process::{Covariance, Drawer, Elsewhere, Field, Point};
pub use model::{Likelihood, Model, Move};
pub use posterior::{Method, Posterior, Stuck};
pub use quadrature::{Grid, integrate};
pub use ranks::{RankTest, evenness};
pub use replicate::replicate;
pub use sampler::{Plan, Progress, sample};
pub use settle::settle;
