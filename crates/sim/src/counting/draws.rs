//! Draws of all rates of a fit together.

use super::gamma_quantiles::{GammaQuantiles, relative_gamma_at};
use super::group::Group;
use super::lattice::Lattice;
use super::nuisance::Rung;

/// Coordinates of a point that are shared by all groups: dispersion and drift.
const SHARED: usize = 2;

/// Two sets of draws for each group, low and high, that differ by one count, as the two ends of an exact interval do.
#[derive(Clone, Debug)]
pub(crate) struct Draws {
    pub(crate) weight: Vec<f64>,
    pub(crate) dispersion: Vec<f64>,
    pub(crate) drift: Vec<f64>,
    pub(crate) rates: Vec<Rates>,
}

/// Draws of one group's rate.
#[derive(Clone, Debug)]
pub(crate) struct Rates {
    /// With the shape n: too low on the average. All 0 where nothing was counted.
    pub(crate) low: Vec<f64>,
    /// With the shape n + 1: too high on the average.
    pub(crate) high: Vec<f64>,
}

impl Draws {
    /// Draws at least `least` times from what a ladder says, up to the largest lattice there is.
    pub(crate) fn new(groups: &[Group], ladder: &[Rung], least: usize) -> Self {
        let mut lattice = Lattice::new(least, SHARED + 2 * groups.len());
        let size = lattice.size();
        let quantiles = |shape: fn(&Group) -> f64| -> Vec<GammaQuantiles> {
            groups.iter().map(|group| GammaQuantiles::new(shape(group))).collect()
        };
        let low = quantiles(|group| group.counts.max(1.0));
        let high = quantiles(|group| group.counts + 1.0);
        let mut draws = Self {
            weight: Vec::with_capacity(size),
            dispersion: Vec::with_capacity(size),
            drift: Vec::with_capacity(size),
            rates: groups
                .iter()
                .map(|_| Rates { low: Vec::with_capacity(size), high: Vec::with_capacity(size) })
                .collect(),
        };
        for _ in 0..size {
            let rung = rung_at(ladder, lattice.coordinate(0));
            let deviate = if rung.drift_sd > 0.0 { lattice.normal(1) } else { 0.0 };
            draws.weight.push(libm::exp(rung.ln_correction(deviate)));
            draws.dispersion.push(rung.dispersion);
            draws.drift.push(rung.drift + rung.drift_sd * deviate);
            for (index, group) in groups.iter().enumerate() {
                let (ln_unit, shape) = rung.groups[index].at(deviate);
                let first = SHARED + 2 * index;
                let below =
                    if shape.is_finite() { relative_gamma_at(shape, lattice.normal(first + 1)) } else { 1.0 };
                let (counted, unit) = (lattice.normal(first), libm::exp(ln_unit) / below);
                let least = if group.counts > 0.0 { unit * low[index].at(counted) } else { 0.0 };
                draws.rates[index].low.push(least);
                draws.rates[index].high.push(unit * high[index].at(counted));
            }
            lattice.walk();
        }
        draws
    }

    /// How many draws of equal weight these are worth.
    pub(crate) fn effective(&self) -> f64 {
        let sum: f64 = self.weight.iter().sum();
        let squares: f64 = self.weight.iter().map(|weight| weight * weight).sum();
        sum * sum / squares
    }

    /// The quantile of a value of every draw; draws whose value is not a number are left out.
    pub(crate) fn quantile(&self, value: impl Fn(usize) -> f64, probability: f64) -> f64 {
        let mut valued: Vec<(f64, f64)> =
            self.weight.iter().enumerate().map(|(draw, &weight)| (value(draw), weight)).collect();
        valued.retain(|(value, _)| !value.is_nan());
        weighted_quantile(&mut valued, probability)
    }
}

/// The rung on which a share of the weight is reached.
fn rung_at(ladder: &[Rung], share: f64) -> &Rung {
    let mut left = share;
    for rung in &ladder[..ladder.len() - 1] {
        left -= rung.weight;
        if left < 0.0 {
            return rung;
        }
    }
    &ladder[ladder.len() - 1]
}

/// As few values as this are put in order.
const SORTED: usize = 64;

/// Quantile of weighted values, straight between the middles of their weights; NaN of none.
fn weighted_quantile(valued: &mut [(f64, f64)], probability: f64) -> f64 {
    let total: f64 = valued.iter().map(|(_, weight)| weight).sum();
    let wanted = probability * total;
    let (mut below, mut part) = (0.0, valued);
    while part.len() > SORTED {
        let middle = part.len() / 2;
        part.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0));
        let lower: f64 = part[..middle].iter().map(|(_, weight)| weight).sum();
        let (low, high) = part.split_at_mut(middle);
        if below + lower > wanted {
            part = low;
        } else {
            part = high;
            below += lower;
        }
    }
    part.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    quantile_in_order(part, wanted - below)
}

/// The value at which a sum of weights is reached, of values in order.
fn quantile_in_order(part: &[(f64, f64)], wanted: f64) -> f64 {
    let mut before: Option<(f64, f64)> = None;
    let mut sum = 0.0;
    for &(value, weight) in part {
        let middle = sum + 0.5 * weight;
        if middle >= wanted {
            return match before {
                Some((previous, at)) if value.is_finite() && previous.is_finite() && middle > at => {
                    previous + (value - previous) * (wanted - at) / (middle - at)
                }
                _ => value,
            };
        }
        before = Some((value, middle));
        sum += weight;
    }
    before.map_or(f64::NAN, |(value, _)| value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weighted_quantiles() {
        let mut even: Vec<(f64, f64)> = (1..=9).rev().map(|i| (f64::from(i), 1.0)).collect();
        assert!((weighted_quantile(&mut even, 0.5) - 5.0).abs() < 1e-12);
        let mut uneven = vec![(3.0, 1.0), (1.0, 3.0)];
        assert!((weighted_quantile(&mut uneven, 0.375) - 1.0).abs() < 1e-12);
        assert!((weighted_quantile(&mut uneven, 0.625) - 2.0).abs() < 1e-12);
        assert!(weighted_quantile(&mut [], 0.5).is_nan());
        let mut many: Vec<(f64, f64)> = (0..10_007).map(|i| (f64::from(i * 7919 % 10_007), 1.0)).collect();
        for probability in [0.001, 0.025, 0.5, 0.9] {
            let got = weighted_quantile(&mut many, probability);
            assert!((got - (probability * 10_007.0 - 0.5)).abs() < 0.51, "{probability}: {got}");
        }
    }
}
