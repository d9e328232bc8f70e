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
    let media = curves.iter().map(|curve| curve.mpps_penetration.as_slice());
    let mut upper = Panel::new(velocities(), Axis::log("most penetrating size (µm, mobility)", "mpps_um"));
    let mut lower = Panel::new(velocities(), compared_efficiency_axis("at that size", "at_mpps", media));
    for (n, curve) in curves.iter().enumerate() {
        let speeds: Vec<f64> = curve.face_velocity_m_per_s.iter().map(|v| v * CM_PER_S).collect();
        let caught = curve.mpps_penetration.iter().map(|p| height(&lower.y, *p));
        let caught = speeds.iter().copied().zip(caught);
        let dots = speeds.len() <= MOST_DOTS;
        upper.lines.push(Line { dots, ..Line::new(&curve.stack, sizes(curve), Ink::nth(n)) });
        lower.lines.push(Line { dots, ..Line::new(&curve.stack, caught.collect(), Ink::nth(n)) });
    }
    upper.key = Key::None;
    lower.key = Key::Below;
    let drawable = upper.lines.iter().any(|line| line.points.iter().any(|(_, size)| size.is_finite()));
    let panels = if drawable { vec![upper, lower] } else { vec![lower] };
    let mut chart = Chart::new("Most penetrating size against face velocity", panels);
    chart.panel_height = 230.0;
    if curves.iter().any(|curve| curve.mpps_m.windows(2).any(|pair| jumps(pair[0], pair[1]))) {
        let note = "Where a line of sizes breaks off and goes on elsewhere, another maximum of penetration has become the higher one.";
        chart.footnotes.push(note.to_owned());
    }
    if curves.iter().flat_map(|curve| &curve.mpps_at).any(|at| *at != SizeEnd::Interior) {
        chart.footnotes.push(
            "No size is given where the most penetrating one lies at an end of the size range: sizes beyond it may \
             penetrate more."
                .to_owned(),
        );
    }
    chart
}

/// Worst sizes in micrometres against velocities; a gap where there is none, and where it jumps from one maximum to
/// another, between which a line would show sizes that are never the worst.
fn sizes(curve: &WorstSizeCurve) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for ((velocity, size), at) in curve.face_velocity_m_per_s.iter().zip(&curve.mpps_m).zip(&curve.mpps_at) {
        let here = (velocity * CM_PER_S, if *at == SizeEnd::Interior { size * UM } else { f64::NAN });
        if let Some(last) = points.last().filter(|last| jumps(last.1, here.1)) {
            points.push((libm::sqrt(last.0 * here.0), f64::NAN));
        }
        points.push(here);
    }
    points
}

/// Whether two neighbouring worst sizes are too far apart for a smooth change.
fn jumps(a: f64, b: f64) -> bool {
    (a / b).max(b / a) > 1.7
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
        let chart =
            worst_size_against_velocity(&[curve("paper", 0.01), curve("membrane", 1e-4), curve("felt", 0.6)]);
        assert_eq!(chart.panels.len(), 2);
        assert_eq!(chart.panels[1].y.scale, Scale::LogFalling);
        let svg = chart.to_svg().expect("drawn");
        assert_eq!(svg.matches("\nfelt\n").count(), 1);
        assert_eq!(svg.matches("face velocity (cm/s)").count(), 2);
    }

    #[test]
    fn a_jump_from_one_maximum_to_another_is_a_break_and_not_a_slope() {
        let mut jumping = curve("charged web", 0.3);
        for size in &mut jumping.mpps_m[5..] {
            *size *= 3.0;
        }
        let chart = worst_size_against_velocity(&[jumping, curve("felt", 0.6)]);
        let gaps = |line: usize| chart.panels[0].lines[line].points.iter().filter(|p| p.1.is_nan()).count();
        assert_eq!((gaps(0), gaps(1)), (1, 0));
        assert_eq!(chart.footnotes.len(), 1);
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
