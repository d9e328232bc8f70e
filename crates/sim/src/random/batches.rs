//! Work in fixed batches, in parallel, folded in order: the same bits on any number of threads.

use std::ops::{ControlFlow, Range};

use rayon::prelude::*;

/// Batches that are worked on before the fold looks at them and the caller may end the run.
pub const BATCHES_A_WAVE: u32 = 32;

/// Works on `indices` in batches of `batch`, in parallel, and folds the results one after the other in their order.
///
/// Batches begin at multiples of `batch` from the start of the range, whatever the number of threads, and the fold is
/// serial, so that sums have the same bits everywhere. [`BATCHES_A_WAVE`] results are held at most, so that memory
/// stays flat. The fold may break: what it has folded until then are the first batches of the run. A `batch` of 0 is
/// taken as 1.
pub fn fold_batches<T: Send>(
    indices: Range<u64>,
    batch: u64,
    work: impl Fn(Range<u64>) -> T + Sync,
    mut fold: impl FnMut(T) -> ControlFlow<()>,
) -> ControlFlow<()> {
    let batch = batch.max(1);
    let length = indices.end.saturating_sub(indices.start);
    let batches = length.div_ceil(batch);
    let mut first = 0;
    while first < batches {
        let results: Vec<T> = (0..BATCHES_A_WAVE)
            .into_par_iter()
            .with_max_len(1)
            .map(|number| first + u64::from(number))
            .filter(|number| *number < batches)
            .map(|number| {
                let offset = number * batch;
                work(indices.start + offset..indices.start + length.min(offset.saturating_add(batch)))
            })
            .collect();
        results.into_iter().try_for_each(&mut fold)?;
        first = first.saturating_add(BATCHES_A_WAVE.into());
    }
    ControlFlow::Continue(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::{Purpose, Stream};

    fn on(threads: usize, task: impl FnOnce() -> f64 + Send) -> f64 {
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(task)
    }

    fn sum(indices: Range<u64>) -> f64 {
        indices.map(|i| Stream::new(5, Purpose::named("sum"), i).normal().exp()).sum()
    }

    #[test]
    fn the_sum_has_the_same_bits_on_one_two_and_seven_threads() {
        let total = || {
            let mut total = 0.0;
            let _ = fold_batches(0..100_003, 97, sum, |part| {
                total += part;
                ControlFlow::Continue(())
            });
            total
        };
        let [one, two, seven] = [1, 2, 7].map(|threads| on(threads, total));
        assert_eq!(one.to_bits(), two.to_bits());
        assert_eq!(one.to_bits(), seven.to_bits());
    }

    #[test]
    fn every_index_is_worked_on_once_and_in_order() {
        let mut seen = Vec::new();
        let _ = fold_batches(3..1000, 7, Iterator::collect, |part: Vec<u64>| {
            assert!(part.len() <= 7);
            seen.extend(part);
            ControlFlow::Continue(())
        });
        assert_eq!(seen, (3..1000).collect::<Vec<u64>>());
    }

    #[test]
    fn a_fold_that_breaks_has_seen_the_first_batches() {
        let mut seen = 0;
        let end = fold_batches(
            0..u64::MAX,
            10,
            |part| part.end,
            |until| {
                seen = until;
                if until >= 500 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            },
        );
        assert_eq!((end, seen), (ControlFlow::Break(()), 500));
    }

    #[test]
    fn an_empty_range_is_no_work() {
        let end = fold_batches(5..5, 10, |_| (), |()| ControlFlow::Break(()));
        assert_eq!(end, ControlFlow::Continue(()));
    }
}
