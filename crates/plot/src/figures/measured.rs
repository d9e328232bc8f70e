//! What a laboratory measured over what the model says, with residuals.

use super::axes::{
    CM_PER_S, EVEN_UP_TO, UM, against_um, diameter_axis, even_efficiency_axis, height, heights, nines_axis,
    nines_ends, velocity_axis, velocity_text,
};
use crate::kit::{Axis, Band, Chart, Guide, Ink, Key, Line, Marker, Panel};

/// Measured penetrations of one specimen and the model at the same face velocities.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredPenetrations {
    /// Material or stack.
    pub specimen: String,
    /// Second line of the figure: file, source, closure.
    pub subtitle: String,
    /// One entry a face velocity.
    pub velocities: Vec<MeasuredAtVelocity>,
}

/// The model and the measurements at one face velocity.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredAtVelocity {
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// Mobility diameters of the model's curve, ascending (m).
    pub diameter_m: Vec<f64>,
    /// The model's penetration, 0 to 1.
    pub penetration: Vec<f64>,
    /// Low end of its band.
    pub penetration_low: Vec<f64>,
    /// High end of its band.
    pub penetration_high: Vec<f64>,
    /// What was measured, by size.
    pub points: Vec<MeasuredPoint>,
}

/// A measured value beside the model's; penetrations over mobility diameters (m), pressure drops (Pa) over face
/// velocities (m/s).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredPoint {
    /// Mobility diameter or face velocity.
    pub at: f64,
    /// Measured.
    pub measured: f64,
    /// Standard uncertainty of its logarithm, where known.
    pub uncertainty_of_ln: Option<f64>,
    /// Whether no more than `measured` can be, and anything less.
    pub is_limit: bool,
    /// The model's.
    pub model: f64,
    /// Low end of the model's band.
    pub model_low: f64,
    /// High end of it.
    pub model_high: f64,
}

impl MeasuredPoint {
    /// ln of a value over the model's.
    fn residual(&self, value: f64) -> f64 {
        (value.max(f64::MIN_POSITIVE) / self.model.max(f64::MIN_POSITIVE)).ln()
    }
}

/// Measured pressure drops of one specimen beside the model's.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredDrops {
    /// Material or stack.
    pub specimen: String,
    /// Second line of the figure.
    pub subtitle: String,
    /// By face velocity.
    pub points: Vec<MeasuredPoint>,
}

/// Residuals reach at least this far on their axis.
const LEAST_RESIDUAL: f64 = 0.2;
/// The axis of residuals shows no more of the model's band than this many times what the residuals take.
const MOST_BAND: f64 = 3.0;
/// Bars in the figure reach this many standard uncertainties either way.
const COVERAGE: f64 = 2.0;
/// What the bars and the shading are.
const NOTE: &str = "Marks are measured; lines and shading are the model and its band, which holds the spread between the \
     closures and what is not known of the inputs. Bars: two standard uncertainties of the measurement.";

/// The figure: the model's curves with their bands and the measured points; below, ln of measured over model.
///
/// Cloth stands on an even axis of efficiency, good paper in nines, as in the figures of efficiency.
pub fn measured_over_model(data: &MeasuredPenetrations) -> Chart {
    let sizes = || data.velocities.iter().map(|at| at.diameter_m.as_slice());
    let mut panel = Panel::new(diameter_axis(sizes()), efficiency_axis(data));
    panel.key = Key::Below;
    let mut below = Panel::new(diameter_axis(sizes()), residual_axis("ln P, measured over model"));
    for (n, at) in data.velocities.iter().enumerate() {
        add_curve(&mut panel, at, Ink::nth(n));
        let name = velocity_text(at.face_velocity_m_per_s);
        add_residuals(&mut below, &name, &at.points, (UM, Ink::nth(n)));
    }
    chart(format!("Measured penetration over the model: {}", data.specimen), &data.subtitle, [panel, below])
}

/// The figure for pressure drops.
pub fn measured_drops_over_model(data: &MeasuredDrops) -> Chart {
    // A little beyond the ends, so that no mark stands on the frame.
    let velocities: Vec<f64> =
        data.points.iter().flat_map(|point| [0.9 * point.at, 1.1 * point.at]).collect();
    let axis = || velocity_axis(std::iter::once(velocities.as_slice()));
    let mut panel = Panel::new(axis(), Axis::log("pressure drop (Pa)", "pressure_drop_pa"));
    let ink = Ink::nth(0);
    let along = |of: fn(&MeasuredPoint) -> f64| -> Vec<(f64, f64)> {
        data.points.iter().map(|point| (point.at * CM_PER_S, of(point))).collect()
    };
    let band = data.points.iter().map(|p| (p.at * CM_PER_S, p.model_low, p.model_high)).collect();
    panel.bands.push(Band { name: "model".to_owned(), points: band, ink });
    panel.lines.push(Line::new("model", along(|point| point.model), ink));
    panel.markers = along(|point| point.measured)
        .into_iter()
        .map(|at| Marker { series: "measured".to_owned(), at, label: String::new(), ink })
        .collect();
    panel.key = Key::None;
    let mut below = Panel::new(axis(), residual_axis("ln of pressure drop, measured over model"));
    add_residuals(&mut below, "measured", &data.points, (CM_PER_S, ink));
    chart(format!("Measured pressure drop over the model: {}", data.specimen), &data.subtitle, [panel, below])
}

fn chart(title: String, subtitle: &str, [panel, mut below]: [Panel; 2]) -> Chart {
    below.key = Key::None;
    below.guides.push(Guide::Horizontal { at: 0.0, label: String::new() });
    let reach = below.lines.iter().flat_map(|line| &line.points).map(|(_, y)| y.abs());
    let reach = reach.filter(|y| y.is_finite()).fold(LEAST_RESIDUAL, f64::max);
    let bands =
        below.bands.iter().flat_map(|band| &band.points).flat_map(|(_, low, high)| [low.abs(), high.abs()]);
    let reach = bands.filter(|y| y.is_finite()).fold(reach, f64::max).min(MOST_BAND * reach);
    below.y = below.y.from_to(-1.1 * reach, 1.1 * reach);
    let mut chart = Chart::new(title, vec![panel, below]);
    subtitle.clone_into(&mut chart.subtitle);
    chart.footnotes = vec![NOTE.to_owned()];
    chart
}

fn residual_axis(label: &str) -> Axis {
    Axis::linear(label, "residual_ln")
}

/// An axis of efficiency on which both the model and the measurements are seen.
fn efficiency_axis(data: &MeasuredPenetrations) -> Axis {
    let worst = |at: &MeasuredAtVelocity| {
        let measured = at.points.iter().map(|point| point.measured);
        at.penetration.iter().copied().chain(measured).fold(0.0, f64::max)
    };
    if data.velocities.iter().all(|at| 1.0 - worst(at) < EVEN_UP_TO) {
        return even_efficiency_axis("(share of the particles of a size that is caught)", "efficiency");
    }
    let measured = data.velocities.iter().flat_map(|at| &at.points).map(|point| point.measured);
    let least = data.velocities.iter().map(worst).chain(measured).filter(|p| *p > 0.0).fold(1.0, f64::min);
    let highs = data.velocities.iter().flat_map(|at| at.penetration_high.iter().copied());
    let most = data.velocities.iter().map(worst).chain(highs).fold(least, f64::max).min(1.0);
    let (floor, ceiling) = nines_ends(least, most);
    nines_axis("by size", "penetration", floor, ceiling)
}

fn add_curve(panel: &mut Panel, at: &MeasuredAtVelocity, ink: Ink) {
    let name = velocity_text(at.face_velocity_m_per_s);
    let ends = at.penetration_low.iter().zip(&at.penetration_high);
    let band: Vec<_> = at
        .diameter_m
        .iter()
        .zip(ends)
        .map(|(size, (low, high))| heights(&panel.y, size * UM, *low, *high))
        .collect();
    panel.bands.push(Band { name: format!("{name}, model"), points: band, ink });
    let lines: Vec<f64> = at.penetration.iter().map(|p| height(&panel.y, *p)).collect();
    panel.lines.push(Line::new(name.clone(), against_um(&at.diameter_m, &lines), ink));
    for point in &at.points {
        let place = (point.at * UM, height(&panel.y, point.measured));
        let (series, label) = if point.is_limit {
            (format!("{name}, measured at least"), "at least".to_owned())
        } else {
            (format!("{name}, measured"), String::new())
        };
        panel.markers.push(Marker { series, at: place, label, ink });
    }
}

/// Residuals with their bars, over the model's band as it stands about its own line. Limits have none.
fn add_residuals(panel: &mut Panel, name: &str, points: &[MeasuredPoint], (factor, ink): (f64, Ink)) {
    let band =
        points.iter().map(|p| (p.at * factor, p.residual(p.model_low), p.residual(p.model_high))).collect();
    panel.bands.push(Band { name: format!("{name}, model"), points: band, ink });
    let residuals = points.iter().filter(|p| !p.is_limit).map(|p| (p.at * factor, p.residual(p.measured)));
    let residuals = residuals.collect();
    panel.lines.push(Line::dotted(format!("{name}, residual"), residuals, ink));
    // One line with gaps is as many bars.
    let bars: Vec<(f64, f64)> = points
        .iter()
        .filter_map(|point| {
            let (x, y) = (point.at * factor, point.residual(point.measured));
            let reach = COVERAGE * point.uncertainty_of_ln?;
            Some([(x, y - reach), (x, y + reach), (f64::NAN, f64::NAN)])
        })
        .flatten()
        .collect();
    if !bars.is_empty() {
        panel.lines.push(Line::new(format!("{name}, two standard uncertainties"), bars, ink));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(at: f64, measured: f64, uncertainty_of_ln: Option<f64>) -> MeasuredPoint {
        let (model, model_low, model_high) = (0.5, 0.4, 0.6);
        MeasuredPoint { at, measured, uncertainty_of_ln, is_limit: false, model, model_low, model_high }
    }

    fn data() -> MeasuredPenetrations {
        let diameter_m: Vec<f64> = (0..31).map(|i| 1e-8 * 10f64.powf(f64::from(i) / 10.0)).collect();
        let flat = |p: f64| vec![p; diameter_m.len()];
        MeasuredPenetrations {
            specimen: "felt".to_owned(),
            subtitle: "curve.csv".to_owned(),
            velocities: vec![MeasuredAtVelocity {
                face_velocity_m_per_s: 0.053,
                penetration: flat(0.5),
                penetration_low: flat(0.4),
                penetration_high: flat(0.6),
                diameter_m,
                points: vec![point(1e-7, 0.55, Some(0.05)), point(3e-7, 0.4, None)],
            }],
        }
    }

    #[test]
    fn marks_stand_at_the_measured_efficiency_and_residuals_are_logarithms() {
        let chart = measured_over_model(&data());
        let [above, below] = &chart.panels[..] else { unreachable!("two panels") };
        assert!((above.markers[1].at.1 - 0.6).abs() < 1e-12 && (above.markers[1].at.0 - 0.3).abs() < 1e-12);
        let residuals = &below.lines[0].points;
        assert!(
            (residuals[0].1 - 1.1_f64.ln()).abs() < 1e-12 && (residuals[1].1 - 0.8_f64.ln()).abs() < 1e-12
        );
        // One bar, two standard uncertainties either way; a point without uncertainty has none.
        let bars = &below.lines[1].points;
        assert_eq!(bars.len(), 3);
        assert!((bars[1].1 - bars[0].1 - 0.2).abs() < 1e-12);
        let svg = chart.to_svg().expect("drawn");
        assert!(svg.contains("Measured penetration over the model: felt"));
        assert!(chart.to_csv().contains("residual"));
    }

    #[test]
    fn a_limit_says_at_least_and_has_no_residual() {
        let mut data = data();
        data.velocities[0].points[1].is_limit = true;
        let chart = measured_over_model(&data);
        let labels: Vec<&str> = chart.panels[0].markers.iter().map(|marker| marker.label.as_str()).collect();
        assert_eq!(labels, ["", "at least"]);
        assert_eq!(chart.panels[1].lines[0].points.len(), 1);
        assert!(chart.to_csv().contains("measured at least"));
    }

    #[test]
    fn a_good_paper_stands_in_nines_and_a_single_pressure_drop_is_drawn() {
        let mut paper = data();
        for at in &mut paper.velocities {
            for list in [&mut at.penetration, &mut at.penetration_low, &mut at.penetration_high] {
                for p in list.iter_mut() {
                    *p *= 1e-3;
                }
            }
            for p in &mut at.points {
                (p.measured, p.model, p.model_low, p.model_high) = (4e-4, 5e-4, 4e-4, 6e-4);
            }
        }
        let chart = measured_over_model(&paper);
        let (floor, ceiling) = chart.panels[0].y.range.expect("set");
        assert!(floor < 4e-4 && ceiling > 6e-4, "{floor} {ceiling}");
        let drops = MeasuredDrops {
            specimen: "felt".to_owned(),
            subtitle: String::new(),
            points: vec![point(0.05, 0.6, Some(0.1)), point(0.1, 0.4, None)],
        };
        assert!(measured_drops_over_model(&drops).to_svg().is_ok());
    }
}
