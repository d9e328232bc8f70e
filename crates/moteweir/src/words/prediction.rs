//! The prediction as a screen of text.

use moteweir_units::show::{self, Show};
use moteweir_units::{Area, Flow, Length, Penetration, Pressure, Velocity};

use super::closing::{closing, list};
use super::effort::effort;
use super::measured::{measured_sentence, measured_tables};
use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::report::{Average, Breathing, Curve, Prediction, StackReport};

/// The prediction for a reader: what each stack does, the table, what was assumed, what to be careful about.
pub fn prediction(prediction: &Prediction) -> String {
    let mut parts = heading(prediction);
    parts.extend(prediction.stacks.iter().map(|stack| wrapped(&lead(stack), "", WIDTH)));
    parts.extend(prediction.measured.iter().map(|m| wrapped(&measured_sentence(m), "", WIDTH)));
    parts.push(curves_table(prediction).plain());
    parts.push(wrapped(RANGES, "", WIDTH));
    parts.extend(measured_tables(&prediction.measured));
    parts.extend(averages_table(prediction).map(|table| table.plain()));
    let oddities = oddities(prediction);
    if !oddities.is_empty() {
        parts.push(list("About the most penetrating size:", &oddities));
    }
    parts.push(breathing_table(prediction).plain());
    parts.push(layers_table(prediction).plain());
    parts.extend(closing(&prediction.assumed, &prediction.warnings, &hazards(prediction)));
    parts.join("\n\n")
}

/// The title, where there is one, and the sentence that compares.
pub(super) fn heading(prediction: &Prediction) -> Vec<String> {
    let title = (prediction.title != UNTITLED).then(|| prediction.title.clone());
    title.into_iter().chain(comparison(prediction).map(|text| wrapped(&text, "", WIDTH))).collect()
}

/// Which stack catches most, and which costs least breath.
pub(super) fn comparison(prediction: &Prediction) -> Option<String> {
    let stacks = &prediction.stacks;
    let worst = |s: &StackReport| curve_of_use(s).map_or(1.0, |c| c.mpps_penetration);
    let best = stacks.iter().min_by(|a, b| worst(a).total_cmp(&worst(b)))?;
    let easiest =
        stacks.iter().min_by(|a, b| a.breathing.pressure_drop_pa.total_cmp(&b.breathing.pressure_drop_pa))?;
    if stacks.len() < 2 {
        return None;
    }
    let catches = format!(
        "Of {} stacks, \"{}\" catches most of the size that gets through most, {}",
        stacks.len(),
        best.name,
        caught(worst(best))
    );
    Some(if best.name == easiest.name {
        format!(
            "{catches}, and lets air through most easily, {}.",
            pressure(easiest.breathing.pressure_drop_pa)
        )
    } else {
        format!(
            "{catches}; \"{}\" lets air through most easily, {} (it catches {}).",
            easiest.name,
            pressure(easiest.breathing.pressure_drop_pa),
            caught(worst(easiest))
        )
    })
}

/// What to measure next: the unknown that leaves most open, where one does.
fn next_measurement(curve: &Curve) -> Option<String> {
    let doubt = curve.mpps_doubts.first().filter(|d| d.width() > WORTH_MEASURING)?;
    Some(format!(
        " Least known: the {} of \"{}\", which alone leaves {} to {} open; {}.",
        doubt.quantity,
        doubt.material,
        caught(doubt.penetration_high).trim_end_matches(" %"),
        caught(doubt.penetration_low),
        doubt.measure
    ))
}

/// An unknown is worth a sentence where the penetrations at its ends differ by this much in the logarithm.
const WORTH_MEASURING: f64 = 0.02;

/// A scenario without a title.
pub(super) const UNTITLED: &str = "untitled";

const RANGES: &str = "Ranges in brackets hold the spread between the models and, where a value was not given, what is \
not known of it; they are no confidence intervals. \"At\" a size is that size alone (mobility diameter).";

/// The sentence that decides: what a stack catches, and what it costs in breath.
pub(super) fn lead(stack: &StackReport) -> String {
    let Some(curve) = curve_of_use(stack) else {
        return format!("\"{}\" has no face velocity to predict at.", stack.name);
    };
    let at = |name: &str| {
        curve
            .averages
            .iter()
            .find(|a| a.kind == "size" && a.name.starts_with(name))
            .map_or_else(|| "an unknown share".to_owned(), |a| caught(a.penetration))
    };
    format!(
        "\"{}\" at {} catches {} of the size that gets through most, {} ({} as far as the models and what was not \
         measured can tell); {} at 0.3 um and {} at 1 um. {}{}",
        stack.name,
        velocity(curve.face_velocity_m_per_s),
        caught(curve.mpps_penetration),
        size(curve.mpps_m),
        caught_range(curve.mpps_penetration_low, curve.mpps_penetration_high),
        at("at 0.3 um"),
        at("at 1 um"),
        cost(stack, curve),
        next_measurement(curve).unwrap_or_default(),
    )
}

/// What air through a stack costs, at the velocity that the sentence speaks of.
fn cost(stack: &StackReport, curve: &Curve) -> String {
    let b = &stack.breathing;
    let in_use = format!(
        "{} through {}",
        Flow::from_m3_per_s(b.flow_m3_per_s).show(2),
        Area::from_m2(b.area_m2).show(3)
    );
    let felt = if is_breath(b) { format!(": {}", effort(b.pressure_drop_pa)) } else { String::new() };
    let mm = show::number(b.pressure_drop_mm_h2o, 2);
    let drop = pressure(b.pressure_drop_pa);
    if (curve.face_velocity_m_per_s / b.face_velocity_m_per_s - 1.0).abs() < 0.01 {
        format!("{in_use} costs {drop}, {mm} mm of water{felt}.")
    } else {
        let here = pressure(curve.pressure_drop_pa);
        format!("That takes {here}. {in_use} would cost {drop}, {mm} mm of water{felt}.")
    }
}

/// Whether a flow is one that people breathe; air cleaners move far more.
pub(super) fn is_breath(breathing: &Breathing) -> bool {
    Flow::from_m3_per_s(breathing.flow_m3_per_s).to_l_per_min() <= HARDEST_BREATH_L_PER_MIN
}

/// Peak flows above this are hardly ever breathed; common practice, no source.
const HARDEST_BREATH_L_PER_MIN: f64 = 500.0;

/// The curve at the flow and area of use, or else the first.
pub(super) fn curve_of_use(stack: &StackReport) -> Option<&Curve> {
    let use_velocity = stack.breathing.face_velocity_m_per_s;
    stack.curves.iter().min_by(|a, b| {
        let off = |c: &Curve| (c.face_velocity_m_per_s / use_velocity).ln().abs();
        off(a).total_cmp(&off(b))
    })
}

fn curves_table(prediction: &Prediction) -> Table {
    let mut table = Table::new(&[
        ("stack", Align::Left),
        ("face velocity", Align::Right),
        ("worst size", Align::Right),
        ("caught there", Align::Right),
        ("(range)", Align::Left),
        ("at 0.3 um", Align::Right),
        ("at 1 um", Align::Right),
        ("pressure drop", Align::Right),
        ("quality there", Align::Right),
        ("what for", Align::Left),
    ]);
    for stack in &prediction.stacks {
        for (i, curve) in stack.curves.iter().enumerate() {
            let sizes = curve.averages.iter().filter(|a| a.kind == "size").map(|a| caught(a.penetration));
            let name = if i == 0 { stack.name.clone() } else { String::new() };
            let quality = -curve.mpps_penetration.ln() / curve.pressure_drop_pa * 1e3;
            let start = [
                name,
                velocity(curve.face_velocity_m_per_s),
                size(curve.mpps_m),
                caught(curve.mpps_penetration),
                format!("({})", caught_range(curve.mpps_penetration_low, curve.mpps_penetration_high)),
            ];
            let end = [
                pressure(curve.pressure_drop_pa),
                format!("{} /kPa", show::number(quality, 2)),
                what_for(curve),
            ];
            table.row(start.into_iter().chain(sizes).chain(end));
        }
    }
    table
}

/// Why a velocity is there, where that says more than the velocity.
fn what_for(curve: &Curve) -> String {
    let says_more = !curve.label.ends_with("m/s") && !curve.label.ends_with("/min");
    if says_more { curve.label.clone() } else { String::new() }
}

/// What aerosols and channels see at the velocity of use, where the case has any.
fn averages_table(prediction: &Prediction) -> Option<Table> {
    let mut table = Table::new(&[
        ("stack", Align::Left),
        ("face velocity", Align::Right),
        ("caught of", Align::Left),
        ("share", Align::Right),
        ("(range)", Align::Left),
    ]);
    let mut any = false;
    for stack in &prediction.stacks {
        if let Some(curve) = curve_of_use(stack) {
            let averages: Vec<&Average> = curve.averages.iter().filter(|a| a.kind != "size").collect();
            for (i, a) in averages.iter().enumerate() {
                any = true;
                let first = |text: String| if i == 0 { text } else { String::new() };
                table.row([
                    first(stack.name.clone()),
                    first(velocity(curve.face_velocity_m_per_s)),
                    a.name.clone(),
                    caught(a.penetration),
                    format!("({})", caught_range(a.penetration_low, a.penetration_high)),
                ]);
            }
        }
    }
    any.then_some(table)
}

fn breathing_table(prediction: &Prediction) -> Table {
    let mut table = Table::new(&[
        ("stack", Align::Left),
        ("in use", Align::Right),
        ("(range)", Align::Left),
        ("resistance", Align::Right),
        ("air permeability at 100 / 200 Pa", Align::Right),
        ("at 125 Pa", Align::Right),
        ("medical head", Align::Right),
    ]);
    for stack in &prediction.stacks {
        let b: &Breathing = &stack.breathing;
        table.row([
            stack.name.clone(),
            pressure(b.pressure_drop_pa),
            format!("({} to {})", number(b.pressure_drop_low_pa), pressure(b.pressure_drop_high_pa)),
            format!("{} Pa s/m", number(b.resistance_pa_s_per_m)),
            format!(
                "{} / {} mm/s",
                number(b.air_permeability_100_pa_mm_per_s),
                number(b.air_permeability_200_pa_mm_per_s)
            ),
            format!("{} cfm/ft2", number(b.air_permeability_125_pa_cfm_per_ft2)),
            format!("{} Pa/cm2", number(b.medical_head_pa_per_cm2)),
        ]);
    }
    table
}

/// The materials as they went into the physics, each once.
fn layers_table(prediction: &Prediction) -> Table {
    let mut table = Table::new(&[
        ("material", Align::Left),
        ("weight", Align::Right),
        ("thickness", Align::Right),
        ("solidity", Align::Right),
        ("fibre", Align::Right),
        ("covered / open", Align::Right),
        ("pores", Align::Right),
    ]);
    let mut seen: Vec<&str> = Vec::new();
    for layer in prediction.stacks.iter().flat_map(|s| &s.layers) {
        if seen.contains(&layer.material.as_str()) {
            continue;
        }
        seen.push(&layer.material);
        let micrometres = |m: Option<f64>| m.map_or_else(String::new, size);
        let effective = if layer.fibre_diameter_is_effective { " (from the flow)" } else { "" };
        let open = layer.cover_factor.zip(layer.open_area);
        let inside = if layer.cover_factor.is_some() { " in the yarn" } else { "" };
        table.row([
            layer.material.clone(),
            layer.basis_weight_kg_per_m2.map_or_else(String::new, |w| format!("{} g/m2", number(w * 1e3))),
            layer.thickness_m.map_or_else(String::new, |t| show::thickness(Length::from_m(t), 2)),
            layer.solidity.map_or_else(String::new, |s| format!("{}{inside}", number(s))),
            format!("{}{effective}", micrometres(layer.fibre_diameter_m)),
            open.map_or_else(String::new, |(c, o)| {
                format!("{} / {}", show::percent(c, 2), show::percent(o, 2))
            }),
            micrometres(layer.pore_diameter_m),
        ]);
    }
    table
}

/// What is odd about a worst size: at an end of the range, flat, or with rivals.
fn oddities(prediction: &Prediction) -> Vec<String> {
    let mut found = Vec::new();
    for stack in &prediction.stacks {
        for curve in &stack.curves {
            let place = format!("\"{}\" at {}", stack.name, velocity(curve.face_velocity_m_per_s));
            if curve.mpps_at != "interior" {
                found.push(format!(
                    "{place}: the most gets through at the {} size of the range, {}; beyond it more may",
                    curve.mpps_at,
                    size(curve.mpps_m)
                ));
            }
            if curve.mpps_flat_to_m / curve.mpps_flat_from_m > FLAT_RATIO {
                found.push(format!(
                    "{place}: the curve is flat; from {} to {} as good as the same gets through",
                    size(curve.mpps_flat_from_m),
                    size(curve.mpps_flat_to_m)
                ));
            }
            let others: Vec<String> =
                curve.other_maxima_m.iter().filter(|&&d| is_much(curve, d)).map(|&d| size(d)).collect();
            if !others.is_empty() {
                found.push(format!("{place}: other sizes that get through well: {}", others.join(", ")));
            }
        }
    }
    found
}

/// Whether a tenth or more of what gets through at the worst size gets through at another.
fn is_much(curve: &Curve, diameter_m: f64) -> bool {
    let apart = |d: f64| (d / diameter_m).ln().abs();
    let nearest =
        curve.diameter_m.iter().zip(&curve.penetration).min_by(|a, b| apart(*a.0).total_cmp(&apart(*b.0)));
    nearest.is_some_and(|(_, p)| *p >= 0.1 * curve.mpps_penetration)
}

/// A curve whose penetration stays within 1 % over more than this ratio of sizes is called flat.
const FLAT_RATIO: f64 = 2.5;

pub(super) fn hazards(prediction: &Prediction) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for layer in prediction.stacks.iter().flat_map(|s| &s.layers) {
        if let Some(hazards) = &layer.hazards {
            let line = format!("{}: {hazards}", layer.material);
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines
}

/// Penetrations below this are known to one digit at best.
const FINE: f64 = 1e-2;

/// Below this a prediction only knows that hardly anything gets through.
const HARDLY_ANY: f64 = 1e-4;

/// The share that is caught, no finer than a prediction can know it.
pub(super) fn caught(penetration: f64) -> String {
    let through = penetration.clamp(0.0, 1.0);
    if through < HARDLY_ANY {
        return "over 99.99 %".to_owned();
    }
    let digits = if through < FINE { 1 } else { 2 };
    Penetration::new(through).map_or_else(String::new, |p| show::percent_caught(p, digits))
}

pub(super) fn caught_range(penetration_low: f64, penetration_high: f64) -> String {
    let (low, high) = (caught(penetration_high), caught(penetration_low));
    if low == high {
        return low;
    }
    format!("{} to {high}", low.trim_end_matches(" %"))
}

pub(super) fn size(metres: f64) -> String {
    format!("{} um", show::number(Length::from_m(metres).to_um(), 2))
}

pub(super) fn velocity(m_per_s: f64) -> String {
    format!("{} cm/s", show::number(Velocity::from_m_per_s(m_per_s).to_cm_per_s(), 2))
}

pub(super) fn pressure(pa: f64) -> String {
    Pressure::from_pa(pa).show(2)
}

fn number(value: f64) -> String {
    show::number(value, 2)
}
