//! What more layers cost and buy: pressure drop and efficiency against the number of layers, and against each other.

use super::axes::{compared_efficiency_axis, height, velocity_text};
use crate::kit::{Arrangement, Axis, Chart, Ink, Key, Line, Marker, Panel, Scale, significant_text};

/// One to several layers of each material, at one face velocity.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerSweep {
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// What the penetrations belong to, in words: `0.3 µm`, `the most penetrating size`.
    pub at: String,
    /// The materials.
    pub materials: Vec<SweptMaterial>,
}

/// A material in one to several layers.
#[derive(Debug, Clone, PartialEq)]
pub struct SweptMaterial {
    /// Name of the material.
    pub material: String,
    /// Numbers of layers.
    pub layers: Vec<u32>,
    /// Pressure drop of each number (Pa).
    pub pressure_drop_pa: Vec<f64>,
    /// Penetration of each number, 0 to 1.
    pub penetration: Vec<f64>,
}

/// The figure: pressure drop at the left, efficiency at the right, both against the number of layers.
pub fn layers_against_drop_and_efficiency(sweep: &LayerSweep) -> Chart {
    let most = sweep.materials.iter().flat_map(|m| m.layers.iter().copied()).max().unwrap_or(1);
    let count = || Axis::linear("number of layers", "layers").from_to(0.0, f64::from(most.max(1)));
    let greatest = drops(sweep).map(|drop| 1.04 * drop).fold(0.0, f64::max);
    let drop_axis = Axis::linear("pressure drop (Pa)", "pressure_drop_pa");
    let mut drop =
        Panel::new(count(), if greatest > 0.0 { drop_axis.from_to(0.0, greatest) } else { drop_axis });
    let mut caught = Panel::new(count(), efficiency_axis(sweep));
    for (n, material) in sweep.materials.iter().enumerate() {
        let counts = || material.layers.iter().map(|count| f64::from(*count));
        let through = material.penetration.iter().map(|p| height(&caught.y, *p));
        let (drops, heights) =
            (counts().zip(material.pressure_drop_pa.iter().copied()), counts().zip(through));
        drop.lines.push(Line::dotted(&material.material, drops.collect(), Ink::nth(n)));
        caught.lines.push(Line::dotted(&material.material, heights.collect(), Ink::nth(n)));
    }
    drop.key = Key::Below;
    caught.key = Key::None;
    let mut chart = Chart::new("What more layers cost and buy", vec![drop, caught]);
    chart.subtitle = format!("face velocity {}", velocity_text(sweep.face_velocity_m_per_s));
    chart.arrangement = Arrangement::Row;
    chart.panel_height = 300.0;
    chart.footnotes = beyond(&chart.panels[1]);
    chart
}

/// The figure: efficiency against pressure drop, one mark a layer. Up and to the left is better.
pub fn layer_trade_off(sweep: &LayerSweep) -> Chart {
    let (least, greatest) = (drops(sweep).fold(f64::INFINITY, f64::min), drops(sweep).fold(0.0, f64::max));
    let axis = if greatest > EVEN_UP_TO_RATIO * least {
        Axis::log("pressure drop (Pa)", "pressure_drop_pa").from_to(0.85 * least, 1.15 * greatest)
    } else {
        Axis::linear("pressure drop (Pa)", "pressure_drop_pa")
            .from_to(0.0, (1.04 * greatest).max(f64::MIN_POSITIVE))
    };
    let mut panel = Panel::new(axis, efficiency_axis(sweep));
    for (n, material) in sweep.materials.iter().enumerate() {
        let through = material.penetration.iter().map(|p| height(&panel.y, *p));
        let points: Vec<(f64, f64)> = material.pressure_drop_pa.iter().copied().zip(through).collect();
        for (layers, at) in
            material.layers.iter().zip(&points).filter(|(layers, _)| [1, 2, 4, 8].contains(*layers))
        {
            let (series, label) = (material.material.clone(), layers.to_string());
            panel.markers.push(Marker { series, at: *at, label, ink: Ink::nth(n) });
        }
        panel.lines.push(Line::dotted(&material.material, points, Ink::nth(n)));
    }
    panel.key = Key::Below;
    let mut chart = Chart::new(format!("Efficiency at {} against pressure drop", sweep.at), vec![panel]);
    chart.subtitle =
        format!("one mark a layer, face velocity {}", velocity_text(sweep.face_velocity_m_per_s));
    let mut notes =
        vec!["Numbers at the marks count the layers. Higher and further left is better.".to_owned()];
    notes.extend(beyond(&chart.panels[0]));
    chart.footnotes = notes;
    chart
}

/// Ratio of the greatest to the least pressure drop up to which the trade-off is drawn on an even axis.
const EVEN_UP_TO_RATIO: f64 = 20.0;

fn drops(sweep: &LayerSweep) -> impl Iterator<Item = f64> {
    let all = sweep.materials.iter().flat_map(|material| material.pressure_drop_pa.iter().copied());
    all.filter(|drop| drop.is_finite() && *drop > 0.0)
}

fn efficiency_axis(sweep: &LayerSweep) -> Axis {
    let media = sweep.materials.iter().map(|material| material.penetration.as_slice());
    let axis = compared_efficiency_axis(&format!("at {}", sweep.at), "of_layers", media);
    // Marks at 100 % stand inside the panel.
    if axis.scale == Scale::Linear { axis.from_to(0.0, 1.04) } else { axis }
}

/// What to say of points that lie above the panel.
fn beyond(panel: &Panel) -> Vec<String> {
    let floor = panel.y.range.filter(|_| panel.y.scale != Scale::Linear).map_or(0.0, |range| range.0);
    let above = panel.lines.iter().flat_map(|line| &line.points).any(|(_, through)| *through < floor);
    let note =
        || format!("Lines that leave at the top let through less than {}.", significant_text(floor, 1));
    above.then(note).into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sweep(single: &[(&str, f64, f64)]) -> LayerSweep {
        let materials = single
            .iter()
            .map(|(name, drop, through)| SweptMaterial {
                material: (*name).to_owned(),
                layers: (1..=8).collect(),
                pressure_drop_pa: (1..=8).map(|n| drop * f64::from(n)).collect(),
                penetration: (1..=8).map(|n| through.powi(n)).collect(),
            })
            .collect();
        LayerSweep { face_velocity_m_per_s: 0.1, at: "0.3 µm".into(), materials }
    }

    #[test]
    fn cloths_are_drawn_evenly_and_papers_in_nines() {
        let cloth =
            layers_against_drop_and_efficiency(&sweep(&[("sheeting", 40.0, 0.9), ("felt", 12.0, 0.85)]));
        assert_eq!(cloth.panels[1].y.scale, Scale::Linear);
        let paper = layers_against_drop_and_efficiency(&sweep(&[("paper", 90.0, 0.1)]));
        assert_eq!(paper.panels[1].y.scale, Scale::LogFalling);
        let points = &paper.panels[1].lines[0].points;
        assert!((points[7].1 / 1e-8 - 1.0).abs() < 1e-9, "{points:?}");
        assert_eq!(paper.footnotes, ["Lines that leave at the top let through less than 10⁻⁶."]);
    }

    #[test]
    fn the_trade_off_marks_layers_by_number() {
        let chart = layer_trade_off(&sweep(&[("sheeting", 40.0, 0.9)]));
        let labels: Vec<&str> = chart.panels[0].markers.iter().map(|m| m.label.as_str()).collect();
        assert_eq!(labels, ["1", "2", "4", "8"]);
        assert!(chart.to_svg().expect("drawn").contains("pressure drop (Pa)"));
    }
}
