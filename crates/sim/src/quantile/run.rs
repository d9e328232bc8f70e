//! Draws until enough is known, in parallel, with the same bits on any number of threads.

use std::ops::{ControlFlow, Range};

use rayon::prelude::*;

use super::estimate::Proportion;
use super::plan::{Draws, Plan, PlanError};
use super::sketch::Sketch;

/// Draws that one task works on.
const DRAWS_A_TASK: usize = 64;
/// Draws between two words with the watcher.
const DRAWS_A_WAVE: usize = 128 * DRAWS_A_TASK;
/// Neighbouring quantities that one task sorts into sketches: a cache line of them.
const QUANTITIES_A_TASK: usize = 8;

/// Where a run stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Draws so far.
    pub drawn: u64,
    /// Draws that are needed in all: what was asked for, or what the standard errors at the last look foretell.
    pub expected: u64,
}

/// Why a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// As many draws as were asked for.
    Counted,
    /// Every quantile asked for is within its tolerance.
    Reached,
    /// The largest number of draws came first.
    Exhausted,
    /// The watcher ended it; what was drawn until then stands.
    Interrupted,
}

/// What a run found.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The distribution of each quantity.
    pub quantities: Vec<Sketch>,
    /// How often each target held.
    pub targets: Vec<Proportion>,
    /// Draws, with indices from 0 to one less than this.
    pub drawn: u64,
    /// Why it ended.
    pub ending: Ending,
}

/// Draws, as the plan says.
///
/// `draw` is given a range of indices and room for their rows, one after the other, each of
/// [`Plan::width`] numbers: the quantities, then for each target 1 where it holds, 0 where not, NaN where it cannot be
/// judged. It writes all of them: the room holds the numbers of an earlier wave. It has to be a function of the index alone (see [`crate::random::Stream`]), so that a longer run begins with
/// the draws of a shorter one. `watch` is told of the progress every few thousand draws and may break the run off.
///
/// How many, adaptively: batches of draws are added until for each wanted quantile twice its standard error
/// ([`Sketch::quantile_estimate`]) is below the tolerance. After JCGM 101:2008, 7.9 (from memory), with two
/// departures: the standard error comes from the order statistics of all draws, not from the scatter between batches of
/// 10 000, in which far quantiles are biased; and after ten batches the looks are a tenth of the draws apart. A quantity
/// that is never a finite number is not waited for.
///
/// Memory does not grow with the number of draws.
///
/// # Errors
/// A plan that asks for a quantity that is not there, or for a rank or tolerance that cannot be.
pub fn run(
    plan: &Plan,
    draw: impl Fn(Range<u64>, &mut [f64]) + Sync,
    mut watch: impl FnMut(Progress) -> ControlFlow<()>,
) -> Result<Outcome, PlanError> {
    plan.check()?;
    let mut rows =
        vec![0.0; plan.width() * DRAWS_A_WAVE.min(usize::try_from(plan.most()).unwrap_or(usize::MAX))];
    let mut outcome = Outcome {
        quantities: vec![Sketch::default(); plan.quantities],
        targets: vec![Proportion::default(); plan.targets],
        drawn: 0,
        ending: Ending::Counted,
    };
    let mut expected = plan.most();
    while outcome.drawn < plan.most() {
        let look = plan.next_look(outcome.drawn);
        while outcome.drawn < look {
            outcome.wave(look, plan.width(), &mut rows, &draw);
            if watch(Progress { drawn: outcome.drawn, expected: expected.max(outcome.drawn) }).is_break() {
                outcome.ending = Ending::Interrupted;
                return Ok(outcome);
            }
        }
        if let Draws::Adaptive { most, .. } = plan.draws {
            let excess = outcome.worst_excess(plan);
            if excess < 1.0 {
                outcome.ending = Ending::Reached;
                return Ok(outcome);
            }
            outcome.ending = Ending::Exhausted;
            expected = foretold(outcome.drawn, excess).min(most);
        }
    }
    Ok(outcome)
}

/// Standard errors fall with the root of the number of draws.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates, which is what is wanted"
)]
fn foretold(drawn: u64, excess: f64) -> u64 {
    (drawn as f64 * excess * excess).ceil() as u64
}

impl Outcome {
    /// Draws the next wave, up to the number `until`, and sorts it in.
    fn wave(
        &mut self,
        until: u64,
        width: usize,
        rows: &mut [f64],
        draw: &(impl Fn(Range<u64>, &mut [f64]) + Sync),
    ) {
        let count = usize::try_from(until - self.drawn).unwrap_or(usize::MAX).min(DRAWS_A_WAVE);
        let first = self.drawn;
        self.drawn += count as u64;
        if width == 0 {
            return;
        }
        let rows = &mut rows[..count * width];
        rows.par_chunks_mut(DRAWS_A_TASK * width).with_max_len(1).enumerate().for_each(|(task, rows)| {
            let from = first + (task * DRAWS_A_TASK) as u64;
            draw(from..from + (rows.len() / width) as u64, rows);
        });
        self.sort_in(rows, width);
    }

    /// Sorts rows into the sketches; each sketch sees its draws in their order.
    fn sort_in(&mut self, rows: &[f64], width: usize) {
        let Self { quantities, targets, .. } = self;
        let first_target = quantities.len();
        let into_sketches = || {
            quantities.par_chunks_mut(QUANTITIES_A_TASK).with_max_len(1).enumerate().for_each(
                |(chunk, sketches)| {
                    let first = chunk * QUANTITIES_A_TASK;
                    // Row by row: a narrow distribution hits one bin again and again, and its neighbours hide the wait.
                    for row in rows.chunks_exact(width) {
                        for (sketch, value) in sketches.iter_mut().zip(&row[first..]) {
                            sketch.push(*value);
                        }
                    }
                },
            );
        };
        let into_targets = || {
            for row in rows.chunks_exact(width) {
                for (target, held) in targets.iter_mut().zip(&row[first_target..]) {
                    target.push(*held);
                }
            }
        };
        rayon::join(into_sketches, into_targets);
    }

    /// The largest of twice a standard error over its tolerance.
    fn worst_excess(&self, plan: &Plan) -> f64 {
        let Draws::Adaptive { wanted, .. } = &plan.draws else { return 0.0 };
        let excess = wanted.iter().filter_map(|wanted| {
            let estimate = self.quantities[wanted.quantity].quantile_estimate(wanted.rank)?;
            // A quantile of 0 with no spread has no relative error to wait for.
            (estimate.value.is_finite() && estimate.standard_error > 0.0)
                .then(|| 2.0 * estimate.standard_error / wanted.tolerance.at(estimate.value))
        });
        excess.fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::super::plan::{Tolerance, Wanted};
    use super::*;
    use crate::random::{Purpose, Stream, normal_quantile};

    const WEIGHT: Purpose = Purpose::named("weight");

    /// A lognormal number of log-standard deviation 0.3, a standard normal one, and whether the first is above 1.
    fn draw(indices: Range<u64>, rows: &mut [f64]) {
        for (index, row) in indices.zip(rows.chunks_exact_mut(3)) {
            let x = (0.3 * Stream::new(21, WEIGHT, index).normal()).exp();
            row[0] = x;
            row[1] = Stream::new(21, WEIGHT.item(1), index).normal();
            row[2] = f64::from(u8::from(x > 1.0));
        }
    }

    fn adaptive(tolerance: f64, most: u64) -> Plan {
        let wanted = [0.025, 0.5, 0.975]
            .map(|rank| Wanted { quantity: 0, rank, tolerance: Tolerance::Relative(tolerance) })
            .to_vec();
        Plan { quantities: 2, targets: 1, draws: Draws::Adaptive { wanted, batch: 1000, most } }
    }

    fn exactly(count: u64) -> Plan {
        Plan { quantities: 2, targets: 1, draws: Draws::Exactly(count) }
    }

    fn quiet(_: Progress) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    #[test]
    fn an_adaptive_run_ends_within_its_tolerance_and_is_right() {
        let outcome = run(&adaptive(0.01, 10_000_000), draw, quiet).unwrap();
        assert_eq!(outcome.ending, Ending::Reached);
        for rank in [0.025, 0.5, 0.975] {
            let got = outcome.quantities[0].quantile_estimate(rank).unwrap();
            let exact = (0.3 * normal_quantile(rank)).exp();
            assert!(2.0 * got.standard_error < 0.01 * got.value, "{got:?}");
            // Five standard errors, a chance of 6e-7.
            let miss = (got.value - exact).abs() - Sketch::RESOLUTION * exact;
            assert!(miss < 5.0 * got.standard_error, "rank {rank}: {got:?}, exact {exact}");
        }
        // The standard error of the 0.975 quantile is 0.3 sqrt(0.0244/n)/0.0584, below 0.005 from n = 25 700 on. It is
        // known from the spacing of some 100 draws, within 10 %, so that n is within 20 %; five of those to either side.
        assert!((12_800..51_400).contains(&outcome.drawn), "{} draws", outcome.drawn);
        let held = outcome.targets[0].estimate().unwrap();
        assert!((held.value - 0.5).abs() < 5.0 * held.standard_error, "{held:?}");
    }

    /// Twice the standard error is the tolerance where a run ends, so that 4.6 % of the runs miss by more. Of 300 runs
    /// 13.7, standard deviation 3.6; more than 31 has a chance of 1e-5, fewer than 2 as well.
    #[test]
    fn adaptive_runs_miss_their_tolerance_as_seldom_as_two_standard_errors_say() {
        let exact = (0.3 * normal_quantile(0.9)).exp();
        let tolerance = Tolerance::Relative(0.02);
        let wanted = vec![Wanted { quantity: 0, rank: 0.9, tolerance }];
        let plan = Plan {
            quantities: 1,
            targets: 0,
            draws: Draws::Adaptive { wanted, batch: 100, most: 1_000_000 },
        };
        let misses = (0..300)
            .filter(|seed| {
                let draw = |indices: Range<u64>, rows: &mut [f64]| {
                    for (index, x) in indices.zip(rows) {
                        *x = (0.3 * Stream::new(*seed, WEIGHT, index).normal()).exp();
                    }
                };
                let outcome = run(&plan, draw, quiet).unwrap();
                assert_eq!(outcome.ending, Ending::Reached);
                (outcome.quantities[0].quantile(0.9).unwrap() / exact - 1.0).abs() > 0.02
            })
            .count();
        assert!((2..=31).contains(&misses), "{misses} of 300 runs missed");
    }

    #[test]
    fn a_tighter_tolerance_needs_as_many_more_draws_as_its_square() {
        let drawn = |tolerance| run(&adaptive(tolerance, 10_000_000), draw, quiet).unwrap().drawn as f64;
        let ratio = drawn(0.005) / drawn(0.01);
        assert!((2.8..5.6).contains(&ratio), "{ratio} times the draws for half the tolerance");
    }

    #[test]
    fn same_bits_on_one_two_and_seven_threads() {
        let plan = adaptive(0.01, 100_000);
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| run(&plan, draw, quiet).unwrap())
        };
        let [one, two, seven] = [1, 2, 7].map(on);
        let mean = |outcome: &Outcome| outcome.quantities[0].mean().unwrap().value.to_bits();
        assert_eq!(mean(&one), mean(&two));
        assert_eq!(one, two);
        assert_eq!(one, seven);
    }

    #[test]
    fn a_run_that_stopped_is_the_beginning_of_a_longer_one() {
        let stopped = run(&adaptive(0.02, 100_000), draw, quiet).unwrap();
        let counted = run(&exactly(stopped.drawn), draw, quiet).unwrap();
        assert_eq!((&stopped.quantities, &stopped.targets), (&counted.quantities, &counted.targets));
    }

    #[test]
    fn a_watcher_ends_a_run_of_a_thousand_million_and_keeps_what_is_known() {
        let mut seen = Vec::new();
        let outcome = run(&exactly(1_000_000_000), draw, |progress| {
            seen.push(progress);
            if seen.len() == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        })
        .unwrap();
        assert_eq!((outcome.ending, outcome.drawn), (Ending::Interrupted, 3 * 128 * 64));
        assert_eq!(outcome.quantities[0].count(), outcome.drawn);
        assert!(seen.iter().all(|progress| progress.expected == 1_000_000_000));
        let known = run(&exactly(outcome.drawn), draw, quiet).unwrap();
        assert_eq!(outcome.quantities, known.quantities);
    }

    #[test]
    fn a_limit_that_comes_first_is_said() {
        let outcome = run(&adaptive(1e-4, 5_500), draw, quiet).unwrap();
        assert_eq!((outcome.ending, outcome.drawn), (Ending::Exhausted, 5_500));
    }

    #[test]
    fn a_quantity_that_is_never_a_number_is_not_waited_for() {
        let wanted = vec![Wanted { quantity: 0, rank: 0.5, tolerance: Tolerance::Relative(0.01) }];
        let draws = Draws::Adaptive { wanted, batch: 100, most: 1_000_000 };
        let plan = Plan { quantities: 1, targets: 0, draws };
        for value in [f64::NAN, f64::INFINITY, 0.0, 0.3] {
            let outcome = run(&plan, |_, rows| rows.fill(value), quiet).unwrap();
            assert_eq!((outcome.ending, outcome.drawn), (Ending::Reached, 100), "{value}");
        }
    }

    #[test]
    fn a_plan_that_cannot_be_is_refused() {
        let with = |quantity, rank, tolerance| {
            let wanted = vec![Wanted { quantity, rank, tolerance: Tolerance::Absolute(tolerance) }];
            let draws = Draws::Adaptive { wanted, batch: 100, most: 1000 };
            run(&Plan { quantities: 2, targets: 1, draws }, draw, quiet).unwrap_err().to_string()
        };
        assert_eq!(
            with(2, 0.5, 0.1),
            "a quantile of quantity 2 is asked for, but there are only 2, counted from 0"
        );
        assert_eq!(with(0, 1.0, 0.1), "the rank of a quantile is 1, but has to lie above 0 and below 1");
        assert_eq!(with(0, 0.5, 0.0), "the tolerance of a quantile is 0, but has to be above 0");
        assert_eq!(run(&exactly(0), draw, quiet).unwrap().drawn, 0);
    }
}
