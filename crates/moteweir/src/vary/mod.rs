//! Many draws of whole stacks: how far the answer spreads, whether targets hold, and what to measure next.

mod asked;
mod contact;
mod how_many;
mod sensitive;

pub(crate) use asked::few;
pub(crate) use contact::{inhomogeneity_unused, uneven_twice};
pub(crate) use sensitive::grouped;

use std::ops::ControlFlow;
use std::sync::Arc;

use moteweir_sim::quantile::{Draws, Ending, Progress, Sketch, Tolerance, Wanted};
use moteweir_sim::variation::kernel::Cloths;
use moteweir_sim::variation::{Drawing, Layout, Variation, VariationError};
use moteweir_units::{Length, Velocity};

use crate::case::{Case, Target};
use crate::draws::{Realiser, Slot};
use crate::predict::{MediumFault, Surroundings};
use crate::report::{
    self, QuantileCurves, Quantiles, TargetReport, VARIATION_FORMAT, VariationReport, VariedStack,
    WarningReport,
};
use asked::{Asked, Judged};

/// Sizes of the quantile curves: enough to draw them and to find their maximum by a parabola.
const SIZES: usize = 33;
/// Draws at the most where a tolerance decides.
const MOST_DRAWS: u64 = 1_000_000;
/// Draws in a batch.
const BATCH: u64 = 1000;
/// How a run that was broken off is called in a report.
const INTERRUPTED: &str = "interrupted";

/// Why a case cannot be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum VaryFault {
    /// Materials that make no layer.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Media(Vec<MediumFault>),
    /// Draws that cannot be made.
    #[error(transparent)]
    Draws(#[from] VariationError),
}

/// How many draws to make, beyond what the scenario says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct VaryOptions {
    /// Where the random numbers begin, instead of the scenario's seed.
    pub seed: Option<u64>,
    /// Exactly this many draws, instead of what the scenario says.
    pub draws: Option<u64>,
}

/// Draws the stacks of a case at the velocity of use, and at those of its targets.
///
/// `watch` hears of the progress, as a share of a stack's expected draws, and may break the run off; what is known by
/// then is returned. The result depends on the seed and the number of draws alone, not on the number of threads.
///
/// # Errors
/// As [`VaryFault`].
pub fn vary(
    case: &Case,
    options: VaryOptions,
    mut watch: impl FnMut(&str, Progress) -> ControlFlow<()>,
) -> Result<VariationReport, VaryFault> {
    crate::predict::check_media(case).map_err(VaryFault::Media)?;
    let surroundings = Surroundings::of_case(case, SIZES);
    let realiser = Realiser::new(case, surroundings.closure(), surroundings.air());
    let seed = options.seed.unwrap_or(case.vary.seed);
    let run = Run {
        case,
        options,
        realiser: &realiser,
        cloths: Arc::new(Cloths::new(
            &surroundings.headline(),
            &every_size(case, &surroundings),
            surroundings.kind(),
        )),
        surroundings: &surroundings,
        seed,
    };
    let mut stacks = Vec::new();
    let mut pulled = false;
    'all: for (position, stack) in case.stacks.iter().enumerate() {
        for velocity in velocities(case, position) {
            let varied = run.stack(position, velocity, |p| watch(&stack.name, p))?;
            let interrupted = varied.ending == INTERRUPTED;
            stacks.push(varied);
            if interrupted {
                break 'all;
            }
        }
        pulled |= pulls_any(&realiser, &stack.layers, seed);
    }
    let asking = how_many::Asking {
        case,
        surroundings: &surroundings,
        realiser: &realiser,
        cloths: &run.cloths,
        seed,
        draws: options.draws,
    };
    let interrupted = stacks.last().is_some_and(|s| s.ending == INTERRUPTED);
    let how_many = if interrupted { None } else { how_many::how_many(&asking) };
    Ok(VariationReport {
        format: VARIATION_FORMAT,
        title: case.title.clone(),
        seed,
        stacks,
        how_many,
        warnings: warnings(case, pulled),
        assumed: report::assumed(case),
    })
}

/// What all stacks of a run share.
struct Run<'a> {
    case: &'a Case,
    options: VaryOptions,
    surroundings: &'a Surroundings,
    realiser: &'a Realiser<'a>,
    cloths: Arc<Cloths>,
    seed: u64,
}

impl Run<'_> {
    fn stack(
        &self,
        position: usize,
        velocity: Velocity,
        watch: impl FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<VariedStack, VaryFault> {
        let Self { case, realiser, seed, surroundings, .. } = *self;
        let stack = &case.stacks[position];
        let targets: Vec<&Target> = case
            .targets
            .iter()
            .filter(|t| t.stacks.contains(&position) && t.face_velocity == velocity)
            .collect();
        let asked = Asked::new(case, surroundings, velocity, &targets);
        let sampler = Judged { asked: &asked, layers: &stack.layers, realiser, seed };
        let draws = draws(case, self.options, asked.question.layout(0));
        let found = Drawing::with_cloths(&asked.question, &self.cloths).vary(&sampler, draws, watch)?;
        let interrupted = found.outcome.ending == Ending::Interrupted;
        let sensitivity = if interrupted {
            Vec::new()
        } else {
            sensitive::of(case, &asked, realiser, &stack.layers, seed, found.outcome.drawn)
        };
        Ok(VariedStack {
            name: stack.name.clone(),
            closure: surroundings.closure().name(),
            face_velocity_m_per_s: velocity.to_m_per_s(),
            if_touching: contact::if_touching(case, &sampler, found.outcome.drawn),
            sensitivity,
            ..varied(&found, &asked, &targets)
        })
    }
}

/// Every size that a run asks about, so that all of it shares the lattices of its cloths.
fn every_size(case: &Case, surroundings: &Surroundings) -> Vec<Length> {
    let targets: Vec<&Target> = case.targets.iter().collect();
    let mut sizes = Asked::new(case, surroundings, case.usage.flow / case.usage.area, &targets).sizes();
    sizes.extend(how_many::sizes(case, surroundings));
    sizes
}

/// The velocity of use, then those of the stack's targets, each once.
fn velocities(case: &Case, stack: usize) -> Vec<Velocity> {
    let mut velocities = vec![case.usage.flow / case.usage.area];
    for target in case.targets.iter().filter(|t| t.stacks.contains(&stack)) {
        if !velocities.contains(&target.face_velocity) {
            velocities.push(target.face_velocity);
        }
    }
    velocities
}

fn draws(case: &Case, options: VaryOptions, layout: Layout) -> Draws {
    if let Some(draws) = options.draws.or(case.vary.draws) {
        return Draws::Exactly(draws);
    }
    let tolerance = Tolerance::Relative(case.vary.tolerance);
    let wanted = [layout.worst_penetration(), layout.pressure_drop()]
        .into_iter()
        .flat_map(|quantity| [0.025, 0.5, 0.975].map(|rank| Wanted { quantity, rank, tolerance }))
        .collect();
    Draws::Adaptive { wanted, batch: BATCH, most: MOST_DRAWS }
}

/// Whether any of the first draws had to be pulled towards the possible.
fn pulls_any(realiser: &Realiser<'_>, layers: &[usize], seed: u64) -> bool {
    (0..200).any(|index| realiser.stack(layers, &|slot: Slot| slot.uniform(seed, index)).pulled > 0)
}

fn varied(found: &Variation, asked: &Asked, targets: &[&Target]) -> VariedStack {
    let Variation { outcome, layout } = found;
    let sizes = &asked.question.curve;
    let mut penetration = QuantileCurves::default();
    for size in 0..sizes.len() {
        let q = quantiles(&outcome.quantities[layout.curve(size)]);
        penetration.q025.push(q.q025);
        penetration.q25.push(q.q25);
        penetration.q50.push(q.q50);
        penetration.q75.push(q.q75);
        penetration.q975.push(q.q975);
        penetration.mean.push(q.mean);
    }
    let of = |quantity: usize| quantiles(&outcome.quantities[quantity]);
    VariedStack {
        name: String::new(),
        closure: "",
        face_velocity_m_per_s: f64::NAN,
        draws: outcome.drawn,
        ending: match outcome.ending {
            Ending::Counted => "counted",
            Ending::Reached => "reached",
            Ending::Exhausted => "exhausted",
            Ending::Interrupted => INTERRUPTED,
        },
        diameter_m: sizes.iter().map(|d| d.to_m()).collect(),
        penetration,
        pressure_drop_pa: of(layout.pressure_drop()),
        mpps_m: of(layout.worst_size()),
        mpps_penetration: of(layout.worst_penetration()),
        mpps_quality_factor_per_pa: of(layout.quality_factor()),
        targets: targets
            .iter()
            .zip(&outcome.targets)
            .map(|(target, held)| {
                let estimate = held.estimate();
                TargetReport {
                    text: target.text.clone(),
                    about: target.goal.about(),
                    probability: estimate.map_or(f64::NAN, |e| e.value),
                    standard_error: estimate.map_or(f64::NAN, |e| e.standard_error),
                }
            })
            .collect(),
        if_touching: None,
        sensitivity: Vec::new(),
    }
}

fn quantiles(sketch: &Sketch) -> Quantiles {
    // A run that was broken off before its first draws has no quantiles.
    let at = |rank| sketch.quantile(rank).unwrap_or(f64::NAN);
    Quantiles {
        q025: at(0.025),
        q25: at(0.25),
        q50: at(0.5),
        q75: at(0.75),
        q975: at(0.975),
        mean: sketch.mean().map_or(f64::NAN, |e| e.value),
        q50_standard_error: sketch.quantile_estimate(0.5).map_or(f64::NAN, |e| e.standard_error),
    }
}

fn warnings(case: &Case, pulled: bool) -> Vec<WarningReport> {
    let mut warnings: Vec<WarningReport> = case
        .warnings
        .iter()
        .map(|w| WarningReport { kind: "scenario".to_owned(), text: w.message() })
        .collect();
    if let Some(text) = uneven_twice(case, true) {
        warnings.push(WarningReport { kind: "uneven_twice".to_owned(), text });
    }
    if let Some(text) = inhomogeneity_unused(case) {
        warnings.push(WarningReport { kind: "inhomogeneity_unused".to_owned(), text });
    }
    if pulled {
        warnings.push(WarningReport {
            kind: "pulled".to_owned(),
            text: "some draws made a layer that cannot be, denser than fibres pack; their numbers were pulled towards the central ones until it could: narrow the ranges of weight, thickness or density".to_owned(),
        });
    }
    warnings
}
