//! One or two numbers without chains: sums over a grid that finds where the posterior lies.

use ndarray::{Array2, array};
use rayon::prelude::*;

use super::cholesky::cholesky;
use super::diagnostics::Diagnosis;
use super::model::Model;
use super::posterior::{Method, Posterior};
use crate::random::{Purpose, Sobol};

/// How finely a grid looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Means and standard deviations may move by this share of a standard deviation when the spacing is halved.
    pub tolerance: f64,
    /// Points of the first grid along each of two axes, 2 or more; the next has twice as many less one.
    pub first: usize,
    /// Points of the finest grid at the most.
    pub most: usize,
    /// Draws to give.
    pub draws: usize,
}

impl Grid {
    /// A thousandth of a standard deviation, a quarter of a million points, 4096 draws.
    pub const fn usual() -> Self {
        Self { tolerance: 1e-3, first: 65, most: 300_000, draws: 4096 }
    }

    /// For likelihoods that are dear: the first grid half as fine, and 1024 draws.
    pub const fn dear() -> Self {
        Self { tolerance: 1e-3, first: 33, most: 300_000, draws: 1024 }
    }
}

/// The prior ends here: beyond lie 1e-15 of it.
const END: f64 = 8.0;
/// What is less likely than the peak by this factor's logarithm is left out.
const DEPTH: f64 = 35.0;
/// Times that the grid closes in at the most.
const ZOOMS: u32 = 60;

/// The posterior of a model of one or two numbers by quadrature; `None` for more, or where nothing is possible.
///
/// The grid closes in on what is likely, is turned along its axes and made finer until moments stand still; draws are
/// taken from it by quasi-random points. Not converged where the finest grid is not fine enough. Blind to a second peak
/// narrower than a fortieth of the prior's range.
pub fn integrate<M: Model>(model: &M, grid: &Grid) -> Option<Posterior> {
    let n = model.dimension();
    if n == 0 || n > 2 {
        return None;
    }
    let first = zoomed(model)?;
    let mut frame = turned(&first)?;
    let mut points = if n == 1 { 129 } else { grid.first };
    let mut found = evaluated(model, frame.clone(), points);
    let mut converged = false;
    while !converged && (2 * points - 1).pow(u32::try_from(n).ok()?) <= grid.most {
        points = 2 * points - 1;
        frame = turned(&found)?;
        let finer = evaluated(model, frame, points);
        converged = still(&found, &finer, grid.tolerance);
        found = finer;
    }
    let (draws, log_likelihoods) = drawn(model, &found, grid.draws);
    let exact = Diagnosis { rhat: 1.0, ess: grid.draws as f64 };
    Some(Posterior {
        dimension: n,
        draws: vec![draws],
        log_likelihoods: vec![log_likelihoods],
        diagnoses: vec![exact; n],
        of_likelihood: exact,
        converged,
        stuck: Vec::new(),
        acceptance: Vec::new(),
        method: Method::Quadrature,
    })
}

/// A box, turned and stretched: positions are centre + root y for y between the ends.
#[derive(Clone, Debug)]
struct Frame {
    centre: Vec<f64>,
    root: Array2<f64>,
    ends: Vec<(f64, f64)>,
}

impl Frame {
    fn at(&self, y: &[f64]) -> Vec<f64> {
        let along = |i: usize| (0..=i).map(|k| self.root[[i, k]] * y[k]).sum::<f64>();
        (0..y.len()).map(|i| self.centre[i] + along(i)).collect()
    }

    fn step(&self, axis: usize, points: usize) -> f64 {
        (self.ends[axis].1 - self.ends[axis].0) / (points - 1) as f64
    }

    fn y(&self, index: usize, points: usize) -> Vec<f64> {
        let mut rest = index;
        (0..self.centre.len())
            .map(|axis| {
                let i = rest % points;
                rest /= points;
                self.ends[axis].0 + self.step(axis, points) * i as f64
            })
            .collect()
    }
}

/// A frame with the density at its points, relative to the highest.
struct Evaluated {
    frame: Frame,
    points: usize,
    logarithms: Vec<f64>,
}

impl Evaluated {
    fn weights(&self) -> Vec<f64> {
        let most = self.most();
        let weights: Vec<f64> = self.logarithms.iter().map(|l| libm::exp(l - most)).collect();
        let total: f64 = weights.iter().sum();
        weights.into_iter().map(|w| w / total).collect()
    }

    fn most(&self) -> f64 {
        self.logarithms.iter().fold(f64::NEG_INFINITY, |most, l| most.max(*l))
    }

    fn y(&self, index: usize) -> Vec<f64> {
        self.frame.y(index, self.points)
    }

    /// Mean and covariance of the positions.
    fn moments(&self) -> (Vec<f64>, Array2<f64>) {
        let n = self.frame.centre.len();
        let weights = self.weights();
        let positions: Vec<Vec<f64>> = (0..weights.len()).map(|i| self.frame.at(&self.y(i))).collect();
        let mean: Vec<f64> =
            (0..n).map(|k| positions.iter().zip(&weights).map(|(x, w)| w * x[k]).sum()).collect();
        let covariance = Array2::from_shape_fn((n, n), |(j, k)| {
            let product = |(x, w): (&Vec<f64>, &f64)| w * (x[j] - mean[j]) * (x[k] - mean[k]);
            positions.iter().zip(&weights).map(product).sum::<f64>()
        });
        (mean, covariance)
    }

    /// The positions that are not too unlikely, in another frame's coordinates: their ends, a step further out.
    fn likely(&self) -> impl Iterator<Item = Vec<f64>> + '_ {
        let least = self.most() - DEPTH;
        (0..self.logarithms.len()).filter(move |&i| self.logarithms[i] >= least).map(|i| self.y(i))
    }
}

fn evaluated<M: Model>(model: &M, frame: Frame, points: usize) -> Evaluated {
    let n = frame.centre.len();
    let rows = points.pow(u32::try_from(n).unwrap_or(2) - 1);
    let logarithms: Vec<Vec<f64>> = (0..rows)
        .into_par_iter()
        .map_init(
            || model.room(),
            |room, row| {
                let of = |column: usize| {
                    let at = frame.at(&frame.y(row * points + column, points));
                    let prior = -0.5 * at.iter().map(|z| z * z).sum::<f64>();
                    let l = prior + model.log_likelihood(&at, None, room);
                    if l.is_nan() { f64::NEG_INFINITY } else { l }
                };
                (0..points).map(of).collect()
            },
        )
        .collect();
    Evaluated { frame, points, logarithms: logarithms.concat() }
}

/// The smallest upright box that holds what is likely.
fn zoomed<M: Model>(model: &M) -> Option<Evaluated> {
    let n = model.dimension();
    let points = if n == 1 { 201 } else { 41 };
    let mut frame = Frame { centre: vec![0.0; n], root: Array2::eye(n), ends: vec![(-END, END); n] };
    let mut found = evaluated(model, frame.clone(), points);
    for _ in 0..ZOOMS {
        if found.most() == f64::NEG_INFINITY {
            return None;
        }
        let mut ends = vec![(f64::INFINITY, f64::NEG_INFINITY); n];
        for y in found.likely() {
            for (end, y) in ends.iter_mut().zip(y) {
                *end = (end.0.min(y), end.1.max(y));
            }
        }
        let mut smaller = false;
        for (axis, end) in ends.iter_mut().enumerate() {
            let step = frame.step(axis, points);
            *end = (end.0 - step, end.1 + step);
            smaller |= end.1 - end.0 < 0.7 * (frame.ends[axis].1 - frame.ends[axis].0);
        }
        if !smaller {
            break;
        }
        frame.ends = ends;
        found = evaluated(model, frame.clone(), points);
    }
    Some(found)
}

/// A frame along the axes of what was found, round what is likely.
fn turned(found: &Evaluated) -> Option<Frame> {
    let (centre, covariance) = found.moments();
    let n = centre.len();
    let root = if n == 1 {
        array![[covariance[[0, 0]].sqrt()]]
    } else {
        let mut c = covariance;
        // A ridge that the grid sees as a line still has a width.
        for k in 0..n {
            let step = found.frame.step(k, found.points) * found.frame.root[[k, k]];
            c[[k, k]] += 0.01 * step * step;
        }
        cholesky(&c.view())?
    };
    let mut ends = vec![(f64::INFINITY, f64::NEG_INFINITY); n];
    let slack: Vec<f64> = (0..n)
        .map(|k| (0..=k).map(|j| found.frame.step(j, found.points) * found.frame.root[[k, j]].abs()).sum())
        .collect();
    for y in found.likely() {
        let x = found.frame.at(&y);
        let mut turned = vec![0.0; n];
        for k in 0..n {
            let known: f64 = (0..k).map(|j| root[[k, j]] * turned[j]).sum();
            turned[k] = (x[k] - centre[k] - known) / root[[k, k]];
            let out = slack[k] / root[[k, k]];
            ends[k] = (ends[k].0.min(turned[k] - out), ends[k].1.max(turned[k] + out));
        }
    }
    (root.iter().all(|r| r.is_finite()) && ends.iter().all(|e| e.1 > e.0)).then_some(Frame {
        centre,
        root,
        ends,
    })
}

fn still(before: &Evaluated, after: &Evaluated, tolerance: f64) -> bool {
    let ((mean, covariance), (next, next_covariance)) = (before.moments(), after.moments());
    (0..mean.len()).all(|k| {
        let sd = next_covariance[[k, k]].sqrt();
        (mean[k] - next[k]).abs() < tolerance * sd && (covariance[[k, k]].sqrt() - sd).abs() < tolerance * sd
    })
}

/// Draws by quasi-random points through the distribution of the last axis and then of the first given the last.
fn drawn<M: Model>(model: &M, found: &Evaluated, count: usize) -> (Vec<f64>, Vec<f64>) {
    let n = model.dimension();
    let (weights, points) = (found.weights(), found.points);
    let rows: Vec<f64> = weights.chunks_exact(points).map(|row| row.iter().sum()).collect();
    let sobol = Sobol::new(2, 0, Purpose::named("quadrature draws"), 0);
    let mut room = model.room();
    let (mut draws, mut log_likelihoods) = (Vec::new(), Vec::new());
    for index in 0..u32::try_from(count).unwrap_or(u32::MAX) {
        let mut u = [0.0; 2];
        sobol.point(index, &mut u);
        let (row, far) = if n == 2 { within(&rows, u[1]) } else { (0, 0.0) };
        let (column, near) = within(&weights[row * points..(row + 1) * points], u[0]);
        let y: Vec<f64> = [(column, near), (row, far)][..n]
            .iter()
            .enumerate()
            .map(|(axis, (i, part))| {
                found.frame.ends[axis].0 + found.frame.step(axis, points) * (*i as f64 + part - 0.5)
            })
            .collect();
        let at = found.frame.at(&y);
        log_likelihoods.push(model.log_likelihood(&at, None, &mut room));
        draws.extend(at);
    }
    (draws, log_likelihoods)
}

/// Which of some weights the share `u` of their sum falls into, and how far.
fn within(weights: &[f64], u: f64) -> (usize, f64) {
    let mut rest = u * weights.iter().sum::<f64>();
    for (i, weight) in weights.iter().enumerate() {
        if rest < *weight {
            return (i, rest / weight);
        }
        rest -= weight;
    }
    (weights.len() - 1, 1.0)
}
