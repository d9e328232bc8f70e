//! What the readings of a channel say of the one penetration that they saw, with the channel's own unknowns summed away.
//!
//! Level of the room and drift by sums of Gauss and Hermite laid where they are, for each of a row of
//! dispersions; that for each of a row of ln(-ln P).

use moteweir_sim::inference::{Adapted, gauss_hermite, ln_of_sum};
use rayon::prelude::*;

use super::counts::CountsOfChannel;

/// The number of the dispersion, from and to, in steps: its posterior is seldom narrower than two of them.
const DISPERSIONS: (f64, f64, u32) = (-4.5, 3.7, 27);
/// ln(-ln P) from P of 0.999999 to e^-60.
const LOWEST: f64 = -13.8;
const HIGHEST: f64 = 4.1;
/// Steps of the first look, of the halvings that close in on the peak and its ends, and of the table.
const LOOKS: u32 = 72;
const HALVINGS: u32 = 14;
const ROWS: usize = 128;
/// What is less likely than the peak by this factor's logarithm is beyond the table, and goes on straight.
const DEPTH: f64 = 20.0;
/// The number of a channel's level is no further off than this: e^10 times the plain level.
const FARTHEST: f64 = 20.0;
/// A position that has less of the sum than this factor's logarithm is dropped.
const NEGLIGIBLE: f64 = 14.0;

/// Nodes along level and drift.
const NODES: usize = 7;
/// Level, dispersion and drift. Background and leak may be nothing or a few counts, which is far from normal: with both,
/// sums of 3 and 5 nodes left means 1.2 and 1.8 % of a standard deviation off long chains.
const MOST: usize = 3;
/// What is as wide as a normal density has fallen by this at one standard deviation.
const WIDE: f64 = 0.5;

/// A position of a channel's own numbers.
#[derive(Clone, Debug)]
pub(super) struct Position {
    pub(super) numbers: Vec<f64>,
    /// Standard deviations of the numbers round it.
    pub(super) about: Vec<f64>,
    pub(super) ln_weight: f64,
}

/// The logarithm of the likelihood of a channel's readings over ln(-ln P).
#[derive(Clone, Debug)]
pub(super) struct ChannelTable {
    first: f64,
    step: f64,
    peak: f64,
    width: f64,
    ln: Vec<f64>,
    positions: Vec<Vec<Position>>,
}

impl ChannelTable {
    /// Of a channel whose readings saw one test. `None` where no penetration agrees with the readings, or
    /// clean air or a foil was counted.
    pub(super) fn new(likelihood: &CountsOfChannel, test: usize) -> Option<Self> {
        if likelihood.dimension() > MOST {
            return None;
        }
        let of = |y: f64| positions(likelihood, test, y);
        let whole = |y: f64| summed(&of(y));
        let Window { peak, width, low, high } = window(&whole)?;
        let first = libm::asinh((low - peak) / width);
        let step = (libm::asinh((high - peak) / width) - first) / (ROWS - 1) as f64;
        let at = |i: usize| peak + width * libm::sinh(first + step * i as f64);
        let positions: Vec<Vec<Position>> = (0..ROWS).into_par_iter().map(|i| of(at(i))).collect();
        let ln = positions.iter().map(|row| summed(row)).collect();
        Some(Self { first, step, peak, width, ln, positions })
    }

    /// Where ln(-ln P) is likeliest.
    pub(super) const fn peak(&self) -> f64 {
        self.peak
    }

    /// How wide the peak is, as the standard deviation of a normal density that falls as fast.
    pub(super) const fn width(&self) -> f64 {
        self.width
    }

    /// The row of ln(-ln P): rows lie closest at the peak, that is sharp where the readings agree with one another, and has
    /// tails as long as the dispersion that they may have.
    fn row(&self, y: f64) -> f64 {
        (libm::asinh((y - self.peak) / self.width) - self.first) / self.step
    }

    /// The logarithm of the likelihood at ln(-ln P).
    pub(super) fn at(&self, y: f64) -> f64 {
        along(&self.ln, self.row(y))
    }

    /// Positions of the channel's own numbers at ln(-ln P), likelier ones with a greater weight.
    pub(super) fn positions(&self, y: f64) -> &[Position] {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the table")]
        let row = self.row(y).round().clamp(0.0, (ROWS - 1) as f64) as usize;
        &self.positions[row]
    }
}

fn summed(positions: &[Position]) -> f64 {
    ln_of_sum(positions.iter().map(|p| p.ln_weight))
}

/// Through four values of an even row, straight on beyond its ends.
fn along(values: &[f64], place: f64) -> f64 {
    let (count, value) = (values.len(), |i: usize| values[i]);
    let last = (count - 1) as f64;
    if place <= 0.0 {
        return value(0) + place * (value(1) - value(0));
    }
    if place >= last {
        return value(count - 1) + (place - last) * (value(count - 1) - value(count - 2));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the row")]
    let first = (place.floor() as usize).clamp(1, count - 3) - 1;
    let t = place - first as f64;
    let (a, b, c, d) = (t, t - 1.0, t - 2.0, t - 3.0);
    -b * c * d / 6.0 * value(first) + a * c * d / 2.0 * value(first + 1) - a * b * d / 2.0 * value(first + 2)
        + a * b * c / 6.0 * value(first + 3)
}

/// Every position at ln(-ln P) that matters. The level is flat before the readings, the others are standard normal.
fn positions(likelihood: &CountsOfChannel, test: usize, y: f64) -> Vec<Position> {
    let mut penetrations = vec![1.0; test + 1];
    penetrations[test] = (-y.exp()).exp();
    let n = likelihood.dimension();
    let with = |dispersion: f64, rest: &[f64]| {
        let mut numbers = vec![rest[0], dispersion];
        numbers.extend_from_slice(&rest[1..]);
        numbers
    };
    // Level, then drift.
    let (mut start, mut widths) = (vec![0.0; n - 1], vec![0.3; n - 1]);
    let axis = gauss_hermite(NODES);
    let (from, to, steps) = DISPERSIONS;
    let mut all = Vec::new();
    // From wide to narrow: what is narrow is not found from afar.
    for i in (0..=steps).rev() {
        let dispersion = from + (to - from) * f64::from(i) / f64::from(steps);
        let ln_f = |rest: &[f64]| {
            if rest[0].abs() > FARTHEST {
                return f64::NEG_INFINITY;
            }
            let nuisances = likelihood.nuisances(&with(dispersion, rest));
            let prior = -0.5 * (dispersion * dispersion + rest[1..].iter().map(|z| z * z).sum::<f64>());
            prior + likelihood.ln_likelihood(&nuisances, &penetrations)
        };
        let Some(found) = Adapted::of(ln_f, &start, &widths, &axis) else { continue };
        let own = |k: usize| (0..=k).map(|j| found.root[[k, j]].powi(2)).sum::<f64>().sqrt();
        widths = (0..n - 1).map(own).collect();
        start.clone_from(&found.centre);
        let about = with(0.5 * (to - from) / f64::from(steps), &widths);
        all.extend(found.nodes.into_iter().map(|(rest, ln_weight)| Position {
            numbers: with(dispersion, &rest),
            about: about.clone(),
            ln_weight,
        }));
    }
    let most = all.iter().map(|p| p.ln_weight).fold(f64::NEG_INFINITY, f64::max);
    all.retain(|p| p.ln_weight > most - NEGLIGIBLE);
    all
}

/// Where ln(-ln P) is likely.
struct Window {
    peak: f64,
    width: f64,
    low: f64,
    high: f64,
}

/// Of a function with one peak, that may be level to either side.
fn window(whole: &(impl Fn(f64) -> f64 + Sync)) -> Option<Window> {
    let looked: Vec<(f64, f64)> = (0..=LOOKS)
        .into_par_iter()
        .map(|i| {
            let y = LOWEST + (HIGHEST - LOWEST) * f64::from(i) / f64::from(LOOKS);
            (y, whole(y))
        })
        .collect();
    let peak = (0..looked.len()).max_by(|a, b| looked[*a].1.total_cmp(&looked[*b].1))?;
    let (mut top, mut most) = looked[peak];
    if !most.is_finite() {
        return None;
    }
    let mut reach = (HIGHEST - LOWEST) / f64::from(LOOKS);
    for _ in 0..HALVINGS {
        reach *= 0.5;
        for y in [top - reach, top + reach] {
            let here = whole(y);
            if here > most && (LOWEST..=HIGHEST).contains(&y) {
                (top, most) = (y, here);
            }
        }
    }
    let end = |beyond: Option<&(f64, f64)>, otherwise: f64, depth: f64| {
        let mut out = beyond.map_or(otherwise, |beyond| beyond.0);
        if whole(out) > most - depth {
            return out;
        }
        let mut inside = top;
        for _ in 0..HALVINGS {
            let middle = 0.5 * (inside + out);
            if whole(middle) > most - depth { inside = middle } else { out = middle }
        }
        out
    };
    let deep = |l: &&(f64, f64)| l.1.is_nan() || l.1 < most - DEPTH;
    let low = end(looked.iter().rev().filter(|l| l.0 < top).find(deep), LOWEST, DEPTH);
    let high = end(looked.iter().filter(|l| l.0 > top).find(deep), HIGHEST, DEPTH);
    // The sharper side.
    let (left, right) = (top - end(None, low, WIDE), end(None, high, WIDE) - top);
    let width = if left.min(right) > 0.0 { left.min(right) } else { left.max(right) };
    (width > 0.0).then_some(Window { peak: top, width, low, high })
}
