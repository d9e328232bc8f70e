//! What the calibrated model says of sizes, velocities and stacks that were never measured.

use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::inference::{Drawer, Field, Point};
use moteweir_sim::random::{Purpose, Stream};
use moteweir_sim::variation::kernel::{Kernel, Scratch};
use moteweir_units::{Length, Velocity};
use rayon::prelude::*;

use super::discrepancy::{self, DRAG};
use super::evidence::{counted_sheets, name_of};
use super::forward::Forward;
use super::unknowns::Unknowns;
use super::work::without_charge;
use crate::case::{Case, Specimen};
use crate::predict::peak;

/// Sizes of a curve.
const SIZES: usize = 36;
/// Velocities that differ by less than this share are one.
const SAME_VELOCITY: f64 = 0.01;
const MISFIT: Purpose = Purpose::named("foreseen misfit");
const PRIOR: Purpose = Purpose::named("foreseen unmeasured");

/// Something at a velocity.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Foreseen {
    pub(super) name: String,
    pub(super) specimen: Specimen,
    pub(super) layers: u32,
    pub(super) sheets: Vec<(usize, f64)>,
    /// Position in [`Outlook::velocities`].
    pub(super) velocity: usize,
    pub(super) discharged: bool,
    /// Whether it is a curve of the report, or asked for a candidate's sake.
    pub(super) shown: bool,
}

/// A material that curves need.
#[derive(Debug)]
struct Needed {
    material: usize,
    /// Its place among the measured ones.
    place: Option<usize>,
    field: Option<Field>,
    drawer: Drawer,
    points: usize,
}

/// All that is foreseen.
#[derive(Debug)]
pub(super) struct Outlook<'a> {
    forward: &'a Forward<'a>,
    pub(super) velocities: Vec<Velocity>,
    pub(super) foreseen: Vec<Foreseen>,
    /// Sizes of the curves, then those of candidates.
    pub(super) sizes: Vec<Length>,
    kernels: Vec<Kernel>,
    needed: Vec<Needed>,
    unmeasured: Unknowns,
    setting: Setting,
}

/// One draw.
#[derive(Clone, Debug)]
pub(super) struct Foresight {
    /// By what is foreseen, size by size.
    pub(super) penetration: Vec<Vec<f64>>,
    pub(super) pressure_drop: Vec<f64>,
    /// Size \[m\] and penetration.
    pub(super) worst: Vec<(f64, f64)>,
}

impl<'a> Outlook<'a> {
    pub(super) const SIZES: usize = SIZES;

    /// `asked` are sizes beside those of the curves.
    pub(super) fn new(forward: &'a Forward<'a>, asked: &[Length]) -> Self {
        let case = forward.case;
        let mut velocities: Vec<Velocity> = vec![case.usage.flow / case.usage.area];
        let more = case
            .usage
            .face_velocities
            .iter()
            .map(|v| v.velocity)
            .chain(forward.evidence.velocities.iter().copied());
        for velocity in more {
            if !velocities.iter().any(|v| (*v / velocity).ln().abs() < SAME_VELOCITY) {
                velocities.push(velocity);
            }
        }
        let range = (case.particles.smallest.to_m(), case.particles.largest.to_m());
        let sizes: Vec<Length> = crate::predict::log_spaced(range.0, range.1, SIZES)
            .into_iter()
            .map(Length::from_m)
            .chain(asked.iter().copied())
            .collect();
        let setting = forward.surroundings.headline();
        let kernels = velocities
            .iter()
            .map(|v| Kernel::new(&setting, *v, &sizes, forward.surroundings.kind()))
            .collect();
        let foreseen = foreseen(forward, velocities.len());
        let mut materials: Vec<usize> = foreseen.iter().flat_map(|f| &f.sheets).map(|(m, _)| *m).collect();
        materials.sort_unstable();
        materials.dedup();
        let unmeasured =
            Unknowns::of(case, materials.iter().copied().filter(|m| !forward.unknowns.materials.contains(m)));
        let points: Vec<Point> = velocities
            .iter()
            .flat_map(|v| sizes.iter().map(move |d| [d.to_m().ln(), v.to_m_per_s().ln()]))
            .collect();
        let needed = materials
            .into_iter()
            .map(|material| needed(forward, &unmeasured, material, &points, &sizes, &velocities))
            .collect();
        Self { forward, velocities, foreseen, sizes, kernels, needed, unmeasured, setting }
    }

    /// What the draws foresee, those left out that make no layer; in the order of the draws.
    pub(super) fn of(&self, draws: &[Vec<f64>]) -> Vec<Foresight> {
        let seen: Vec<Option<Foresight>> = draws
            .par_iter()
            .enumerate()
            .map_init(
                || self.kernels.iter().map(Kernel::scratch).collect::<Vec<_>>(),
                |scratch, (index, at)| self.draw(at, index as u64, scratch),
            )
            .collect();
        seen.into_iter().flatten().collect()
    }

    fn layer(&self, needed: &Needed, at: &[f64], index: u64) -> Option<Layer> {
        if let Some(place) = needed.place {
            return self.forward.layer(place, at);
        }
        let place = self.unmeasured.materials.iter().position(|m| *m == needed.material)?;
        let mut stream = Stream::new(0, PRIOR.item(needed.material as u64), index);
        let normals: Vec<f64> = self.unmeasured.ranges[place].clone().map(|_| stream.normal()).collect();
        // A layer that cannot be gives way to the central one.
        let of = |normals: &[f64]| {
            self.unmeasured.layer(self.forward.case, place, normals, self.setting.closure, &self.setting.air)
        };
        of(&normals).or_else(|| of(&vec![0.0; normals.len()]))
    }

    fn misfit(&self, needed: &Needed, at: &[f64], index: u64) -> Vec<f64> {
        let mut stream = Stream::new(0, MISFIT.item(needed.material as u64), index);
        let fresh: Vec<f64> = (0..needed.points).map(|_| stream.normal()).collect();
        let mut values = Vec::new();
        if let (Some(field), Some(place)) = (&needed.field, needed.place) {
            values = vec![0.0; field.knots().len()];
            field.values(&at[self.forward.misfit_numbers(place)], &mut values);
        }
        needed.drawer.draw(&values, &fresh).iter().map(|g| libm::exp(*g)).collect()
    }

    fn drag(&self, needed: &Needed, at: &[f64], index: u64) -> f64 {
        let number = needed.place.and_then(|place| self.forward.numbers.drag[place]);
        let normal = number.map_or_else(
            || Stream::new(0, Purpose::named("foreseen drag").item(needed.material as u64), index).normal(),
            |number| at[number],
        );
        DRAG * normal
    }

    fn draw(&self, at: &[f64], index: u64, scratch: &mut [Scratch]) -> Option<Foresight> {
        let count = self.sizes.len();
        let layers: Vec<Layer> =
            self.needed.iter().map(|n| self.layer(n, at, index)).collect::<Option<_>>()?;
        let factors: Vec<Vec<f64>> = self.needed.iter().map(|n| self.misfit(n, at, index)).collect();
        let drags: Vec<f64> = self.needed.iter().map(|n| libm::exp(self.drag(n, at, index))).collect();
        let place = |material: usize| self.needed.partition_point(|n| n.material < material);
        let (mut penetration, mut pressure_drop, mut worst) = (Vec::new(), Vec::new(), Vec::new());
        for f in &self.foreseen {
            let (kernel, scratch) = (&self.kernels[f.velocity], &mut scratch[f.velocity]);
            let mut sum = kernel.empty();
            let mut dp = 0.0;
            for (material, times) in &f.sheets {
                let n = place(*material);
                let mut sheet = kernel.empty();
                if f.discharged {
                    kernel.add_layer(&without_charge(&layers[n]), 1.0, &mut sheet, scratch);
                } else {
                    kernel.add_layer(&layers[n], 1.0, &mut sheet, scratch);
                }
                let of_velocity = &factors[n][f.velocity * count..(f.velocity + 1) * count];
                kernel.add_scaled(&sheet, *times, of_velocity, &mut sum);
                dp += times
                    * drags[n]
                    * layers[n].pressure_drop(&self.setting, self.velocities[f.velocity]).value;
            }
            let mut p = vec![0.0; count];
            kernel.penetrations(&sum, scratch, &mut p);
            worst.push(peak(&self.sizes[..SIZES], &p[..SIZES]));
            penetration.push(p);
            pressure_drop.push(dp);
        }
        Some(Foresight { penetration, pressure_drop, worst })
    }
}

/// The curves that are shown, and what candidates for the next measurement need.
fn foreseen(forward: &Forward<'_>, velocities: usize) -> Vec<Foreseen> {
    let case = forward.case;
    let mut all: Vec<Foreseen> = Vec::new();
    let mut add = |specimen: Specimen, layers: u32, velocity: usize, discharged: bool, shown: bool| {
        let sheets = counted_sheets(&case.sheets_of(specimen, layers));
        let like = |f: &&mut Foreseen| {
            f.specimen == specimen
                && f.layers == layers
                && f.velocity == velocity
                && f.discharged == discharged
        };
        if let Some(known) = all.iter_mut().find(like) {
            known.shown |= shown;
            return;
        }
        let name = name_of(case, specimen, layers);
        all.push(Foreseen { name, specimen, layers, sheets, velocity, discharged, shown });
    };
    let specimens = specimens(forward, case);
    for &(specimen, layers) in &specimens {
        for velocity in 0..velocities {
            add(specimen, layers, velocity, false, true);
        }
    }
    for &(specimen, layers) in &specimens {
        for velocity in 0..velocities {
            add(specimen, 2 * layers, velocity, false, false);
            if charged(case, specimen) {
                add(specimen, layers, velocity, true, false);
            }
        }
    }
    all
}

/// Stacks that hold something measured, then what was tested itself.
fn specimens(forward: &Forward<'_>, case: &Case) -> Vec<(Specimen, u32)> {
    let measured = |sheets: &[usize]| sheets.iter().any(|m| forward.unknowns.materials.contains(m));
    let stacks = (0..case.stacks.len()).filter(|s| measured(&case.stacks[*s].layers));
    let mut all: Vec<(Specimen, u32)> = stacks.map(|s| (Specimen::Stack(s), 1)).collect();
    for test in &forward.evidence.tests {
        let same = |known: &(Specimen, u32)| counted_sheets(&case.sheets_of(known.0, known.1)) == test.sheets;
        if !all.iter().any(same) {
            all.push((test.specimen, test.layers));
        }
    }
    all
}

/// Whether any of its fibres may be charged.
fn charged(case: &Case, specimen: Specimen) -> bool {
    case.sheets_of(specimen, 1).iter().any(|&m| match &case.materials[m].structure {
        crate::case::Structure::Web(web) => {
            web.surface_charge.value.to_c_per_m2().abs() > 0.0 || !web.surface_charge.doubt.is_none()
        }
        crate::case::Structure::Weave(_) => false,
    })
}

fn needed(
    forward: &Forward<'_>,
    unmeasured: &Unknowns,
    material: usize,
    points: &[Point],
    sizes: &[Length],
    velocities: &[Velocity],
) -> Needed {
    let place = forward.unknowns.materials.iter().position(|m| *m == material);
    let (field, drawer) = if let Some(place) = place {
        let field = forward.misfits[place].field.clone();
        let drawer = field.elsewhere(points).drawer();
        (Some(field), drawer)
    } else {
        let known = unmeasured.materials.iter().position(|m| *m == material);
        let layers = known.map(|place| forward.central_layers(unmeasured, place)).unwrap_or_default();
        let covariance = discrepancy::covariance(&layers, forward.surroundings, sizes, velocities);
        (None, Field::new(covariance, Vec::new()).elsewhere(points).drawer())
    };
    Needed { material, place, field, drawer, points: points.len() }
}
