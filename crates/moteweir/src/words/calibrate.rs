//! A calibration, as a screen of text.

use moteweir_units::show::{self, Show};
use moteweir_units::{Length, Velocity};

use super::caught::{between, caught};
use super::closing::{closing, list};
use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::report::{CalibratedCurve, CalibrationReport, NextReport, ParameterReport};

/// Specimens that are told in sentences; the table has all.
const TOLD: usize = 3;
/// Measurements that are listed.
const NEXT_ROWS: usize = 6;
/// Readings that are listed when they do not fit.
const ODD_ROWS: usize = 8;

/// A calibration for a reader: efficiency, what was learnt, what cannot be told, what to measure next.
pub fn calibration(report: &CalibrationReport) -> String {
    let mut parts = vec![report.title.clone()];
    parts.extend(calibration_sentences(report).iter().map(|text| wrapped(text, "", WIDTH)));
    parts.push(curves(report).plain());
    parts.push(parameters(report).plain());
    if !report.next.is_empty() {
        parts.push(next(report).plain());
    }
    if report.predictive.iter().any(|p| p.odd) {
        parts.push(odd(report).plain());
    }
    if !report.cannot_tell.is_empty() {
        parts.push(list("What these readings cannot tell:", &report.cannot_tell));
    }
    parts.push(wrapped(&format!("{MEANING} {}", method(report)), "", WIDTH));
    parts.extend(closing(&[], &report.warnings, &[]));
    parts.join("\n\n")
}

const MEANING: &str = "Ranges hold 95 % of what agrees with the readings and with what was known before, counting, counter, room and \
how far the model itself may be off and how far laboratories differ included. They are of the pieces that were measured, and widen \
away from the sizes and velocities that were. Before: the same without the readings.";

/// How the ranges were worked out.
fn method(report: &CalibrationReport) -> String {
    if report.method == "quadrature" {
        return "They were worked out by sums over a grid of what is not known (quadrature).".to_owned();
    }
    format!(
        "They were worked out from {} random draws by several Markov chains, worth {:.0} independent ones or more.",
        report.draws, report.fewest_effective_draws
    )
}

/// Chains whose largest R-hat is below this agree, whatever they are worth.
const AGREE: f64 = 1.02;

/// Why the chains are not to be trusted, or not far.
fn not_converged(report: &CalibrationReport) -> String {
    if report.largest_rhat < AGREE && report.fewest_effective_draws >= 100.0 {
        return format!(
            "This has not converged: the chains agree, but are worth {:.0} independent draws only, so the ends \
             of the ranges are rough.",
            report.fewest_effective_draws
        );
    }
    "This has not converged: the chains do not agree with one another, and none of the numbers below can be trusted."
        .to_owned()
}

/// The sentences that a summary begins with.
pub fn calibration_sentences(report: &CalibrationReport) -> Vec<String> {
    let mut all = Vec::new();
    if !report.converged {
        all.push(not_converged(report));
    }
    let told = report.curves.iter().filter(|c| c.in_use).take(TOLD).enumerate();
    all.extend(told.map(|(n, curve)| {
        let after =
            if n == 0 { format!("After {} readings, ", report.predictive.len()) } else { String::new() };
        after + &efficiency(curve)
    }));
    all.push(fit(report));
    all.push(learnt(report));
    all.extend(report.next.first().map(next_sentence));
    all
}

fn efficiency(curve: &CalibratedCurve) -> String {
    let p = &curve.mpps_penetration;
    let worst_before = (0..curve.diameter_m.len())
        .max_by(|&a, &b| curve.prior_penetration.q50[a].total_cmp(&curve.prior_penetration.q50[b]))
        .map(|i| (curve.prior_penetration.q025[i], curve.prior_penetration.q975[i]));
    let before = worst_before.map_or_else(String::new, |(low, high)| {
        format!("; before the readings it was {}", between(low, Some(high)))
    });
    format!(
        "\"{}\" at {} catches {} of the size that gets through most, {} (95 %: {}{before}).",
        curve.specimen,
        velocity(curve.face_velocity_m_per_s),
        caught(p.q50),
        size(curve.mpps_m.q50),
        between(p.q025, Some(p.q975)),
    )
}

fn fit(report: &CalibrationReport) -> String {
    let all = report.predictive.len();
    let inside = report.predictive.iter().filter(|p| (p.q025..=p.q975).contains(&p.observed)).count();
    format!(
        "The calibrated model agrees with its readings: {inside} of {all} lie where it would put 95 of 100{}.",
        if report.predictive.iter().any(|p| p.odd) { ", those listed below do not" } else { "" }
    )
    .replacen(
        "agrees with its readings",
        if inside * 10 >= all * 9 { "agrees with its readings" } else { "does not agree with all its readings" },
        1,
    )
}

/// What the readings narrowed most.
fn learnt(report: &CalibrationReport) -> String {
    let mut moved: Vec<&ParameterReport> = report
        .parameters
        .iter()
        .filter(|p| p.moved && p.specimen != "counter" && p.specimen != "room" && p.name != "level")
        .collect();
    moved.sort_by(|a, b| a.width_left.total_cmp(&b.width_left));
    if moved.is_empty() {
        return "The readings moved none of what is not known of the materials: they are as well explained by the model being off."
            .to_owned();
    }
    let each: Vec<String> = moved
        .iter()
        .take(TOLD)
        .map(|p| {
            format!(
                "the {} of \"{}\" from {} to {}",
                p.words,
                p.specimen,
                range(p.prior.q025, p.prior.q975, p.unit),
                range(p.q025, p.q975, p.unit)
            )
        })
        .collect();
    format!("They narrowed {}.", each.join(", "))
}

fn next_sentence(next: &NextReport) -> String {
    format!(
        "Next: {}{}; it would narrow what {} catches from {} to about {}.",
        next.measurement,
        next.seconds.map_or_else(String::new, |s| format!(" for {s} s")),
        next.target,
        penetrations(next.penetration_now),
        penetrations(next.penetration_after),
    )
}

/// Ends of a range of penetration, as what is caught.
fn penetrations([low, high]: [f64; 2]) -> String {
    between(low, Some(high))
}

fn curves(report: &CalibrationReport) -> Table {
    let mut table = Table::new(&[
        ("specimen", Align::Left),
        ("face velocity", Align::Right),
        ("worst size", Align::Right),
        ("caught there", Align::Right),
        ("95 %", Align::Left),
        ("at 0.3 um, 95 %", Align::Left),
        ("at 1 um, 95 %", Align::Left),
    ]);
    for c in &report.curves {
        let p = &c.mpps_penetration;
        let at = |d: f64| {
            let of = |band: &[f64]| interpolated(&c.diameter_m, band, d);
            between(of(&c.penetration.q025), Some(of(&c.penetration.q975)))
        };
        table.row([
            c.specimen.clone(),
            velocity(c.face_velocity_m_per_s),
            size(c.mpps_m.q50),
            caught(p.q50),
            between(p.q025, Some(p.q975)),
            at(0.3e-6),
            at(1e-6),
        ]);
    }
    table
}

/// ln of the band between sizes by a straight line in ln d.
fn interpolated(diameters: &[f64], band: &[f64], d: f64) -> f64 {
    let above = diameters.partition_point(|x| *x < d).clamp(1, diameters.len() - 1);
    let (a, b) = (diameters[above - 1], diameters[above]);
    let share = ((d / a).ln() / (b / a).ln()).clamp(0.0, 1.0);
    (band[above - 1].max(1e-300).ln() * (1.0 - share) + band[above].max(1e-300).ln() * share).exp()
}

fn parameters(report: &CalibrationReport) -> Table {
    let mut table = Table::new(&[
        ("not known", Align::Left),
        ("of", Align::Left),
        ("before, 95 %", Align::Left),
        ("after, 95 %", Align::Left),
        ("the readings", Align::Left),
    ]);
    for p in &report.parameters {
        table.row([
            p.words.clone(),
            p.specimen.clone(),
            range(p.prior.q025, p.prior.q975, p.unit),
            range(p.q025, p.q975, p.unit),
            if p.moved { "moved it" } else { "say next to nothing" }.to_owned(),
        ]);
    }
    table
}

fn next(report: &CalibrationReport) -> Table {
    let mut table =
        Table::new(&[("to measure next", Align::Left), ("for", Align::Right), ("would leave", Align::Left)]);
    for row in report.next.iter().take(NEXT_ROWS) {
        table.row([
            row.measurement.clone(),
            row.seconds.map_or_else(String::new, |s| format!("{s} s")),
            penetrations(row.penetration_after),
        ]);
    }
    table
}

fn odd(report: &CalibrationReport) -> Table {
    let mut table = Table::new(&[
        ("readings that do not fit", Align::Left),
        ("line", Align::Right),
        ("read", Align::Right),
        ("the model would read, 95 %", Align::Left),
    ]);
    for p in report.predictive.iter().filter(|p| p.odd).take(ODD_ROWS) {
        table.row([
            p.reading.clone(),
            if p.line > 0 { p.line.to_string() } else { String::new() },
            show::number(p.observed, 3),
            range(p.q025, p.q975, ""),
        ]);
    }
    table
}

fn range(low: f64, high: f64, unit: &str) -> String {
    let text = format!("{} to {} {unit}", show::number(low, 2), show::number(high, 2));
    text.trim_end().to_owned()
}

fn size(metres: f64) -> String {
    Length::from_m(metres).show(2)
}

fn velocity(metres_per_second: f64) -> String {
    Velocity::from_m_per_s(metres_per_second).show(2)
}
