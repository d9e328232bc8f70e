//! What is worked out at a position, and brought up to date when some numbers change.

use std::ops::Range;

use moteweir_physics::layer::Layer;
use moteweir_sim::variation::kernel::{LogPenetrations, Scratch};

use super::evidence::Test;
use super::forward::Forward;
use super::layout::Knot;

/// No exponent is taken as smaller: its logarithm has to exist.
const LEAST_EXPONENT: f64 = 1e-12;

/// What is worked out at a position.
#[derive(Debug)]
pub(super) struct Work {
    pub(super) scratch: Vec<Scratch>,
    /// By material: whether its numbers make a layer.
    pub(super) possible: Vec<bool>,
    /// By material and view: one sheet, and one without charge where it is asked for.
    pub(super) sheets: Vec<Vec<LogPenetrations>>,
    pub(super) discharged: Vec<Vec<Option<LogPenetrations>>>,
    /// By material and view, size by size: penetration of one sheet without misfit.
    pub(super) plain: Vec<Vec<Vec<f64>>>,
    /// By material and view, size by size: e^g.
    pub(super) factors: Vec<Vec<Vec<f64>>>,
    /// By material and knot: ln of the exponent without misfit.
    pub(super) levels: Vec<Vec<f64>>,
    /// By channel: weights of the sizes.
    pub(super) weights: Vec<Vec<f64>>,
    /// By channel: ln of what it counts of the room.
    pub(super) ln_seen: Vec<f64>,
    /// By test, size by size of its view.
    pub(super) penetrations: Vec<Vec<f64>>,
    /// By channel and test.
    pub(super) through: Vec<Vec<f64>>,
    /// By resistance and its materials: ln of the pressure drop without its misfit.
    pub(super) pressure_drops: Vec<Vec<f64>>,
    /// By channel.
    pub(super) ln_counts: Vec<f64>,
    pub(super) sum: Vec<LogPenetrations>,
}

impl Clone for Work {
    fn clone(&self) -> Self {
        Self {
            scratch: self.scratch.clone(),
            possible: self.possible.clone(),
            sheets: self.sheets.clone(),
            discharged: self.discharged.clone(),
            plain: self.plain.clone(),
            factors: self.factors.clone(),
            levels: self.levels.clone(),
            weights: self.weights.clone(),
            ln_seen: self.ln_seen.clone(),
            penetrations: self.penetrations.clone(),
            through: self.through.clone(),
            pressure_drops: self.pressure_drops.clone(),
            ln_counts: self.ln_counts.clone(),
            sum: self.sum.clone(),
        }
    }

    /// Into the room that is there already, and without what is only scratched on: chains do it at every step.
    fn clone_from(&mut self, other: &Self) {
        self.possible.clone_from(&other.possible);
        self.sheets.clone_from(&other.sheets);
        self.discharged.clone_from(&other.discharged);
        self.plain.clone_from(&other.plain);
        self.factors.clone_from(&other.factors);
        self.levels.clone_from(&other.levels);
        self.weights.clone_from(&other.weights);
        self.ln_seen.clone_from(&other.ln_seen);
        self.penetrations.clone_from(&other.penetrations);
        self.through.clone_from(&other.through);
        self.pressure_drops.clone_from(&other.pressure_drops);
        self.ln_counts.clone_from(&other.ln_counts);
    }
}

impl Work {
    /// ln of what a channel counts of a room of one particle for each unit of ln d at 1 um.
    pub(super) fn ln_seen(&self, channel: usize) -> f64 {
        self.ln_seen[channel]
    }
}

impl Forward<'_> {
    /// Room for what is worked out.
    pub(super) fn empty_work(&self) -> Work {
        let (materials, tests) = (self.misfits.len(), self.evidence.tests.len());
        let of_views = |make: &dyn Fn(usize) -> Vec<f64>| (0..self.views.len()).map(make).collect::<Vec<_>>();
        let sizes = |v: usize| self.views[v].sizes.len();
        let channels = self.likelihoods.len();
        let empty = || self.views.iter().map(|v| v.kernel.empty()).collect::<Vec<_>>();
        let discharged = |place: usize, v: usize| {
            let material = self.unknowns.materials[place];
            let asked =
                |t: &Test| t.discharged && t.velocity == v && t.sheets.iter().any(|(m, _)| *m == material);
            self.evidence.tests.iter().any(asked).then(|| self.views[v].kernel.empty())
        };
        Work {
            scratch: self.views.iter().map(|v| v.kernel.scratch()).collect(),
            possible: vec![true; materials],
            sheets: (0..materials).map(|_| empty()).collect(),
            discharged: (0..materials)
                .map(|place| (0..self.views.len()).map(|v| discharged(place, v)).collect())
                .collect(),
            plain: (0..materials).map(|_| of_views(&|v| vec![1.0; sizes(v)])).collect(),
            factors: (0..materials).map(|_| of_views(&|v| vec![1.0; sizes(v)])).collect(),
            levels: self.misfits.iter().map(|m| vec![0.0; m.knots.len()]).collect(),
            weights: vec![vec![0.0; self.sight.ln_sizes.len()]; channels],
            ln_seen: vec![0.0; channels],
            penetrations: self.evidence.tests.iter().map(|t| vec![1.0; sizes(t.velocity)]).collect(),
            through: vec![vec![1.0; tests]; channels],
            pressure_drops: self.evidence.resisted.iter().map(|r| vec![0.0; r.sheets.len()]).collect(),
            ln_counts: vec![0.0; channels],
            sum: empty(),
        }
    }

    pub(super) fn work_layer(&self, place: usize, at: &[f64], work: &mut Work) {
        let layer = self.layer(place, at);
        work.possible[place] = layer.is_some();
        let Some(layer) = layer else { return };
        for (v, view) in self.views.iter().enumerate() {
            let scratch = &mut work.scratch[v];
            let sheet = &mut work.sheets[place][v];
            sheet.clear();
            view.kernel.add_layer(&layer, 1.0, sheet, scratch);
            if let Some(sheet) = &mut work.discharged[place][v] {
                sheet.clear();
                view.kernel.add_layer(&without_charge(&layer), 1.0, sheet, scratch);
            }
            view.kernel.penetrations(&work.sheets[place][v], scratch, &mut work.plain[place][v]);
        }
        for (i, r) in self.evidence.resisted.iter().enumerate() {
            for (k, (material, times)) in r.sheets.iter().enumerate() {
                if self.place(*material) == place {
                    let dp = layer.pressure_drop(&self.setting, r.velocity).value;
                    work.pressure_drops[i][k] = (times * dp).ln();
                }
            }
        }
    }

    pub(super) fn work_sight(&self, at: &[f64], work: &mut Work) {
        let Some((slope, shift)) = self.sight_of(at) else { return };
        for channel in 0..self.evidence.channels.len() {
            work.ln_seen[channel] = self.sight.weights(channel, slope, shift, &mut work.weights[channel]);
        }
    }

    /// ln of the exponents at the knots without misfit: what a step along keeps.
    pub(super) fn work_levels(&self, place: usize, work: &mut Work) {
        for (k, knot) in self.misfits[place].knots.iter().enumerate() {
            let p = match *knot {
                Knot::Channel { view, channel } => averaged(&work.weights[channel], &work.plain[place][view]),
                Knot::Size { view, size } => work.plain[place][view][size],
            };
            work.levels[place][k] = ln_exponent(p);
        }
    }

    pub(super) fn work_misfit(&self, place: usize, at: &[f64], work: &mut Work) {
        let misfit = &self.misfits[place];
        let numbers = &at[misfit.numbers.clone()];
        for (v, loadings) in misfit.loadings.iter().enumerate() {
            for (factor, row) in work.factors[place][v].iter_mut().zip(loadings.rows()) {
                *factor = libm::exp(row.iter().zip(numbers).map(|(a, z)| a * z).sum());
            }
        }
    }

    pub(super) fn work_test(&self, number: usize, work: &mut Work) {
        let test: &Test = &self.evidence.tests[number];
        let (v, view) = (test.velocity, &self.views[test.velocity]);
        let sum = &mut work.sum[v];
        sum.clear();
        for (material, times) in &test.sheets {
            let place = self.place(*material);
            let charged = &work.sheets[place][v];
            let sheet =
                if test.discharged { work.discharged[place][v].as_ref().unwrap_or(charged) } else { charged };
            view.kernel.add_scaled(sheet, *times, &work.factors[place][v], sum);
        }
        view.kernel.penetrations(sum, &mut work.scratch[v], &mut work.penetrations[number]);
    }

    pub(super) fn work_channel(&self, channel: usize, at: &[f64], work: &mut Work) {
        let likelihood = &self.likelihoods[channel];
        let nuisances = likelihood.nuisances(&at[self.numbers.channels[channel].clone()]);
        work.ln_counts[channel] = likelihood.ln_likelihood(&nuisances, &work.through[channel]);
    }

    /// Everything that the change of some numbers moves.
    pub(super) fn bring_up(&self, at: &[f64], changed: Option<&[usize]>, work: &mut Work) {
        let touches = |range: &Range<usize>| match changed {
            None => true,
            Some(changed) => changed.iter().any(|n| range.contains(n)),
        };
        let sight = touches(&self.numbers.sight) && !self.numbers.sight.is_empty();
        if sight {
            self.work_sight(at, work);
        }
        let mut moved = vec![false; self.misfits.len()];
        for (place, moved) in moved.iter_mut().enumerate() {
            let layer = changed.is_none() || touches(&self.unknowns.ranges[place]);
            if layer {
                self.work_layer(place, at, work);
            }
            if layer || sight {
                self.work_levels(place, work);
            }
            *moved = layer;
        }
        self.bring_up_misfits(at, &touches, &moved, sight, work);
    }

    pub(super) fn bring_up_misfits(
        &self,
        at: &[f64],
        touches: &impl Fn(&Range<usize>) -> bool,
        moved: &[bool],
        sight: bool,
        work: &mut Work,
    ) {
        let mut moved = moved.to_vec();
        for (place, moved) in moved.iter_mut().enumerate() {
            if touches(&self.misfits[place].numbers) {
                self.work_misfit(place, at, work);
                *moved = true;
            }
        }
        let mut tests = vec![false; self.evidence.tests.len()];
        for (number, test) in self.evidence.tests.iter().enumerate() {
            if test.sheets.iter().any(|(m, _)| moved[self.place(*m)]) {
                self.work_test(number, work);
                tests[number] = true;
            }
        }
        for channel in 0..self.likelihoods.len() {
            let mut again = touches(&self.numbers.channels[channel]);
            for (number, test) in tests.iter().enumerate() {
                if *test || sight {
                    work.through[channel][number] =
                        averaged(&work.weights[channel], &work.penetrations[number]);
                    again = true;
                }
            }
            if again {
                self.work_channel(channel, at, work);
            }
        }
    }
}

/// ln(-ln P), of a penetration however near to 0 or 1.
pub(super) fn ln_exponent(p: f64) -> f64 {
    (-p.max(1e-300).ln()).max(LEAST_EXPONENT).ln()
}

/// The average of the first penetrations under weights.
fn averaged(weights: &[f64], penetrations: &[f64]) -> f64 {
    weights.iter().zip(penetrations).map(|(w, p)| w * p).sum()
}

/// The layer with its charge taken away.
pub(super) fn without_charge(layer: &Layer) -> Layer {
    match layer {
        Layer::Web(web) => {
            let mut web = web.clone();
            web.electret.surface_charge = moteweir_units::SurfaceCharge::from_c_per_m2(0.0);
            Layer::Web(web)
        }
        Layer::Weave(weave) => Layer::Weave(weave.clone()),
    }
}
