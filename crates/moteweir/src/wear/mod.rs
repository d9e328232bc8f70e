//! A filter on a face: flow divides between filter and leak at every instant of a breath, and another layer that
//! filters better also pushes more air past the edge.

mod bench;
mod breath;
mod drawn;
mod drops;
mod family;
mod kernels;
mod open;
mod through;
mod worn;

use std::ops::ControlFlow;

use moteweir_physics::leak::LeakError;
use moteweir_sim::quantile::Progress;
use moteweir_units::Length;

use crate::case::{Case, Leak};
use crate::draws::Realiser;
use crate::predict::{MediumFault, Surroundings};
use crate::report::{self, PressureLimit, WEAR_FORMAT, WarningReport, WearReport};
use crate::vary::{few, inhomogeneity_unused, uneven_twice};
use bench::{Bench, Parts};
use family::Family;

/// Draws behind the quantiles where none are asked for.
const USUAL_DRAWS: u64 = 400;
/// Sizes of the curve by size.
const SIZES: usize = 31;
/// Size of interest where the scenario names no aerosol: that of certification, near the worst of plain filters.
const USUAL_SIZE_UM: f64 = 0.3;

/// Why a case cannot be worn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WearFault {
    /// The scenario says nothing of the face.
    #[error(
        "the scenario has no [face]: state the leak and the breathing, such as\n[face]\nslit = {{ length = \"60 mm\", gap = \"0.5 mm\", depth = \"10 mm\" }}\nbreathing = \"light work\""
    )]
    NoFace,
    /// A leak that cannot be beside this filter.
    #[error("the leak cannot be: {0}")]
    Leak(#[from] LeakError),
    /// Materials that make no layer.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Media(Vec<MediumFault>),
}

/// How many draws to make.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WearOptions {
    /// Where the random numbers begin, instead of the scenario's seed.
    pub seed: Option<u64>,
    /// How many draws.
    pub draws: Option<u64>,
}

/// Wears every stack of a case, or the stacks that its question asks about.
///
/// The result depends on the seed and the number of draws alone, not on the number of threads.
///
/// # Errors
/// As [`WearFault`].
pub fn wear(case: &Case, options: WearOptions) -> Result<WearReport, WearFault> {
    wear_watched(case, options, |_, _| ControlFlow::Continue(()))
}

/// As [`wear`]; `watch` hears of the progress in the draws of each stack some times a second and may break the run off.
/// What is known by then is returned. Memory does not grow with the number of draws.
///
/// # Errors
/// As [`WearFault`].
pub fn wear_watched(
    case: &Case,
    options: WearOptions,
    mut watch: impl FnMut(&str, Progress) -> ControlFlow<()>,
) -> Result<WearReport, WearFault> {
    let face = case.face.as_ref().ok_or(WearFault::NoFace)?;
    crate::predict::check_media(case).map_err(WearFault::Media)?;
    let surroundings = Surroundings::of_case(case, SIZES);
    let realiser = Realiser::new(case, surroundings.closure(), surroundings.air());
    let bench = Bench::new(Parts {
        case,
        face,
        surroundings: &surroundings,
        realiser: &realiser,
        nodes: nodes(case, &surroundings),
        seed: options.seed.unwrap_or(case.vary.seed),
        draws: options.draws.or(case.vary.draws).unwrap_or(USUAL_DRAWS),
    });
    let mut report = WearReport {
        format: WEAR_FORMAT,
        title: case.title.clone(),
        seed: options.seed.unwrap_or(case.vary.seed),
        draws: 0,
        ending: "counted",
        particles: particles(case),
        leak: face.leak.words(),
        pressure_limit: limit(case),
        layers: Vec::new(),
        best: Vec::new(),
        warnings: Vec::new(),
        assumed: report::assumed(case),
    };
    let mut left_out = 0;
    for family in Family::all(case) {
        let found = bench.family(&family, |progress| watch(&family.name, progress))?;
        report.layers.extend(found.layers);
        report.best.extend(found.best);
        report.draws = found.drawn.count;
        left_out += found.drawn.left_out;
        if found.drawn.is_interrupted {
            report.ending = "interrupted";
            break;
        }
    }
    report.warnings = warnings(case, &report, left_out);
    Ok(report)
}

/// What inhaled shares are averaged over: the first aerosol, or one size.
fn nodes(case: &Case, surroundings: &Surroundings) -> Vec<(Length, f64)> {
    match case.aerosols.first() {
        Some(a) => few(&a.aerosol.nodes(a.weighted_by, surroundings.air(), surroundings.kind().density)),
        None => vec![(Length::from_um(USUAL_SIZE_UM), 1.0)],
    }
}

fn particles(case: &Case) -> String {
    match case.aerosols.first() {
        Some(a) => format!("{} (by {})", a.name, a.weighted_by.name()),
        None => format!("{USUAL_SIZE_UM} um (mobility)"),
    }
}

/// The resistance that the question sets.
fn limit(case: &Case) -> Option<PressureLimit> {
    let limit = case.question.as_ref()?.resistance_at_most.as_ref()?;
    Some(PressureLimit {
        text: limit.text.clone(),
        pressure_pa: limit.pressure_drop.to_pa(),
        flow_m3_per_s: limit.flow.to_m3_per_s(),
    })
}

fn warnings(case: &Case, report: &WearReport, left_out: u64) -> Vec<WarningReport> {
    let mut warnings: Vec<WarningReport> = case
        .warnings
        .iter()
        .map(|w| WarningReport { kind: "scenario".to_owned(), text: w.message() })
        .collect();
    let mut warn = |kind: &str, text: String| warnings.push(WarningReport { kind: kind.to_owned(), text });
    if report.ending == "interrupted" {
        let text =
            format!("the run was broken off after {} draws: this is what was known by then", report.draws);
        warn("interrupted", text);
    }
    if left_out > 0 {
        let text = format!(
            "{left_out} draws made a leak that cannot be beside this filter and were left out: narrow what is said of the leak"
        );
        warn("left_out", text);
    }
    if let Some(text) = uneven_twice(case, true) {
        warn("uneven_twice", text);
    }
    if let Some(text) = inhomogeneity_unused(case) {
        warn("inhomogeneity_unused", text);
    }
    if matches!(case.face.as_ref().map(|f| &f.leak), Some(Leak::None)) {
        let text = "no leak is stated, so none is counted: every worn mask leaks, and a leak of a hundredth of the flow outweighs a good filter";
        warn("no_leak", text.to_owned());
    }
    warnings
}

#[cfg(test)]
mod tests;
