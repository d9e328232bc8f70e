//! How stacks vary, as a screen of text.

use moteweir_units::show;

use super::closing::closing;
use super::prediction::{caught, caught_range, pressure, size, velocity};
use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::report::{HowMany, IfTouching, Quantiles, VariationReport, VariedStack};

/// Rows for each target and stack; the JSON has them all.
const ROWS_A_TARGET: u32 = 4;
/// A share of the variance that is worth a sentence.
const WORTH_A_SENTENCE: f64 = 0.1;

/// A change of the pressure drop, in its logarithm, that is not worth a sentence.
const LITTLE: f64 = 0.05;

/// The variation for a reader: how sure, which targets hold, what to measure next.
pub fn vary(report: &VariationReport) -> String {
    let mut parts = vec![report.title.clone()];
    parts.extend(report.stacks.iter().map(|stack| wrapped(&sentences(stack), "", WIDTH)));
    if let Some(how_many) = &report.how_many {
        parts.push(wrapped(&layers_sentence(how_many), "", WIDTH));
        parts.push(layers_table(how_many).plain());
        parts.push(breath_table(how_many).plain());
    }
    parts.push(table(report).plain());
    if report.stacks.iter().any(|s| s.if_touching.is_some()) {
        parts.push(touching_table(report).plain());
    }
    if report.stacks.iter().any(|s| !s.targets.is_empty()) {
        parts.push(targets(report).plain());
    }
    if report.stacks.iter().any(|s| !s.sensitivity.is_empty()) {
        parts.push(sensitivity(report).plain());
    }
    parts.push(wrapped(MEANING, "", WIDTH));
    parts.extend(closing(&report.assumed, &report.warnings, &[]));
    parts.join("\n\n")
}

const MEANING: &str = "Single numbers are medians: half of the draws lie below, half above (`predict` shows the central \
value of each input instead). Ranges hold 95 of 100 draws of what is not known and of what differs from piece to piece; how \
far the physics itself is off stands beside `predict`. A share of the variance \"alone\" is what knowing that quantity \
would take away; \"in all\" counts what it does together with others.";

/// What a maker needs to know of one stack.
pub(super) fn sentences(stack: &VariedStack) -> String {
    let p = &stack.mpps_penetration;
    let mut text = format!(
        "\"{}\" at {}: nineteen times out of twenty it catches between {} of the size that gets through most (about {}), \
         half the time more than {}; it costs {}.",
        stack.name,
        velocity(stack.face_velocity_m_per_s),
        caught_range(p.q025, p.q975).replace(" to ", " and "),
        size(stack.mpps_m.q50),
        caught(p.q50),
        range(&stack.pressure_drop_pa, pressure),
    );
    for target in &stack.targets {
        let held = share(target.probability, target.standard_error);
        let of =
            if held.starts_with("none") || held.starts_with("all") { "of the draws" } else { "of draws" };
        text.push_str(&[" The target \"", &target.text, "\" holds in ", &held, " ", of, "."].concat());
    }
    text += &stack.if_touching.as_ref().map_or_else(String::new, touching);
    if let Some(sentence) = what_next(stack) {
        text += &sentence;
    }
    if stack.ending == "interrupted" {
        text += " The run was broken off: this is what was known by then.";
    } else if stack.ending == "exhausted" {
        text += " The draws ran out before the tolerance was reached.";
    }
    text
}

/// What uneven layers do that touch.
fn touching(if_touching: &IfTouching) -> String {
    let t = if_touching;
    let [caught_touching, caught_apart] = [t.mpps_penetration, t.mpps_penetration_apart].map(caught);
    let [touching, apart] = [t.pressure_drop_pa, t.pressure_drop_apart_pa].map(pressure);
    let moves = (t.pressure_drop_pa / t.pressure_drop_apart_pa).ln().abs();
    if caught_touching == caught_apart && moves < LITTLE {
        return " All this is of layers apart; if they touch, it is all but the same.".to_owned();
    }
    format!(
        " All this is of layers apart, between which the flow evens out; if they touch, thick and thin spots meet by \
         chance, and half the time more than {caught_touching} is caught instead of {caught_apart}, at {touching} instead \
         of {apart}."
    )
}

/// How many layers, in a sentence.
pub(super) fn layers_sentence(how_many: &HowMany) -> String {
    let mut text = format!(
        "After {} layer{} of \"{}\", a layer more adds less than {} at the worst size.",
        how_many.last_worthwhile,
        if how_many.last_worthwhile == 1 { "" } else { "s" },
        how_many.material,
        show::percent(how_many.gain_at_least, 2),
    );
    if let (Some(most), Some(limit)) = (how_many.most_breathable, &how_many.resistance_limit) {
        let sure = show::percent(how_many.most_breathable_probability.unwrap_or(0.0), 2);
        let stays = if most == 0 {
            format!(" Not even one stays under {limit}.")
        } else {
            format!(" Up to {most} stay under {limit} ({sure} of draws agree).")
        };
        text.push_str(&stays);
    }
    text
}

/// What each number of layers stops, and how surely it reaches the targets that name no stack.
pub(super) fn layers_table(how_many: &HowMany) -> Table {
    let targets: Vec<&str> =
        how_many.steps.first().map_or_else(Vec::new, |s| s.targets.iter().map(|t| t.text.as_str()).collect());
    let aerosol = how_many.aerosol.as_deref();
    let heads =
        ["layers", "caught at worst", "at 0.3 um", "at 1 um"].into_iter().chain(aerosol).chain(targets);
    let columns: Vec<(&str, Align)> = heads.map(|head| (head, Align::Right)).collect();
    let mut table = Table::new(&columns);
    for s in &how_many.steps {
        let bands = [Some(&s.mpps_penetration), Some(&s.penetration_300_nm), Some(&s.penetration_1_um)]
            .into_iter()
            .chain([s.aerosol_penetration.as_ref()])
            .flatten()
            .map(|b| format!("{} ({})", caught(b.q50), caught_range(b.q025, b.q975)));
        let held = s.targets.iter().map(|t| share(t.probability, t.standard_error));
        table.row(std::iter::once(s.layers.to_string()).chain(bands).chain(held));
    }
    table
}

/// What each number of layers costs in breath.
pub(super) fn breath_table(how_many: &HowMany) -> Table {
    let heads = ["layers", "in use", "at rest", "light work", "heavy work"];
    let mut table = Table::new(&heads.map(|head| (head, Align::Right)));
    for s in &how_many.steps {
        let bands = [
            &s.pressure_drop_pa,
            &s.pressure_at_rest_pa,
            &s.pressure_at_light_work_pa,
            &s.pressure_at_heavy_work_pa,
        ];
        let cells = bands.map(|b| {
            format!("{} ({} to {})", pressure(b.q50), show::number(b.q025, 2), show::number(b.q975, 2))
        });
        table.row(std::iter::once(s.layers.to_string()).chain(cells));
    }
    table
}

/// What leaves most open, and how to know it better.
fn what_next(stack: &VariedStack) -> Option<String> {
    let first = stack.sensitivity.first().filter(|s| s.total > WORTH_A_SENTENCE)?;
    let measure = first.measure.map_or_else(String::new, |m| format!(": {m}"));
    let why = if first.kind == "unknown" {
        format!("not knowing the {}", first.quantity)
    } else {
        format!("the {}, which differs from piece to piece", first.quantity)
    };
    Some(format!(
        " {} of the doubt about \"{}\" comes from {why}{measure}.",
        fraction(first.total),
        first.target
    ))
}

/// A share in words.
fn fraction(share: f64) -> &'static str {
    match share {
        s if s > 0.9 => "Nearly all",
        s if s > 0.7 => "Three quarters",
        s if s > 0.58 => "Two thirds",
        s if s > 0.42 => "About half",
        s if s > 0.28 => "A third",
        s if s > 0.2 => "A quarter",
        _ => "Part",
    }
}

/// A probability, no finer than its error.
fn share(probability: f64, standard_error: f64) -> String {
    let text = match probability {
        p if p <= 0.0 => "none".to_owned(),
        p if p >= 1.0 => "all".to_owned(),
        p => format!("{:.0} %", (100.0 * p).clamp(1.0, 99.0)),
    };
    if standard_error > 0.005 { format!("{text} (+- {:.0} %)", 200.0 * standard_error) } else { text }
}

fn range(q: &Quantiles, show: impl Fn(f64) -> String) -> String {
    format!("{} ({} to {})", show(q.q50), show::number(q.q025, 2), show(q.q975))
}

fn table(report: &VariationReport) -> Table {
    let mut table = Table::new(&[
        ("stack", Align::Left),
        ("face velocity", Align::Right),
        ("worst size", Align::Right),
        ("caught there", Align::Right),
        ("95 % of draws", Align::Left),
        ("pressure drop", Align::Right),
        ("95 % of draws", Align::Left),
        ("draws", Align::Right),
    ]);
    for s in &report.stacks {
        let p = &s.mpps_penetration;
        let dp = &s.pressure_drop_pa;
        table.row([
            s.name.clone(),
            velocity(s.face_velocity_m_per_s),
            size(s.mpps_m.q50),
            caught(p.q50),
            caught_range(p.q025, p.q975),
            pressure(dp.q50),
            format!("{} to {}", show::number(dp.q025, 2), pressure(dp.q975)),
            s.draws.to_string(),
        ]);
    }
    table
}

/// Uneven layers apart and touching.
fn touching_table(report: &VariationReport) -> Table {
    let mut table = Table::new(&[
        ("medians", Align::Left),
        ("face velocity", Align::Right),
        ("caught, apart", Align::Right),
        ("touching", Align::Right),
        ("pressure drop, apart", Align::Right),
        ("touching", Align::Right),
    ]);
    for s in &report.stacks {
        let Some(t) = &s.if_touching else { continue };
        table.row([
            s.name.clone(),
            velocity(s.face_velocity_m_per_s),
            caught(t.mpps_penetration_apart),
            caught(t.mpps_penetration),
            pressure(t.pressure_drop_apart_pa),
            pressure(t.pressure_drop_pa),
        ]);
    }
    table
}

fn targets(report: &VariationReport) -> Table {
    let mut table =
        Table::new(&[("target", Align::Left), ("stack", Align::Left), ("holds in", Align::Right)]);
    for s in &report.stacks {
        for t in &s.targets {
            table.row([t.text.clone(), s.name.clone(), share(t.probability, t.standard_error)]);
        }
    }
    table
}

fn sensitivity(report: &VariationReport) -> Table {
    let mut table = Table::new(&[
        ("what is open", Align::Left),
        ("stack", Align::Left),
        ("because of", Align::Left),
        ("alone", Align::Right),
        ("in all", Align::Right),
        ("to know it", Align::Left),
    ]);
    let percent = |share: f64| format!("{:.0} %", 100.0 * share.clamp(0.0, 1.0));
    for s in &report.stacks {
        let mut last = "";
        let mut rows = 0;
        for row in &s.sensitivity {
            rows = if row.target == last { rows + 1 } else { 1 };
            last = &row.target;
            if rows > ROWS_A_TARGET || row.total < 0.02 {
                continue;
            }
            table.row([
                row.target.clone(),
                s.name.clone(),
                format!("{}{}", row.quantity, if row.kind == "varies" { ", piece to piece" } else { "" }),
                percent(row.first),
                percent(row.total),
                row.measure.unwrap_or_default().to_owned(),
            ]);
        }
    }
    table
}
