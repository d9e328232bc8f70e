//! Where the numbers of the model lie, and the knots and fields of its misfits.

use std::ops::Range;

use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::inference::{Field, Point};
use moteweir_sim::variation::kernel::Kernel;
use moteweir_units::Length;
use ndarray::Array2;

use super::discrepancy;
use super::evidence::{CurvePoint, Evidence, Through};
use super::forward::Forward;
use super::sight::Sight;
use super::unknowns::Unknowns;
use crate::case::{Case, Counter, Room};
use crate::doubt::Doubt;
use crate::predict::Surroundings;

/// Knots of a misfit closer than this in ln d, at one velocity, are one.
const NEAR: f64 = 0.12;
/// A channel in which fewer were counted through a material, all readings together, says little of its penetration.
const TELLING_COUNTS: f64 = 30.0;
/// Velocities of views differ by more than this in their logarithms.
const SAME_VELOCITY: f64 = 1e-6;

/// What is seen at one velocity: the sizes of all channels, then those of curves.
#[derive(Debug)]
pub(super) struct View {
    pub(super) kernel: Kernel,
    pub(super) ln_velocity: f64,
    pub(super) sizes: Vec<Length>,
}

/// What a knot of a misfit stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Knot {
    Channel { view: usize, channel: usize },
    Size { view: usize, size: usize },
}

/// The misfit of one material.
#[derive(Clone, Debug)]
pub(super) struct Misfit {
    pub(super) field: Field,
    /// Those that the readings say much of come first.
    pub(super) knots: Vec<Knot>,
    /// How many of them a step along keeps: at the others the misfit is what it is, whatever the physics says there.
    pub(super) told: usize,
    /// By view: the misfit at its sizes, of the numbers of the knots.
    pub(super) loadings: Vec<Array2<f64>>,
    pub(super) numbers: Range<usize>,
}

impl Misfit {
    /// The numbers of values at the knots that are told of, those of the others being 0: the root is triangular.
    pub(super) fn normals_of_told(&self, values: &[f64]) -> Vec<f64> {
        let padded: Vec<f64> =
            values.iter().copied().chain(std::iter::repeat(0.0)).take(self.knots.len()).collect();
        let mut normals = self.field.normals(&padded);
        normals.truncate(self.told);
        normals
    }
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

impl Forward<'_> {
    /// Gives every unknown its numbers: inputs, sight, channels, misfits, drags.
    pub(super) fn lay_out(&mut self) {
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
            let told = knots.iter().filter(|k| self.tells(place, **k)).count();
            misfits.push(self.misfit(place, knots, told, numbers));
        }
        let resisted = |material: usize| {
            self.evidence.resisted.iter().any(|r| r.sheets.iter().any(|(m, _)| *m == material))
        };
        let drag = self.unknowns.materials.iter().map(|&m| resisted(m).then(|| take(1).start)).collect();
        self.misfits = misfits;
        self.numbers = Numbers { sight, channels, drag, len: next };
    }

    pub(super) fn knots(&self, place: usize) -> Vec<Knot> {
        let material = self.unknowns.materials[place];
        let mut knots: Vec<Knot> = Vec::new();
        let mut add = |knot: Knot| {
            let [x, u] = self.point(knot);
            let near = |known: &Knot| {
                let [y, v] = self.point(*known);
                (u - v).abs() < SAME_VELOCITY && (x - y).abs() < NEAR
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
                if counted.readings.iter().any(|r| r.through == Through::Test(number)) {
                    add(Knot::Channel { view: test.velocity, channel });
                }
            }
            for (i, _) in self.evidence.points.iter().enumerate().filter(|(_, p)| p.test == number) {
                add(Knot::Size { view: test.velocity, size: self.size_of_point(i) });
            }
        }
        knots.sort_by_key(|knot| !self.tells(place, *knot));
        knots
    }

    /// Whether the readings say much of a material at a knot: enough was counted through it, or a curve was measured.
    fn tells(&self, place: usize, knot: Knot) -> bool {
        let Knot::Channel { view, channel } = knot else { return true };
        let material = self.unknowns.materials[place];
        let tests = &self.evidence.tests;
        let through = |through: Through| match through {
            Through::Test(test) => {
                tests[test].velocity == view && tests[test].sheets.iter().any(|(m, _)| *m == material)
            }
            _ => false,
        };
        let counted = self.evidence.channels[channel].readings.iter().filter(|r| through(r.through));
        counted.map(|r| r.counts).sum::<f64>() >= TELLING_COUNTS
    }

    pub(super) fn point(&self, knot: Knot) -> Point {
        match knot {
            Knot::Channel { view, channel } => [self.sight.centre(channel), self.views[view].ln_velocity],
            Knot::Size { view, size } => {
                [self.views[view].sizes[size].to_m().ln(), self.views[view].ln_velocity]
            }
        }
    }

    /// The place of a curve's point among the sizes of its view.
    pub(super) fn size_of_point(&self, point: usize) -> usize {
        let of = |p: &CurvePoint| self.evidence.tests[p.test].velocity;
        let view = of(&self.evidence.points[point]);
        let before = self.evidence.points[..point].iter().filter(|p| of(p) == view).count();
        self.sight.ln_sizes.len() + before
    }

    pub(super) fn misfit(
        &self,
        place: usize,
        knots: Vec<Knot>,
        told: usize,
        numbers: Range<usize>,
    ) -> Misfit {
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
        Misfit { field, knots, told, loadings, numbers }
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

    pub(super) fn place(&self, material: usize) -> usize {
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
            let open = open.filter(|r| r.through == Through::Open);
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
}

pub(super) fn views(
    evidence: &Evidence,
    sight: &Sight,
    setting: &Setting,
    surroundings: &Surroundings,
) -> Vec<View> {
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
pub(super) fn instrument(case: &Case) -> (Counter, Room) {
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
