//! The figures of a calibration.

use moteweir::report::{CalibratedCurve, CalibrationReport, ParameterReport, PredictiveReport};

use crate::figure::{Figure, numbered, typeset};
use crate::figures::{
    CalibratedEfficiency, CalibratedPoint, CheckedGroup, CheckedReading, UnknownRange, calibrated_efficiency,
    predictive_check, prior_and_posterior,
};

/// A curve for each specimen at the velocity of use and at those it was measured at, then what the readings taught, then
/// every reading beside the model.
pub fn calibration_figures(report: &CalibrationReport) -> Vec<Figure> {
    let shown = report.curves.iter().filter(|curve| curve.in_use || !curve.measured.is_empty());
    let mut figures: Vec<Figure> = shown
        .enumerate()
        .map(|(n, curve)| Figure {
            name: format!("calibrated-{}", numbered(n, &curve.specimen)),
            chart: calibrated_efficiency(&calibrated(curve, report.closure)),
        })
        .collect();
    let mut add = |name: &str, chart| figures.push(Figure { name: name.to_owned(), chart });
    if !report.parameters.is_empty() {
        let unknowns: Vec<UnknownRange> = report.parameters.iter().map(unknown).collect();
        add("before-and-after", prior_and_posterior(&unknowns));
    }
    if !report.predictive.is_empty() {
        add("readings-and-model", predictive_check(&groups(&report.predictive)));
    }
    figures
}

fn calibrated(curve: &CalibratedCurve, closure: &str) -> CalibratedEfficiency {
    let (p, before, worst) = (&curve.penetration, &curve.prior_penetration, &curve.mpps_penetration);
    let point = |m: &moteweir::report::MeasuredPoint| CalibratedPoint {
        diameter_m: m.diameter_m,
        channel_m: (m.from_m, m.to_m),
        penetration: m.penetration,
        range: (m.penetration_low, m.penetration_high),
    };
    CalibratedEfficiency {
        specimen: curve.specimen.clone(),
        closure: closure.to_owned(),
        face_velocity_m_per_s: curve.face_velocity_m_per_s,
        diameter_m: curve.diameter_m.clone(),
        outer: [p.q025.clone(), p.q975.clone()],
        inner: [p.q25.clone(), p.q75.clone()],
        median: p.q50.clone(),
        before: [before.q025.clone(), before.q975.clone()],
        mpps_m: curve.mpps_m.q50,
        mpps_penetration: [worst.q50, worst.q025, worst.q975],
        measured: curve.measured.iter().map(point).collect(),
    }
}

fn unknown(parameter: &ParameterReport) -> UnknownRange {
    // What is not known of counter and room says itself whose it is.
    let of_itself = ["counter", "room"].contains(&parameter.specimen.as_str());
    UnknownRange {
        name: if of_itself {
            parameter.words.clone()
        } else {
            format!("{} of {}", parameter.words, parameter.specimen)
        },
        unit: parameter.unit.replace("um", "µm").replace("uC", "µC"),
        before: (parameter.prior.q025, parameter.prior.q975),
        after: [parameter.q025, parameter.q50, parameter.q975],
        moved: parameter.moved,
    }
}

/// Readings by what they are of: counts by channel, penetrations, pressure drops.
fn groups(readings: &[PredictiveReport]) -> Vec<CheckedGroup> {
    let mut groups: Vec<CheckedGroup> = Vec::new();
    for reading in readings {
        let name = match reading.kind {
            // After what was read stands the channel.
            "counts" => typeset(reading.reading.rsplit(", ").next().unwrap_or_default()),
            "ln_penetration" => "penetrations".to_owned(),
            _ => "pressure drops".to_owned(),
        };
        let checked = CheckedReading {
            observed: reading.observed,
            expected: [reading.q50, reading.q025, reading.q975],
            step: if reading.kind == "counts" { 1.0 } else { 0.0 },
        };
        match groups.iter_mut().find(|group| group.name == name) {
            Some(group) => group.readings.push(checked),
            None => groups.push(CheckedGroup { name, readings: vec![checked] }),
        }
    }
    groups
}
