//! The figures of a variation.

use moteweir::report::{Band, HowMany, HowManyStep, SensitivityReport, VariationReport, VariedStack};

use crate::figure::{Figure, numbered, typeset};
use crate::figures;

/// Every figure of a variation: a fan of efficiency a stack and face velocity, how many layers where that is asked, then
/// what to measure next, one figure a stack, velocity and number asked about.
pub fn variation_figures(report: &VariationReport) -> Vec<Figure> {
    let named = |n: usize, stack: &VariedStack| numbered(n, &stack.name);
    let mut all: Vec<Figure> = report
        .stacks
        .iter()
        .enumerate()
        .map(|(n, stack)| Figure {
            name: format!("fan-{}", named(n, stack)),
            chart: figures::efficiency_fan(&fan(stack)),
        })
        .collect();
    if let Some(asked) = report.how_many.as_ref().filter(|asked| !asked.steps.is_empty()) {
        let chart = figures::layers_alone(&how_many(asked));
        all.push(Figure { name: format!("layers-alone-{}", numbered(0, &asked.material)), chart });
    }
    for (n, stack) in report.stacks.iter().enumerate() {
        for (k, shares) in open_shares(stack).iter().enumerate() {
            let name = format!("measure-next-{}-{}", named(n, stack), k + 1);
            all.push(Figure { name, chart: figures::what_to_measure_next(shares) });
        }
    }
    all
}

fn fan(stack: &VariedStack) -> figures::FanCurves {
    let through = &stack.penetration;
    let remark = match stack.ending {
        "interrupted" => "The run was broken off: this is what was known by then.",
        "exhausted" => "The draws ran out before the tolerance was reached.",
        _ => "",
    };
    figures::FanCurves {
        stack: stack.name.clone(),
        closure: stack.closure.to_owned(),
        face_velocity_m_per_s: stack.face_velocity_m_per_s,
        draws: stack.draws,
        remark: remark.to_owned(),
        diameter_m: stack.diameter_m.clone(),
        penetration_q025: through.q025.clone(),
        penetration_q25: through.q25.clone(),
        penetration_q50: through.q50.clone(),
        penetration_q75: through.q75.clone(),
        penetration_q975: through.q975.clone(),
        mpps_m: stack.mpps_m.q50,
        mpps_penetration: stack.mpps_penetration.q50,
        mpps_penetration_range: (stack.mpps_penetration.q025, stack.mpps_penetration.q975),
    }
}

fn how_many(asked: &HowMany) -> figures::LayersAlone {
    let over = |name: &str, of: &dyn Fn(&HowManyStep) -> Band| {
        let ends = |end: fn(&Band) -> f64| asked.steps.iter().map(|step| end(&of(step))).collect();
        figures::OverLayers {
            name: typeset(name),
            median: ends(|band| band.q50),
            low: ends(|band| band.q025),
            high: ends(|band| band.q975),
        }
    };
    let mut penetrations = vec![
        over("worst size", &|step| step.mpps_penetration),
        over("0.3 um", &|step| step.penetration_300_nm),
        over("1 um", &|step| step.penetration_1_um),
    ];
    if let Some(aerosol) = &asked.aerosol {
        penetrations.push(over(aerosol, &|step| step.aerosol_penetration.unwrap_or(step.mpps_penetration)));
    }
    figures::LayersAlone {
        material: asked.material.clone(),
        draws: asked.draws,
        layers: asked.steps.iter().map(|step| step.layers).collect(),
        penetrations,
        pressures_pa: vec![
            over("rest", &|step| step.pressure_at_rest_pa),
            over("light work", &|step| step.pressure_at_light_work_pa),
            over("heavy work", &|step| step.pressure_at_heavy_work_pa),
        ],
        breathable: asked.most_breathable.zip(asked.resistance_limit.as_deref().map(typeset)),
        worthwhile: (asked.last_worthwhile, asked.gain_at_least),
    }
}

/// The numbers asked about in the order of the report, each with its quantities.
fn open_shares(stack: &VariedStack) -> Vec<figures::OpenShares> {
    let mut targets: Vec<&str> = Vec::new();
    for row in &stack.sensitivity {
        if !targets.contains(&row.target.as_str()) {
            targets.push(&row.target);
        }
    }
    let shares = |target: &str| figures::OpenShares {
        stack: stack.name.clone(),
        face_velocity_m_per_s: stack.face_velocity_m_per_s,
        target: typeset(target),
        quantities: stack.sensitivity.iter().filter(|row| row.target == target).map(quantity).collect(),
    };
    targets.into_iter().map(shares).collect()
}

fn quantity(row: &SensitivityReport) -> figures::OpenQuantity {
    figures::OpenQuantity {
        quantity: row.quantity.clone(),
        varies: row.kind == "varies",
        measure: row.measure.map(str::to_owned),
        first: row.first,
        total: row.total,
        total_standard_error: row.total_standard_error,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::ops::ControlFlow;

    use moteweir::vary::{VaryOptions, vary};
    use moteweir::{Case, Shelf};

    use super::*;

    /// A felt of unknown fibre, invented, in two stacks at two velocities.
    const SCENARIO: &str = r#"
        format = 1
        title = "Felt of unknown fibre"
        [particles]
        points = 31
        [[material]]
        name = "felt"
        class = "needled felt"
        basis_weight = "160 g/m2"
        thickness = { about = "1.2 mm", give_or_take = "0.1 mm" }
        fibre_diameter = { between = ["12 um", "22 um"] }
        [material.varies]
        basis_weight = { lot = "8 %", sheet = "5 %" }
        [[stack]]
        name = "one"
        layers = ["felt"]
        [[stack]]
        name = "two"
        layers = [{ of = "felt", times = 2 }]
        [use]
        flow = "45 L/min"
        area = "150 cm2"
        [[target]]
        efficiency_at_least = "30 %"
        at = "0.3 um"
        [question]
        layers_of = "felt"
        most = 4
        resistance_at_most = "8 mmH2O at 85 L/min"
        [vary]
        draws = 200
    "#;

    #[test]
    fn every_stack_has_its_fan_and_every_number_its_bars() {
        let case = Case::read(SCENARIO, Shelf::built_in()).expect("a valid scenario");
        let report = vary(&case, VaryOptions::default(), |_, _| ControlFlow::Continue(())).expect("layers");
        let figures = variation_figures(&report);
        let names: BTreeSet<&str> = figures.iter().map(|figure| figure.name.as_str()).collect();
        assert_eq!(names.len(), figures.len(), "{names:?}");
        for name in
            ["fan-1-one", "fan-2-two", "layers-alone-1-felt", "measure-next-1-one-1", "measure-next-2-two-1"]
        {
            assert!(names.contains(name), "{name} is not among {names:?}");
        }
        for figure in &figures {
            let svg = figure.chart.to_svg().expect("drawn");
            assert!(svg.ends_with("</svg>\n"), "{}", figure.name);
        }
        let (stack, panel) = (&report.stacks[0], &figures[0].chart.panels[0]);
        let expected = 1.0 - stack.penetration.q50[7];
        assert!((panel.lines[0].points[7].1 - expected).abs() < 1e-12, "{:?}", panel.lines[0].points[7]);
        let first = figures.iter().find(|figure| figure.name == "measure-next-1-one-1").expect("there");
        let greatest = stack
            .sensitivity
            .iter()
            .filter(|row| row.target == stack.sensitivity[0].target)
            .map(|row| row.total)
            .fold(f64::NEG_INFINITY, f64::max);
        assert_eq!(first.chart.panels[0].bars[0].whole.to_bits(), greatest.to_bits());
    }
}
