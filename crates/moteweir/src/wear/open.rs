//! What leaves an inhaled share open: how far each uncertain number goes with it over the draws.

use super::drawn::Drawn;
use crate::case::{Case, Face};
use crate::draws::{Slot, slots_of_face, slots_of_stack};
use crate::report::OpenShare;
use crate::vary::grouped;

/// Fewer draws than this say nothing of it.
const FEWEST: usize = 50;
/// A quantity that makes less than this is not worth a row.
const WORTH_A_ROW: f64 = 0.005;

/// The uncertain numbers of a worn stack.
pub(super) struct Open<'a> {
    case: &'a Case,
    slots: Vec<Slot>,
    seed: u64,
}

impl<'a> Open<'a> {
    /// Of the leak and of all these sheets.
    pub(super) fn new(case: &'a Case, face: &Face, sheets: &[usize], seed: u64) -> Self {
        let slots = slots_of_face(face).into_iter().chain(slots_of_stack(case, sheets)).collect();
        Self { case, slots, seed }
    }

    /// The parts of a way of breathing and a number of layers, the largest first.
    ///
    /// ```text
    /// part = sum over the quantity's numbers of r^2 - (1 - r^2)/(n - 2)
    /// ```
    /// r Spearman's rank correlation with the inhaled share over the n draws that were kept: where the share rises or
    /// falls with a number, about what that number makes of the variance of the share's rank by itself.
    pub(super) fn shares(&self, drawn: &Drawn, way: usize, at: usize) -> Vec<OpenShare> {
        let n = drawn.first.len();
        if n < FEWEST {
            return Vec::new();
        }
        let inhaled = ranks(drawn.first.iter().map(|(_, shares)| shares[way][at]));
        let part = |slot: Slot| {
            let r =
                correlation(&ranks(drawn.first.iter().map(|(i, _)| slot.uniform(self.seed, *i))), &inhaled);
            r * r - (1.0 - r * r) / (n - 2) as f64
        };
        let (quantities, groups) = grouped(&self.slots);
        let of_group = |group: &Vec<usize>| group.iter().map(|&slot| part(self.slots[slot])).sum::<f64>();
        let mut open: Vec<OpenShare> = quantities
            .iter()
            .zip(&groups)
            .map(|(quantity, group)| OpenShare {
                quantity: quantity.words(self.case),
                kind: quantity.kind(),
                measure: quantity.measure(),
                rank_correlation_squared: of_group(group),
            })
            .filter(|open| open.rank_correlation_squared > WORTH_A_ROW)
            .collect();
        open.sort_by(|a, b| b.rank_correlation_squared.total_cmp(&a.rank_correlation_squared));
        open
    }
}

/// Ranks from 0; equal values in the order they come.
fn ranks(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let values: Vec<f64> = values.collect();
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    for (rank, place) in order.into_iter().enumerate() {
        ranks[place] = rank as f64;
    }
    ranks
}

/// The correlation of two lists of ranks, each from 0 to n - 1.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len() as f64;
    let (mean, variance) = (0.5 * (n - 1.0), (n * n - 1.0) / 12.0);
    a.iter().zip(b).map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>() / (n * variance)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranks_go_together_as_they_should() {
        let values = [0.3, -2.0, 7.0, 0.4, 0.1];
        let of = |f: &dyn Fn(f64) -> f64| ranks(values.iter().map(|x| f(*x)));
        assert_eq!(of(&|x| x), [2.0, 0.0, 4.0, 3.0, 1.0]);
        let with = |f: &dyn Fn(f64) -> f64| correlation(&of(&|x| x), &of(f));
        assert!((with(&|x| x.exp()) - 1.0).abs() < 1e-15 && (with(&|x| -x) + 1.0).abs() < 1e-15);
        // By hand: ranks 2 0 4 3 1 and 1 3 4 2 0: the squares of the differences sum to 1 + 9 + 0 + 1 + 1.
        assert!((with(&|x| x * x) - (1.0 - 6.0 * 12.0 / (5.0 * 24.0))).abs() < 1e-15);
    }
}
