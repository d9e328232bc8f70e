//! What was tested, ranked in one channel, with those that cannot be told apart.

use crate::kit::{Axis, Chart, Ink, Panel, Span, TickText, efficiency_range_text, efficiency_text};

/// A channel's ranking.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedChannel {
    /// The channel in words: `0.3 to 0.5 um`.
    pub channel: String,
    /// Share of repetitions in which an interval holds the true value.
    pub level: f64,
    /// Fewest through first.
    pub tested: Vec<RankedTest>,
    /// Positions in `tested` of each group that cannot be told apart; one may be in several.
    pub groups: Vec<Vec<usize>>,
}

/// Something tested.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedTest {
    /// What it is.
    pub name: String,
    /// Share that gets through.
    pub penetration: f64,
    /// Ends of its interval; the upper may be missing.
    pub range: (f64, f64),
}

/// The letters of groups.
const LETTERS: [char; 26] = [
    'a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j', 'k', 'l', 'm', 'n', 'o', 'p', 'q', 'r', 's', 't', 'u',
    'v', 'w', 'x', 'y', 'z',
];

/// The figure: one row for each thing tested, best on top, with its interval and the letters of its groups.
pub fn ranked_counts(data: &RankedChannel) -> Chart {
    let caught = Axis::linear(format!("caught, {}", data.channel), "efficiency");
    let caught = Axis { text: TickText::Percent, ..caught.from_to(0.0, 1.0) };
    let rows: Vec<Span> = (0..data.tested.len()).map(|n| span(data, n)).collect();
    let count = rows.len();
    let mut chart =
        Chart::new(format!("What catches most: {}", data.channel), vec![Panel::of_spans("", caught, rows)]);
    chart.subtitle = format!("by counts, {:.0} % intervals", 100.0 * data.level);
    chart.panel_height = Chart::BAR_ROW * count.max(2) as f64;
    chart.footnotes = vec![
        "Those that share a letter cannot be told apart by these counts, corrected for how many were compared. Overlapping \
         intervals alone do not say so, for all share the room's counts."
            .to_owned(),
    ];
    chart
}

fn span(data: &RankedChannel, n: usize) -> Span {
    let test = &data.tested[n];
    let (low, high) = (test.range.0, if test.range.1.is_finite() { test.range.1 } else { 1.0 });
    let letters: String = data
        .groups
        .iter()
        .zip(LETTERS)
        .filter(|(group, _)| group.contains(&n))
        .map(|(_, letter)| letter)
        .collect();
    let caught = format!("{} ({})", efficiency_text(test.penetration), efficiency_range_text(low, high));
    Span {
        name: test.name.clone(),
        label: format!("{caught}  {letters}").trim_end().to_owned(),
        light: None,
        dark: Some((1.0 - high, 1.0 - low)),
        mark: Some(1.0 - test.penetration),
        ink: Ink::nth(2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_shared_by_those_that_cannot_be_told_apart() {
        let test = |name: &str, p: f64| RankedTest {
            name: name.to_owned(),
            penetration: p,
            range: (0.9 * p, 1.1 * p),
        };
        let chart = ranked_counts(&RankedChannel {
            channel: "0.3 to 0.5 µm".to_owned(),
            level: 0.95,
            tested: vec![test("melt-blown", 0.2), test("felt", 0.5), test("tissue", 0.52)],
            groups: vec![vec![0], vec![1, 2]],
        });
        let labels: Vec<&str> = chart.panels[0].spans.iter().map(|span| span.label.as_str()).collect();
        assert!(
            labels[0].ends_with("  a") && labels[1].ends_with("  b") && labels[2].ends_with("  b"),
            "{labels:?}"
        );
        let (low, high) = chart.panels[0].spans[0].dark.expect("there");
        assert!((low - 0.78).abs() < 1e-12 && (high - 0.82).abs() < 1e-12);
        assert!(chart.to_svg().expect("drawn").contains("melt-blown"));
    }
}
