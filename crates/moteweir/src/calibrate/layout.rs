//! Where the numbers of the model lie, and the knots and fields of its misfits.

use std::ops::Range;

use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::inference::{Covariance, Field, Point};
use moteweir_sim::variation::kernel::Kernel;
use moteweir_units::{Length, Velocity};
use ndarray::Array2;

use super::discrepancy;
use super::evidence::{Evidence, Through};
use super::forward::Forward;
use super::knots::Knot;
use super::sight::Sight;
use super::unknowns::Unknowns;
use crate::case::{Case, Counter, Room, Structure};
use crate::doubt::Doubt;
use crate::predict::{Surroundings, log_spaced};

/// Sizes at which it is asked how much hangs on the way charge sits on the fibres.
const SIZES_OF_CHARGE: usize = 7;

/// What is seen at one velocity: the sizes of all channels, then those of curves.
#[derive(Debug)]
pub(super) struct View {
    pub(super) kernel: Kernel,
    pub(super) ln_velocity: f64,
    pub(super) sizes: Vec<Length>,
}

/// What a misfit is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MisfitOf {
    /// What a sheet catches without charge.
    Mechanics,
    /// What charge adds.
    Charge,
}

/// A misfit of one material.
#[derive(Clone, Debug)]
pub(super) struct Misfit {
    /// The material's place among the measured ones.
    pub(super) place: usize,
    pub(super) of: MisfitOf,
    pub(super) field: Field,
    /// Those that the readings say much of come first.
    pub(super) knots: Vec<Knot>,
    /// How many of them a step along keeps: at the others the misfit is what it is, whatever the physics says there.
    pub(super) told: usize,
    /// By knot: ln of a sheet's exponent about as it was read there.
    pub(super) read: Vec<f64>,
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
    /// What all penetrations of a file are off by, one number a file.
    pub(super) files: Range<usize>,
    /// Drag of each measured material, where a resistance was.
    pub(super) drag: Vec<Option<usize>>,
    pub(super) len: usize,
}

impl Forward<'_> {
    /// Gives every unknown its numbers: inputs, sight, channels, files, misfits, drags.
    pub(super) fn lay_out(&mut self) {
        let mut next = self.unknowns.all.len();
        let mut take = |count: usize| {
            next += count;
            next - count..next
        };
        let sight = take(if self.evidence.channels.is_empty() { 0 } else { 2 });
        let channels = self.likelihoods.iter().map(|l| take(l.dimension())).collect();
        let files = take(self.evidence.files.len());
        let mut misfits = Vec::new();
        for place in 0..self.unknowns.materials.len() {
            let knots = self.knots(place);
            let told = knots.iter().filter(|k| self.tells(place, **k)).count();
            for (of, covariance) in self.covariances(place, &knots) {
                let numbers = take(knots.len());
                misfits.push(self.misfit(place, of, covariance, knots.clone(), told, numbers));
            }
        }
        let resisted = |material: usize| {
            self.evidence.resisted.iter().any(|r| r.sheets.iter().any(|(m, _)| *m == material))
        };
        let drag = self.unknowns.materials.iter().map(|&m| resisted(m).then(|| take(1).start)).collect();
        self.misfits = misfits;
        self.numbers = Numbers { sight, channels, files, drag, len: next };
    }

    /// What misfits a material has, and how large they are.
    fn covariances(&self, place: usize, knots: &[Knot]) -> Vec<(MisfitOf, Covariance)> {
        let points: Vec<Point> = knots.iter().map(|k| self.point(*k)).collect();
        let sizes: Vec<Length> = points.iter().map(|p| Length::from_m(p[0].exp())).collect();
        let mut velocities: Vec<f64> = points.iter().map(|p| p[1]).collect();
        velocities.dedup();
        let velocities: Vec<Velocity> = velocities.iter().map(|u| Velocity::from_m_per_s(u.exp())).collect();
        let layers = self.central_layers(&self.unknowns, place);
        self.covariances_of(self.unknowns.materials[place], &layers, &sizes, &velocities)
    }

    /// The same of a material with its central layers by closure, at the sizes and velocities where it was measured.
    /// How charge sits on the fibres matters most away from those: there all sizes of the case are asked.
    pub(super) fn covariances_of(
        &self,
        material: usize,
        layers: &[(Closure, Layer)],
        sizes: &[Length],
        velocities: &[Velocity],
    ) -> Vec<(MisfitOf, Covariance)> {
        let mechanical = discrepancy::mechanical(layers, self.surroundings, sizes, velocities);
        let mut all = vec![(MisfitOf::Mechanics, mechanical)];
        if may_be_charged(self.case, material)
            && let Some(headline) = layers.first()
        {
            let p = &self.case.particles;
            let sizes = log_spaced(p.smallest.to_m(), p.largest.to_m(), SIZES_OF_CHARGE);
            let sizes: Vec<Length> = sizes.into_iter().map(Length::from_m).collect();
            let charge = discrepancy::of_charge(headline, self.surroundings, &sizes, velocities);
            all.extend(charge.map(|covariance| (MisfitOf::Charge, covariance)));
        }
        all
    }

    fn misfit(
        &self,
        place: usize,
        of: MisfitOf,
        covariance: Covariance,
        knots: Vec<Knot>,
        told: usize,
        numbers: Range<usize>,
    ) -> Misfit {
        let points: Vec<Point> = knots.iter().map(|k| self.point(*k)).collect();
        let field = Field::new(covariance, points);
        let loadings = self
            .views
            .iter()
            .map(|view| {
                let at: Vec<Point> = view.sizes.iter().map(|d| [d.to_m().ln(), view.ln_velocity]).collect();
                field.loadings(&at)
            })
            .collect();
        let read = knots.iter().map(|knot| self.read_at(place, *knot)).collect();
        Misfit { place, of, field, knots, told, read, loadings, numbers }
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

    /// Positions of a material's misfits: of its mechanics, and of its charge where it may have one.
    pub(super) fn misfits_of(&self, place: usize) -> (usize, Option<usize>) {
        let first = self.misfits.partition_point(|m| m.place < place);
        let second = self.misfits.get(first + 1).filter(|m| m.place == place).map(|_| first + 1);
        (first, second)
    }

    /// Whether a material's charge has a misfit of its own.
    pub(super) fn splits(&self, place: usize) -> bool {
        self.misfits_of(place).1.is_some()
    }

    /// All numbers that bend penetrations beside the inputs and the sight.
    pub(super) fn latent(&self) -> Vec<usize> {
        self.numbers.files.clone().chain(self.misfits.iter().flat_map(|m| m.numbers.clone())).collect()
    }

    /// What all of a file's ln(-ln P) are off by.
    pub(super) fn level_of_file(&self, file: usize, at: &[f64]) -> f64 {
        discrepancy::REPRODUCIBILITY * at[self.numbers.files.start + file]
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

/// Whether any fibres of a material may be charged.
pub(super) fn may_be_charged(case: &Case, material: usize) -> bool {
    match &case.materials[material].structure {
        Structure::Web(web) => {
            web.surface_charge.value.to_c_per_m2().abs() > 0.0 || !web.surface_charge.doubt.is_none()
        }
        Structure::Weave(_) => false,
    }
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
