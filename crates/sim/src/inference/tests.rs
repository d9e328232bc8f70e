//! Posteriors that are known, chains that are stuck, quadrature beside chains, and simulation-based calibration.

use std::ops::ControlFlow;

use super::*;
use crate::random::{Purpose, Stream};

fn go(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn mean_sd(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt())
}

/// Readings 1.3 +- 0.1 of the sum of the numbers and 0.4 +- 0.2 of the first less the second. With F the readings'
/// coefficients the posterior is normal with precision I + F^T S^-1 F.
fn sums(at: &[f64]) -> f64 {
    let sum: f64 = at.iter().sum();
    -0.5 * ((sum - 1.3) / 0.1).powi(2) - 0.5 * ((at[0] - at[1] - 0.4) / 0.2).powi(2)
}

/// Mean and standard deviation of the first number in `n` dimensions. The sum s has prior variance n and the difference
/// d variance 2, independent; of the rest of the first number, x1 = s/n + d/2 + r, r has variance 1 - 1/n - 1/2.
fn first_of_sums(n: f64) -> (f64, f64) {
    let sum = 1.3 / 0.01 / (1.0 / n + 1.0 / 0.01);
    let difference = 0.4 / 0.04 / (0.5 + 1.0 / 0.04);
    let variance = 1.0 / (1.0 / n + 100.0) / (n * n) + 1.0 / (0.5 + 25.0) / 4.0 + (0.5 - 1.0 / n);
    (sum / n + difference / 2.0, variance.sqrt())
}

#[test]
fn a_normal_posterior_has_its_mean_and_width() {
    for n in [2_usize, 5, 8] {
        let model = Likelihood { dimension: n, of: sums };
        let found = sample(&model, &Plan { most: 100_000, warm_up: 3000, round: 5000, ..Plan::usual(3) }, go);
        assert!(found.converged, "{n}: {:?}", found.diagnoses);
        let (mean, sd) = mean_sd(&found.number(0));
        let (exact_mean, exact_sd) = first_of_sums(n as f64);
        // Five standard errors of the mean; the relative error of a standard deviation is that over root two.
        let error = 5.0 * exact_sd / found.diagnoses[0].ess.sqrt();
        assert!((mean - exact_mean).abs() < error, "{n}: mean {mean}, exact {exact_mean} +- {error}");
        assert!((sd - exact_sd).abs() < error, "{n}: sd {sd}, exact {exact_sd} +- {error}");
    }
}

/// The likelihood that makes the standard normal prior into Haario's banana, x2 bent by b (x1^2 - v), x1 of variance v.
fn banana(at: &[f64]) -> f64 {
    let (bend, variance, width) = (1.0, 0.5, 0.5);
    let straight = at[1] + bend * (at[0] * at[0] - variance);
    0.5 * (at[0] * at[0] + at[1] * at[1]) - 0.5 * at[0] * at[0] / variance - 0.5 * (straight / width).powi(2)
}

#[test]
fn a_banana_has_its_moments_by_chains_and_by_quadrature() {
    let model = Likelihood { dimension: 2, of: banana };
    let grid = integrate(&model, &Grid::usual()).unwrap();
    let chains =
        sample(&model, &Plan { most: 100_000, round: 20_000, ess_at_least: 3000.0, ..Plan::usual(5) }, go);
    assert!(grid.converged && chains.converged, "{:?}", chains.diagnoses);
    // Var x2 = width^2 + bend^2 2 v^2.
    let exact = [(0.0, 0.5_f64.sqrt()), (0.0, (0.25_f64 + 2.0 * 0.25).sqrt())];
    for (number, (mean, sd)) in exact.into_iter().enumerate() {
        let (m, s) = mean_sd(&grid.number(number));
        assert!((m - mean).abs() < 0.01 * sd && (s / sd - 1.0).abs() < 0.01, "grid {number}: {m} {s}, {sd}");
        let (m, s) = mean_sd(&chains.number(number));
        assert!(
            (m - mean).abs() < 0.05 * sd && (s / sd - 1.0).abs() < 0.05,
            "chains {number}: {m} {s}, {sd}"
        );
    }
}

/// A reading of the product of two numbers, with counts: no closed form.
fn counted_product(at: &[f64]) -> f64 {
    let expected = libm::exp(2.0 + 0.6 * at[0] + 0.8 * at[1]);
    12.0 * expected.ln() - expected - 0.5 * ((at[0] + 0.3) / 0.7).powi(2)
}

#[test]
fn quadrature_agrees_with_chains_to_a_hundredth_of_a_standard_deviation() {
    let one = Likelihood { dimension: 1, of: |at: &[f64]| counted_product(&[0.2, at[0]]) };
    let two = Likelihood { dimension: 2, of: counted_product };
    // 1 % of a standard deviation with three standard errors to spare: 100 000 effective draws.
    let plan = Plan { ess_at_least: 100_000.0, most: 400_000, round: 150_000, ..Plan::usual(8) };
    let compared = |grid: Posterior, chains: Posterior| {
        assert!(grid.converged && chains.converged, "{:?}", chains.diagnoses);
        for number in 0..grid.dimension() {
            let ((m, s), (n, t)) = (mean_sd(&grid.number(number)), mean_sd(&chains.number(number)));
            assert!((m - n).abs() < 0.01 * t && (s - t).abs() < 0.01 * t, "{number}: {m} {s} beside {n} {t}");
        }
    };
    compared(integrate(&one, &Grid::usual()).unwrap(), sample(&one, &plan, go));
    compared(integrate(&two, &Grid::usual()).unwrap(), sample(&two, &plan, go));
}

#[test]
fn a_narrow_ridge_is_found_by_quadrature() {
    // A sum known to a thousandth, a difference hardly: standard deviation of each 1/sqrt(2) but for a little.
    let ridge = |at: &[f64]| -0.5 * ((at[0] + at[1] - 1.0) / 1e-3).powi(2);
    let found = integrate(&Likelihood { dimension: 2, of: ridge }, &Grid::usual()).unwrap();
    let (mean, sd) = mean_sd(&found.number(0));
    assert!(found.converged, "{:?}", found.diagnoses);
    assert!((mean - 0.5).abs() < 0.01 && (sd - 0.5_f64.sqrt()).abs() < 0.007, "{mean} {sd}");
    let sum: Vec<f64> = found.draws().map(|x| x[0] + x[1]).collect();
    let (mean, sd) = mean_sd(&sum);
    assert!((mean - 1.0).abs() < 1e-5 && (sd / 1e-3 - 1.0).abs() < 0.01, "{mean} {sd}");
}

#[test]
fn a_peak_far_out_and_thin_is_found_by_quadrature() {
    let peak = |at: &[f64]| -0.5 * ((at[0] - 3.1) / 1e-5).powi(2);
    let found = integrate(&Likelihood { dimension: 1, of: peak }, &Grid::usual()).unwrap();
    let (mean, sd) = mean_sd(&found.number(0));
    assert!((mean - 3.1).abs() < 1e-6 && (sd / 1e-5 - 1.0).abs() < 0.01, "{mean} {sd}");
}

#[test]
fn two_peaks_too_far_apart_are_no_convergence() {
    let peaks = |at: &[f64]| {
        let peak = |centre: f64| (-0.5 * ((at[0] - centre) / 0.05).powi(2)).exp();
        (peak(-2.0) + peak(2.0)).ln()
    };
    let plan = Plan { most: 4000, chains: 6, ..Plan::usual(4) };
    let found = sample(&Likelihood { dimension: 1, of: peaks }, &plan, go);
    assert!(!found.converged && found.diagnoses[0].rhat > 1.1, "{:?}", found.diagnoses);
    let grid = integrate(&Likelihood { dimension: 1, of: peaks }, &Grid::usual()).unwrap();
    let (mean, sd) = mean_sd(&grid.number(0));
    assert!(mean.abs() < 0.02 && (sd - 2.0).abs() < 0.02, "{mean} {sd}");
}

/// A likelihood that is a wall: nothing but one cell of the prior is possible, and no step is taken.
#[test]
fn a_chain_that_cannot_move_is_stuck_and_not_converged() {
    let wall = |at: &[f64]| {
        let bits = at[0].to_bits();
        if bits % 1024 == 7 { 0.0 } else { -1e9 * (1.0 + at[0].abs()) }
    };
    let found = sample(&Likelihood { dimension: 1, of: wall }, &Plan { most: 2000, ..Plan::usual(4) }, go);
    assert!(!found.converged, "{:?} {:?}", found.diagnoses, found.acceptance);
}

struct Slices(usize);

impl Model for Slices {
    type Known = ();

    fn dimension(&self) -> usize {
        self.0
    }

    fn room(&self) {}

    fn log_likelihood(&self, at: &[f64], _: Option<&[usize]>, (): &mut ()) -> f64 {
        sums(at)
    }

    fn moves(&self) -> Vec<Move> {
        vec![Move::Step(vec![0, 1]), Move::Slice((0..self.0).collect())]
    }
}

#[test]
fn slices_leave_the_posterior_as_it_is() {
    let plan = Plan { most: 100_000, round: 5000, ess_at_least: 2000.0, ..Plan::usual(12) };
    let found = sample(&Slices(4), &plan, go);
    assert!(found.converged, "{:?}", found.diagnoses);
    let ((mean, sd), (exact_mean, exact_sd)) = (mean_sd(&found.number(0)), first_of_sums(4.0));
    let error = 5.0 * exact_sd / found.diagnoses[0].ess.sqrt();
    assert!((mean - exact_mean).abs() < error && (sd - exact_sd).abs() < error, "{mean} {sd}");
}

#[test]
fn the_number_of_threads_moves_no_bit() {
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let plan = Plan { most: 300, round: 100, warm_up: 200, ..Plan::usual(6) };
        pool.install(|| sample(&Slices(5), &plan, go))
    };
    let (one, two, seven) = (on(1), on(2), on(7));
    assert!(one == two && two == seven);
}

/// A number of unit prior variance, four readings with standard deviation 1.5: simulation-based calibration, 400 draws of
/// the prior, ranks among 99 draws, 20 cells. One test, significance 1e-4 (z = 3.72), fixed seeds.
#[test]
fn ranks_of_a_conjugate_posterior_are_even() {
    const TRUTH: Purpose = Purpose::named("truth");
    let ranks: Vec<usize> = (0..400)
        .map(|trial| {
            let mut stream = Stream::new(21, TRUTH, trial);
            let truth = stream.normal();
            let readings: Vec<f64> = (0..4).map(|_| truth + 1.5 * stream.normal()).collect();
            let of = |at: &[f64]| readings.iter().map(|y| -0.5 * ((y - at[0]) / 1.5).powi(2)).sum();
            let plan = Plan { most: 1000, round: 1000, warm_up: 200, chains: 2, ..Plan::usual(trial) };
            let found = sample(&Likelihood { dimension: 1, of }, &plan, go);
            // 2000 draws with a memory of some five each: every 20th is as good as independent.
            found.thinned(99).iter().filter(|draw| draw[0] < truth).count()
        })
        .collect();
    let test = evenness(&ranks, 99, 20);
    assert!(test.z < 3.72, "{test:?}");
}
