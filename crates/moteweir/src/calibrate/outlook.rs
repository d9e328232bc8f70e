//! What the calibrated model says of sizes, velocities and stacks that were never measured.

use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::inference::{Drawer, Field, Point};
use moteweir_sim::random::{Purpose, Stream};
use moteweir_sim::variation::kernel::{Kernel, LogPenetrations, Scratch};
use moteweir_units::{Length, Velocity};
use rayon::prelude::*;

use super::discrepancy::{DRAG, REPRODUCIBILITY};
use super::evidence::{counted_sheets, name_of};
use super::forward::Forward;
use super::layout::may_be_charged;
use super::unknowns::Unknowns;
use super::work::{Sheets, without_charge};
use crate::case::{Case, Specimen};
use crate::predict::peak;

/// Sizes of a curve.
const SIZES: usize = 36;
/// Velocities that differ by less than this share are one.
const SAME_VELOCITY: f64 = 0.01;
const MISFIT: Purpose = Purpose::named("foreseen misfit");
const ELSEWHERE: Purpose = Purpose::named("another laboratory's level");
const DRAGS: Purpose = Purpose::named("foreseen drag");
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
    /// Of its mechanics, and of its charge where it may have one.
    misfits: Vec<Foretold>,
}

/// A misfit at what is foreseen.
#[derive(Debug)]
struct Foretold {
    /// Its position among the measured ones.
    measured: Option<usize>,
    drawer: Drawer,
    points: usize,
}

/// A needed material in one draw.
struct Drawn {
    layer: Layer,
    /// Misfits over all velocities and sizes, e^g.
    factors: Vec<Vec<f64>>,
    drag: f64,
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
    seed: u64,
}

/// One draw.
#[derive(Clone, Debug)]
pub(super) struct Foresight {
    /// By what is foreseen, size by size.
    pub(super) penetration: Vec<Vec<f64>>,
    pub(super) pressure_drop: Vec<f64>,
    /// Size \[m\] and penetration.
    pub(super) worst: Vec<(f64, f64)>,
    /// What all ln(-ln P) that will be read next are off by: the bench's own level, or another laboratory's.
    pub(super) off: f64,
}

impl<'a> Outlook<'a> {
    pub(super) const SIZES: usize = SIZES;

    /// `asked` are sizes beside those of the curves; `seed` is where the random numbers begin.
    pub(super) fn new(forward: &'a Forward<'a>, asked: &[Length], seed: u64) -> Self {
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
        Self { forward, velocities, foreseen, sizes, kernels, needed, unmeasured, setting, seed }
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
        let mut stream = Stream::new(self.seed, PRIOR.item(needed.material as u64), index);
        let normals: Vec<f64> = self.unmeasured.ranges[place].clone().map(|_| stream.normal()).collect();
        // A layer that cannot be gives way to the central one.
        let of = |normals: &[f64]| {
            self.unmeasured.layer(self.forward.case, place, normals, self.setting.closure, &self.setting.air)
        };
        of(&normals).or_else(|| of(&vec![0.0; normals.len()]))
    }

    fn misfit(&self, stream: &mut Stream, misfit: &Foretold, at: &[f64]) -> Vec<f64> {
        let fresh: Vec<f64> = (0..misfit.points).map(|_| stream.normal()).collect();
        let mut values = Vec::new();
        if let Some(measured) = misfit.measured.map(|number| &self.forward.misfits[number]) {
            values = vec![0.0; measured.knots.len()];
            measured.field.values(&at[measured.numbers.clone()], &mut values);
        }
        misfit.drawer.draw(&values, &fresh).iter().map(|g| libm::exp(*g)).collect()
    }

    fn drag(&self, needed: &Needed, at: &[f64], index: u64) -> f64 {
        let number = needed.place.and_then(|place| self.forward.numbers.drag[place]);
        let normal = number.map_or_else(
            || Stream::new(self.seed, DRAGS.item(needed.material as u64), index).normal(),
            |number| at[number],
        );
        DRAG * normal
    }

    fn drawn(&self, needed: &Needed, at: &[f64], index: u64) -> Option<Drawn> {
        let mut stream = Stream::new(self.seed, MISFIT.item(needed.material as u64), index);
        Some(Drawn {
            layer: self.layer(needed, at, index)?,
            factors: needed.misfits.iter().map(|m| self.misfit(&mut stream, m, at)).collect(),
            drag: libm::exp(self.drag(needed, at, index)),
        })
    }

    fn draw(&self, at: &[f64], index: u64, scratch: &mut [Scratch]) -> Option<Foresight> {
        let drawn: Vec<Drawn> =
            self.needed.iter().map(|n| self.drawn(n, at, index)).collect::<Option<_>>()?;
        let place = |material: usize| self.needed.partition_point(|n| n.material < material);
        let (mut penetration, mut pressure_drop, mut worst) = (Vec::new(), Vec::new(), Vec::new());
        for f in &self.foreseen {
            let (kernel, scratch) = (&self.kernels[f.velocity], &mut scratch[f.velocity]);
            let mut sum = kernel.empty();
            let mut dp = 0.0;
            for (material, times) in &f.sheets {
                let drawn = &drawn[place(*material)];
                self.add_sheets(f, drawn, *times, &mut sum, scratch);
                let of_one = drawn.layer.pressure_drop(&self.setting, self.velocities[f.velocity]).value;
                dp += times * drawn.drag * of_one;
            }
            let mut p = vec![0.0; self.sizes.len()];
            kernel.penetrations(&sum, scratch, &mut p);
            worst.push(peak(&self.sizes[..SIZES], &p[..SIZES]));
            penetration.push(p);
            pressure_drop.push(dp);
        }
        Some(Foresight { penetration, pressure_drop, worst, off: self.off(at, index) })
    }

    /// The bench's counts are the first of the files.
    fn off(&self, at: &[f64], index: u64) -> f64 {
        if self.forward.evidence.channels.is_empty() {
            return REPRODUCIBILITY * Stream::new(self.seed, ELSEWHERE, index).normal();
        }
        self.forward.level_of_file(0, at)
    }

    fn add_sheets(
        &self,
        f: &Foreseen,
        drawn: &Drawn,
        times: f64,
        sum: &mut LogPenetrations,
        scratch: &mut Scratch,
    ) {
        let (kernel, count) = (&self.kernels[f.velocity], self.sizes.len());
        let range = f.velocity * count..(f.velocity + 1) * count;
        let sheet = |layer: &Layer, scratch: &mut Scratch| {
            let mut sheet = kernel.empty();
            kernel.add_layer(layer, 1.0, &mut sheet, scratch);
            sheet
        };
        let charge = drawn.factors.get(1).map(|factors| &factors[range.clone()]);
        let discharged =
            (charge.is_some() || f.discharged).then(|| sheet(&without_charge(&drawn.layer), scratch));
        let whole = if f.discharged { kernel.empty() } else { sheet(&drawn.layer, scratch) };
        let sheets = Sheets {
            whole: discharged.as_ref().filter(|_| f.discharged).unwrap_or(&whole),
            discharged: discharged.as_ref(),
            mechanics: &drawn.factors[0][range.clone()],
            charge,
        };
        sheets.add(kernel, times, f.discharged, sum);
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
        // Two sheets of one material come from the same roll; two of a whole insert nobody wears.
        let of_one = counted_sheets(&case.sheets_of(specimen, layers)).len() == 1;
        for velocity in 0..velocities {
            if of_one {
                add(specimen, 2 * layers, velocity, false, false);
            }
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
    case.sheets_of(specimen, 1).iter().any(|&m| may_be_charged(case, m))
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
    let misfits = if let Some(place) = place {
        let (first, second) = forward.misfits_of(place);
        let of = |number: usize| Foretold {
            measured: Some(number),
            drawer: forward.misfits[number].field.elsewhere(points).drawer(),
            points: points.len(),
        };
        std::iter::once(first).chain(second).map(of).collect()
    } else {
        let known = unmeasured.materials.iter().position(|m| *m == material);
        let layers = known.map(|place| forward.central_layers(unmeasured, place)).unwrap_or_default();
        let all = forward.covariances_of(material, &layers, sizes, velocities);
        let of = |covariance| Foretold {
            measured: None,
            drawer: Field::new(covariance, Vec::new()).elsewhere(points).drawer(),
            points: points.len(),
        };
        all.into_iter().map(|(_, covariance)| of(covariance)).collect()
    };
    Needed { material, place, misfits }
}
