//! What laboratories measured beside the model, in words and as a table.

use moteweir_units::Pressure;
use moteweir_units::show::{self, Show};

use super::caught::at_least;
use super::closing::list;
use super::prediction::{caught, caught_range, pressure, size, velocity};
use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::bench::treatment::Treatment;
use crate::report::{ComparedPenetration, ComparedPressureDrop, MeasuredReport};

/// A ratio this near 1 is agreement: far nearer than laboratories come to one another (26 % of ln P, expanded).
const HARDLY_ANY_BIAS: f64 = 0.05;
/// Values outside the band that a sentence names.
const MOST_NAMED: usize = 3;
/// Rows of a table on a screen, misses apart.
const MOST_ROWS: usize = 40;

/// The sentence that decides: how many measured values the model's band holds, which way it errs, where it errs most.
pub(super) fn measured_sentence(report: &MeasuredReport) -> String {
    let a = report.agreement;
    let all = a.hits + a.misses;
    let values = if report.penetrations.is_empty() { "pressure drops" } else { "penetrations" };
    let layers = if report.layers == 1 { String::new() } else { format!("{} layers of ", report.layers) };
    format!(
        "{} measured on {layers}\"{}\"{} ({}): the model's band holds {} of {all}{}.{}{} {}",
        capital(values),
        report.specimen,
        specified(report),
        report.file,
        a.hits,
        outside(report),
        limits(report),
        bias(report),
        worst(report),
    )
}

/// Side and treatment of a specimen, where they are said.
fn specified(report: &MeasuredReport) -> String {
    let side = Some(&report.side).filter(|side| !side.is_empty()).map(|side| format!(", {side} side"));
    let treated = Treatment::of(&report.treatment) != Treatment::AsReceived;
    let treatment = treated.then(|| format!(", {}", report.treatment));
    side.into_iter().chain(treatment).collect()
}

/// How many of the values are limits.
fn limits(report: &MeasuredReport) -> String {
    let limits: Vec<&ComparedPenetration> = report.penetrations.iter().filter(|p| p.is_limit).collect();
    let few = match limits.len() {
        0 => return String::new(),
        1 => "One of them is a limit".to_owned(),
        many => format!("{many} of them are limits"),
    };
    let weakest = limits.iter().map(|point| point.measured).fold(0.0, f64::max);
    format!(
        " {few}: nothing was counted downstream, so that {} is caught there (two-sided 95 %).",
        limit(weakest)
    )
}

/// Where the measured values outside the band lie; the first few of many.
fn outside(report: &MeasuredReport) -> String {
    let points = report.penetrations.iter().filter(|point| !point.is_hit);
    let drops = report.pressure_drops.iter().filter(|drop| !drop.is_hit);
    let mut places: Vec<String> = points
        .map(|point| format!("{} at {}", size(point.diameter_m), velocity(point.face_velocity_m_per_s)))
        .chain(drops.map(|drop| velocity(drop.face_velocity_m_per_s)))
        .collect();
    let more = places.len().saturating_sub(MOST_NAMED);
    places.truncate(MOST_NAMED);
    match (places.is_empty(), more) {
        (true, _) => String::new(),
        (false, 0) => format!("; outside it: {}", places.join(", ")),
        (false, more) => format!("; outside it: {} and {more} more", places.join(", ")),
    }
}

/// Which way the model errs in the middle of all points, and how far.
fn bias(report: &MeasuredReport) -> String {
    let Some(ratio) = report.agreement.median_ratio else {
        return " They do not say which way the model errs.".to_owned();
    };
    let (what, more, less) = if report.penetrations.is_empty() {
        (
            "pressure drop",
            "it takes less pressure than the model says",
            "it takes more pressure than the model says",
        )
    } else {
        ("-ln P", "less is caught than the model says", "more is caught than the model says")
    };
    let side = match ratio {
        ratio if (ratio - 1.0).abs() < HARDLY_ANY_BIAS => "the two agree",
        ratio if ratio > 1.0 => more,
        _ => less,
    };
    format!(" In the middle of all points the model's {what} is {ratio:.2} of the measured: {side}.")
}

/// The largest residual, with its place.
fn worst(report: &MeasuredReport) -> String {
    let worst = report.agreement.worst;
    if let Some(point) = report.penetrations.get(worst) {
        if point.is_limit && point.residual_ln >= 0.0 {
            return "The model stays below each of them.".to_owned();
        }
        return format!(
            "Largest residual: {} at {}, {} caught where the model says {} (ln P off by {}).",
            size(point.diameter_m),
            velocity(point.face_velocity_m_per_s),
            measured_caught(point),
            caught(point.model),
            signed(point.residual_ln),
        );
    }
    report.pressure_drops.get(worst).map_or_else(String::new, |drop| {
        format!(
            "Largest residual: {} at {} where the model says {} ({} in the logarithm).",
            pascals(drop.measured_pa),
            velocity(drop.face_velocity_m_per_s),
            pascals(drop.model_pa),
            signed(drop.residual_ln),
        )
    })
}

/// Every file's table for a screen under its heading, then what a hit is; nothing where nothing was measured.
pub(super) fn measured_tables(reports: &[MeasuredReport]) -> Vec<String> {
    let mut parts: Vec<String> = reports
        .iter()
        .map(|report| {
            let heading = format!("\"{}\" in {}:", report.specimen, report.file);
            format!("{}\n{}", list(&heading, &provenance(report)), table(report, MOST_ROWS).plain())
        })
        .collect();
    if !reports.is_empty() {
        parts.push(wrapped(MEANING, "", WIDTH));
    }
    parts
}

/// The same as a chapter of a review in Markdown.
pub(super) fn measured_chapter(reports: &[MeasuredReport]) -> Vec<String> {
    if reports.is_empty() {
        return Vec::new();
    }
    let mut parts = vec!["## Against what was measured".to_owned()];
    for report in reports {
        parts.push(measured_sentence(report));
        let lines: Vec<String> = provenance(report).iter().map(|line| format!("- {line}")).collect();
        parts.extend((!lines.is_empty()).then(|| lines.join("\n")));
        parts.push(table(report, usize::MAX).markdown());
    }
    parts.push(MEANING.to_owned());
    parts
}

/// Where the numbers come from and what was taken for granted, a line each.
fn provenance(report: &MeasuredReport) -> Vec<String> {
    let stated = [
        ("Source", &report.source),
        ("Date", &report.date),
        ("Instrument", &report.instrument),
        ("Conditioning", &report.conditioning),
        ("Aerosol", &report.aerosol),
    ];
    let words = stated.into_iter().filter_map(|(what, said)| Some(format!("{what}: {}", said.as_ref()?)));
    words.chain(report.assumed.iter().cloned()).collect()
}

/// Every measured value beside the model's; of more than `most`, the misses and every so manyth.
fn table(report: &MeasuredReport, most: usize) -> Table {
    if report.penetrations.is_empty() { drops_table(report) } else { penetrations_table(report, most) }
}

fn penetrations_table(report: &MeasuredReport, most: usize) -> Table {
    let mut table = Table::new(&[
        ("face velocity", Align::Right),
        ("size", Align::Right),
        ("caught, measured", Align::Right),
        ("+-", Align::Right),
        ("model", Align::Right),
        ("(range)", Align::Left),
        ("ln P off by", Align::Right),
        ("band", Align::Left),
    ]);
    let points = &report.penetrations;
    // Every how manyth row is shown where there are too many; misses always.
    let step = points.len().div_ceil(most.max(1)).max(1);
    let mut last = None;
    for (n, point) in points.iter().enumerate() {
        if step > 1 && n % step != 0 && point.is_hit && n != report.agreement.worst {
            continue;
        }
        let here = velocity(point.face_velocity_m_per_s);
        let shown = if last.as_ref() == Some(&here) { String::new() } else { here.clone() };
        last = Some(here);
        table.row(penetration_row(point, shown));
    }
    table
}

fn penetration_row(point: &ComparedPenetration, velocity: String) -> [String; 8] {
    let uncertainty = point.standard_uncertainty.map(|u| format!("{} %", show::number(100.0 * u, 1)));
    [
        velocity,
        size(point.diameter_m),
        measured_caught(point),
        uncertainty.unwrap_or_default(),
        caught(point.model),
        format!("({})", caught_range(point.model_low, point.model_high)),
        if point.is_limit && point.residual_ln >= 0.0 { String::new() } else { signed(point.residual_ln) },
        verdict(point.is_hit).to_owned(),
    ]
}

/// What is caught by measurement: of a limit at least so much.
fn measured_caught(point: &ComparedPenetration) -> String {
    if point.is_limit { limit(point.measured) } else { caught(point.measured) }
}

/// What is caught where at most this share gets through.
fn limit(penetration: f64) -> String {
    if penetration >= 1.0 { "anything".to_owned() } else { format!("at least {}", at_least(penetration)) }
}

fn drops_table(report: &MeasuredReport) -> Table {
    let mut table = Table::new(&[
        ("face velocity", Align::Right),
        ("measured", Align::Right),
        ("+-", Align::Right),
        ("model", Align::Right),
        ("(range)", Align::Left),
        ("ln off by", Align::Right),
        ("band", Align::Left),
    ]);
    for drop in &report.pressure_drops {
        table.row(drop_row(drop));
    }
    table
}

fn drop_row(drop: &ComparedPressureDrop) -> [String; 7] {
    [
        velocity(drop.face_velocity_m_per_s),
        pascals(drop.measured_pa),
        drop.relative_uncertainty.map(|u| show::percent(u, 1)).unwrap_or_default(),
        pascals(drop.model_pa),
        format!(
            "({} to {})",
            pressure(drop.model_low_pa).trim_end_matches(" Pa"),
            pressure(drop.model_high_pa)
        ),
        signed(drop.residual_ln),
        verdict(drop.is_hit).to_owned(),
    ]
}

/// A pressure drop as finely as a manometer reads it.
fn pascals(pa: f64) -> String {
    Pressure::from_pa(pa).show(3)
}

const fn verdict(is_hit: bool) -> &'static str {
    if is_hit { "hit" } else { "miss" }
}

/// A residual with its sign, to two decimals.
fn signed(residual: f64) -> String {
    format!("{residual:+.2}")
}

fn capital(word: &str) -> String {
    let mut rest = word.chars();
    rest.next().map(|first| first.to_uppercase().chain(rest).collect()).unwrap_or_default()
}

/// What the columns and verdicts mean, once for all tables.
const MEANING: &str = "A hit lies in the model's band, two standard uncertainties of the measurement \
allowed; the band holds the spread between the models and what is not known of the inputs. \"Off by\" is the natural \
logarithm of measured over model; laboratories differ among themselves by about a quarter of ln P.";
