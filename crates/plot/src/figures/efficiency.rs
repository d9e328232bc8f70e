//! Efficiency against particle size at each face velocity, with the spread of the closures and the worst size.

use super::axes::{
    EVEN_UP_TO, SizeEnd, UM, against_um, diameter_axis, diameter_text, even_efficiency_axis, height, heights,
    nines_axis, nines_ends, velocity_text,
};
use crate::kit::{
    Band, Chart, Guide, Ink, Key, Line, Marker, Panel, efficiency_range_text, efficiency_text,
    significant_text,
};

/// What one stack lets through, at one or more face velocities.
#[derive(Debug, Clone, PartialEq)]
pub struct EfficiencyCurves {
    /// Name of the stack.
    pub stack: String,
    /// Closure of the curves.
    pub closure: String,
    /// One curve a velocity.
    pub curves: Vec<EfficiencyCurve>,
}

/// Penetration of a stack at one face velocity.
#[derive(Debug, Clone, PartialEq)]
pub struct EfficiencyCurve {
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// Why this velocity, in words; may be empty, or the velocity itself as it was written.
    pub label: String,
    /// Mobility diameters, ascending (m).
    pub diameter_m: Vec<f64>,
    /// Penetration at each diameter, 0 to 1.
    pub penetration: Vec<f64>,
    /// Least penetration over the closures compared; empty for no band.
    pub penetration_low: Vec<f64>,
    /// Greatest penetration over the closures compared; empty for no band.
    pub penetration_high: Vec<f64>,
    /// Most penetrating size (m).
    pub mpps_m: f64,
    /// Penetration there, 0 to 1.
    pub mpps_penetration: f64,
    /// Least and greatest penetration there over models and unknown inputs, where known.
    pub mpps_range: Option<(f64, f64)>,
    /// Whether that is a true worst size or an end of the range.
    pub mpps_at: SizeEnd,
}

/// The figure: one line a velocity, its band, the worst size marked; the key says how much is caught there.
///
/// A cloth of 30 % and a paper of 99.97 % are both shown honestly, each on its own axis: even while every worst
/// efficiency is below 80 %, else in nines.
pub fn efficiency_against_size(data: &EfficiencyCurves) -> Chart {
    let mut curves: Vec<&EfficiencyCurve> = data.curves.iter().collect();
    curves.sort_by(|a, b| a.face_velocity_m_per_s.total_cmp(&b.face_velocity_m_per_s));
    let even = curves.iter().all(|curve| 1.0 - curve.mpps_penetration < EVEN_UP_TO);
    let x = diameter_axis(curves.iter().map(|curve| curve.diameter_m.as_slice()));
    let what = "(share of the particles of a size that is caught)";
    let y = if even {
        even_efficiency_axis(what, "efficiency")
    } else {
        let (floor, ceiling) = nines_range(&curves);
        nines_axis("by size", "penetration", floor, ceiling)
    };
    let floor = y.range.filter(|_| !even).map(|range| range.0);
    let mut panel = Panel::new(x, y);
    panel.key = Key::Below;
    for (n, curve) in curves.iter().enumerate() {
        add_curve(&mut panel, curve, Ink::nth(n));
    }
    for at in [0.3, 1.0] {
        panel.guides.push(Guide::Vertical { at, label: format!("{at} µm") });
    }
    let mut chart = Chart::new(format!("Efficiency against particle size: {}", data.stack), vec![panel]);
    chart.subtitle = format!("closure {}, one line for each face velocity", data.closure);
    chart.footnotes = footnotes(&curves, floor);
    chart
}

/// From beyond the worst size to the decade above all that is drawn, three decades at least: the curves fill the panel.
fn nines_range(curves: &[&EfficiencyCurve]) -> (f64, f64) {
    let worst = curves.iter().map(|c| c.mpps_penetration).filter(|p| *p > 0.0);
    let least = worst.fold(1.0, f64::min);
    let all = curves.iter().flat_map(|c| c.penetration.iter().chain(&c.penetration_high));
    let most = all.copied().fold(least, f64::max).min(1.0);
    nines_ends(least, most)
}

fn add_curve(panel: &mut Panel, curve: &EfficiencyCurve, ink: Ink) {
    let velocity = named_velocity(curve);
    let lines: Vec<f64> = curve.penetration.iter().map(|p| height(&panel.y, *p)).collect();
    let ends = curve.penetration_low.iter().zip(&curve.penetration_high);
    let band = curve.diameter_m.iter().zip(ends);
    let points: Vec<(f64, f64, f64)> =
        band.map(|(size, (low, high))| heights(&panel.y, size * UM, *low, *high)).collect();
    if !points.is_empty() {
        panel.bands.push(Band { name: format!("{velocity}, closures"), points, ink });
    }
    panel.markers.push(Marker {
        series: velocity.clone(),
        at: (curve.mpps_m * UM, height(&panel.y, curve.mpps_penetration)),
        label: String::new(),
        ink,
    });
    let line = Line::new(velocity, against_um(&curve.diameter_m, &lines), ink);
    panel.lines.push(Line { remark: at_worst(curve), ..line });
}

/// `9.44 cm/s (85 L/min through 150 cm2)`; a label that is just a velocity says nothing new.
fn named_velocity(curve: &EfficiencyCurve) -> String {
    let velocity = velocity_text(curve.face_velocity_m_per_s);
    let words = curve.label.split_whitespace().count();
    if words > 2 || (words > 0 && !curve.label.contains(|c: char| c.is_ascii_digit())) {
        format!("{velocity} ({})", curve.label)
    } else {
        velocity
    }
}

/// `at worst 66 % (52 to 71 %), at 0.21 µm`.
fn at_worst(curve: &EfficiencyCurve) -> String {
    let caught = efficiency_text(curve.mpps_penetration);
    let size = diameter_text(curve.mpps_m);
    match curve.mpps_range {
        Some((low, high)) => {
            format!("at worst {caught} ({}), at {size}", efficiency_range_text(low, high))
        }
        None => format!("at worst {caught}, at {size}"),
    }
}

fn footnotes(curves: &[&EfficiencyCurve], floor: Option<f64>) -> Vec<String> {
    let mut mark = "The mark on each line is the most penetrating size.".to_owned();
    if curves.iter().any(|curve| curve.mpps_at != SizeEnd::Interior) {
        mark += " Where it stands at an end of the range, sizes beyond may penetrate more.";
    }
    if curves.iter().any(|curve| curve.mpps_range.is_some()) {
        mark += " In brackets: what the spread of models and unknown inputs leaves open there.";
    }
    let mut notes = vec![mark];
    if curves.iter().any(|curve| !curve.penetration_low.is_empty()) {
        notes.push(
            "Shaded: the spread of the closures compared; it is no measurement uncertainty.".to_owned(),
        );
    }
    if let Some(floor) = floor {
        let edge = significant_text(floor, 1);
        notes.push(format!(
            "Heights go by the logarithm of what gets through. Lines that leave at the top let through less than {edge}."
        ));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Scale;

    /// Smooth invented data with a hump of penetration `worst` at 0.2 µm.
    fn curve(velocity: f64, worst: f64) -> EfficiencyCurve {
        let diameter_m: Vec<f64> = (0..121).map(|i| 1e-8 * 10f64.powf(f64::from(i) / 40.0)).collect();
        let hump = |d: f64, k: f64| (k * worst.ln() * (1.0 + (d / 2e-7).ln().powi(2))).exp();
        let all = |k: f64| diameter_m.iter().map(|d| hump(*d, k)).collect::<Vec<f64>>();
        EfficiencyCurve {
            face_velocity_m_per_s: velocity,
            penetration: all(1.0),
            penetration_low: all(1.5),
            penetration_high: all(0.9),
            diameter_m,
            mpps_m: 2e-7,
            mpps_penetration: worst,
            label: String::new(),
            mpps_range: None,
            mpps_at: SizeEnd::Interior,
        }
    }

    fn data(worst: &[f64]) -> EfficiencyCurves {
        let curves = worst.iter().enumerate().map(|(i, w)| curve(0.02 * (i + 1) as f64, *w)).collect();
        EfficiencyCurves { stack: "felt".into(), closure: "lee-liu".into(), curves }
    }

    #[test]
    fn a_cloth_is_drawn_evenly_and_a_paper_in_nines() {
        let cloth = efficiency_against_size(&data(&[0.7, 0.75]));
        assert_eq!(cloth.panels[0].y.scale, Scale::Linear);
        assert_eq!(cloth.panels[0].y.range, Some((0.0, 1.0)));
        let paper = efficiency_against_size(&data(&[3e-4, 8e-4]));
        assert_eq!(paper.panels[0].y.scale, Scale::LogFalling);
        let (floor, ceiling) = paper.panels[0].y.range.expect("set");
        assert!(
            (floor / 1e-5 - 1.0).abs() < 1e-9 && (ceiling / 1e-2 - 1.0).abs() < 1e-9,
            "{floor} {ceiling}"
        );
        assert!(paper.footnotes[2].ends_with("less than 10⁻⁵."), "{:?}", paper.footnotes);
    }

    #[test]
    fn the_key_says_how_much_is_caught_at_worst() {
        let chart = efficiency_against_size(&data(&[0.34]));
        assert_eq!(chart.panels[0].lines[0].remark, "at worst 66 %, at 0.20 µm");
        let mut ranged = data(&[0.34]);
        ranged.curves[0].mpps_range = Some((0.2, 0.45));
        let remark = efficiency_against_size(&ranged).panels[0].lines[0].remark.clone();
        assert_eq!(remark, "at worst 66 % (55 to 80 %), at 0.20 µm");
        let svg = chart.to_svg().expect("drawn");
        assert!(svg.contains("at worst 66 %") && svg.contains("particle diameter (µm, mobility)"));
    }

    #[test]
    fn a_label_joins_the_velocity_where_it_adds_something() {
        let named =
            |label: &str| named_velocity(&EfficiencyCurve { label: label.to_owned(), ..curve(0.02, 0.5) });
        assert_eq!(named("2 cm/s"), "2 cm/s");
        assert_eq!(named("3.9 ft/min"), "2 cm/s");
        assert_eq!(named(""), "2 cm/s");
        assert_eq!(named("mask at rest"), "2 cm/s (mask at rest)");
        assert_eq!(named("18 L/min through 150 cm2"), "2 cm/s (18 L/min through 150 cm2)");
    }

    #[test]
    fn slow_curves_come_first_whatever_the_order_given() {
        let mut turned = data(&[0.7, 0.75]);
        turned.curves.reverse();
        assert_eq!(efficiency_against_size(&turned), efficiency_against_size(&data(&[0.7, 0.75])));
    }

    #[test]
    fn bands_keep_low_below_high_on_either_axis() {
        for worst in [0.7, 3e-4] {
            let chart = efficiency_against_size(&data(&[worst]));
            let band = &chart.panels[0].bands[0];
            assert!(!band.points.is_empty() && band.points.iter().all(|(_, low, high)| low <= high));
        }
    }

    #[test]
    fn a_worst_size_at_the_end_of_the_range_is_said_to_be_one() {
        let mut end = data(&[0.5]);
        end.curves[0].mpps_at = SizeEnd::Smallest;
        assert!(efficiency_against_size(&end).footnotes[0].contains("sizes beyond may penetrate more"));
        assert!(!efficiency_against_size(&data(&[0.5])).footnotes[0].contains("beyond"));
    }
}
