//! What longer counting buys.

use crate::kit::{Axis, Chart, Ink, Key, Line, Panel, TickText, number_text};

/// Half-width of the interval of an efficiency against the time that is counted.
#[derive(Debug, Clone, PartialEq)]
pub struct CountedLonger {
    /// The efficiency that is expected, 0 to 1.
    pub efficiency: f64,
    /// Level of the interval.
    pub level: f64,
    /// Seconds in all, in the best split.
    pub seconds: Vec<f64>,
    /// Half-width there, the wider side.
    pub half_width: Vec<f64>,
    /// A half-width that is asked for.
    pub goal: f64,
}

/// The figure.
pub fn half_width_against_time(data: &CountedLonger) -> Chart {
    let x = Axis::log("seconds of counting, in the room and through the sample", "total_seconds");
    let y = Axis::log("how sure the efficiency is (plus or minus)", "half_width");
    let mut panel = Panel::new(x, Axis { text: TickText::Percent, ..y });
    panel.key = Key::None;
    let points = data.seconds.iter().copied().zip(data.half_width.iter().copied()).collect();
    panel.lines.push(Line::dotted("half-width", points, Ink::nth(0)));
    let label = format!("asked for: {} %", number_text(100.0 * data.goal));
    panel.guides.push(crate::kit::Guide::Horizontal { at: data.goal, label });
    let mut chart = Chart::new("What longer counting buys", vec![panel]);
    chart.subtitle = format!(
        "expected efficiency {} %, {:.0} % interval, time split in the best way",
        number_text(100.0 * data.efficiency),
        100.0 * data.level
    );
    chart
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_points_are_those_of_the_plan() {
        let chart = half_width_against_time(&CountedLonger {
            efficiency: 0.95,
            level: 0.95,
            seconds: vec![10.0, 40.0, 160.0],
            half_width: vec![0.04, 0.02, 0.01],
            goal: 0.01,
        });
        assert_eq!(chart.panels[0].lines[0].points[1], (40.0, 0.02));
        assert!(chart.to_svg().expect("drawn").contains("What longer counting buys"));
    }
}
