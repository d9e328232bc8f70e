//! The figures of a whole review.

use moteweir::report::{Curve, LayerReport, LayerSweep, Review, StackReport, VelocitySweep};

use crate::figure::{Figure, numbered};
use crate::figures::{self, SizeEnd};
use crate::kit::Chart;
use crate::measured_figures::measured_figures;

/// Every figure of a review: one of efficiency a stack, one of mechanisms a material with fibres, then those that
/// compare.
pub fn review_figures(review: &Review) -> Vec<Figure> {
    let stacks = &review.prediction.stacks;
    let mut figures: Vec<Figure> = Vec::new();
    for (n, stack) in stacks.iter().enumerate() {
        let name = format!("efficiency-{}", numbered(n, &stack.name));
        figures.push(Figure { name, chart: figures::efficiency_against_size(&efficiency(stack)) });
    }
    for (n, data) in mechanisms(stacks).iter().enumerate() {
        let name = format!("mechanisms-{}", numbered(n, &data.material));
        figures.push(Figure { name, chart: figures::efficiency_by_mechanism(data) });
    }
    figures.extend(measured_figures(&review.prediction.measured));
    let mut add = |name: &str, chart: Chart| figures.push(Figure { name: name.to_owned(), chart });
    let worst: Vec<_> = review.velocities.iter().map(worst_sizes).collect();
    if !worst.is_empty() {
        add("worst-size-against-velocity", figures::worst_size_against_velocity(&worst));
        let drops: Vec<_> = review.velocities.iter().map(pressure_drops).collect();
        add("pressure-drop-against-velocity", figures::pressure_drop_against_velocity(&drops));
    }
    if !review.layers.is_empty() {
        let sweep = layers(&review.layers);
        add("layers", figures::layers_against_drop_and_efficiency(&sweep));
        add("layers-efficiency-against-pressure-drop", figures::layer_trade_off(&sweep));
    }
    let quality: Vec<_> = stacks.iter().filter_map(quality).collect();
    if !quality.is_empty() {
        add("quality-factor-against-size", figures::quality_against_size(&quality));
    }
    figures
}

fn size_end(place: &str) -> SizeEnd {
    match place {
        "smallest" => SizeEnd::Smallest,
        "largest" => SizeEnd::Largest,
        _ => SizeEnd::Interior,
    }
}

fn efficiency(stack: &StackReport) -> figures::EfficiencyCurves {
    let curve = |curve: &Curve| figures::EfficiencyCurve {
        face_velocity_m_per_s: curve.face_velocity_m_per_s,
        label: curve.label.clone(),
        diameter_m: curve.diameter_m.clone(),
        penetration: curve.penetration.clone(),
        penetration_low: curve.penetration_low.clone(),
        penetration_high: curve.penetration_high.clone(),
        mpps_m: curve.mpps_m,
        mpps_penetration: curve.mpps_penetration,
        mpps_range: Some((curve.mpps_penetration_low, curve.mpps_penetration_high)),
        mpps_at: size_end(curve.mpps_at),
    };
    figures::EfficiencyCurves {
        stack: stack.name.clone(),
        closure: stack.closure.to_owned(),
        curves: stack.curves.iter().map(curve).collect(),
    }
}

/// The curve of a stack whose face velocity is nearest to that of the device.
fn in_use(stack: &StackReport) -> Option<&Curve> {
    let apart =
        |curve: &&Curve| (curve.face_velocity_m_per_s / stack.breathing.face_velocity_m_per_s).ln().abs();
    stack.curves.iter().min_by(|a, b| apart(a).total_cmp(&apart(b)))
}

/// Each material once, from the first stack that holds it.
fn mechanisms(stacks: &[StackReport]) -> Vec<figures::MechanismCurves> {
    let mut found: Vec<figures::MechanismCurves> = Vec::new();
    for stack in stacks {
        let Some(curve) = in_use(stack) else { continue };
        for fibre in &curve.single_fibre {
            if found.iter().any(|known| known.material == fibre.material) {
                continue;
            }
            let layer = stack.layers.iter().find(|layer| layer.material == fibre.material);
            found.push(figures::MechanismCurves {
                material: fibre.material.clone(),
                closure: closure_of(stack, layer),
                face_velocity_m_per_s: curve.face_velocity_m_per_s,
                charges_e: fibre.charges_e,
                diameter_m: curve.diameter_m.clone(),
                diffusion: fibre.diffusion.clone(),
                interception: fibre.interception.clone(),
                diffusion_interception: fibre.diffusion_interception.clone(),
                impaction: fibre.impaction.clone(),
                gravity: fibre.gravity.clone(),
                electrostatic: fibre.electrostatic.clone(),
                total: fibre.total.clone(),
            });
        }
    }
    found
}

/// Webs take the closure of the stack; the yarns of cloth lie outside the fitted set and always take the cell.
fn closure_of(stack: &StackReport, layer: Option<&LayerReport>) -> String {
    match layer.map(|layer| layer.structure) {
        Some("web") => stack.closure.to_owned(),
        Some(_) => "kuwabara-cell, fibres in the yarns".to_owned(),
        None => String::new(),
    }
}

fn worst_sizes(sweep: &VelocitySweep) -> figures::WorstSizeCurve {
    figures::WorstSizeCurve {
        stack: sweep.stack.clone(),
        face_velocity_m_per_s: sweep.points.iter().map(|p| p.face_velocity_m_per_s).collect(),
        mpps_m: sweep.points.iter().map(|p| p.mpps_m).collect(),
        mpps_penetration: sweep.points.iter().map(|p| p.mpps_penetration).collect(),
        mpps_at: sweep.points.iter().map(|p| size_end(p.mpps_at)).collect(),
    }
}

fn pressure_drops(sweep: &VelocitySweep) -> figures::PressureCurve {
    figures::PressureCurve {
        stack: sweep.stack.clone(),
        face_velocity_m_per_s: sweep.points.iter().map(|p| p.face_velocity_m_per_s).collect(),
        pressure_drop_pa: sweep.points.iter().map(|p| p.pressure_drop_pa).collect(),
        pressure_drop_low_pa: sweep.points.iter().map(|p| p.pressure_drop_low_pa).collect(),
        pressure_drop_high_pa: sweep.points.iter().map(|p| p.pressure_drop_high_pa).collect(),
    }
}

fn layers(sweeps: &[LayerSweep]) -> figures::LayerSweep {
    let material = |sweep: &LayerSweep| figures::SweptMaterial {
        material: sweep.material.clone(),
        layers: sweep.steps.iter().map(|step| step.layers).collect(),
        pressure_drop_pa: sweep.steps.iter().map(|step| step.pressure_drop_pa).collect(),
        penetration: sweep.steps.iter().map(|step| step.penetration_300_nm).collect(),
    };
    figures::LayerSweep {
        face_velocity_m_per_s: sweeps.first().map_or(f64::NAN, |sweep| sweep.face_velocity_m_per_s),
        at: "0.3 µm".to_owned(),
        materials: sweeps.iter().map(material).collect(),
    }
}

fn quality(stack: &StackReport) -> Option<figures::QualityCurve> {
    in_use(stack).map(|curve| figures::QualityCurve {
        stack: stack.name.clone(),
        face_velocity_m_per_s: curve.face_velocity_m_per_s,
        diameter_m: curve.diameter_m.clone(),
        quality_factor_per_pa: curve.quality_factor_per_pa.clone(),
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use moteweir::predict::review;
    use moteweir::{Case, Shelf};

    use super::*;

    /// A web and a cloth, invented, in two stacks whose names differ only in what a file name cannot carry.
    const SCENARIO: &str = r#"
        format = 1
        title = "Two stacks"
        [particles]
        points = 31
        [[material]]
        name = "felt"
        class = "needled felt"
        swatch = { mass = "1.80 g", width = "10 cm", length = "15 cm" }
        thickness = "1.1 mm"
        [[material]]
        name = "sheeting"
        structure = "weave"
        warp = "30 /cm"
        weft = "28 /cm"
        yarn_linear_density = "20 tex"
        fibre_diameter = "14 um"
        polymer = "cotton"
        [[stack]]
        name = "felt & sheeting"
        layers = ["felt", "sheeting"]
        [[stack]]
        name = "felt, sheeting"
        layers = ["sheeting", "felt", "sheeting"]
        [use]
        face_velocities = ["2 cm/s", "10 cm/s"]
    "#;

    #[test]
    fn every_figure_of_a_review_draws_under_its_own_name() {
        let case = Case::read(SCENARIO, Shelf::built_in()).expect("a valid scenario");
        let review = review(&case).expect("materials that can be made layers of");
        let figures = review_figures(&review);
        let names: BTreeSet<&str> = figures.iter().map(|figure| figure.name.as_str()).collect();
        assert_eq!(names.len(), figures.len(), "{names:?}");
        for name in [
            "efficiency-1-felt-sheeting",
            "efficiency-2-felt-sheeting",
            "mechanisms-1-felt",
            "mechanisms-2-sheeting",
            "worst-size-against-velocity",
            "pressure-drop-against-velocity",
            "layers",
            "layers-efficiency-against-pressure-drop",
            "quality-factor-against-size",
        ] {
            assert!(names.contains(name), "{name} is not among {names:?}");
        }
        for figure in &figures {
            let svg = figure.chart.to_svg().expect("drawn");
            assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"), "{}", figure.name);
            let table = figure.chart.to_csv();
            assert!(table.lines().count() > 10, "{}: {table}", figure.name);
        }
    }

    #[test]
    fn figures_show_the_numbers_of_the_review() {
        let case = Case::read(SCENARIO, Shelf::built_in()).expect("a valid scenario");
        let review = review(&case).expect("materials that can be made layers of");
        let figures = review_figures(&review);
        let curve = &review.prediction.stacks[0].curves[1];
        let panel = &figures[0].chart.panels[0];
        assert_eq!(panel.lines[1].name, "10 cm/s");
        for (i, (size, height)) in panel.lines[1].points.iter().enumerate() {
            let (expected_size, expected) = (curve.diameter_m[i] * 1e6, 1.0 - curve.penetration[i]);
            assert!(
                (size / expected_size - 1.0).abs() < 1e-12 && (height - expected).abs() < 1e-12,
                "point {i}"
            );
        }
        let mechanisms = figures.iter().find(|figure| figure.name == "mechanisms-2-sheeting").expect("there");
        assert!(mechanisms.chart.subtitle.starts_with("closure kuwabara-cell, fibres in the yarns"));
    }
}
