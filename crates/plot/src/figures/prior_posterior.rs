//! What was not known, before and after the readings.

use crate::kit::{Axis, Chart, Ink, Panel, Span, TickText, significant_text};

/// An unknown before and after the data; all in one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct UnknownRange {
    /// `fibre diameter of felt`.
    pub name: String,
    /// The unit; may be empty.
    pub unit: String,
    /// Ends of the 95 % before.
    pub before: (f64, f64),
    /// Ends of the 95 % after, and the median.
    pub after: [f64; 3],
    /// Whether the data moved it.
    pub moved: bool,
}

/// Room beside what was known before, as a share of it.
const BESIDE: f64 = 0.25;

/// The figure: one row an unknown, the range before light and that after dark, each row on its own scale from end to end
/// of what was known before.
pub fn prior_and_posterior(unknowns: &[UnknownRange]) -> Chart {
    let x = Axis::linear("from end to end of what was known before", "share_of_range_before");
    let x = Axis { text: TickText::Nothing, ..x.from_to(-BESIDE, 1.0 + BESIDE) };
    let panel = Panel::of_spans("", x, unknowns.iter().map(span).collect());
    let mut chart = Chart::new("What the readings taught", vec![panel]);
    "what was not known of materials, counter and room, before and after".clone_into(&mut chart.subtitle);
    chart.panel_height = Chart::BAR_ROW * unknowns.len().max(2) as f64;
    chart.footnotes = vec![
        "Light: where it lay before (95 %); dark: where it lies after (95 %); mark: its median. Each row has its own scale. \
         As wide after as before: the readings say nothing of it."
            .to_owned(),
    ];
    if unknowns.iter().any(|unknown| !unknown.moved) {
        chart.footnotes.push("Blue rows were moved by the readings, brown ones were not.".to_owned());
    }
    chart
}

fn span(unknown: &UnknownRange) -> Span {
    let (low, high) = unknown.before;
    let width = if high > low { high - low } else { 1.0 };
    let share = |value: f64| (value - low) / width;
    let [after_low, middle, after_high] = unknown.after;
    Span {
        name: unknown.name.clone(),
        label: format!(
            "{}, before {}",
            range(after_low, after_high, &unknown.unit),
            range(low, high, &unknown.unit)
        ),
        light: Some((share(low), share(high))),
        dark: Some((share(after_low), share(after_high))),
        mark: Some(share(middle)),
        ink: if unknown.moved { Ink::nth(2) } else { Ink::nth(3) },
    }
}

/// `3.4 to 5.0 µm`.
fn range(low: f64, high: f64, unit: &str) -> String {
    let text = format!("{} to {} {unit}", significant_text(low, 2), significant_text(high, 2));
    text.trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_row_runs_from_end_to_end_of_what_was_known_before() {
        let unknown = |before, after, moved| UnknownRange {
            name: "fibre diameter of felt".to_owned(),
            unit: "µm".to_owned(),
            before,
            after,
            moved,
        };
        let chart = prior_and_posterior(&[
            unknown((10.0, 20.0), [12.0, 14.0, 15.0], true),
            unknown((1.0, 1.0), [1.0, 1.0, 1.0], false),
        ]);
        let spans = &chart.panels[0].spans;
        let (low, high) = spans[0].dark.expect("there");
        assert!((low - 0.2).abs() < 1e-12 && (high - 0.5).abs() < 1e-12);
        assert!((spans[0].mark.expect("there") - 0.4).abs() < 1e-12);
        assert_eq!(spans[0].label, "12 to 15 µm, before 10 to 20 µm");
        assert_eq!(chart.footnotes.len(), 2);
        assert!(chart.to_svg().expect("drawn").contains("fibre diameter of felt"));
    }
}
