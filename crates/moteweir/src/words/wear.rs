//! A filter on a face, as a screen of text.

use moteweir_units::show;

use super::closing::closing;
use super::prediction::pressure;
use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::report::{BestLayers, WearReport, WornLayers};

/// Wearing for a reader: how many layers protect most, and what limits it.
pub fn wear(report: &WearReport) -> String {
    let mut parts = vec![report.title.clone()];
    parts.extend(wear_sentences(report).iter().map(|text| wrapped(text, "", WIDTH)));
    parts.push(table(report).plain());
    parts.extend(by_size(report).map(|table| table.plain()));
    parts.push(wrapped(MEANING, "", WIDTH));
    parts.extend(closing(&report.assumed, &report.warnings, &[]));
    parts.join("\n\n")
}

const MEANING: &str = "Inhaled: of all particles outside, the share that comes with the breath, through the filter or \
past its edge (total inward leakage). Without leak: the same were the edge sealed. Single numbers are for the central value of each input, ranges for \
95 of 100 draws of what is not known of the materials and the leak, and of what differs from sheet to sheet.";

/// Sizes that are told [um].
const TOLD_SIZES_UM: [f64; 5] = [0.05, 0.1, 0.3, 1.0, 3.0];

/// What to do, one sentence a way of breathing and stack.
pub(super) fn wear_sentences(report: &WearReport) -> Vec<String> {
    // The leak is told once.
    let again = if report.leak == "no leak" { "no leak" } else { "the same leak" };
    let leak = |n: usize| if n == 0 { report.leak.as_str() } else { again };
    if report.best.is_empty() {
        return report.layers.iter().enumerate().map(|(n, l)| as_it_is(report, l, leak(n))).collect();
    }
    report.best.iter().enumerate().map(|(n, best)| most(report, best, leak(n))).collect()
}

fn as_it_is(report: &WearReport, worn: &WornLayers, leak: &str) -> String {
    format!(
        "\"{}\" with {}, {}: {} of {} is inhaled ({}); without the leak it would be {}. {} of the air goes past the edge. \
         The hardest breath takes {}.",
        worn.stack,
        leak,
        worn.breathing,
        percent(worn.total_inward_leakage.central),
        report.particles,
        range(worn.total_inward_leakage.q025, worn.total_inward_leakage.q975),
        percent(worn.without_leak_penetration),
        percent(worn.leak_share_of_flow),
        pressure(worn.peak_pressure_pa),
    )
}

fn most(report: &WearReport, best: &BestLayers, leak: &str) -> String {
    let of_this = |l: &&WornLayers| l.stack == best.stack && l.breathing == best.breathing;
    let tried: Vec<&WornLayers> = report.layers.iter().filter(of_this).collect();
    let last = tried.last().map_or(best.layers, |l| l.layers);
    let at = tried.iter().find(|l| l.layers == best.layers);
    let beyond = beyond(best, &tried);
    let edge = at.map_or_else(String::new, |l| {
        format!(
            " {} of the air goes past the edge; without the leak {} would be inhaled. The hardest breath takes {}.",
            percent(l.leak_share_of_flow),
            percent(l.without_leak_penetration),
            pressure(l.peak_pressure_pa)
        )
    });
    format!(
        "{} with {}: {} layer{} of \"{}\" protect{} most ({}), {} of {} inhaled ({}); {beyond}.{edge}{}",
        capital(&best.breathing),
        leak,
        best.layers,
        if best.layers == 1 { "" } else { "s" },
        best.stack,
        if best.layers == 1 { "s" } else { "" },
        sure(best, last),
        percent(best.total_inward_leakage),
        report.particles,
        at.map_or_else(String::new, |l| range(l.total_inward_leakage.q025, l.total_inward_leakage.q975)),
        half_or_more(best),
    )
}

/// What more layers than the best number do.
fn beyond(best: &BestLayers, tried: &[&WornLayers]) -> String {
    let inhaled = |l: &&WornLayers| percent(l.total_inward_leakage.central);
    let all_alike = tried.windows(2).all(|pair| inhaled(&pair[0]) == inhaled(&pair[1]));
    match tried.last() {
        Some(_) if all_alike && tried.len() > 1 => {
            "more or fewer layers change nothing that could be felt".to_owned()
        }
        Some(last) if best.layers < last.layers && inhaled(last) != percent(best.total_inward_leakage) => {
            format!("layers beyond {} make it worse", best.layers)
        }
        Some(last) if best.layers < last.layers => format!("layers beyond {} help no more", best.layers),
        last => format!("up to the {} tried, each layer still helps", last.map_or(best.layers, |l| l.layers)),
    }
}

/// How sure the number of layers is.
fn sure(best: &BestLayers, last: u32) -> String {
    if best.probability.iter().sum::<f64>() <= 0.0 {
        return "at the central values".to_owned();
    }
    let (low, high) = (best.layers_low, best.layers_high);
    let or_more = if high == last && best.layers < last { " or more" } else { "" };
    if low == high && low == best.layers {
        "in nineteen of twenty draws or more".to_owned()
    } else if low == high {
        format!("at the central values; {low} in nineteen of twenty draws or more")
    } else {
        format!("{low} to {high}{or_more} in nineteen of twenty draws")
    }
}

/// What half the leak buys beside two layers more.
fn half_or_more(best: &BestLayers) -> String {
    let (half, more) = (best.with_half_the_leak, best.with_two_layers_more);
    let Some(halving) = best.halving.filter(|_| half.is_finite() && more.is_finite()) else {
        return String::new();
    };
    let (half_text, more_text) = (percent(half), percent(more));
    let worth = if half_text == more_text {
        "is worth as much as"
    } else if half < more {
        "is worth more than"
    } else {
        "is worth less than"
    };
    format!(" {} {worth} two more layers: {half_text} inhaled against {more_text}.", capital(halving))
}

/// `4.1 to 9.3 %`.
fn range(low: f64, high: f64) -> String {
    if low.is_nan() || high.is_nan() {
        return "no draws yet".to_owned();
    }
    let (low, high) = (percent(low), percent(high));
    if low == high { low } else { format!("{} to {high}", low.trim_end_matches(" %")) }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn percent(share: f64) -> String {
    show::percent(share.clamp(0.0, 1.0), 2)
}

fn table(report: &WearReport) -> Table {
    let mut table = Table::new(&[
        ("breathing", Align::Left),
        ("stack", Align::Left),
        ("layers", Align::Right),
        ("inhaled", Align::Right),
        ("95 % of draws", Align::Left),
        ("without leak", Align::Right),
        ("air past the edge", Align::Right),
        ("peak", Align::Right),
        ("mean", Align::Right),
        ("work", Align::Right),
    ]);
    for l in &report.layers {
        let t = &l.total_inward_leakage;
        table.row([
            l.breathing.clone(),
            l.stack.clone(),
            l.layers.to_string(),
            percent(t.central),
            range(t.q025, t.q975),
            percent(l.without_leak_penetration),
            percent(l.leak_share_of_flow),
            pressure(l.peak_pressure_pa),
            pressure(l.mean_pressure_pa),
            format!("{} J/L", show::number(l.work_j_per_l, 2)),
        ]);
    }
    table
}

/// What is inhaled of each size, for the stacks that protect most, or all where there are no numbers of layers.
fn by_size(report: &WearReport) -> Option<Table> {
    let is_told = |l: &&WornLayers| {
        let best = |b: &BestLayers| (&b.stack, &b.breathing, b.layers) == (&l.stack, &l.breathing, l.layers);
        report.best.is_empty() || report.best.iter().any(best)
    };
    let sizes: Vec<f64> =
        TOLD_SIZES_UM.into_iter().filter(|um| share_at(report.layers.first(), *um).is_some()).collect();
    if sizes.is_empty() {
        return None;
    }
    let heads: Vec<String> = sizes.iter().map(|um| format!("inhaled of {um} um")).collect();
    let left = [("breathing", Align::Left), ("stack", Align::Left), ("layers", Align::Right)];
    let columns: Vec<(&str, Align)> =
        left.into_iter().chain(heads.iter().map(|head| (head.as_str(), Align::Right))).collect();
    let mut table = Table::new(&columns);
    for l in report.layers.iter().filter(is_told) {
        let shares = sizes.iter().map(|um| share_at(Some(l), *um).map_or_else(String::new, percent));
        table.row([l.breathing.clone(), l.stack.clone(), l.layers.to_string()].into_iter().chain(shares));
    }
    Some(table)
}

/// Inhaled share at a size [um] between two of the curve, where it is within.
fn share_at(worn: Option<&WornLayers>, um: f64) -> Option<f64> {
    let (worn, d) = (worn?, um * 1e-6);
    let sizes = &worn.diameter_m;
    let above = sizes.iter().position(|size| *size >= d)?;
    if above == 0 {
        return None;
    }
    let (low, high) = (sizes[above - 1], sizes[above]);
    let share = (d / low).ln() / (high / low).ln();
    let by_size = &worn.total_inward_leakage_by_size;
    Some(by_size[above - 1] + share * (by_size[above] - by_size[above - 1]))
}
