//! Pressure drop against face velocity.

use super::axes::{CM_PER_S, velocity_axis};
use crate::kit::{Axis, Band, Chart, Ink, Line, Panel, Scale};

/// Pressure drop of one stack over a range of face velocities.
#[derive(Debug, Clone, PartialEq)]
pub struct PressureCurve {
    /// Name of the stack.
    pub stack: String,
    /// Face velocities, ascending (m/s).
    pub face_velocity_m_per_s: Vec<f64>,
    /// Pressure drop at each (Pa).
    pub pressure_drop_pa: Vec<f64>,
    /// Low end over the models compared (Pa); empty for no band.
    pub pressure_drop_low_pa: Vec<f64>,
    /// High end over the models compared (Pa); empty for no band.
    pub pressure_drop_high_pa: Vec<f64>,
}

/// Ratio of the greatest to the least velocity, or drop, up to which both axes are even and start at 0.
const EVEN_UP_TO_RATIO: f64 = 25.0;

/// The figure: one line a stack, on even axes from 0 where the range allows, else log-log.
pub fn pressure_drop_against_velocity(curves: &[PressureCurve]) -> Chart {
    let velocities = || curves.iter().flat_map(|c| c.face_velocity_m_per_s.iter().map(|v| v * CM_PER_S));
    let ends = || curves.iter().filter_map(|c| c.pressure_drop_pa.last().copied());
    let fastest = velocities().fold(0.0, f64::max);
    let even = fastest <= EVEN_UP_TO_RATIO * velocities().fold(f64::INFINITY, f64::min)
        && ends().fold(0.0, f64::max) <= EVEN_UP_TO_RATIO * ends().fold(f64::INFINITY, f64::min);
    let drop = Axis::log("pressure drop (Pa)", "pressure_drop_pa");
    let velocity = velocity_axis(curves.iter().map(|curve| curve.face_velocity_m_per_s.as_slice()));
    let all = curves.iter().flat_map(|c| c.pressure_drop_pa.iter().chain(&c.pressure_drop_high_pa));
    let most = all.copied().fold(0.0, f64::max);
    let (x, y) = if even && fastest > 0.0 && most > 0.0 {
        let linear = |axis: Axis, most: f64| Axis { scale: Scale::Linear, ..axis }.from_to(0.0, most);
        (linear(velocity, fastest), linear(drop, 1.04 * most))
    } else {
        (velocity, drop)
    };
    let mut panel = Panel::new(x, y);
    for (n, curve) in curves.iter().enumerate() {
        let velocities = || curve.face_velocity_m_per_s.iter().map(|v| v * CM_PER_S);
        let ends = curve.pressure_drop_low_pa.iter().zip(&curve.pressure_drop_high_pa);
        let band: Vec<(f64, f64, f64)> =
            velocities().zip(ends).map(|(v, (low, high))| (v, *low, *high)).collect();
        if !band.is_empty() {
            panel.bands.push(Band {
                name: format!("{}, models", curve.stack),
                points: band,
                ink: Ink::nth(n),
            });
        }
        let points = velocities().zip(curve.pressure_drop_pa.iter().copied()).collect();
        panel.lines.push(Line::new(&curve.stack, points, Ink::nth(n)));
    }
    let shaded = !panel.bands.is_empty();
    let mut chart = Chart::new("Pressure drop against face velocity", vec![panel]);
    if shaded {
        let note = "Shaded: the spread of the models compared; it is no measurement uncertainty.";
        chart.footnotes.push(note.to_owned());
    }
    chart
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(stack: &str, resistance: f64, decades: f64) -> PressureCurve {
        let velocities = (0..=20).map(|i| 0.01 * 10f64.powf(decades * f64::from(i) / 20.0));
        let face_velocity_m_per_s: Vec<f64> = velocities.collect();
        let drop =
            |factor: f64| face_velocity_m_per_s.iter().map(|v| factor * resistance * v * (1.0 + v)).collect();
        PressureCurve {
            stack: stack.into(),
            pressure_drop_pa: drop(1.0),
            pressure_drop_low_pa: drop(0.8),
            pressure_drop_high_pa: drop(1.3),
            face_velocity_m_per_s,
        }
    }

    #[test]
    fn a_modest_range_starts_at_nought_and_a_wide_one_is_logarithmic() {
        let modest = pressure_drop_against_velocity(&[curve("felt", 200.0, 1.0), curve("cloth", 900.0, 1.0)]);
        assert_eq!((modest.panels[0].x.scale, modest.panels[0].y.scale), (Scale::Linear, Scale::Linear));
        assert_eq!(modest.panels[0].x.range.map(|r| r.0.to_bits()), Some(0.0f64.to_bits()));
        for wide in [
            [curve("felt", 200.0, 2.0), curve("cloth", 900.0, 2.0)],
            [curve("a", 1.0, 1.0), curve("b", 900.0, 1.0)],
        ] {
            let chart = pressure_drop_against_velocity(&wide);
            assert_eq!((chart.panels[0].x.scale, chart.panels[0].y.scale), (Scale::Log, Scale::Log));
            assert!(chart.to_svg().expect("drawn").contains("pressure drop (Pa)"));
        }
    }
}
