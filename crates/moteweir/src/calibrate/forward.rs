//! From numbers to what the readings would be: the model that is sampled.

use std::ops::Range;
use std::sync::Arc;

use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::counting::CountingError;
use moteweir_sim::inference::{Model, Move};

use super::counts::CountsOfChannel;
use super::discrepancy;
use super::evidence::Evidence;
use super::layout::{Misfit, Numbers, View, instrument, views};
use super::sight::Sight;
use super::unknowns::Unknowns;
use super::work::Work;
use crate::case::Case;
use crate::predict::Surroundings;

/// Efficiency of counting and true shape of the room: how far a channel's level may be off a power law, in its logarithm.
pub(super) const OFF_POWER_LAW: f64 = 0.3;

/// A share of charge is taken as no smaller where its logarithm is asked for.
const LEAST_SHARE: f64 = 1e-3;

/// Leaps of each material in a sweep, by which what is dear to work out mixes.
const LEAPS: usize = 2;
/// Steps of slope and size scale in a sweep.
const SIGHTS: usize = 3;
/// Steps of a channel's nuisances and of a material's misfit in a sweep: they are cheap.
const CHANNELS: usize = 4;
const MISFITS: usize = 4;
/// Steps in which what the files are off by goes over into the misfits: the readings know their sum.
const FILES: usize = 2;

/// The model of a case's readings.
#[derive(Clone, Debug)]
pub(super) struct Forward<'a> {
    pub(super) case: &'a Case,
    pub(super) surroundings: &'a Surroundings,
    pub(super) evidence: Evidence,
    pub(super) unknowns: Unknowns,
    pub(super) misfits: Vec<Misfit>,
    pub(super) numbers: Numbers,
    pub(super) likelihoods: Vec<CountsOfChannel>,
    pub(super) views: Arc<Vec<View>>,
    pub(super) sight: Sight,
    pub(super) setting: Setting,
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
        let dead_time = counter.dead_time.map_or(0.0, moteweir_units::Time::to_s);
        let likelihoods: Vec<CountsOfChannel> = evidence
            .channels
            .iter()
            .map(|c| CountsOfChannel::new(c, dead_time, |reading| evidence.seen(reading)))
            .collect::<Result<_, CountingError>>()?;
        let mut forward = Self {
            case,
            surroundings,
            evidence,
            unknowns,
            misfits: Vec::new(),
            numbers: Numbers::default(),
            likelihoods,
            views: Arc::new(views),
            sight,
            setting,
        };
        forward.lay_out();
        Ok(forward)
    }

    pub(super) fn layer(&self, place: usize, at: &[f64]) -> Option<Layer> {
        let normals = &at[self.unknowns.ranges[place].clone()];
        self.unknowns.layer(self.case, place, normals, self.setting.closure, &self.setting.air)
    }

    // --- working out ---

    /// The same with other counts in its channels.
    #[cfg(test)]
    pub(super) fn with_counts(
        &self,
        channels: Vec<super::evidence::CountedChannel>,
    ) -> Result<Self, CountingError> {
        let mut other = self.clone();
        other.likelihoods = channels
            .iter()
            .map(|c| CountsOfChannel::new(c, 0.0, |reading| reading.counts))
            .collect::<Result<_, CountingError>>()?;
        other.evidence.channels = channels;
        Ok(other)
    }

    /// Sets the levels of the channels to those of a room of so much at 1 um, each off by its own number.
    #[cfg(test)]
    pub(super) fn set_levels(&self, at: &mut [f64], ln_room: f64, work: &Work) {
        for ((likelihood, numbers), seen) in
            self.likelihoods.iter().zip(&self.numbers.channels).zip(&work.ln_seen)
        {
            let own = OFF_POWER_LAW * at[numbers.start];
            at[numbers.start] = likelihood.number_of_level(ln_room + seen + own);
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
        self.empty_work()
    }

    fn log_likelihood(&self, at: &[f64], changed: Option<&[usize]>, work: &mut Work) -> f64 {
        self.bring_up(at, changed, work);
        self.total(at, work)
    }

    /// The misfit takes up at its knots what the physics gives away there, and the drag what the drag law does.
    fn log_likelihood_along(&self, at: &mut [f64], changed: &[usize], work: &mut Work) -> f64 {
        let (levels, drops, files) =
            (work.levels.clone(), work.pressure_drops.clone(), work.of_files.clone());
        self.bring_up(at, Some(changed), work);
        if work.possible.iter().any(|possible| !possible) {
            return f64::NEG_INFINITY;
        }
        let mut along = Vec::new();
        for (number, misfit) in self.misfits.iter().enumerate() {
            let by_files = self.given_up_by_files(misfit.place, &files, work);
            let given_up: Vec<f64> = (0..misfit.told)
                .map(|k| levels[number][k] - work.levels[number][k] + work.taken_up[number][k] * by_files)
                .collect();
            if given_up.iter().any(|d| *d != 0.0) {
                for (i, z) in misfit.normals_of_told(&given_up).into_iter().enumerate() {
                    at[misfit.numbers.start + i] += z;
                    along.push(misfit.numbers.start + i);
                }
            }
        }
        for place in 0..self.unknowns.materials.len() {
            if let Some(number) = self.numbers.drag[place] {
                at[number] += self.given_up_drag(place, &drops, work) / discrepancy::DRAG;
            }
        }
        self.bring_up_misfits(
            at,
            &|range| along.iter().any(|n| range.contains(n)),
            &vec![false; self.unknowns.materials.len()],
            false,
            work,
        );
        self.total(at, work)
    }

    /// ln of the exponents at a material's knots, and of its pressure drop where one was measured.
    fn kept(&self, changed: &[usize], work: &Work) -> Vec<f64> {
        let Some(place) = self.place_of_block(changed) else { return Vec::new() };
        let levels = self.numbers_of_misfits(place).flat_map(|m| &work.levels[m][..self.misfits[m].told]);
        levels.copied().chain(self.first_drop(place, work)).collect()
    }

    fn beside(&self, _: &[usize]) -> Vec<usize> {
        self.numbers.sight.clone().collect()
    }

    fn ln_taken_up(&self, at: &[f64], changed: &[usize], given_up: &[f64]) -> f64 {
        let Some(place) = self.place_of_block(changed) else { return 0.0 };
        let square = |number: usize, z: f64| (at[number] + z) * (at[number] + z);
        let (mut sum, mut rest) = (0.0, given_up);
        for misfit in self.numbers_of_misfits(place).map(|m| &self.misfits[m]) {
            let (levels, others) = rest.split_at(misfit.told);
            let normals = misfit.normals_of_told(levels);
            sum += normals.iter().zip(misfit.numbers.clone()).map(|(z, n)| square(n, *z)).sum::<f64>();
            rest = others;
        }
        let of_drag = self.numbers.drag[place].into_iter().zip(rest);
        sum += of_drag.map(|(number, d)| square(number, d / discrepancy::DRAG)).sum::<f64>();
        -0.5 * sum
    }

    fn moves(&self) -> Vec<Move> {
        let mut moves = Vec::new();
        let mut add = |count: usize, of: fn(Vec<usize>) -> Move, range: &Range<usize>| {
            if !range.is_empty() {
                moves.extend((0..count).map(|_| of(range.clone().collect())));
            }
        };
        for (place, range) in self.unknowns.ranges.iter().enumerate() {
            if self.misfits[self.misfits_of(place).0].told > 0 || self.numbers.drag[place].is_some() {
                add(LEAPS, Move::Leap, range);
            }
            add(1, Move::Step, range);
        }
        add(1, Move::Step, &self.numbers.sight);
        add(SIGHTS, Move::Along, &self.numbers.sight);
        self.numbers.channels.iter().for_each(|range| add(CHANNELS, Move::Step, range));
        // Slices for what the data say little of, steps for what they know well: a slice of a narrow posterior is short.
        for place in 0..self.unknowns.materials.len() {
            // Those of one material side by side: the readings know their sum better than each.
            let of = self.numbers_of_misfits(place).map(|m| self.misfits[m].numbers.clone());
            let range = of.reduce(|a, b| a.start..b.end).unwrap_or_default();
            add(1, Move::Slice, &range);
            add(MISFITS, Move::Step, &range);
        }
        add(FILES, Move::Along, &self.numbers.files);
        let drags = self.numbers.drag.iter().flatten();
        moves.extend(drags.map(|number| Move::Step(vec![*number])));
        moves
    }
}

impl Forward<'_> {
    fn place_of_block(&self, block: &[usize]) -> Option<usize> {
        self.unknowns.ranges.iter().position(|range| block.first().is_some_and(|n| range.contains(n)))
    }

    /// Positions of a material's misfits, one or two.
    fn numbers_of_misfits(&self, place: usize) -> Range<usize> {
        let (first, second) = self.misfits_of(place);
        first..second.unwrap_or(first) + 1
    }

    /// What the files gave away of a material's exponents, the mean over those that have readings of it.
    fn given_up_by_files(&self, place: usize, before: &[f64], work: &Work) -> f64 {
        let material = self.unknowns.materials[place];
        let has = |file: usize| {
            self.evidence.tests.iter().any(|t| t.file == file && t.sheets.iter().any(|(m, _)| *m == material))
        };
        let (mut sum, mut count) = (0.0, 0.0_f64);
        for file in (0..before.len()).filter(|file| has(*file)) {
            sum += before[file] - work.of_files[file];
            count += 1.0;
        }
        sum / count.max(1.0)
    }

    /// What a charged material's misfits keep and take up at a knot, of ln of its exponent with charge and without: of
    /// mechanics, of charge.
    ///
    /// The two take up a change of the whole in proportion to what each has to do with it, as by the regression of each on
    /// (1 - w) g_m + w g_c. What they keep is their part of the way from what was read there, so that the whole, kept,
    /// stays near to that however charge's share w moves. Where the same was read without charge each keeps its own.
    pub(super) fn parts_at(&self, place: usize, knot: usize, whole: f64, without: f64) -> [(f64, f64); 2] {
        let share = (1.0 - libm::exp(without - whole)).clamp(LEAST_SHARE, 1.0);
        let (first, _) = self.misfits_of(place);
        if self.measured_discharged(place) {
            return [(without, 1.0), (whole + share.ln(), 1.0)];
        }
        let variances = [first, first + 1].map(|m| self.misfits[m].field.covariance().amplitude.powi(2));
        let weighted = [(1.0 - share) * variances[0], share * variances[1]];
        let sum = (1.0 - share) * weighted[0] + share * weighted[1];
        let away = whole - self.misfits[first].read[knot];
        weighted.map(|w| (w / sum * away, w / sum))
    }

    fn measured_discharged(&self, place: usize) -> bool {
        let material = self.unknowns.materials[place];
        self.evidence.tests.iter().any(|t| t.discharged && t.sheets.iter().any(|(m, _)| *m == material))
    }

    /// ln of a material's pressure drop without its misfit, at the first resistance that has it.
    fn first_drop(&self, place: usize, work: &Work) -> Option<f64> {
        let material = self.unknowns.materials[place];
        self.evidence.resisted.iter().enumerate().find_map(|(i, r)| {
            let sheets = r.sheets.iter().position(|(m, _)| *m == material);
            sheets.map(|k| work.pressure_drops[i][k])
        })
    }

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
