//! The trial by which the sampler was chosen: an affine-invariant ensemble beside adaptive Metropolis, evaluation for
//! evaluation.

use std::ops::ControlFlow;

use super::*;
use crate::random::{Purpose, Stream};

/// Effective draws for each thousand evaluations of the worst number of an affine-invariant ensemble by stretches:
/// Goodman and Weare 2010, Communications in Applied Mathematics and Computational Science 5, 65 (from memory), a = 2.
fn ensemble(dimension: usize, of: impl Fn(&[f64]) -> f64, sweeps: usize) -> f64 {
    let walkers = 4 * dimension.max(4);
    let mut stream = Stream::new(1, Purpose::named("ensemble"), 0);
    let density = |x: &[f64]| of(x) - 0.5 * x.iter().map(|z| z * z).sum::<f64>();
    let mut at: Vec<Vec<f64>> =
        (0..walkers).map(|_| (0..dimension).map(|_| stream.normal()).collect()).collect();
    let mut height: Vec<f64> = at.iter().map(|x| density(x)).collect();
    let mut kept: Vec<Vec<Vec<f64>>> = vec![vec![Vec::new(); walkers]; dimension];
    for sweep in 0..2 * sweeps {
        for walker in 0..walkers {
            let half = walkers / 2;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a walker's number")]
            let other = (stream.uniform() * half as f64) as usize + if walker < half { half } else { 0 };
            let stretch = (stream.uniform() + 1.0).powi(2) / 2.0;
            let tried: Vec<f64> =
                at[other].iter().zip(&at[walker]).map(|(o, x)| o + stretch * (x - o)).collect();
            let tried_height = density(&tried);
            let gain = (dimension as f64 - 1.0) * stretch.ln() + tried_height - height[walker];
            if stream.uniform().ln() < gain {
                at[walker] = tried;
                height[walker] = tried_height;
            }
        }
        if sweep >= sweeps {
            for (number, series) in kept.iter_mut().enumerate() {
                series.iter_mut().zip(&at).for_each(|(s, x)| s.push(x[number]));
            }
        }
    }
    let ess = kept.iter().map(|series| {
        // The mean of the walkers, whose memory is that of the ensemble: so many times the draws of one walker.
        let length = series[0].len();
        let means: Vec<f64> =
            (0..length).map(|i| series.iter().map(|s| s[i]).sum::<f64>() / walkers as f64).collect();
        diagnose(&[&means]).ess * walkers as f64
    });
    1000.0 * ess.fold(f64::INFINITY, f64::min) / (sweeps * walkers) as f64
}

fn metropolis(dimension: usize, of: impl Fn(&[f64]) -> f64 + Sync, sweeps: u64) -> f64 {
    let model = Likelihood { dimension, of };
    let plan =
        Plan { ess_at_least: f64::INFINITY, warm_up: 5000, round: sweeps, most: sweeps, ..Plan::usual(2) };
    let found = sample(&model, &plan, |_| ControlFlow::Continue(()));
    1000.0 * found.diagnoses.iter().map(|d| d.ess).fold(f64::INFINITY, f64::min) / (4 * sweeps) as f64
}

/// Effective draws a thousand evaluations, each after a warm-up of its own, on a ridge 0.05 wide.
#[test]
fn adaptive_steps_are_worth_more_than_an_ensemble() {
    let ridge = |x: &[f64]| {
        let sum: f64 = x.iter().sum();
        -0.5 * ((sum - 1.0) / 0.05).powi(2) - 0.5 * ((x[0] - x[1]) / 0.3).powi(2)
    };
    for dimension in [2, 4, 8] {
        let (steps, stretches) = (metropolis(dimension, ridge, 10_000), ensemble(dimension, ridge, 2000));
        println!("{dimension} numbers: steps {steps:.0}, ensemble {stretches:.0} a thousand evaluations");
        assert!(steps > 1.5 * stretches, "{dimension}: {steps} beside {stretches}");
    }
}
