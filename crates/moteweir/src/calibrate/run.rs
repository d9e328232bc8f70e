//! The calibration of a case, from its readings to a report.

use std::ops::ControlFlow;

use moteweir_sim::inference::{Grid, Method, Model, Plan, Posterior, Progress, integrate, sample};
use moteweir_sim::random::{Purpose, Stream};
use moteweir_units::Length;

use super::evidence::Evidence;
use super::fault::CalibrationFault;
use super::forward::Forward;
use super::marginal_draws::by_quadrature;
use super::outlook::{Foresight, Outlook};
use super::{next, parameters, predictive, shown, strain, unable};
use crate::case::Case;
use crate::predict::{Surroundings, check_media};
use crate::report::{CALIBRATION_FORMAT, CalibrationReport, WarningReport};

/// Draws that curves are made of.
const DRAWS: usize = 1000;
const BEFORE: Purpose = Purpose::named("before the data");

/// How a calibration is run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CalibrationOptions {
    /// Where the random numbers begin, instead of the scenario's seed.
    pub seed: Option<u64>,
    /// Sweeps of each chain at the most, instead of 20 000.
    pub most_sweeps: Option<u64>,
    /// Seconds of counting that a next measurement may take, instead of 60.
    pub next_seconds: Option<f64>,
}

/// Calibrates a case to its bench and its measured curves.
///
/// `watch` hears of the progress and may break the run off; the report then says that it has not converged. The result
/// depends on the seed alone, not on the number of threads.
///
/// # Errors
/// Where nothing was measured, nothing of it can be used, or nothing that the scenario allows agrees with it.
pub fn calibrate(
    case: &Case,
    options: CalibrationOptions,
    watch: impl FnMut(Progress) -> ControlFlow<()>,
) -> Result<CalibrationReport, CalibrationFault> {
    check_media(case).map_err(CalibrationFault::Media)?;
    let surroundings = Surroundings::of_case(case, Outlook::SIZES);
    let evidence = Evidence::of(case, surroundings.air())?;
    let forward = Forward::new(case, &surroundings, evidence)?;
    let seed = options.seed.unwrap_or(case.vary.seed);
    let posterior = posterior(&forward, seed, options, watch)?;
    let asked = next::sizes(&forward);
    let outlook = Outlook::new(&forward, &asked, seed);
    let draws: Vec<Vec<f64>> = posterior.thinned(DRAWS).into_iter().map(<[f64]>::to_vec).collect();
    let after = outlook.of(&draws);
    let before = outlook.of(&prior_draws(forward.dimension(), seed));
    Ok(report(&forward, &outlook, &posterior, &draws, [&before, &after], seed, options))
}

fn posterior(
    forward: &Forward<'_>,
    seed: u64,
    options: CalibrationOptions,
    watch: impl FnMut(Progress) -> ControlFlow<()>,
) -> Result<Posterior, CalibrationFault> {
    let plan = Plan::usual(seed);
    let plan = Plan { most: options.most_sweeps.unwrap_or(plan.most), ..plan };
    let found = match forward.dimension() {
        0 => return Err(CalibrationFault::NothingUsable { why: "nothing is unknown of what was measured" }),
        1 | 2 => integrate(forward, &Grid::usual()).ok_or(CalibrationFault::Impossible)?,
        // Curves go to the chains: their points are many.
        _ => forward
            .evidence
            .points
            .is_empty()
            .then(|| by_quadrature(forward, seed))
            .flatten()
            .unwrap_or_else(|| sample(forward, &plan, watch)),
    };
    if found.is_empty() || found.log_likelihoods().all(|l| !l.is_finite()) {
        return Err(CalibrationFault::Impossible);
    }
    Ok(found)
}

/// Draws of what is known before the data.
fn prior_draws(dimension: usize, seed: u64) -> Vec<Vec<f64>> {
    (0..DRAWS as u64)
        .map(|index| {
            let mut stream = Stream::new(seed, BEFORE, index);
            (0..dimension).map(|_| stream.normal()).collect()
        })
        .collect()
}

fn report(
    forward: &Forward<'_>,
    outlook: &Outlook<'_>,
    posterior: &Posterior,
    draws: &[Vec<f64>],
    [before, after]: [&[Foresight]; 2],
    seed: u64,
    options: CalibrationOptions,
) -> CalibrationReport {
    let curves = shown::curves(forward, outlook, before, after);
    let parameters = parameters::of(forward, posterior);
    let predictive = predictive::of(forward, draws, seed);
    let misfits = parameters::misfits(forward, draws);
    let mut warnings = warnings(forward, posterior, &predictive);
    warnings.extend(strain::strains(&misfits, &parameters));
    warnings.extend(strain::not_counted(&forward.evidence));
    let first = curves.first();
    let (mpps_m, mpps_penetration) = (first.map(|c| c.mpps_m), first.map(|c| c.mpps_penetration));
    let diagnoses = || posterior.diagnoses.iter().chain([&posterior.of_likelihood]);
    CalibrationReport {
        format: CALIBRATION_FORMAT,
        title: forward.case.title.clone(),
        seed,
        method: match posterior.method {
            Method::Chains => "chains",
            Method::Quadrature => "quadrature",
        },
        draws: posterior.len(),
        converged: posterior.converged,
        largest_rhat: diagnoses().fold(0.0, |most, d| d.rhat.max(most)),
        fewest_effective_draws: diagnoses().fold(f64::INFINITY, |least, d| d.ess.min(least)),
        closure: forward.surroundings.closure().name(),
        next: next::of(forward, outlook, draws, after, options.next_seconds),
        cannot_tell: unable::sentences(forward, &parameters, draws),
        warnings,
        misfits,
        parameters,
        curves,
        mpps_m,
        mpps_penetration,
        predictive,
    }
}

fn warnings(
    forward: &Forward<'_>,
    posterior: &Posterior,
    predictive: &[crate::report::PredictiveReport],
) -> Vec<WarningReport> {
    let warning = |kind: &str, text: String| WarningReport { kind: kind.to_owned(), text };
    let case = forward.case;
    let mut warnings: Vec<WarningReport> =
        case.warnings.iter().map(|w| warning("scenario", w.message())).collect();
    warnings.extend(forward.evidence.remarks.iter().map(|text| warning("left_out", text.clone())));
    if !posterior.converged {
        let stuck = if posterior.stuck.is_empty() {
            String::new()
        } else {
            format!("; {} numbers do not move in a chain", posterior.stuck.len())
        };
        warnings.push(warning(
            "not_converged",
            format!("the chains have not converged{stuck}: none of these numbers can be trusted; narrow the ranges of what is not known, or give it more sweeps"),
        ));
    }
    let odd = predictive.iter().filter(|p| p.odd).count();
    if odd > predictive.len() / 50 {
        warnings.push(warning(
            "odd_readings",
            format!("{odd} of {} readings lie where the calibrated model would put fewer than 1 in 100: look at them for a leak, for the wrong layers, for a room that changed", predictive.len()),
        ));
    }
    if forward.evidence.tests.iter().any(|t| !t.side.is_empty()) {
        let sides = |t: &super::evidence::Test| !t.side.is_empty();
        let count = forward.evidence.tests.iter().filter(|t| sides(t)).count();
        if count > 1 {
            warnings.push(warning(
                "sides",
                "sides of a specimen are one to the model, which does not know which faces the air"
                    .to_owned(),
            ));
        }
    }
    warnings
}

/// Sizes as lengths.
pub(super) fn lengths(sizes: &[f64]) -> Vec<Length> {
    sizes.iter().map(|d| Length::from_m(*d)).collect()
}
