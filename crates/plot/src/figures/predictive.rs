//! Every reading beside what the calibrated model would read.

use crate::kit::{Axis, Chart, Guide, Ink, Key, Line, Panel, TickText};

/// Readings of one kind, such as a channel's.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedGroup {
    /// What was read: `0.3 to 0.5 um`.
    pub name: String,
    /// In the order in which they were read.
    pub readings: Vec<CheckedReading>,
}

/// A reading and what the model would read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckedReading {
    /// What was read.
    pub observed: f64,
    /// The median and the ends of the 95 % that the model would read.
    pub expected: [f64; 3],
    /// The least step by which such a reading can differ: 1 for counts, else 0.
    pub step: f64,
}

impl CheckedReading {
    /// How far the reading lies from the median, 1 at the end of the 95 % on its side.
    fn distance(&self) -> f64 {
        let [middle, low, high] = self.expected;
        let off = self.observed - middle;
        let reach = if off < 0.0 { middle - low } else { high - middle };
        if off == 0.0 { 0.0 } else { off / reach.max(self.step) }
    }
}

/// The axis reaches at least this far.
const LEAST: f64 = 1.5;
/// And at most this far: beyond it, a reading is simply wrong.
const MOST: f64 = 6.0;

/// The figure: a mark for each reading, the 95 % as two lines.
pub fn predictive_check(groups: &[CheckedGroup]) -> Chart {
    let distances = || groups.iter().flat_map(|group| &group.readings).map(CheckedReading::distance);
    let reach =
        distances().filter(|d| d.is_finite()).fold(LEAST, |most, d| most.max(1.1 * d.abs())).min(MOST);
    let count = distances().count();
    let x = Axis { text: TickText::Nothing, ..Axis::linear("readings, one kind after the other", "reading") };
    let y =
        Axis::linear("distance from what the model would read (1: end of its 95 %)", "distance_over_reach");
    let mut panel = Panel::new(x.from_to(0.0, count as f64 + 1.0), y.from_to(-reach, reach));
    panel.key = Key::Below;
    let mut next = 0.0;
    for (n, group) in groups.iter().enumerate() {
        let mut points = Vec::new();
        for reading in &group.readings {
            next += 1.0;
            points.extend([(next, reading.distance().clamp(-reach, reach)), (f64::NAN, f64::NAN)]);
        }
        panel.lines.push(Line::dotted(group.name.clone(), points, Ink::nth(n)));
    }
    panel.guides = vec![
        Guide::Horizontal { at: 1.0, label: "95 % below".to_owned() },
        Guide::Horizontal { at: 0.0, label: String::new() },
        Guide::Horizontal { at: -1.0, label: "95 % above".to_owned() },
    ];
    let inside = distances().filter(|d| d.abs() <= 1.0).count();
    let mut chart = Chart::new("Does the calibrated model read what was read?", vec![panel]);
    chart.subtitle = format!("{inside} of {count} readings lie where the model would put 95 of 100");
    chart.footnotes = vec![
        "Marks between the outer lines agree with the model. Many outside, or all of one kind on one side, speak of a leak, \
         wrong layers, or a room that changed."
            .to_owned(),
    ];
    chart
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_the_end_of_the_95_per_cent_on_the_side_of_the_reading() {
        let reading = |observed, step| CheckedReading { observed, expected: [10.0, 6.0, 18.0], step };
        assert!((reading(14.0, 1.0).distance() - 0.5).abs() < 1e-12);
        assert!((reading(6.0, 1.0).distance() + 1.0).abs() < 1e-12);
        // Nothing expected and two read: two steps.
        let none = CheckedReading { observed: 2.0, expected: [0.0; 3], step: 1.0 };
        assert!((none.distance() - 2.0).abs() < 1e-12);
        let group = CheckedGroup {
            name: "0.3 to 0.5 um".to_owned(),
            readings: vec![reading(14.0, 1.0), reading(30.0, 1.0)],
        };
        let chart = predictive_check(&[group]);
        assert!(chart.subtitle.starts_with("1 of 2"));
        assert!(chart.to_svg().expect("drawn").contains("0.3 to 0.5 um"));
    }
}
