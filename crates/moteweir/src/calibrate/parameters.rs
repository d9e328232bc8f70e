//! Each unknown before and after the data.

use moteweir_sim::inference::Posterior;
use moteweir_sim::random::normal_quantile;

use super::discrepancy::REPRODUCIBILITY;
use super::forward::Forward;
use super::layout::{Misfit, MisfitOf};
use crate::case::Input;
use crate::report::{MisfitKnot, MisfitReport, ParameterReport, PriorReport};

/// Quantiles for a drawing: 1/40, 3/40 .. 39/40.
const LADDER: usize = 20;
/// Narrower than this share of what it was before, or its middle further off than [`SHIFTED`], and the data moved it.
const NARROWED: f64 = 0.8;
/// In standard deviations before the data.
const SHIFTED: f64 = 0.5;

/// A number among those that are sampled, with what it stands for.
struct Named<'a> {
    specimen: String,
    name: &'static str,
    words: &'static str,
    unit: &'static str,
    number: usize,
    value: Box<dyn Fn(f64) -> f64 + 'a>,
}

/// Every unknown, those of the materials first.
pub(super) fn of(forward: &Forward<'_>, posterior: &Posterior) -> Vec<ParameterReport> {
    named(forward).iter().map(|n| reported(n, posterior)).collect()
}

fn named<'a>(forward: &'a Forward<'_>) -> Vec<Named<'a>> {
    let mut all: Vec<Named<'a>> = forward
        .unknowns
        .all
        .iter()
        .enumerate()
        .map(|(number, unknown)| {
            let (unit, per_si) = unit(unknown.uncertain.input);
            Named {
                specimen: forward.case.materials[unknown.material].name.clone(),
                name: unknown.uncertain.input.key(),
                words: unknown.uncertain.input.words(),
                unit,
                number,
                value: Box::new(move |z| per_si * unknown.value(z)),
            }
        })
        .collect();
    let sight = forward.numbers.sight.clone();
    if !sight.is_empty() {
        let slope = move |z: f64| forward.sight_values(z, 0.0).0;
        let shift = move |z: f64| 100.0 * (forward.sight_values(0.0, z).1.exp() - 1.0);
        if forward.sight_values(1.0, 0.0) != forward.sight_values(-1.0, 0.0) {
            let name = ("slope", "slope of the room's aerosol");
            all.push(plain("room", name, "", sight.start, Box::new(slope)));
        }
        if forward.sight_values(0.0, 1.0) != forward.sight_values(0.0, -1.0) {
            let name = ("sizing", "error of the counter's size scale");
            all.push(plain("counter", name, "%", sight.start + 1, Box::new(shift)));
        }
    }
    for (file, name) in forward.evidence.files.iter().enumerate() {
        let off = |z: f64| 100.0 * (REPRODUCIBILITY * z).exp_m1();
        let words = ("level", "level of its readings");
        all.push(plain(name, words, "%", forward.numbers.files.start + file, Box::new(off)));
    }
    all
}

fn plain<'a>(
    specimen: &str,
    (name, words): (&'static str, &'static str),
    unit: &'static str,
    number: usize,
    value: Box<dyn Fn(f64) -> f64 + 'a>,
) -> Named<'a> {
    Named { specimen: specimen.to_owned(), name, words, unit, number, value }
}

fn reported(named: &Named<'_>, posterior: &Posterior) -> ParameterReport {
    let mut normals = posterior.number(named.number);
    normals.sort_by(f64::total_cmp);
    let n = normals.len() as f64;
    let mean_z = normals.iter().sum::<f64>() / n;
    let sd_z = (normals.iter().map(|z| (z - mean_z).powi(2)).sum::<f64>() / n).sqrt();
    let values: Vec<f64> = normals.iter().map(|z| (named.value)(*z)).collect();
    let mean = values.iter().sum::<f64>() / n;
    let sd = (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt();
    // Values rise with their numbers.
    let at = |p: f64| quantile(&values, p);
    let before = |p: f64| (named.value)(normal_quantile(p));
    let ladder = || (0..LADDER).map(|i| (2 * i + 1) as f64 / (2 * LADDER) as f64);
    let diagnosis = posterior.diagnoses[named.number];
    ParameterReport {
        specimen: named.specimen.clone(),
        name: named.name.to_owned(),
        words: named.words.to_owned(),
        unit: named.unit,
        prior: PriorReport {
            q025: before(0.025),
            q50: before(0.5),
            q975: before(0.975),
            quantiles: ladder().map(before).collect(),
        },
        mean,
        sd,
        q025: at(0.025),
        q50: at(0.5),
        q975: at(0.975),
        rhat: diagnosis.rhat,
        ess: diagnosis.ess,
        width_left: sd_z,
        shift: mean_z,
        moved: sd_z < NARROWED || mean_z.abs() > SHIFTED,
        quantiles: ladder().map(at).collect(),
    }
}

/// A quantile of sorted values.
pub(super) fn quantile(sorted: &[f64], p: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    let place = p * last as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the list")]
    let below = (place.floor().max(0.0) as usize).min(last);
    let above = (below + 1).min(last);
    sorted[below] + (place - below as f64) * (sorted[above] - sorted[below])
}

/// The unit that a reader is used to, and how many of it one SI unit is.
pub(super) const fn unit(input: Input) -> (&'static str, f64) {
    match input {
        Input::BasisWeight => ("g/m2", 1e3),
        Input::Thickness | Input::YarnWidth => ("mm", 1e3),
        Input::FibreDensity => ("kg/m3", 1.0),
        Input::FibreDiameter => ("um", 1e6),
        Input::FibreLinearDensity => ("dtex", 1e7),
        Input::SurfaceCharge => ("uC/m2", 1e6),
        Input::Warp | Input::Weft => ("/cm", 1e-2),
        Input::YarnLinearDensity => ("tex", 1e6),
        _ => ("", 1.0),
    }
}

/// How far the model may be off, and what the data say of it where they were taken.
pub(super) fn misfits(forward: &Forward<'_>, draws: &[Vec<f64>]) -> Vec<MisfitReport> {
    let of = |misfit: &Misfit| {
        let field = &misfit.field;
        let values: Vec<Vec<f64>> = draws
            .iter()
            .map(|at| {
                let mut values = vec![0.0; field.knots().len()];
                field.values(&at[misfit.numbers.clone()], &mut values);
                values
            })
            .collect();
        let n = values.len() as f64;
        let knot = |k: usize| {
            let mean = values.iter().map(|v| v[k]).sum::<f64>() / n;
            let square = values.iter().map(|v| (v[k] - mean).powi(2)).sum::<f64>() / n;
            let [ln_d, ln_u] = field.knots()[k];
            MisfitKnot { diameter_m: ln_d.exp(), face_velocity_m_per_s: ln_u.exp(), mean, sd: square.sqrt() }
        };
        MisfitReport {
            specimen: forward.case.materials[forward.unknowns.materials[misfit.place]].name.clone(),
            of: match misfit.of {
                MisfitOf::Mechanics => "mechanics",
                MisfitOf::Charge => "charge",
            },
            amplitude: field.covariance().amplitude,
            lengths: field.covariance().lengths,
            knots: (0..field.knots().len()).map(knot).collect(),
        }
    };
    forward.misfits.iter().map(of).collect()
}
