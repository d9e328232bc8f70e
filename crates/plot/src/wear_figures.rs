//! The figures of a filter on a face.

use moteweir::report::{PressureLimit, WearReport, WornLayers};

use crate::figure::{Figure, numbered, typeset};
use crate::figures;

/// Every figure of a worn filter: for each material that is layered what is inhaled, what it costs in breath, and the
/// breath through the number of layers that protects most; for stacks as they are, what is inhaled behind each, and the
/// breath through each.
pub fn wear_figures(report: &WearReport) -> Vec<Figure> {
    let (layered, as_they_are): (Vec<&str>, Vec<&str>) =
        distinct(report.layers.iter().map(|worn| worn.stack.as_str()))
            .into_iter()
            .partition(|stack| report.best.iter().any(|best| best.stack == *stack));
    let mut all = Vec::new();
    for (n, stack) in layered.into_iter().enumerate() {
        let (sweep, name) = (sweep(report, stack), numbered(n, stack));
        let inhaled = figures::inhaled_share_against_layers(&sweep);
        all.push(Figure { name: format!("worn-layers-{name}"), chart: inhaled });
        let pressure = figures::peak_pressure_against_layers(&sweep);
        all.push(Figure { name: format!("worn-pressure-{name}"), chart: pressure });
        let breaths = figures::pressure_through_breath(&breaths(report, stack));
        all.push(Figure { name: format!("breath-{name}"), chart: breaths });
    }
    if !as_they_are.is_empty() {
        let chart = figures::inhaled_share_by_stack(&stacks(report, &as_they_are));
        all.push(Figure { name: "worn-stacks".to_owned(), chart });
    }
    for (n, stack) in as_they_are.into_iter().enumerate() {
        let breaths = figures::pressure_through_breath(&breaths(report, stack));
        all.push(Figure { name: format!("breath-{}", numbered(n, stack)), chart: breaths });
    }
    all
}

/// Each text once, in the order of the first.
fn distinct<'a>(texts: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut found: Vec<&str> = Vec::new();
    for text in texts {
        if !found.contains(&text) {
            found.push(text);
        }
    }
    found
}

fn ways(report: &WearReport) -> Vec<&str> {
    distinct(report.layers.iter().map(|worn| worn.breathing.as_str()))
}

fn sweep(report: &WearReport, stack: &str) -> figures::WornSweep {
    let breathing = |way: &str| {
        let steps: Vec<&WornLayers> =
            report.layers.iter().filter(|worn| worn.stack == stack && worn.breathing == way).collect();
        let of = |value: fn(&WornLayers) -> f64| steps.iter().map(|worn| value(worn)).collect();
        let best = report.best.iter().find(|best| best.stack == stack && best.breathing == way);
        figures::WornBreathing {
            breathing: way.to_owned(),
            layers: steps.iter().map(|worn| worn.layers).collect(),
            inhaled: of(|worn| worn.total_inward_leakage.central),
            inhaled_low: of(|worn| worn.total_inward_leakage.q025),
            inhaled_high: of(|worn| worn.total_inward_leakage.q975),
            without_leak: of(|worn| worn.without_leak_penetration),
            peak_flow_m3_per_s: steps.first().map_or(f64::NAN, |worn| worn.peak_flow_m3_per_s),
            peak_pressure_pa: of(|worn| worn.peak_pressure_pa),
            peak_pressure_without_leak_pa: of(|worn| worn.without_leak_peak_pressure_pa),
            best: best.map(|best| best.layers),
        }
    };
    figures::WornSweep {
        stack: stack.to_owned(),
        particles: typeset(&report.particles),
        leak: typeset(&report.leak),
        breathing: ways(report).into_iter().map(breathing).collect(),
        limit: report.pressure_limit.as_ref().map(limit),
    }
}

fn limit(limit: &PressureLimit) -> figures::PressureLimit {
    figures::PressureLimit {
        pressure_pa: limit.pressure_pa,
        flow_m3_per_s: limit.flow_m3_per_s,
        text: typeset(&limit.text),
    }
}

/// One breath a way of breathing, through the number of layers that protects most there, or through the stack as it is.
fn breaths(report: &WearReport, stack: &str) -> figures::Breaths {
    let best = |way: &str| report.best.iter().find(|best| best.stack == stack && best.breathing == way);
    let is_told = |worn: &&WornLayers| {
        worn.stack == stack && best(&worn.breathing).is_none_or(|best| best.layers == worn.layers)
    };
    let told: Vec<&WornLayers> = report.layers.iter().filter(is_told).collect();
    let counts = distinct_counts(&told);
    let layered = report.best.iter().any(|best| best.stack == stack);
    let worn = match counts.as_slice() {
        [one] if layered => format!("{stack}, {one} layer{}", if *one == 1 { "" } else { "s" }),
        _ if layered => format!("{stack}, the layers that protect most"),
        _ => stack.to_owned(),
    };
    let named = |worn: &WornLayers| {
        if counts.len() > 1 {
            format!("{}, {} layers", worn.breathing, worn.layers)
        } else {
            worn.breathing.clone()
        }
    };
    let curve = |worn: &&WornLayers| figures::BreathCurve {
        breathing: named(worn),
        breath_time_s: worn.breath.time_s.clone(),
        breath_pressure_pa: worn.breath.pressure_pa.clone(),
        filter_flow_m3_per_s: worn.breath.filter_flow_m3_per_s.clone(),
        leak_flow_m3_per_s: worn.breath.leak_flow_m3_per_s.clone(),
    };
    figures::Breaths {
        worn,
        leak: typeset(&report.leak),
        pace_is_known: told.iter().all(|worn| worn.breath.has_pace),
        breaths: told.iter().map(curve).collect(),
    }
}

fn distinct_counts(told: &[&WornLayers]) -> Vec<u32> {
    let mut counts: Vec<u32> = told.iter().map(|worn| worn.layers).collect();
    counts.sort_unstable();
    counts.dedup();
    counts
}

fn stacks(report: &WearReport, names: &[&str]) -> figures::WornStacks {
    let on_face = |worn: &WornLayers| figures::StackOnFace {
        stack: worn.stack.clone(),
        inhaled: worn.total_inward_leakage.central,
        inhaled_range: (worn.total_inward_leakage.q025, worn.total_inward_leakage.q975),
        leak_share_of_flow: worn.leak_share_of_flow,
        peak_pressure_pa: worn.peak_pressure_pa,
    };
    let breathing = |way: &str| {
        let here = |worn: &&WornLayers| worn.breathing == way && names.contains(&worn.stack.as_str());
        figures::BreathingStacks {
            breathing: way.to_owned(),
            stacks: report.layers.iter().filter(here).map(on_face).collect(),
        }
    };
    figures::WornStacks {
        particles: typeset(&report.particles),
        leak: typeset(&report.leak),
        breathing: ways(report).into_iter().map(breathing).collect(),
    }
}

#[cfg(test)]
mod tests {
    use moteweir::wear::{WearOptions, wear};
    use moteweir::{Case, Shelf};

    use super::*;
    use crate::kit::Guide;

    /// A felt behind a gap, invented.
    const SCENARIO: &str = r#"
        format = 1
        title = "Felt behind a gap"
        [[material]]
        name = "felt"
        class = "needled felt"
        basis_weight = "160 g/m2"
        thickness = "1.2 mm"
        [[stack]]
        name = "felt"
        layers = ["felt"]
        [[stack]]
        name = "two felts"
        layers = [{ of = "felt", times = 2 }]
        [use]
        flow = "85 L/min"
        area = "150 cm2"
        [face]
        slit = { length = "40 mm", gap = "0.3 mm", depth = "12 mm" }
        breathing = ["rest", "heavy work"]
    "#;
    const QUESTION: &str =
        "[question]\nlayers_of = \"felt\"\nmost = 4\nresistance_at_most = \"9 mmH2O at 85 L/min\"\n";

    fn report(scenario: &str) -> WearReport {
        let case = Case::read(scenario, Shelf::built_in()).expect("a valid scenario");
        wear(&case, WearOptions { seed: None, draws: Some(8) }).expect("a face")
    }

    #[test]
    fn a_question_gives_layers_and_pressures_that_are_those_of_the_report() {
        let report = report(&format!("{SCENARIO}\n{QUESTION}"));
        let figures = wear_figures(&report);
        let names: Vec<&str> = figures.iter().map(|figure| figure.name.as_str()).collect();
        assert_eq!(names, ["worn-layers-1-felt", "worn-pressure-1-felt", "breath-1-felt"]);
        let chart = &figures[0].chart;
        assert_eq!(chart.panels.len(), 2);
        for (panel, best) in chart.panels.iter().zip(&report.best) {
            assert_eq!(panel.title, best.breathing);
            assert_eq!(panel.markers[0].at.1.to_bits(), best.total_inward_leakage.to_bits());
        }
        let limit = report.pressure_limit.as_ref().expect("asked for").pressure_pa;
        assert!(figures[1].chart.panels.iter().all(
            |panel| matches!(panel.guides[..], [Guide::Horizontal { at, .. }] if at.to_bits() == limit.to_bits())
        ));
        let highest = figures[2].chart.panels[0].lines[1].points.iter().map(|p| p.1).fold(0.0, f64::max);
        let best = report.best.iter().find(|best| best.breathing == "heavy work").expect("worn so");
        let peak = report
            .layers
            .iter()
            .find(|worn| worn.breathing == "heavy work" && worn.layers == best.layers)
            .expect("worn so")
            .peak_pressure_pa;
        assert!((highest / peak - 1.0).abs() < 1e-9, "{highest} of {peak} Pa");
        for figure in &figures {
            assert!(figure.chart.to_svg().is_ok(), "{}", figure.name);
        }
    }

    #[test]
    fn stacks_as_they_are_give_bars() {
        let report = report(SCENARIO);
        let figures = wear_figures(&report);
        let names: Vec<&str> = figures.iter().map(|figure| figure.name.as_str()).collect();
        assert_eq!(names, ["worn-stacks", "breath-1-felt", "breath-2-two-felts"]);
        let panels = &figures[0].chart.panels;
        assert_eq!(panels.len(), 2);
        let bars: Vec<(&str, u64)> =
            panels[0].bars.iter().map(|bar| (bar.name.as_str(), bar.whole.to_bits())).collect();
        let shares: Vec<(&str, u64)> = report
            .layers
            .iter()
            .filter(|worn| worn.breathing == panels[0].title)
            .map(|worn| (worn.stack.as_str(), worn.total_inward_leakage.central.to_bits()))
            .collect();
        assert_eq!(bars, shares);
        assert!(figures[0].chart.to_svg().is_ok());
    }
}
