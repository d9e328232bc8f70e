//! What the readings say together about the room's drift and the dispersion between readings.
//!
//! Given both, the rates of all groups are independent, and each is integrated out in closed form. What is left is a
//! posterior in two dimensions: a ladder of dispersions, and on each rung a drift that is nearly normal, corrected.

use super::group::{AtNuisance, Group};

/// Rungs of the first and of the second ladder of dispersions.
const COARSE_RUNGS: u32 = 16;
const FINE_RUNGS: u32 = 24;
/// Largest coefficient of variation on the ladder.
const LARGEST_DISPERSION: f64 = 2.0;
/// Lowest rung, as a part of what counting alone scatters by.
const LOWEST_RUNG: f64 = 0.03;
/// Rungs with a weight below exp(-this) of the largest are left out.
const NEGLIGIBLE: f64 = 11.0;
/// Drifts on each rung, in standard deviations.
const DRIFT_NODES: [f64; 5] = [-3.2, -1.6, 0.0, 1.6, 3.2];
/// Steps of Newton's method for the drift.
const MOST_STEPS: u32 = 30;

/// What is assumed before the readings.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Priors {
    /// None: no dispersion.
    pub(crate) dispersion_scale: Option<f64>,
    /// None: no drift.
    pub(crate) drift_scale: Option<f64>,
}

/// A dispersion with its weight, and what follows from it.
#[derive(Clone, Debug)]
pub(crate) struct Rung {
    pub(crate) dispersion: f64,
    /// Posterior weight, all rungs together 1.
    pub(crate) weight: f64,
    pub(crate) drift: f64,
    /// 0 without drift.
    pub(crate) drift_sd: f64,
    /// Logarithm of the posterior over the normal at the nodes of the drift.
    correction: [f64; 5],
    pub(crate) groups: Vec<GroupOnRung>,
}

/// A group on a rung, as polynomials of the drift's deviate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GroupOnRung {
    ln_unit: [f64; 3],
    ln_shape: [f64; 2],
}

impl GroupOnRung {
    /// Logarithm of the unit of the rate and shape of the denominator, where the drift lies `z` standard deviations from
    /// its mean.
    pub(crate) fn at(&self, z: f64) -> (f64, f64) {
        let [unit, slope, bend] = self.ln_unit;
        let [shape, by_z] = self.ln_shape;
        let shape = if shape.is_infinite() { shape } else { libm::exp(shape + by_z * z) };
        (unit + z * (slope + z * bend), shape)
    }
}

impl Rung {
    /// Logarithm of the weight that a drift has beside its normal density.
    pub(crate) fn ln_correction(&self, z: f64) -> f64 {
        if self.drift_sd <= 0.0 {
            return 0.0;
        }
        let last = DRIFT_NODES.len() - 1;
        let above = DRIFT_NODES[1..last].iter().filter(|&&node| z >= node).count();
        let (from, to) = (DRIFT_NODES[above], DRIFT_NODES[above + 1]);
        let along = ((z - from) / (to - from)).clamp(0.0, 1.0);
        self.correction[above] + along * (self.correction[above + 1] - self.correction[above])
    }
}

/// The ladder of dispersions with their posterior weights.
pub(crate) fn ladder(groups: &[Group], priors: Priors) -> Vec<Rung> {
    let Some(scale) = priors.dispersion_scale else {
        let (mut rung, _) = rung(groups, 0.0, 0.0, priors);
        rung.weight = 1.0;
        return vec![rung];
    };
    let counting = groups.iter().map(|group| group.counts).fold(1.0, f64::max);
    let lowest = LOWEST_RUNG * scale.min(1.0 / libm::sqrt(counting)).min(0.1);
    let coarse = rungs(groups, priors, scale, (lowest, LARGEST_DISPERSION), COARSE_RUNGS, false);
    let largest = coarse.iter().map(|(_, ln)| *ln).fold(f64::NEG_INFINITY, f64::max);
    let ratio = libm::pow(LARGEST_DISPERSION / lowest, 1.0 / f64::from(COARSE_RUNGS - 1));
    let heavy = coarse.iter().filter(|(_, ln)| *ln > largest - NEGLIGIBLE).map(|(rung, _)| rung.dispersion);
    let (from, to) = heavy.fold((f64::INFINITY, 0.0_f64), |(low, high), at| (low.min(at), high.max(at)));
    let range = ((from / ratio).max(lowest), (to * ratio).min(LARGEST_DISPERSION));
    let fine = rungs(groups, priors, scale, range, FINE_RUNGS, true);
    let largest = fine.iter().map(|(_, ln)| *ln).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = fine.iter().map(|(_, ln)| libm::exp(ln - largest)).sum();
    let weighed = fine.into_iter().map(|(rung, ln)| Rung { weight: libm::exp(ln - largest) / total, ..rung });
    weighed.filter(|rung| rung.weight > 1e-9).collect()
}

/// Rungs at equal ratios, each with the logarithm of its posterior per unit of the logarithm of the dispersion.
fn rungs(
    groups: &[Group],
    priors: Priors,
    scale: f64,
    (from, to): (f64, f64),
    count: u32,
    whole: bool,
) -> Vec<(Rung, f64)> {
    let mut drift = 0.0;
    (0..count)
        .map(|step| {
            let dispersion = from * libm::pow(to / from, f64::from(step) / f64::from(count - 1));
            let v = dispersion * dispersion;
            let (rung, ln_marginal) = if whole {
                rung(groups, dispersion, drift, priors)
            } else {
                plain_rung(groups, dispersion, drift, priors)
            };
            drift = rung.drift;
            let constants: f64 = groups.iter().map(|group| group.ln_of_dispersion(v)).sum();
            let ln_prior = libm::log(dispersion) - 0.5 * v / (scale * scale);
            (rung, ln_marginal + constants + ln_prior)
        })
        .collect()
}

/// A rung by the normal approximation of its drift.
fn plain_rung(groups: &[Group], dispersion: f64, start: f64, priors: Priors) -> (Rung, f64) {
    let (drift, drift_sd) = most_likely_drift(groups, dispersion * dispersion, start, priors);
    let ln = ln_posterior(groups, drift, dispersion * dispersion, priors, |_, _| ());
    let ln_marginal = if drift_sd > 0.0 { ln + libm::log(drift_sd) } else { ln };
    (Rung { dispersion, weight: 0.0, drift, drift_sd, correction: [0.0; 5], groups: Vec::new() }, ln_marginal)
}

/// A rung with the groups as they depend on the drift, and the logarithm of its marginal likelihood.
fn rung(groups: &[Group], dispersion: f64, start: f64, priors: Priors) -> (Rung, f64) {
    let v = dispersion * dispersion;
    let (drift, drift_sd) = most_likely_drift(groups, v, start, priors);
    let mut rung =
        Rung { dispersion, weight: 0.0, drift, drift_sd, correction: [0.0; 5], groups: Vec::new() };
    if drift_sd <= 0.0 {
        let ln = ln_posterior(groups, drift, v, priors, |_, at| {
            rung.groups
                .push(GroupOnRung { ln_unit: [at.ln_unit, 0.0, 0.0], ln_shape: [libm::log(at.shape), 0.0] });
        });
        return (rung, ln);
    }
    let mut at_nodes = vec![[(0.0, 0.0); 5]; groups.len()];
    let mut ln = [0.0; 5];
    for (node, &z) in DRIFT_NODES.iter().enumerate() {
        ln[node] = ln_posterior(groups, drift + z * drift_sd, v, priors, |group, at| {
            at_nodes[group][node] = (at.ln_unit, libm::log(at.shape));
        });
    }
    for (node, &z) in DRIFT_NODES.iter().enumerate() {
        rung.correction[node] = ln[node] - ln[2] + 0.5 * z * z;
    }
    rung.groups = at_nodes.iter().map(through_nodes).collect();
    let spread: f64 = ln.iter().map(|at| libm::exp(at - ln[2])).sum();
    let normal: f64 = DRIFT_NODES.iter().map(|z| libm::exp(-0.5 * z * z)).sum();
    (rung, ln[2] + libm::log(drift_sd * spread / normal))
}

/// A parabola and a line through the ends and the middle of the nodes.
fn through_nodes(nodes: &[(f64, f64); 5]) -> GroupOnRung {
    let reach = DRIFT_NODES[4];
    let [(first, first_shape), _, (middle, middle_shape), _, (last, last_shape)] = *nodes;
    let bend = (first + last - 2.0 * middle) / (2.0 * reach * reach);
    let shape_slope = if middle_shape.is_finite() { (last_shape - first_shape) / (2.0 * reach) } else { 0.0 };
    GroupOnRung {
        ln_unit: [middle, (last - first) / (2.0 * reach), bend],
        ln_shape: [middle_shape, shape_slope],
    }
}

/// Logarithm of likelihood and prior of a drift, rates integrated out; each group is handed on as it comes.
fn ln_posterior(
    groups: &[Group],
    drift: f64,
    v: f64,
    priors: Priors,
    mut each: impl FnMut(usize, AtNuisance),
) -> f64 {
    let mut sum = priors.drift_scale.map_or(0.0, |scale| -0.5 * drift * drift / (scale * scale));
    for (number, group) in groups.iter().enumerate() {
        let at = group.at(drift, v);
        sum += at.ln_marginal;
        each(number, at);
    }
    sum
}

/// Mode of the drift and the standard deviation from the curvature there; both 0 without drift.
fn most_likely_drift(groups: &[Group], v: f64, start: f64, priors: Priors) -> (f64, f64) {
    let Some(scale) = priors.drift_scale else { return (0.0, 0.0) };
    let mut drift = start;
    let mut sd = scale;
    for _ in 0..MOST_STEPS {
        let (mut slope, mut curvature) = (-drift / (scale * scale), 1.0 / (scale * scale));
        for group in groups {
            let at = group.at(drift, v);
            slope += at.drift_slope;
            curvature += at.drift_curvature.max(0.0);
        }
        sd = 1.0 / libm::sqrt(curvature);
        let step = (slope / curvature).clamp(-1.0, 1.0);
        drift += step;
        if step.abs() < 0.01 * sd {
            break;
        }
    }
    (drift, sd)
}
