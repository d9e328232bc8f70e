//! The figures of what laboratories measured.

use moteweir::report::MeasuredReport;

use crate::figure::{Figure, numbered};
use crate::figures::{
    MeasuredAtVelocity, MeasuredDrops, MeasuredPenetrations, MeasuredPoint, measured_drops_over_model,
    measured_over_model,
};

/// One figure a file of measurements: measured over model with residuals.
pub fn measured_figures(reports: &[MeasuredReport]) -> Vec<Figure> {
    reports.iter().enumerate().map(|(n, report)| figure(n, report)).collect()
}

fn figure(n: usize, report: &MeasuredReport) -> Figure {
    let name = format!("measured-{}", numbered(n, &report.specimen));
    let from = report.source.as_ref().map_or_else(String::new, |source| format!(", {source}"));
    let subtitle = format!("{}{from}; closure {}", report.file, report.closure);
    let specimen = match report.layers {
        1 => report.specimen.clone(),
        layers => format!("{layers} x {}", report.specimen),
    };
    let chart = if report.penetrations.is_empty() {
        measured_drops_over_model(&MeasuredDrops { specimen, subtitle, points: drops(report) })
    } else {
        measured_over_model(&MeasuredPenetrations { specimen, subtitle, velocities: velocities(report) })
    };
    Figure { name, chart }
}

fn velocities(report: &MeasuredReport) -> Vec<MeasuredAtVelocity> {
    report
        .curves
        .iter()
        .map(|curve| MeasuredAtVelocity {
            face_velocity_m_per_s: curve.face_velocity_m_per_s,
            diameter_m: curve.diameter_m.clone(),
            penetration: curve.penetration.clone(),
            penetration_low: curve.penetration_low.clone(),
            penetration_high: curve.penetration_high.clone(),
            points: report
                .penetrations
                .iter()
                .filter(|p| p.face_velocity_m_per_s.to_bits() == curve.face_velocity_m_per_s.to_bits())
                .map(|p| MeasuredPoint {
                    at: p.diameter_m,
                    measured: p.measured,
                    uncertainty_of_ln: p.standard_uncertainty.map(|u| u / p.measured),
                    is_limit: p.is_limit,
                    model: p.model,
                    model_low: p.model_low,
                    model_high: p.model_high,
                })
                .collect(),
        })
        .collect()
}

fn drops(report: &MeasuredReport) -> Vec<MeasuredPoint> {
    report
        .pressure_drops
        .iter()
        .map(|p| MeasuredPoint {
            at: p.face_velocity_m_per_s,
            measured: p.measured_pa,
            uncertainty_of_ln: p.relative_uncertainty,
            is_limit: false,
            model: p.model_pa,
            model_low: p.model_low_pa,
            model_high: p.model_high_pa,
        })
        .collect()
}
