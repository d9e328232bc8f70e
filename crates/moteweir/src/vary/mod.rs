//! Many draws of whole stacks: how far the answer spreads, whether targets hold, and what to measure next.

mod columns;
mod how_many;
mod sensitive;

pub(crate) use columns::few;

use std::ops::ControlFlow;

use moteweir_sim::quantile::{
    self, Draws, Ending, Outcome, Plan, PlanError, Progress, Sketch, Tolerance, Wanted,
};
use moteweir_units::Velocity;

use crate::case::{Case, Target};
use crate::draws::{Realiser, Slot, slots_of_stack};
use crate::predict::{MediumFault, Surroundings};
use crate::report::{
    self, QuantileCurves, Quantiles, TargetReport, VARIATION_FORMAT, VariationReport, VariedStack,
    WarningReport,
};
use columns::Columns;

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
    Plan(#[from] PlanError),
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
            let columns = Columns::new(case, &surroundings, velocity, &targets);
            let plan = plan(case, options, &columns);
            let run = Run { layers: &stack.layers, realiser: &realiser, columns: &columns, seed };
            let outcome =
                quantile::run(&plan, |range, rows| run.rows(range, rows), |p| watch(&stack.name, p))?;
            pulled |= run.pulls_any();
            let interrupted = outcome.ending == Ending::Interrupted;
            let sensitivity = if interrupted {
                Vec::new()
            } else {
                sensitive::of(case, &run, &slots_of_stack(case, &stack.layers))
            };
            stacks.push(VariedStack {
                name: stack.name.clone(),
                closure: surroundings.closure().name(),
                face_velocity_m_per_s: velocity.to_m_per_s(),
                sensitivity,
                ..varied(&outcome, &columns, &targets)
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

fn plan(case: &Case, options: VaryOptions, columns: &Columns<'_>) -> Plan {
    let draws = match options.draws.or(case.vary.draws) {
        Some(draws) => Draws::Exactly(draws),
        None => Draws::Adaptive {
            wanted: columns
                .headline()
                .into_iter()
                .flat_map(|quantity| {
                    [0.025, 0.5, 0.975].map(|rank| Wanted {
                        quantity,
                        rank,
                        tolerance: Tolerance::Relative(case.vary.tolerance),
                    })
                })
                .collect(),
            batch: BATCH,
            most: MOST_DRAWS,
        },
    };
    Plan { quantities: columns.quantities(), targets: columns.targets(), draws }
}

/// One stack's draws at one velocity.
pub(crate) struct Run<'a> {
    layers: &'a [usize],
    realiser: &'a Realiser<'a>,
    columns: &'a Columns<'a>,
    seed: u64,
}

impl Run<'_> {
    fn rows(&self, range: std::ops::Range<u64>, rows: &mut [f64]) {
        let width = self.columns.width();
        for (index, row) in range.zip(rows.chunks_mut(width)) {
            self.row(&|slot: Slot| slot.uniform(self.seed, index), row);
        }
    }

    /// A row for the numbers of a draw.
    pub(crate) fn row(&self, number: &impl Fn(Slot) -> f64, row: &mut [f64]) {
        let realised = self.realiser.stack(self.layers, number);
        self.columns.fill(&realised.layers, row);
    }

    /// The numbers that targets are about, for the numbers of a draw.
    pub(crate) fn measures(&self, number: &impl Fn(Slot) -> f64, measures: &mut [f64]) {
        let realised = self.realiser.stack(self.layers, number);
        self.columns.measures(&realised.layers, measures);
    }

    /// What those numbers are, in words.
    pub(crate) fn measure_names(&self) -> Vec<String> {
        self.columns.measure_names()
    }

    /// Where the random numbers begin.
    pub(crate) const fn seed(&self) -> u64 {
        self.seed
    }

    /// Whether any of the first draws had to be pulled towards the possible.
    fn pulls_any(&self) -> bool {
        (0..200).any(|index| {
            self.realiser.stack(self.layers, &|slot: Slot| slot.uniform(self.seed, index)).pulled > 0
        })
    }
}

fn varied(outcome: &Outcome, columns: &Columns<'_>, targets: &[&Target]) -> VariedStack {
    let sizes = columns.sizes();
    let mut penetration = QuantileCurves::default();
    for sketch in &outcome.quantities[..sizes.len()] {
        let q = quantiles(sketch);
        penetration.q025.push(q.q025);
        penetration.q25.push(q.q25);
        penetration.q50.push(q.q50);
        penetration.q75.push(q.q75);
        penetration.q975.push(q.q975);
        penetration.mean.push(q.mean);
    }
    let [mpps, mpps_penetration, pressure, quality] =
        columns.scalars().map(|column| quantiles(&outcome.quantities[column]));
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
        pressure_drop_pa: pressure,
        mpps_m: mpps,
        mpps_penetration,
        mpps_quality_factor_per_pa: quality,
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
