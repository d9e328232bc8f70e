//! What is worked out at a position, and brought up to date when some numbers change.

use std::ops::Range;

use moteweir_physics::layer::Layer;
use moteweir_sim::variation::kernel::{Kernel, LogPenetrations, Scratch};

use super::evidence::Test;
use super::forward::Forward;
use super::knots::Knot;

/// No exponent is taken as smaller: its logarithm has to exist.
const LEAST_EXPONENT: f64 = 1e-12;

/// What is worked out at a position.
#[derive(Debug)]
pub(super) struct Work {
    pub(super) scratch: Vec<Scratch>,
    /// By material: whether its numbers make a layer.
    pub(super) possible: Vec<bool>,
    /// By material and view: one sheet, and what is left of it without charge where charge has a misfit of its own.
    pub(super) sheets: Vec<Vec<LogPenetrations>>,
    pub(super) discharged: Vec<Vec<Option<LogPenetrations>>>,
    /// By material and view, size by size: penetration of one sheet without misfit, with charge and without.
    pub(super) plain: Vec<Vec<[Vec<f64>; 2]>>,
    /// By misfit and view, size by size: e^g.
    pub(super) factors: Vec<Vec<Vec<f64>>>,
    /// By misfit and knot: what a step along in the inputs keeps, the misfit's own part of ln of the exponent.
    pub(super) levels: Vec<Vec<f64>>,
    /// By misfit and knot: what it takes up of a change in ln of the exponent.
    pub(super) taken_up: Vec<Vec<f64>>,
    /// By file: what all of its ln(-ln P) are off by.
    pub(super) of_files: Vec<f64>,
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
            taken_up: self.taken_up.clone(),
            of_files: self.of_files.clone(),
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
        self.taken_up.clone_from(&other.taken_up);
        self.of_files.clone_from(&other.of_files);
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
        let discharged = |place: usize, v: usize| self.splits(place).then(|| self.views[v].kernel.empty());
        Work {
            scratch: self.views.iter().map(|v| v.kernel.scratch()).collect(),
            possible: vec![true; materials],
            sheets: (0..materials).map(|_| empty()).collect(),
            discharged: (0..materials)
                .map(|place| (0..self.views.len()).map(|v| discharged(place, v)).collect())
                .collect(),
            plain: (0..materials)
                .map(|_| (0..self.views.len()).map(|v| [vec![1.0; sizes(v)], vec![1.0; sizes(v)]]).collect())
                .collect(),
            factors: self.misfits.iter().map(|_| of_views(&|v| vec![1.0; sizes(v)])).collect(),
            levels: self.misfits.iter().map(|m| vec![0.0; m.knots.len()]).collect(),
            taken_up: self.misfits.iter().map(|m| vec![1.0; m.knots.len()]).collect(),
            of_files: vec![0.0; self.evidence.files.len()],
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
                view.kernel.penetrations(sheet, scratch, &mut work.plain[place][v][1]);
            }
            view.kernel.penetrations(&work.sheets[place][v], scratch, &mut work.plain[place][v][0]);
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

    /// What a step along keeps, at the knots of a material.
    pub(super) fn work_levels(&self, place: usize, work: &mut Work) {
        let (first, second) = self.misfits_of(place);
        for (k, knot) in self.misfits[first].knots.iter().enumerate() {
            let at = |charge: usize| {
                ln_exponent(match *knot {
                    Knot::Channel { view, channel } => {
                        averaged(&work.weights[channel], &work.plain[place][view][charge])
                    }
                    Knot::Size { view, size } => work.plain[place][view][charge][size],
                })
            };
            let whole = at(0);
            let Some(second) = second else {
                work.levels[first][k] = whole;
                continue;
            };
            let parts = self.parts_at(place, k, whole, at(1));
            for (misfit, (level, taken_up)) in [first, second].into_iter().zip(parts) {
                work.levels[misfit][k] = level;
                work.taken_up[misfit][k] = taken_up;
            }
        }
    }

    pub(super) fn work_misfit(&self, number: usize, at: &[f64], work: &mut Work) {
        let misfit = &self.misfits[number];
        let numbers = &at[misfit.numbers.clone()];
        for (v, loadings) in misfit.loadings.iter().enumerate() {
            for (factor, row) in work.factors[number][v].iter_mut().zip(loadings.rows()) {
                *factor = libm::exp(row.iter().zip(numbers).map(|(a, z)| a * z).sum());
            }
        }
    }

    pub(super) fn work_test(&self, number: usize, work: &mut Work) {
        let test: &Test = &self.evidence.tests[number];
        let (v, view) = (test.velocity, &self.views[test.velocity]);
        let of_file = libm::exp(work.of_files[test.file]);
        let sum = &mut work.sum[v];
        sum.clear();
        for (material, times) in &test.sheets {
            let place = self.place(*material);
            let (first, second) = self.misfits_of(place);
            let sheets = Sheets {
                whole: &work.sheets[place][v],
                discharged: work.discharged[place][v].as_ref(),
                mechanics: &work.factors[first][v],
                charge: second.map(|n| work.factors[n][v].as_slice()),
            };
            sheets.add(&view.kernel, times * of_file, test.discharged, sum);
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
        let mut moved = vec![false; self.unknowns.materials.len()];
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

    /// What the misfits, the files and the channels change. `moved` says whose sheets changed.
    pub(super) fn bring_up_misfits(
        &self,
        at: &[f64],
        touches: &impl Fn(&Range<usize>) -> bool,
        moved: &[bool],
        sight: bool,
        work: &mut Work,
    ) {
        let mut moved = moved.to_vec();
        for (number, misfit) in self.misfits.iter().enumerate() {
            if touches(&misfit.numbers) {
                self.work_misfit(number, at, work);
                moved[misfit.place] = true;
            }
        }
        let files = touches(&self.numbers.files);
        if files {
            for file in 0..work.of_files.len() {
                work.of_files[file] = self.level_of_file(file, at);
            }
        }
        let mut tests = vec![false; self.evidence.tests.len()];
        for (number, test) in self.evidence.tests.iter().enumerate() {
            if files || test.sheets.iter().any(|(m, _)| moved[self.place(*m)]) {
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

/// One sheet of a material at one velocity, with its misfits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheets<'a> {
    pub(super) whole: &'a LogPenetrations,
    /// Without its charge, where that has a misfit of its own.
    pub(super) discharged: Option<&'a LogPenetrations>,
    /// e^g of the mechanics, size by size.
    pub(super) mechanics: &'a [f64],
    /// e^g of the charge.
    pub(super) charge: Option<&'a [f64]>,
}

impl Sheets<'_> {
    /// Adds so many sheets: K_m e^g_m + (K - K_m) e^g_c.
    pub(super) fn add(&self, kernel: &Kernel, times: f64, discharged: bool, sum: &mut LogPenetrations) {
        let (Some(without), Some(charge)) = (self.discharged, self.charge) else {
            kernel.add_scaled(self.whole, times, self.mechanics, sum);
            return;
        };
        if discharged {
            kernel.add_scaled(without, times, self.mechanics, sum);
            return;
        }
        let apart: Vec<f64> = self.mechanics.iter().zip(charge).map(|(m, c)| m - c).collect();
        kernel.add_scaled(self.whole, times, charge, sum);
        kernel.add_scaled(without, times, &apart, sum);
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
