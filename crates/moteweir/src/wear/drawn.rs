//! Draws of worn stacks: quantiles of what is inhaled, and which number of layers protects most how often.

use std::ops::ControlFlow;

use moteweir_sim::quantile::{Progress, Sketch};
use rayon::prelude::*;

/// Draws between two words with the watcher: some tenths of a second.
const DRAWS_A_WAVE: u64 = 64;
/// Draws whose shares are kept one by one, to be ranked.
const RANKED: usize = 2000;

/// What draws found, for each way of breathing.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    /// Inhaled share by way of breathing and number of layers.
    pub(super) inhaled: Vec<Vec<Sketch>>,
    /// Draws in which each number of layers inhales least, by way of breathing.
    pub(super) least: Vec<Vec<u64>>,
    /// Draws so far.
    pub(super) count: u64,
    /// The first draws that could be, with their indices.
    pub(super) first: Vec<(u64, Shares)>,
    /// Draws that made no possible leak.
    pub(super) left_out: u64,
    /// Whether the watcher ended it.
    pub(super) is_interrupted: bool,
}

/// Inhaled shares of a draw by way of breathing and number of layers.
pub(super) type Shares = Vec<Vec<f64>>;

impl Drawn {
    /// Makes so many draws, in parallel and sorted in by their index: the same bits on any number of threads, in a memory
    /// that does not grow with their number.
    ///
    /// A draw gets its index and room of its thread.
    pub(super) fn make<R: Default + Send>(
        [breathings, layers]: [usize; 2],
        draws: u64,
        draw: impl Fn(u64, &mut R) -> Option<Shares> + Sync,
        mut watch: impl FnMut(Progress) -> ControlFlow<()>,
    ) -> Self {
        let mut found = Self {
            inhaled: vec![vec![Sketch::default(); layers]; breathings],
            least: vec![vec![0; layers]; breathings],
            count: 0,
            first: Vec::new(),
            left_out: 0,
            is_interrupted: false,
        };
        while found.count < draws {
            let end = draws.min(found.count + DRAWS_A_WAVE);
            let wave: Vec<Option<Shares>> = (found.count..end)
                .into_par_iter()
                .map_init(R::default, |room, index| draw(index, room))
                .collect();
            (found.count..).zip(wave).for_each(|(index, shares)| found.take(index, shares));
            found.count = end;
            if watch(Progress { drawn: end, expected: draws }).is_break() {
                found.is_interrupted = end < draws;
                break;
            }
        }
        found
    }

    fn take(&mut self, index: u64, shares: Option<Shares>) {
        let Some(shares) = shares else {
            self.left_out += 1;
            return;
        };
        for ((sketches, least), shares) in self.inhaled.iter_mut().zip(&mut self.least).zip(&shares) {
            sketches.iter_mut().zip(shares).for_each(|(sketch, share)| sketch.push(*share));
            least[lowest(shares)] += 1;
        }
        if self.first.len() < RANKED {
            self.first.push((index, shares));
        }
    }

    /// Share of the draws in which each number of layers inhales least.
    pub(super) fn probabilities(&self, breathing: usize) -> Vec<f64> {
        let judged = (self.count - self.left_out).max(1) as f64;
        self.least[breathing].iter().map(|&count| count as f64 / judged).collect()
    }
}

/// Position of the lowest share.
pub(super) fn lowest(shares: &[f64]) -> usize {
    (0..shares.len()).min_by(|&a, &b| shares[a].total_cmp(&shares[b])).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Invented: the second number of layers inhales least in every draw but the tenth ones, which cannot be.
    fn draw(index: u64, (): &mut ()) -> Option<Shares> {
        (!index.is_multiple_of(10)).then(|| vec![vec![0.5, 0.1 + 1e-6 * index as f64, 0.3]])
    }

    #[test]
    fn impossible_draws_are_counted_and_left_out() {
        let found = Drawn::make([1, 3], 1000, draw, |_| ControlFlow::Continue(()));
        assert_eq!((found.count, found.left_out, found.is_interrupted), (1000, 100, false));
        assert_eq!(found.inhaled[0][1].count(), 900);
        assert_eq!((found.first.len(), found.first[9].0), (900, 11));
        assert_eq!(found.probabilities(0), [0.0, 1.0, 0.0]);
    }

    #[test]
    fn a_watcher_ends_a_thousand_million_and_keeps_the_first_draws() {
        let mut waves = 0;
        let found = Drawn::make([1, 3], 1_000_000_000, draw, |progress| {
            assert_eq!(progress.expected, 1_000_000_000);
            waves += 1;
            if waves == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert_eq!((found.count, found.is_interrupted), (3 * DRAWS_A_WAVE, true));
        let shorter = Drawn::make([1, 3], found.count, draw, |_| ControlFlow::Continue(()));
        assert_eq!((found.inhaled, found.least), (shorter.inhaled, shorter.least));
    }
}
