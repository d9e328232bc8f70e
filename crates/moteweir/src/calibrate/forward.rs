//! From numbers to what the readings would be: the model that is sampled.

use std::ops::Range;

use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::counting::CountingError;
use moteweir_sim::inference::{Field, Model, Move, Point};
use moteweir_sim::variation::kernel::{Kernel, LogPenetrations, Scratch};
use moteweir_units::Length;
use ndarray::Array2;

use super::counts::CountsOfChannel;
use super::discrepancy;
use super::evidence::{Evidence, Test};
use super::sight::Sight;
use super::unknowns::Unknowns;
use crate::case::{Case, Counter, Room};
use crate::doubt::Doubt;
use crate::predict::Surroundings;

/// Efficiency of counting and true shape of the room: how far a channel's level may be off a power law, in its logarithm.
const OFF_POWER_LAW: f64 = 0.3;
/// Knots of a misfit closer than this in ln d, at one velocity, are one.
const NEAR: f64 = 0.12;
/// No exponent is taken as smaller: its logarithm has to exist.
const LEAST_EXPONENT: f64 = 1e-12;

/// What is seen at one velocity: the sizes of all channels, then those of curves.
#[derive(Debug)]
pub(super) struct View {
    kernel: Kernel,
    ln_velocity: f64,
    sizes: Vec<Length>,
}

/// What a knot of a misfit stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Knot {
    Channel { view: usize, channel: usize },
    Size { view: usize, size: usize },
}

/// The misfit of one material.
#[derive(Debug)]
pub(super) struct Misfit {
    pub(super) field: Field,
    knots: Vec<Knot>,
    /// By view: the misfit at its sizes, of the numbers of the knots.
    loadings: Vec<Array2<f64>>,
    numbers: Range<usize>,
}

/// Where the numbers lie.
#[derive(Clone, Debug, Default)]
pub(super) struct Numbers {
    /// Slope of the room and shift of the size scale, where there are channels.
    pub(super) sight: Range<usize>,
    pub(super) channels: Vec<Range<usize>>,
    /// Drag of each measured material, where a resistance was.
    pub(super) drag: Vec<Option<usize>>,
    pub(super) len: usize,
}

/// The model of a case's readings.
#[derive(Debug)]
pub(super) struct Forward<'a> {
    pub(super) case: &'a Case,
    pub(super) surroundings: &'a Surroundings,
    pub(super) evidence: Evidence,
    pub(super) unknowns: Unknowns,
    pub(super) misfits: Vec<Misfit>,
    pub(super) numbers: Numbers,
    pub(super) likelihoods: Vec<CountsOfChannel>,
    views: Vec<View>,
    sight: Sight,
    setting: Setting,
}

/// What is worked out at a position.
#[derive(Debug)]
pub(super) struct Work {
    scratch: Vec<Scratch>,
    /// By material: whether its numbers make a layer.
    possible: Vec<bool>,
    /// By material and view: one sheet, and one without charge where it is asked for.
    sheets: Vec<Vec<LogPenetrations>>,
    discharged: Vec<Vec<Option<LogPenetrations>>>,
    /// By material and view, size by size: penetration of one sheet without misfit.
    plain: Vec<Vec<Vec<f64>>>,
    /// By material and view, size by size: e^g.
    factors: Vec<Vec<Vec<f64>>>,
    /// By material and knot: ln of the exponent without misfit.
    levels: Vec<Vec<f64>>,
    /// By channel: weights of the sizes.
    weights: Vec<Vec<f64>>,
    /// By channel: ln of what it counts of the room.
    ln_seen: Vec<f64>,
    /// By test, size by size of its view.
    penetrations: Vec<Vec<f64>>,
    /// By channel and test.
    pub(super) through: Vec<Vec<f64>>,
    /// By resistance and its materials: ln of the pressure drop without its misfit.
    pressure_drops: Vec<Vec<f64>>,
    /// By channel.
    ln_counts: Vec<f64>,
    sum: Vec<LogPenetrations>,
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

impl<'a> Forward<'a> {
    pub(super) fn new(
        case: &'a Case,
        surroundings: &'a Surroundings,
        evidence: Evidence,
    ) -> Result<Self, CountingError> {
        let measured = evidence.tests.iter().flat_map(|t| &t.sheets);
        let measured = measured.chain(evidence.resisted.iter().flat_map(|r| &r.sheets)).map(|(m, _)| *m);
        let unknowns = Unknowns::of(case, measured);
        let (counter, room) = instrument(case);
        let sight = Sight::new(&evidence.channels, &counter, room);
        let setting = surroundings.headline();
        let views = views(&evidence, &sight, &setting, surroundings);
        let dead_time = counter.dead_time.map_or(0.0, |t| t.to_s());
        let likelihoods: Vec<CountsOfChannel> = evidence
            .channels
            .iter()
            .map(|c| CountsOfChannel::new(c, dead_time))
            .collect::<Result<_, CountingError>>()?;
        let mut forward = Self {
            case,
            surroundings,
            evidence,
            unknowns,
            misfits: Vec::new(),
            numbers: Numbers::default(),
            likelihoods,
            views,
            sight,
            setting,
        };
        forward.lay_out();
        Ok(forward)
    }

    /// Gives every unknown its numbers: inputs, sight, channels, misfits, drags.
    fn lay_out(&mut self) {
        let mut next = self.unknowns.all.len();
        let mut take = |count: usize| {
            next += count;
            next - count..next
        };
        let sight = take(if self.evidence.channels.is_empty() { 0 } else { 2 });
        let channels = self.likelihoods.iter().map(|l| take(l.dimension())).collect();
        let mut misfits = Vec::new();
        for place in 0..self.unknowns.materials.len() {
            let knots = self.knots(place);
            let numbers = take(knots.len());
            misfits.push(self.misfit(place, knots, numbers));
        }
        let resisted = |material: usize| {
            self.evidence.resisted.iter().any(|r| r.sheets.iter().any(|(m, _)| *m == material))
        };
        let drag = self.unknowns.materials.iter().map(|&m| resisted(m).then(|| take(1).start)).collect();
        self.misfits = misfits;
        self.numbers = Numbers { sight, channels, drag, len: next };
    }

    fn knots(&self, place: usize) -> Vec<Knot> {
        let material = self.unknowns.materials[place];
        let mut knots: Vec<Knot> = Vec::new();
        let mut add = |knot: Knot| {
            let [x, u] = self.point(knot);
            let near = |known: &Knot| {
                let [y, v] = self.point(*known);
                u == v && (x - y).abs() < NEAR
            };
            if !knots.iter().any(near) {
                knots.push(knot);
            }
        };
        for (number, test) in self.evidence.tests.iter().enumerate() {
            if !test.sheets.iter().any(|(m, _)| *m == material) {
                continue;
            }
            for (channel, counted) in self.evidence.channels.iter().enumerate() {
                if counted.readings.iter().any(|r| r.through == super::evidence::Through::Test(number)) {
                    add(Knot::Channel { view: test.velocity, channel });
                }
            }
            for (i, _) in self.evidence.points.iter().enumerate().filter(|(_, p)| p.test == number) {
                add(Knot::Size { view: test.velocity, size: self.size_of_point(i) });
            }
        }
        knots
    }

    fn point(&self, knot: Knot) -> Point {
        match knot {
            Knot::Channel { view, channel } => [self.sight.centre(channel), self.views[view].ln_velocity],
            Knot::Size { view, size } => {
                [self.views[view].sizes[size].to_m().ln(), self.views[view].ln_velocity]
            }
        }
    }

    /// The place of a curve's point among the sizes of its view.
    fn size_of_point(&self, point: usize) -> usize {
        let of = |p: &super::evidence::CurvePoint| self.evidence.tests[p.test].velocity;
        let view = of(&self.evidence.points[point]);
        let before = self.evidence.points[..point].iter().filter(|p| of(p) == view).count();
        self.sight.ln_sizes.len() + before
    }

    fn misfit(&self, place: usize, knots: Vec<Knot>, numbers: Range<usize>) -> Misfit {
        let points: Vec<Point> = knots.iter().map(|k| self.point(*k)).collect();
        let sizes: Vec<Length> = points.iter().map(|p| Length::from_m(p[0].exp())).collect();
        let mut velocities: Vec<_> = points.iter().map(|p| p[1]).collect();
        velocities.dedup();
        let velocities: Vec<_> =
            velocities.iter().map(|u| moteweir_units::Velocity::from_m_per_s(u.exp())).collect();
        let layers = self.central_layers(&self.unknowns, place);
        let covariance = discrepancy::covariance(&layers, self.surroundings, &sizes, &velocities);
        let field = Field::new(covariance, points);
        let loadings = self
            .views
            .iter()
            .map(|view| {
                let at: Vec<Point> = view.sizes.iter().map(|d| [d.to_m().ln(), view.ln_velocity]).collect();
                field.loadings(&at)
            })
            .collect();
        Misfit { field, knots, loadings, numbers }
    }

    /// The central layer of a material by closure, the headline's first.
    pub(super) fn central_layers(&self, unknowns: &Unknowns, place: usize) -> Vec<(Closure, Layer)> {
        let central = vec![0.0; unknowns.ranges[place].len()];
        let mut closures: Vec<Closure> = vec![self.setting.closure];
        closures.extend(self.surroundings.compare.iter().filter(|c| **c != self.setting.closure));
        closures
            .into_iter()
            .filter_map(|c| Some((c, unknowns.layer(self.case, place, &central, c, &self.setting.air)?)))
            .collect()
    }

    fn place(&self, material: usize) -> usize {
        self.unknowns.materials.partition_point(|m| *m < material)
    }

    /// The misfit's numbers of a material among all.
    pub(super) fn misfit_numbers(&self, place: usize) -> Range<usize> {
        self.misfits[place].numbers.clone()
    }

    pub(super) fn sight_of(&self, at: &[f64]) -> Option<(f64, f64)> {
        (!self.numbers.sight.is_empty()).then(|| self.sight.of(&at[self.numbers.sight.clone()]))
    }

    /// Slope of the room and shift of the size scale of two numbers.
    pub(super) fn sight_values(&self, slope: f64, shift: f64) -> (f64, f64) {
        self.sight.of(&[slope, shift])
    }

    /// ln of the middle of a channel.
    pub(super) fn centre_of(&self, channel: usize) -> f64 {
        self.sight.centre(channel)
    }

    /// Particles a second per unit of ln d at 1 um in the open room by a power law through all channels, and its slope,
    /// as the room is expected; `None` without channels.
    pub(super) fn room_per_ln_d(&self) -> Option<(f64, f64)> {
        let channels = self.evidence.channels.len();
        if channels == 0 {
            return None;
        }
        let (slope, _) = self.sight.of(&[0.0, 0.0]);
        let mut weights = vec![0.0; self.sight.ln_sizes.len()];
        let each = (0..channels).map(|c| {
            let open = self.evidence.channels[c].readings.iter();
            let open = open.filter(|r| r.through == super::evidence::Through::Open);
            let (counts, seconds) = open.fold((0.5, 0.0), |s, r| (s.0 + r.counts, s.1 + r.seconds));
            (counts / seconds).ln() - self.sight.weights(c, slope, 0.0, &mut weights)
        });
        Some(((each.sum::<f64>() / channels as f64).exp(), slope))
    }

    /// The dispersion between readings, over the draws and the channels.
    pub(super) fn mean_dispersion(&self, draws: &[Vec<f64>]) -> f64 {
        let of = |at: &Vec<f64>| {
            let each = self.likelihoods.iter().zip(&self.numbers.channels);
            each.map(|(l, numbers)| l.nuisances(&at[numbers.clone()]).dispersion).sum::<f64>()
        };
        let count = (draws.len() * self.likelihoods.len()).max(1);
        draws.iter().map(of).sum::<f64>() / count as f64
    }

    pub(super) fn layer(&self, place: usize, at: &[f64]) -> Option<Layer> {
        let normals = &at[self.unknowns.ranges[place].clone()];
        self.unknowns.layer(self.case, place, normals, self.setting.closure, &self.setting.air)
    }

    // --- working out ---

    fn work_layer(&self, place: usize, at: &[f64], work: &mut Work) {
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

    fn work_sight(&self, at: &[f64], work: &mut Work) {
        let Some((slope, shift)) = self.sight_of(at) else { return };
        for channel in 0..self.evidence.channels.len() {
            work.ln_seen[channel] = self.sight.weights(channel, slope, shift, &mut work.weights[channel]);
        }
    }

    /// ln of the exponents at the knots without misfit: what a step along keeps.
    fn work_levels(&self, place: usize, work: &mut Work) {
        for (k, knot) in self.misfits[place].knots.iter().enumerate() {
            let p = match *knot {
                Knot::Channel { view, channel } => averaged(&work.weights[channel], &work.plain[place][view]),
                Knot::Size { view, size } => work.plain[place][view][size],
            };
            work.levels[place][k] = ln_exponent(p);
        }
    }

    fn work_misfit(&self, place: usize, at: &[f64], work: &mut Work) {
        let misfit = &self.misfits[place];
        let numbers = &at[misfit.numbers.clone()];
        for (v, loadings) in misfit.loadings.iter().enumerate() {
            for (factor, row) in work.factors[place][v].iter_mut().zip(loadings.rows()) {
                *factor = libm::exp(row.iter().zip(numbers).map(|(a, z)| a * z).sum());
            }
        }
    }

    fn work_test(&self, number: usize, work: &mut Work) {
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

    fn work_through(&self, channel: usize, number: usize, work: &mut Work) {
        work.through[channel][number] = averaged(&work.weights[channel], &work.penetrations[number]);
    }

    fn work_channel(&self, channel: usize, at: &[f64], work: &mut Work) {
        let likelihood = &self.likelihoods[channel];
        let nuisances = likelihood.nuisances(&at[self.numbers.channels[channel].clone()]);
        work.ln_counts[channel] = likelihood.ln_likelihood(&nuisances, &work.through[channel]);
    }

    /// Everything that the change of some numbers moves.
    fn bring_up(&self, at: &[f64], changed: Option<&[usize]>, work: &mut Work) {
        let touches = |range: &Range<usize>| match changed {
            None => true,
            Some(changed) => changed.iter().any(|n| range.contains(n)),
        };
        let sight = touches(&self.numbers.sight) && !self.numbers.sight.is_empty();
        if sight {
            self.work_sight(at, work);
        }
        let mut moved = vec![false; self.misfits.len()];
        for place in 0..self.misfits.len() {
            let layer = changed.is_none() || touches(&self.unknowns.ranges[place]);
            if layer {
                self.work_layer(place, at, work);
            }
            if layer || sight {
                self.work_levels(place, work);
            }
            moved[place] = layer;
        }
        self.bring_up_misfits(at, &touches, &moved, sight, work);
    }

    fn bring_up_misfits(
        &self,
        at: &[f64],
        touches: &impl Fn(&Range<usize>) -> bool,
        moved: &[bool],
        sight: bool,
        work: &mut Work,
    ) {
        let mut moved = moved.to_vec();
        for place in 0..self.misfits.len() {
            if touches(&self.misfits[place].numbers) {
                self.work_misfit(place, at, work);
                moved[place] = true;
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
                    self.work_through(channel, number, work);
                    again = true;
                }
            }
            if again {
                self.work_channel(channel, at, work);
            }
        }
    }

    /// The logarithm of the likelihood of what was worked out.
    fn total(&self, at: &[f64], work: &Work) -> f64 {
        if work.possible.iter().any(|possible| !possible) {
            return f64::NEG_INFINITY;
        }
        let counts: f64 = work.ln_counts.iter().sum();
        let points: f64 = (0..self.evidence.points.len())
            .map(|i| {
                let p = &self.evidence.points[i];
                -0.5 * ((p.ln_p - self.ln_p_of_point(i, work)) / p.deviation).powi(2)
            })
            .sum();
        let resisted: f64 = (0..self.evidence.resisted.len())
            .map(|i| {
                let r = &self.evidence.resisted[i];
                -0.5 * ((r.ln_dp - self.ln_pressure_drop(i, at, work)) / r.deviation).powi(2)
            })
            .sum();
        counts + points + resisted + self.ln_levels(at, work)
    }

    /// ln P of the model at a point of a curve.
    pub(super) fn ln_p_of_point(&self, point: usize, work: &Work) -> f64 {
        let test = self.evidence.points[point].test;
        work.penetrations[test][self.size_of_point(point)].max(1e-300).ln()
    }

    /// ln of the model's pressure drop of a resistance.
    pub(super) fn ln_pressure_drop(&self, resisted: usize, at: &[f64], work: &Work) -> f64 {
        let sheets = &self.evidence.resisted[resisted].sheets;
        let each = sheets
            .iter()
            .zip(&work.pressure_drops[resisted])
            .map(|((material, _), ln_dp)| libm::exp(ln_dp + self.drag(self.place(*material), at)));
        each.sum::<f64>().ln()
    }

    fn drag(&self, place: usize, at: &[f64]) -> f64 {
        self.numbers.drag[place].map_or(0.0, |number| discrepancy::DRAG * at[number])
    }

    /// The levels of the channels: flat before the data in what they share, about a power law in what they do not. The
    /// standard normal of their numbers is taken back.
    fn ln_levels(&self, at: &[f64], work: &Work) -> f64 {
        let levels = || {
            self.likelihoods.iter().zip(&self.numbers.channels).zip(&work.ln_seen).map(
                |((l, numbers), seen)| {
                    let z = at[numbers.start];
                    (l.nuisances(&at[numbers.clone()]).ln_room - seen, z)
                },
            )
        };
        let count = levels().count() as f64;
        if count == 0.0 {
            return 0.0;
        }
        let mean = levels().map(|(r, _)| r).sum::<f64>() / count;
        levels().map(|(r, z)| 0.5 * z * z - 0.5 * ((r - mean) / OFF_POWER_LAW).powi(2)).sum()
    }
}

impl Model for Forward<'_> {
    type Known = Work;

    fn dimension(&self) -> usize {
        self.numbers.len
    }

    fn room(&self) -> Work {
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

    fn log_likelihood(&self, at: &[f64], changed: Option<&[usize]>, work: &mut Work) -> f64 {
        self.bring_up(at, changed, work);
        self.total(at, work)
    }

    /// The misfit takes up at its knots what the physics gives away there, and the drag what the drag law does.
    fn log_likelihood_along(&self, at: &mut [f64], changed: &[usize], work: &mut Work) -> f64 {
        let (levels, drops) = (work.levels.clone(), work.pressure_drops.clone());
        self.bring_up(at, Some(changed), work);
        if work.possible.iter().any(|possible| !possible) {
            return f64::NEG_INFINITY;
        }
        let mut along = Vec::new();
        for (place, misfit) in self.misfits.iter().enumerate() {
            let given_up: Vec<f64> =
                levels[place].iter().zip(&work.levels[place]).map(|(old, new)| old - new).collect();
            if given_up.iter().any(|d| *d != 0.0) {
                for (i, z) in misfit.field.normals(&given_up).into_iter().enumerate() {
                    at[misfit.numbers.start + i] += z;
                    along.push(misfit.numbers.start + i);
                }
            }
            if let Some(number) = self.numbers.drag[place] {
                at[number] += self.given_up_drag(place, &drops, work) / discrepancy::DRAG;
            }
        }
        self.bring_up_misfits(
            at,
            &|range| along.iter().any(|n| range.contains(n)),
            &vec![false; self.misfits.len()],
            false,
            work,
        );
        self.total(at, work)
    }

    fn moves(&self) -> Vec<Move> {
        let mut moves = Vec::new();
        let with_misfit =
            |place: usize| !self.misfits[place].numbers.is_empty() || self.numbers.drag[place].is_some();
        for (place, range) in self.unknowns.ranges.iter().enumerate() {
            if !range.is_empty() {
                moves.push(Move::Step(range.clone().collect()));
                if with_misfit(place) {
                    moves.push(Move::Along(range.clone().collect()));
                }
            }
        }
        if !self.numbers.sight.is_empty() {
            moves.push(Move::Step(self.numbers.sight.clone().collect()));
            moves.push(Move::Along(self.numbers.sight.clone().collect()));
        }
        moves.extend(self.numbers.channels.iter().map(|range| Move::Step(range.clone().collect())));
        let numbers = self.misfits.iter().map(|m| m.numbers.clone()).filter(|n| !n.is_empty());
        moves.extend(numbers.map(|n| Move::Slice(n.collect())));
        let drags = self.numbers.drag.iter().flatten();
        moves.extend(drags.map(|number| Move::Step(vec![*number])));
        moves
    }
}

impl Forward<'_> {
    /// What the drag law gave away of a material's pressure drop, at the first resistance that has it.
    fn given_up_drag(&self, place: usize, before: &[Vec<f64>], work: &Work) -> f64 {
        let material = self.unknowns.materials[place];
        let found = self.evidence.resisted.iter().enumerate().find_map(|(i, r)| {
            r.sheets
                .iter()
                .position(|(m, _)| *m == material)
                .map(|k| before[i][k] - work.pressure_drops[i][k])
        });
        found.unwrap_or(0.0)
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

fn views(evidence: &Evidence, sight: &Sight, setting: &Setting, surroundings: &Surroundings) -> Vec<View> {
    evidence
        .velocities
        .iter()
        .enumerate()
        .map(|(v, &velocity)| {
            let of_curves =
                evidence.points.iter().filter(|p| evidence.tests[p.test].velocity == v).map(|p| p.diameter);
            let sizes: Vec<Length> =
                sight.ln_sizes.iter().map(|x| x.exp()).chain(of_curves).map(Length::from_m).collect();
            View {
                kernel: Kernel::new(setting, velocity, &sizes, surroundings.kind()),
                ln_velocity: velocity.to_m_per_s().ln(),
                sizes,
            }
        })
        .collect()
}

/// The counter and the room of a case; of one without a bench, nothing asks for them.
fn instrument(case: &Case) -> (Counter, Room) {
    case.bench.as_ref().map_or_else(
        || {
            let counter = Counter {
                diameter: moteweir_physics::aerosol::DiameterKind::Mobility,
                edges: Vec::new(),
                largest: case.particles.largest,
                sizing: 0.0,
                resolution: 0.0,
                dead_time: None,
                most_per_m3: None,
            };
            (counter, Room { slope: 3.0, doubt: Doubt::None })
        },
        |bench| (bench.counter.clone(), bench.room),
    )
}
