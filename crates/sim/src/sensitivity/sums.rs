//! Sums over a design, and the indices that follow from them.

use crate::quantile::Estimate;

/// The share of an output's variance that comes from a group of inputs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupIndices {
    /// First-order index \[-\]: by the group alone. May come out below 0 by its error.
    pub first: Estimate,
    /// Total index \[-\]: by the group alone and with all others.
    pub total: Estimate,
}

/// What was found for an output.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputIndices {
    /// Mean.
    pub mean: f64,
    /// Variance; 0 for an output that does not vary.
    pub variance: f64,
    /// In the order of the groups; empty where nothing varies, or nothing was finite.
    pub groups: Vec<GroupIndices>,
    /// Points of the design that were left out because the output was not finite at one of their evaluations.
    pub left_out: u64,
}

/// Sums of one output over points of the design, from a common origin.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Sums {
    count: u64,
    left_out: u64,
    sum: f64,
    squares: f64,
    groups: Vec<GroupSums>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct GroupSums {
    /// f(AB) - f(A)
    step: f64,
    /// f(B) [f(AB) - f(A)]
    product: f64,
    /// [f(AB) - f(A)]^2
    square: f64,
}

impl Sums {
    pub(super) fn of_groups(groups: usize) -> Self {
        Self { groups: vec![GroupSums::default(); groups], ..Self::default() }
    }

    /// One point: the output at A, at B, and for each group at A with the group's inputs from B.
    pub(super) fn push(&mut self, origin: f64, a: f64, b: f64, mixed: impl Iterator<Item = f64> + Clone) {
        if !(a.is_finite() && b.is_finite() && mixed.clone().all(f64::is_finite)) {
            self.left_out += 1;
            return;
        }
        let (a, b) = (a - origin, b - origin);
        self.count += 1;
        self.sum += a + b;
        self.squares += a * a + b * b;
        for (group, mixed) in self.groups.iter_mut().zip(mixed) {
            let step = (mixed - origin) - a;
            group.step += step;
            group.product += b * step;
            group.square += step * step;
        }
    }

    pub(super) fn add(&mut self, other: &Self) {
        self.count += other.count;
        self.left_out += other.left_out;
        self.sum += other.sum;
        self.squares += other.squares;
        for (group, other) in self.groups.iter_mut().zip(&other.groups) {
            group.step += other.step;
            group.product += other.product;
            group.square += other.square;
        }
    }

    /// Mean from the origin, and variance.
    fn moments(&self) -> (f64, f64) {
        let n = 2.0 * self.count as f64;
        let mean = self.sum / n;
        (mean, (self.squares / n - mean * mean).max(0.0))
    }

    /// First-order and total index of each group.
    fn indices(&self) -> impl Iterator<Item = [f64; 2]> {
        let (mean, variance) = self.moments();
        let n = self.count as f64;
        self.groups.iter().map(move |group| {
            let first = (group.product - mean * group.step) / n;
            let total = 0.5 * group.square / n;
            [first / variance, total / variance]
        })
    }
}

/// The indices over all replicates, with jackknife standard errors from leaving each replicate out in turn.
pub(super) fn pooled(replicates: &[Sums], origin: f64) -> OutputIndices {
    let groups = replicates.first().map_or(0, |sums| sums.groups.len());
    let without = |left_out: Option<usize>| {
        let mut pool = Sums::of_groups(groups);
        let kept = replicates.iter().enumerate().filter(|(number, _)| Some(*number) != left_out);
        kept.for_each(|(_, sums)| pool.add(sums));
        pool
    };
    let pool = without(None);
    let (mean, variance) = pool.moments();
    if pool.count == 0 || variance <= 0.0 {
        let mean = if pool.count == 0 { f64::NAN } else { origin + mean };
        return OutputIndices { mean, variance: 0.0, groups: Vec::new(), left_out: pool.left_out };
    }
    let leaving_out: Vec<Vec<[f64; 2]>> =
        (0..replicates.len()).map(|number| without(Some(number)).indices().collect()).collect();
    let estimate = |group: usize, which: usize, value: f64| {
        let r = replicates.len() as f64;
        let values = || leaving_out.iter().map(|indices| indices[group][which]);
        let mean = values().sum::<f64>() / r;
        let squares: f64 = values().map(|value| (value - mean).powi(2)).sum();
        Estimate { value, standard_error: (squares * (r - 1.0) / r).sqrt(), count: pool.count }
    };
    let groups = pool.indices().enumerate().map(|(group, [first, total])| GroupIndices {
        first: estimate(group, 0, first),
        total: estimate(group, 1, total),
    });
    OutputIndices { mean: origin + mean, variance, groups: groups.collect(), left_out: pool.left_out }
}
