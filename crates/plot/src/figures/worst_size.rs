//! The most penetrating size, and the efficiency there, against face velocity.

use super::axes::{CM_PER_S, SizeEnd, UM, compared_efficiency_axis, height, velocity_axis};
use crate::kit::{Axis, Chart, Ink, Key, Line, Panel};

/// Most penetrating size of one stack over a range of face velocities.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstSizeCurve {
    /// Name of the stack.
    pub stack: String,
    /// Face velocities, ascending (m/s).
    pub face_velocity_m_per_s: Vec<f64>,
    /// Most penetrating size at each (m).
    pub mpps_m: Vec<f64>,
    /// Penetration there, 0 to 1.
    pub mpps_penetration: Vec<f64>,
    /// Whether that is a true worst size.
    pub mpps_at: Vec<SizeEnd>,
}

/// The figure: the size above, the efficiency at that size below, one line a stack.
///
/// A worst size at an end of the size range is no worst size: the upper panel leaves it out, the lower keeps it.
pub fn worst_size_against_velocity(curves: &[WorstSizeCurve]) -> Chart {
    let velocities = || velocity_axis(curves.iter().map(|curve| curve.face_velocity_m_per_s.as_slice()));
    let through: Vec<f64> = curves.iter().flat_map(|curve| curve.mpps_penetration.iter().copied()).collect();
    let mut upper = Panel::new(velocities(), Axis::log("most penetrating size (µm, mobility)", "mpps_um"));
    let mut lower = Panel::new(velocities(), compared_efficiency_axis("at that size", "at_mpps", &through));
    for (n, curve) in curves.iter().enumerate() {
        let speeds: Vec<f64> = curve.face_velocity_m_per_s.iter().map(|v| v * CM_PER_S).collect();
        let worst = curve.mpps_m.iter().zip(&curve.mpps_at);
        let sizes = worst.map(|(size, at)| if *at == SizeEnd::Interior { size * UM } else { f64::NAN });
        let caught = curve.mpps_penetration.iter().map(|p| height(&lower.y, *p));
        let (sizes, caught) = (speeds.iter().copied().zip(sizes), speeds.iter().copied().zip(caught));
        let dots = speeds.len() <= MOST_DOTS;
        upper.lines.push(Line { dots, ..Line::new(&curve.stack, sizes.collect(), Ink::nth(n)) });
        lower.lines.push(Line { dots, ..Line::new(&curve.stack, caught.collect(), Ink::nth(n)) });
    }
    upper.key = Key::None;
    lower.key = Key::Below;
    let drawable = upper.lines.iter().any(|line| line.points.iter().any(|(_, size)| size.is_finite()));
    let panels = if drawable { vec![upper, lower] } else { vec![lower] };
    let mut chart = Chart::new("Most penetrating size against face velocity", panels);
    chart.panel_height = 230.0;
    if curves.iter().flat_map(|curve| &curve.mpps_at).any(|at| *at != SizeEnd::Interior) {
        chart.footnotes.push(
            "No size is given where the most penetrating one lies at an end of the size range: sizes beyond it may \
             penetrate more."
                .to_owned(),
        );
    }
    chart
}

/// Up to this many points each gets a mark; more of them are a curve.
const MOST_DOTS: usize = 12;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Scale;

    fn curve(stack: &str, worst: f64) -> WorstSizeCurve {
        let face_velocity_m_per_s: Vec<f64> = (0..9).map(|i| 0.01 * 10f64.powf(f64::from(i) / 6.0)).collect();
        WorstSizeCurve {
            stack: stack.into(),
            mpps_m: face_velocity_m_per_s.iter().map(|v| 3e-7 * (v / 0.05).powf(-0.22)).collect(),
            mpps_penetration: face_velocity_m_per_s
                .iter()
                .map(|v| worst.powf((v / 0.05).powf(-0.3)))
                .collect(),
            mpps_at: vec![SizeEnd::Interior; 9],
            face_velocity_m_per_s,
        }
    }

    #[test]
    fn both_panels_carry_every_stack_and_one_key() {
        let chart = worst_size_against_velocity(&[curve("felt", 0.6), curve("paper", 0.01)]);
        assert_eq!(chart.panels.len(), 2);
        assert_eq!(chart.panels[1].y.scale, Scale::LogFalling);
        let svg = chart.to_svg().expect("drawn");
        assert_eq!(svg.matches("\nfelt\n").count(), 1);
        assert_eq!(svg.matches("face velocity (cm/s)").count(), 2);
    }

    #[test]
    fn a_worst_size_at_the_end_of_the_range_leaves_a_gap_and_a_note() {
        let mut ended = curve("felt", 0.6);
        ended.mpps_at[8] = SizeEnd::Smallest;
        let chart = worst_size_against_velocity(&[ended.clone()]);
        assert!(chart.panels[0].lines[0].points[8].1.is_nan());
        assert!(chart.panels[1].lines[0].points[8].1.is_finite());
        assert_eq!(chart.footnotes.len(), 1);
        ended.mpps_at = vec![SizeEnd::Largest; 9];
        let chart = worst_size_against_velocity(&[ended]);
        assert_eq!(chart.panels.len(), 1);
        assert!(chart.to_svg().is_ok());
    }
}
