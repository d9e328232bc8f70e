//! Many draws of whole stacks: how far the answer spreads, whether targets hold, and what to measure next.

mod asked;
mod how_many;
mod sensitive;

pub(crate) use asked::few;

use std::ops::ControlFlow;

use moteweir_sim::quantile::{Draws, Ending, Progress, Sketch, Tolerance, Wanted};
use moteweir_sim::variation::{self, Layout, Variation, VariationError};
use moteweir_units::Velocity;

use crate::case::{Case, Target};
use crate::draws::{Realiser, Slot};
use crate::predict::{MediumFault, Surroundings};
use crate::report::{
    self, QuantileCurves, Quantiles, TargetReport, VARIATION_FORMAT, VariationReport, VariedStack,
    WarningReport,
};
use asked::{Asked, Judged};

/// Sizes of the quantile curves: enough to draw them and to find their maximum by a parabola.
const SIZES: usize = 41;
/// Draws at the most where a tolerance decides.
const MOST_DRAWS: u64 = 1_000_000;
/// Draws in a batch.
const BATCH: u64 = 1000;

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
    let mut stacks = Vec::new();
    let mut pulled = false;
    'all: for (position, stack) in case.stacks.iter().enumerate() {
        for velocity in velocities(case, position) {
            let targets: Vec<&Target> = case
                .targets
                .iter()
                .filter(|t| t.stacks.contains(&position) && t.face_velocity == velocity)
                .collect();
            let asked = Asked::new(case, &surroundings, velocity, &targets);
            let sampler = Judged { asked: &asked, layers: &stack.layers, realiser: &realiser, seed };
            let layout = asked.question.layout(0);
            let draws = draws(case, options, layout);
            let found = variation::vary(&asked.question, &sampler, draws, |p| watch(&stack.name, p))?;
            pulled |= pulls_any(&realiser, &stack.layers, seed);
            let interrupted = found.outcome.ending == Ending::Interrupted;
            let sensitivity = if interrupted {
                Vec::new()
            } else {
                sensitive::of(case, &asked, &realiser, &stack.layers, seed)
            };
            stacks.push(VariedStack {
                name: stack.name.clone(),
                closure: surroundings.closure().name(),
                face_velocity_m_per_s: velocity.to_m_per_s(),
                sensitivity,
                ..varied(&found, &asked, &targets)
            });
            if interrupted {
                break 'all;
            }
        }
    }
    let how_many = how_many::how_many(case, &surroundings, &realiser, seed, options.draws);
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
            Ending::Interrupted => "interrupted",
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
                    probability: estimate.map_or(f64::NAN, |e| e.value),
                    standard_error: estimate.map_or(f64::NAN, |e| e.standard_error),
                }
            })
            .collect(),
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
    if pulled {
        warnings.push(WarningReport {
            kind: "pulled".to_owned(),
            text: "some draws made a layer that cannot be, denser than fibres pack; their numbers were pulled towards the central ones until it could: narrow the ranges of weight, thickness or density".to_owned(),
        });
    }
    warnings
}
