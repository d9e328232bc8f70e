//! Several chains, until they agree and are worth enough draws.

use std::ops::ControlFlow;

use rayon::prelude::*;

use super::chain::Chain;
use super::diagnostics::{Diagnosis, diagnose};
use super::model::{Model, Move};
use super::posterior::{Method, Posterior, Stuck};

/// A chain with its draws and their likelihoods.
type Run<K> = (Chain<K>, Vec<f64>, Vec<f64>);

/// How a posterior is sampled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Where the random numbers begin.
    pub seed: u64,
    /// Chains, two or more.
    pub chains: u64,
    /// Sweeps of each chain before its draws count; the proposals adapt in these and are frozen after.
    pub warm_up: u64,
    /// Sweeps of each chain before the first look at the diagnostics, four or more; later looks follow as they are needed.
    pub round: u64,
    /// Sweeps of each chain at the most after the warm-up.
    pub most: u64,
    /// Largest split R-hat of any number that is good enough.
    pub rhat_below: f64,
    /// Effective draws that every number is to have.
    pub ess_at_least: f64,
}

impl Plan {
    /// Four chains, 1000 sweeps of warm-up, R-hat below 1.01 and 1000 effective draws, 20 000 sweeps at the most.
    pub const fn usual(seed: u64) -> Self {
        Self {
            seed,
            chains: 4,
            warm_up: 1000,
            round: 1000,
            most: 20_000,
            rhat_below: 1.01,
            ess_at_least: 1000.0,
        }
    }
}

/// How far a run is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Sweeps of each chain after the warm-up.
    pub sweeps: u64,
    /// The largest R-hat; NaN before the first look.
    pub rhat: f64,
    /// The fewest effective draws.
    pub ess: f64,
}

/// Ends of the windows of the warm-up, as shares of it: each takes its shape from the window before.
const WINDOWS: [f64; 4] = [0.1, 0.25, 0.5, 0.9];
/// A number that moves so little of what it moves in the other chains is stuck.
const STUCK_SPREAD: f64 = 1e-2;
/// Steps taken so seldom are stuck.
const STUCK_ACCEPTANCE: f64 = 0.005;

/// Samples the posterior of a model.
///
/// The chains run in parallel, each serially on streams of its own: the same seed gives the same bits on any number of
/// threads. Draws are kept, 8 bytes for each number, chain and sweep. `watch` hears of the progress after every round
/// and may break the run off. That the chains do not agree by the last sweep is a result: [`Posterior::converged`].
pub fn sample<M: Model>(
    model: &M,
    plan: &Plan,
    mut watch: impl FnMut(Progress) -> ControlFlow<()>,
) -> Posterior {
    let moves = model.moves();
    let mut chains: Vec<Run<M::Known>> = (0..plan.chains.max(2))
        .into_par_iter()
        .map(|number| (warmed(model, &moves, plan, number), Vec::new(), Vec::new()))
        .collect();
    let (mut sweeps, mut diagnoses) = (0, Vec::new());
    let mut converged = false;
    while sweeps < plan.most && !converged {
        let round = round_after(plan, sweeps, &diagnoses);
        chains.par_iter_mut().for_each(|(chain, draws, likelihoods)| {
            for _ in 0..round {
                chain.sweep(model, false);
                draws.extend_from_slice(chain.at());
                likelihoods.push(chain.log_likelihood());
            }
        });
        sweeps += round;
        diagnoses = diagnosed(model.dimension(), &chains);
        converged = diagnoses.iter().all(|d| d.rhat < plan.rhat_below && d.ess >= plan.ess_at_least);
        let progress = Progress {
            sweeps,
            rhat: diagnoses.iter().fold(0.0, |most, d| d.rhat.max(most)),
            ess: diagnoses.iter().fold(f64::INFINITY, |least, d| d.ess.min(least)),
        };
        if watch(progress).is_break() {
            break;
        }
    }
    let of_likelihood = diagnoses.pop().unwrap_or(Diagnosis { rhat: f64::NAN, ess: 0.0 });
    let stuck = stuck(model.dimension(), &moves, &chains);
    let acceptance = chains.iter().map(|(chain, _, _)| chain.acceptance()).collect();
    let (draws, log_likelihoods) = chains.into_iter().map(|(_, draws, l)| (draws, l)).unzip();
    Posterior {
        dimension: model.dimension(),
        draws,
        log_likelihoods,
        diagnoses,
        of_likelihood,
        converged: converged && stuck.is_empty(),
        stuck,
        acceptance,
        method: Method::Chains,
    }
}

/// Sweeps until the next look: as many as seem to be missing, at most as many as there are, so that the cost of looking
/// does not outgrow that of the sweeps.
fn round_after(plan: &Plan, sweeps: u64, diagnoses: &[Diagnosis]) -> u64 {
    let ess = diagnoses.iter().fold(f64::INFINITY, |least, d| d.ess.min(least)).max(1.0);
    let missing = sweeps as f64 * (1.1 * plan.ess_at_least / ess - 1.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count, saturating")]
    let wanted = (missing.max(0.0) as u64).min(sweeps);
    wanted.max(plan.round / 2).max(if sweeps == 0 { plan.round } else { 0 }).max(4).min(plan.most - sweeps)
}

fn warmed<M: Model>(model: &M, moves: &[Move], plan: &Plan, number: u64) -> Chain<M::Known> {
    let mut chain = Chain::start(model, moves, plan.seed, number);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a count")]
    let ends = WINDOWS.map(|share| (share * plan.warm_up as f64) as u64);
    for sweep in 0..plan.warm_up {
        chain.sweep(model, true);
        if ends.contains(&(sweep + 1)) {
            chain.reshape();
        }
    }
    chain
}

/// Of every number, and of the likelihood last.
fn diagnosed<K: Clone + Send + Sync>(dimension: usize, chains: &[Run<K>]) -> Vec<Diagnosis> {
    (0..=dimension)
        .into_par_iter()
        .map(|number| {
            let series: Vec<Vec<f64>> =
                chains.iter().map(|(_, draws, l)| series(dimension, number, draws, l)).collect();
            diagnose(&series.iter().map(Vec::as_slice).collect::<Vec<_>>())
        })
        .collect()
}

fn series(dimension: usize, number: usize, draws: &[f64], likelihoods: &[f64]) -> Vec<f64> {
    if number == dimension {
        return likelihoods.to_vec();
    }
    draws.iter().skip(number).step_by(dimension).copied().collect()
}

fn stuck<K: Clone + Send>(dimension: usize, moves: &[Move], chains: &[Run<K>]) -> Vec<Stuck> {
    let mut found = Vec::new();
    let spread = |chain: usize, number: usize| {
        let values = series(dimension, number, &chains[chain].1, &chains[chain].2);
        let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
        (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / values.len().max(1) as f64).sqrt()
    };
    for number in 0..dimension {
        let spreads: Vec<f64> = (0..chains.len()).map(|chain| spread(chain, number)).collect();
        let widest = spreads.iter().fold(0.0_f64, |most, s| most.max(*s));
        for (chain, spread) in spreads.iter().enumerate() {
            if *spread <= STUCK_SPREAD * widest || *spread == 0.0 {
                found.push(Stuck { chain, number });
            }
        }
    }
    for (chain, (run, _, _)) in chains.iter().enumerate() {
        for (of, share) in moves.iter().zip(run.acceptance()) {
            if share < STUCK_ACCEPTANCE {
                let numbers = of.block().iter().map(|&number| Stuck { chain, number });
                found.extend(numbers.filter(|s| !found.contains(s)).collect::<Vec<_>>());
            }
        }
    }
    found
}
