//! What the readings of a channel say of the one penetration that they saw, with the channel's own unknowns summed away.
//!
//! Level of the room, drift, background and leak by sums of Gauss and Hermite laid where they are, for each of a row of
//! dispersions; that for each of a row of ln(-ln P). Where several channels see one room, their levels lie about a power
//! law: what the readings say then depends on the level that the law gives the channel, too.

use moteweir_sim::inference::{Adapted, gauss_hermite, ln_of_sum};
use rayon::prelude::*;

use super::counts::CountsOfChannel;
use super::forward::OFF_POWER_LAW;

/// The number of the dispersion, from and to, in steps: its posterior is seldom narrower than two of them.
const DISPERSIONS: (f64, f64, u32) = (-4.5, 3.7, 27);
/// ln(-ln P) from P of 0.999999 to e^-60.
const LOWEST: f64 = -13.8;
const HIGHEST: f64 = 4.1;
/// Steps of the first look, of the halvings that close in on the peak and its ends, and of the table.
const LOOKS: u32 = 72;
const HALVINGS: u32 = 8;
const ROWS: usize = 96;
/// What is less likely than the peak by this factor's logarithm is beyond the table, and goes on straight.
const DEPTH: f64 = 20.0;
/// Levels of the power law about the plain one, on either side, and their spacing.
const LEVELS: i32 = 10;
const LEVEL_STEP: f64 = 0.25;
/// The number of a channel's level is no further off than this: e^10 times the plain level.
const FARTHEST: f64 = 20.0;
/// A position that has less of the sum than this factor's logarithm is dropped.
const NEGLIGIBLE: f64 = 14.0;

/// A position of a channel's own numbers.
#[derive(Clone, Debug)]
pub(super) struct Position {
    pub(super) numbers: Vec<f64>,
    /// Standard deviations of the numbers round it.
    pub(super) about: Vec<f64>,
    ln_room: f64,
    ln_weight: f64,
}

/// The logarithm of the likelihood of a channel's readings over ln(-ln P) and the level of the power law.
#[derive(Clone, Debug)]
pub(super) struct ChannelTable {
    first: f64,
    step: f64,
    /// The plain level.
    level: f64,
    /// Row after row of ln(-ln P), each over the levels; one level where the channel is alone.
    ln: Vec<Vec<f64>>,
    positions: Vec<Vec<Position>>,
}

impl ChannelTable {
    /// Of a channel whose readings saw one test; `alone` in its room, or beside others. `None` where no penetration
    /// agrees with the readings.
    pub(super) fn new(likelihood: &CountsOfChannel, test: usize, alone: bool) -> Option<Self> {
        let of = |y: f64| positions(likelihood, test, y);
        let whole = |y: f64| ln_of_sum(of(y).iter().map(|p| p.ln_weight));
        let (low, high) = window(&whole)?;
        let step = (high - low) / (ROWS - 1) as f64;
        let positions: Vec<Vec<Position>> =
            (0..ROWS).into_par_iter().map(|i| of(low + step * i as f64)).collect();
        let level = likelihood.nuisances(&vec![0.0; likelihood.dimension()]).ln_room;
        let levels = if alone { 0..=0 } else { -LEVELS..=LEVELS };
        let row = |row: &Vec<Position>| {
            levels.clone().map(|k| summed(row, (!alone).then(|| level + LEVEL_STEP * f64::from(k)))).collect()
        };
        let ln = positions.iter().map(row).collect();
        Some(Self { first: low, step, level, ln, positions })
    }

    /// The plain level of the room.
    pub(super) const fn level(&self) -> f64 {
        self.level
    }

    /// The logarithm of the likelihood at ln(-ln P) and a level of the power law.
    pub(super) fn at(&self, y: f64, level: f64) -> f64 {
        let across = |i: usize| {
            let row = &self.ln[i];
            if row.len() == 1 {
                row[0]
            } else {
                along(row.len(), (level - self.level) / LEVEL_STEP + f64::from(LEVELS), |k| row[k])
            }
        };
        along(self.ln.len(), (y - self.first) / self.step, across)
    }

    /// Positions of the channel's own numbers at ln(-ln P) and a level of the power law, with what each has of the sum.
    pub(super) fn positions(&self, y: f64, level: f64) -> Vec<(&Position, f64)> {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the table")]
        let row = ((y - self.first) / self.step).round().clamp(0.0, (ROWS - 1) as f64) as usize;
        let level = (self.ln[row].len() > 1).then_some(level);
        let total = summed(&self.positions[row], level);
        self.positions[row].iter().map(|p| (p, libm::exp(p.at_level(level) - total))).collect()
    }
}

impl Position {
    fn at_level(&self, level: Option<f64>) -> f64 {
        let off = level.map_or(0.0, |level| (self.ln_room - level) / OFF_POWER_LAW);
        self.ln_weight - 0.5 * off * off
    }
}

fn summed(positions: &[Position], level: Option<f64>) -> f64 {
    ln_of_sum(positions.iter().map(|p| p.at_level(level)))
}

/// Through four values of an even row, straight on beyond its ends.
fn along(count: usize, place: f64, value: impl Fn(usize) -> f64) -> f64 {
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
    // Level, then what there is of drift, background and leak.
    let (mut start, mut widths) = (vec![0.0; n - 1], vec![0.3; n - 1]);
    let axis = gauss_hermite(if n <= 3 { 5 } else { 3 });
    let (from, to, steps) = DISPERSIONS;
    let mut all = Vec::new();
    for i in 0..=steps {
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
        all.extend(found.nodes.into_iter().map(|(rest, ln_weight)| {
            let numbers = with(dispersion, &rest);
            let ln_room = likelihood.nuisances(&numbers).ln_room;
            Position { numbers, about: about.clone(), ln_room, ln_weight }
        }));
    }
    let most = all.iter().map(|p| p.ln_weight).fold(f64::NEG_INFINITY, f64::max);
    all.retain(|p| p.ln_weight > most - NEGLIGIBLE);
    all
}

/// From where to where ln(-ln P) is likely: a function with one peak, that may be level to either side.
fn window(whole: &(impl Fn(f64) -> f64 + Sync)) -> Option<(f64, f64)> {
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
    let end = |beyond: Option<&(f64, f64)>, otherwise: f64| {
        let Some(&(mut out, _)) = beyond else { return otherwise };
        let mut inside = top;
        for _ in 0..HALVINGS {
            let middle = 0.5 * (inside + out);
            if whole(middle) > most - DEPTH { inside = middle } else { out = middle }
        }
        out
    };
    let deep = |l: &&(f64, f64)| l.1.is_nan() || l.1 < most - DEPTH;
    let low = end(looked.iter().rev().filter(|l| l.0 < top).find(deep), LOWEST);
    let high = end(looked.iter().filter(|l| l.0 > top).find(deep), HIGHEST);
    Some((low, high))
}
