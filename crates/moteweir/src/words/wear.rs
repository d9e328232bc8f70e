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
    parts.push(wrapped(MEANING, "", WIDTH));
    parts.extend(closing(&report.assumed, &report.warnings, &[]));
    parts.join("\n\n")
}

const MEANING: &str = "Inhaled: of all particles outside, the share that comes with the breath, through the filter or \
past its edge (total inward leakage). Ranges hold 95 of 100 draws of what is not known of the materials and the leak.";

/// What to do, one sentence a way of breathing and stack.
pub(super) fn wear_sentences(report: &WearReport) -> Vec<String> {
    if report.best.is_empty() {
        return report.layers.iter().map(|l| as_it_is(report, l)).collect();
    }
    report.best.iter().map(|best| most(report, best)).collect()
}

fn as_it_is(report: &WearReport, worn: &WornLayers) -> String {
    format!(
        "\"{}\" with {}, {}: {} of {} is inhaled ({} to {}); the filter alone would let {} through. {} of the air goes \
         past the edge. The hardest breath takes {}.",
        worn.stack,
        report.leak,
        worn.breathing,
        percent(worn.total_inward_leakage.central),
        report.particles,
        percent(worn.total_inward_leakage.q025),
        percent(worn.total_inward_leakage.q975),
        percent(worn.filter_penetration),
        percent(worn.leak_share_of_flow),
        pressure(worn.peak_pressure_pa),
    )
}

fn most(report: &WearReport, best: &BestLayers) -> String {
    let of_this = |l: &&WornLayers| l.stack == best.stack && l.breathing == best.breathing;
    let tried: Vec<&WornLayers> = report.layers.iter().filter(of_this).collect();
    let last = tried.last().map_or(best.layers, |l| l.layers);
    let at = tried.iter().find(|l| l.layers == best.layers);
    let sure = best.probability.get(best.layers as usize - 1).copied().unwrap_or(0.0);
    let beyond = if best.layers < last {
        format!("layers beyond {} make it worse", best.layers)
    } else {
        format!("up to the {last} tried, each layer still helps")
    };
    let edge = at.map_or_else(String::new, |l| {
        format!(
            " {} of the air goes past the edge, and the hardest breath takes {}.",
            percent(l.leak_share_of_flow),
            pressure(l.peak_pressure_pa)
        )
    });
    let half = if best.with_half_the_leak.is_finite() {
        let (a, b) = (best.with_half_the_leak, best.with_two_layers_more);
        let worth = if a < b { "is worth more than" } else { "is worth less than" };
        format!(" Half the leak {worth} two layers more: {} inhaled against {}.", percent(a), percent(b))
    } else {
        String::new()
    };
    format!(
        "{} with {}: {} layer{} of \"{}\" protect{} most, {} of {} inhaled ({} of draws agree); {beyond}.{edge}{half}",
        capital(&best.breathing),
        report.leak,
        best.layers,
        if best.layers == 1 { "" } else { "s" },
        best.stack,
        if best.layers == 1 { "s" } else { "" },
        percent(best.total_inward_leakage),
        report.particles,
        percent(sure),
    )
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
        ("through the filter", Align::Right),
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
            format!("{} to {}", percent(t.q025).trim_end_matches(" %"), percent(t.q975)),
            percent(l.filter_penetration),
            percent(l.leak_share_of_flow),
            pressure(l.peak_pressure_pa),
            pressure(l.mean_pressure_pa),
            format!("{} J/L", show::number(l.work_j_per_l, 2)),
        ]);
    }
    table
}
