//! Predictions and sweeps as CSV, one row a point, units in the headings.

use csv::Writer;

use super::{CalibrationReport, Prediction, Review};

/// A table that could not be written to memory.
#[derive(Debug, thiserror::Error)]
#[error("a table of results could not be written: {0}")]
pub struct CsvError(#[from] csv::Error);

/// The curves of a prediction: a row for each stack, face velocity and size.
///
/// # Errors
/// Only where memory runs out.
pub fn curves(prediction: &Prediction) -> Result<String, CsvError> {
    let mut out = Writer::from_writer(Vec::new());
    out.write_record([
        "stack",
        "face_velocity_m_per_s",
        "pressure_drop_pa",
        "diameter_m",
        "penetration",
        "penetration_low",
        "penetration_high",
        "penetration_input_low",
        "penetration_input_high",
        "quality_factor_per_pa",
    ])?;
    for stack in &prediction.stacks {
        for c in &stack.curves {
            for i in 0..c.diameter_m.len() {
                let numbers = [
                    c.face_velocity_m_per_s,
                    c.pressure_drop_pa,
                    c.diameter_m[i],
                    c.penetration[i],
                    c.penetration_low[i],
                    c.penetration_high[i],
                    c.penetration_input_low[i],
                    c.penetration_input_high[i],
                    c.quality_factor_per_pa[i],
                ];
                row(&mut out, &stack.name, &numbers)?;
            }
        }
    }
    text(out)
}

/// The layer sweeps of a review: a row for each material and number of layers.
///
/// # Errors
/// Only where memory runs out.
pub fn layers(review: &Review) -> Result<String, CsvError> {
    let mut out = Writer::from_writer(Vec::new());
    out.write_record([
        "material",
        "face_velocity_m_per_s",
        "layers",
        "penetration_300_nm",
        "penetration_1_um",
        "mpps_m",
        "mpps_penetration",
        "mpps_penetration_low",
        "mpps_penetration_high",
        "pressure_drop_pa",
        "pressure_drop_low_pa",
        "pressure_drop_high_pa",
        "resistance_pa_s_per_m",
        "mpps_quality_factor_per_pa",
    ])?;
    for sweep in &review.layers {
        for s in &sweep.steps {
            let numbers = [
                sweep.face_velocity_m_per_s,
                f64::from(s.layers),
                s.penetration_300_nm,
                s.penetration_1_um,
                s.mpps_m,
                s.mpps_penetration,
                s.mpps_penetration_low,
                s.mpps_penetration_high,
                s.pressure_drop_pa,
                s.pressure_drop_low_pa,
                s.pressure_drop_high_pa,
                s.resistance_pa_s_per_m,
                s.mpps_quality_factor_per_pa,
            ];
            row(&mut out, &sweep.material, &numbers)?;
        }
    }
    text(out)
}

/// The velocity sweeps of a review: a row for each stack and face velocity.
///
/// # Errors
/// Only where memory runs out.
pub fn velocities(review: &Review) -> Result<String, CsvError> {
    let mut out = Writer::from_writer(Vec::new());
    out.write_record([
        "stack",
        "face_velocity_m_per_s",
        "pressure_drop_pa",
        "pressure_drop_low_pa",
        "pressure_drop_high_pa",
        "mpps_m",
        "mpps_penetration",
    ])?;
    for sweep in &review.velocities {
        for p in &sweep.points {
            let numbers = [
                p.face_velocity_m_per_s,
                p.pressure_drop_pa,
                p.pressure_drop_low_pa,
                p.pressure_drop_high_pa,
                p.mpps_m,
                p.mpps_penetration,
            ];
            row(&mut out, &sweep.stack, &numbers)?;
        }
    }
    text(out)
}

/// The curves of a calibration: a row for each specimen, face velocity and size.
///
/// # Errors
/// Only where memory runs out.
pub fn calibrated_curves(report: &CalibrationReport) -> Result<String, CsvError> {
    let mut out = Writer::from_writer(Vec::new());
    out.write_record([
        "specimen",
        "face_velocity_m_per_s",
        "diameter_m",
        "penetration_q025",
        "penetration_q25",
        "penetration_q50",
        "penetration_q75",
        "penetration_q975",
        "prior_q025",
        "prior_q50",
        "prior_q975",
    ])?;
    for c in &report.curves {
        for (i, d) in c.diameter_m.iter().enumerate() {
            let (p, before) = (&c.penetration, &c.prior_penetration);
            let bands = [&p.q025, &p.q25, &p.q50, &p.q75, &p.q975, &before.q025, &before.q50, &before.q975];
            let numbers: Vec<f64> =
                [c.face_velocity_m_per_s, *d].into_iter().chain(bands.map(|band| band[i])).collect();
            row(&mut out, &c.specimen, &numbers)?;
        }
    }
    text(out)
}

/// The unknowns of a calibration.
///
/// # Errors
/// Only where memory runs out.
pub fn calibrated_parameters(report: &CalibrationReport) -> Result<String, CsvError> {
    let mut out = Writer::from_writer(Vec::new());
    out.write_record([
        "specimen",
        "name",
        "unit",
        "prior_q025",
        "prior_q50",
        "prior_q975",
        "mean",
        "sd",
        "q025",
        "q50",
        "q975",
        "rhat",
        "ess",
        "moved",
    ])?;
    for p in &report.parameters {
        let numbers =
            [p.prior.q025, p.prior.q50, p.prior.q975, p.mean, p.sd, p.q025, p.q50, p.q975, p.rhat, p.ess];
        let words = [p.specimen.clone(), p.name.clone(), p.unit.to_owned()];
        let cells = words.into_iter().chain(numbers.iter().map(|n| number(*n)));
        out.write_record(cells.chain([p.moved.to_string()]))?;
    }
    text(out)
}

/// The readings of a calibration beside what the model would read.
///
/// # Errors
/// Only where memory runs out.
pub fn predictive(report: &CalibrationReport) -> Result<String, CsvError> {
    let mut out = Writer::from_writer(Vec::new());
    out.write_record(["reading", "kind", "line", "observed", "q025", "q50", "q975", "share_below", "odd"])?;
    for p in &report.predictive {
        let numbers = [p.observed, p.q025, p.q50, p.q975, p.share_below];
        let words = [p.reading.clone(), p.kind.to_owned(), p.line.to_string()];
        let cells = words.into_iter().chain(numbers.iter().map(|n| number(*n)));
        out.write_record(cells.chain([p.odd.to_string()]))?;
    }
    text(out)
}

fn row(out: &mut Writer<Vec<u8>>, name: &str, numbers: &[f64]) -> Result<(), CsvError> {
    let cells = std::iter::once(name.to_owned()).chain(numbers.iter().map(|n| number(*n)));
    Ok(out.write_record(cells)?)
}

fn text(out: Writer<Vec<u8>>) -> Result<String, CsvError> {
    let bytes = out.into_inner().map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A number that reads back to the same bits; with an exponent where it would be long without.
fn number(value: f64) -> String {
    let magnitude = value.abs();
    if magnitude != 0.0 && !(1e-3..1e7).contains(&magnitude) {
        format!("{value:e}")
    } else {
        value.to_string()
    }
}
