//! Quality factor against particle size.

use super::axes::{against_um, diameter_axis, velocity_text};
use crate::kit::{Axis, Chart, Ink, Key, Line, Panel};

/// Quality factor of a stack at one face velocity.
#[derive(Debug, Clone, PartialEq)]
pub struct QualityCurve {
    /// Name of the stack.
    pub stack: String,
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// Mobility diameters, ascending (m).
    pub diameter_m: Vec<f64>,
    /// Quality factor -ln P / dp at each (1/Pa).
    pub quality_factor_per_pa: Vec<f64>,
}

/// The figure: log-log, one line a stack, a velocity, or a pair of the two where both differ.
pub fn quality_against_size(curves: &[QualityCurve]) -> Chart {
    let x = diameter_axis(curves.iter().map(|curve| curve.diameter_m.as_slice()));
    let y = Axis::log("quality factor, −ln(penetration) per pressure drop (1/kPa)", "quality_factor_per_kpa");
    let mut panel = Panel::new(x, y);
    panel.key = Key::Below;
    let first = curves.first();
    let one_stack = curves.iter().all(|c| first.is_some_and(|f| f.stack == c.stack));
    let one_velocity = curves.iter().all(|c| {
        first.is_some_and(|f| f.face_velocity_m_per_s.to_bits() == c.face_velocity_m_per_s.to_bits())
    });
    for (n, curve) in curves.iter().enumerate() {
        let velocity = velocity_text(curve.face_velocity_m_per_s);
        let name = match (one_stack, one_velocity) {
            (true, _) => velocity,
            (false, true) => curve.stack.clone(),
            (false, false) => format!("{}, {velocity}", curve.stack),
        };
        let per_kpa: Vec<f64> = curve.quality_factor_per_pa.iter().map(|q| q * 1e3).collect();
        panel.lines.push(Line::new(name, against_um(&curve.diameter_m, &per_kpa), Ink::nth(n)));
    }
    let mut chart = Chart::new("Quality factor against particle size", vec![panel]);
    if let Some(curve) = first {
        let velocity = format!("face velocity {}", velocity_text(curve.face_velocity_m_per_s));
        chart.subtitle = match (one_stack, one_velocity) {
            (true, true) => format!("{}, {velocity}", curve.stack),
            (true, false) => curve.stack.clone(),
            (false, true) => velocity,
            (false, false) => String::new(),
        };
    }
    chart.footnotes.push(
        "More is better: more caught for the same effort of breathing. It compares materials at one velocity; it does \
         not change with the number of equal layers."
            .to_owned(),
    );
    chart
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(stack: &str, velocity: f64) -> QualityCurve {
        let diameter_m: Vec<f64> = (0..61).map(|i| 1e-8 * 10f64.powf(f64::from(i) / 20.0)).collect();
        QualityCurve {
            stack: stack.into(),
            face_velocity_m_per_s: velocity,
            quality_factor_per_pa: diameter_m
                .iter()
                .map(|d| 0.01 * (1.0 + (d / 2e-7).ln().powi(2)) * 0.05 / velocity)
                .collect(),
            diameter_m,
        }
    }

    #[test]
    fn curves_are_named_by_what_differs() {
        let names = |curves: &[QualityCurve]| {
            let chart = quality_against_size(curves);
            assert!(chart.to_svg().is_ok());
            chart.panels[0].lines.iter().map(|l| l.name.clone()).collect::<Vec<_>>()
        };
        assert_eq!(names(&[curve("felt", 0.05), curve("felt", 0.1)]), ["5 cm/s", "10 cm/s"]);
        assert_eq!(names(&[curve("felt", 0.05), curve("paper", 0.05)]), ["felt", "paper"]);
        assert_eq!(names(&[curve("felt", 0.05), curve("paper", 0.1)]), ["felt, 5 cm/s", "paper, 10 cm/s"]);
    }

    #[test]
    fn values_are_drawn_per_kilopascal() {
        let chart = quality_against_size(&[curve("felt", 0.05)]);
        let got = chart.panels[0].lines[0].points[0].1;
        let expected = 10.0 * (1.0 + (1e-8f64 / 2e-7).ln().powi(2));
        assert!((got / expected - 1.0).abs() < 1e-12, "{got} against {expected}");
    }
}
