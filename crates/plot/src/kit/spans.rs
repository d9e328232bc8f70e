//! Lying ranges: the name above each, a light range, a dark one on it, a mark across.

use super::bars::{BAR_AT, NAME_AT, THICKNESS, WHOLE_COVER, caption};
use super::canvas::{Canvas, Pen};
use super::clip::Rect;
use super::frame::Frame;
use super::palette::{PAPER, TEXT};
use crate::PlotError;

/// A range is seen even where its ends fall together (px).
const LEAST_WIDTH: f64 = 2.0;

/// Draws the ranges of a panel, the first on top, over its full height.
pub(super) fn spans(canvas: &Canvas<'_>, frame: &Frame<'_>) -> Result<(), PlotError> {
    let row = frame.plot.height() / frame.panel.spans.len().max(1) as f64;
    for (n, span) in frame.panel.spans.iter().enumerate() {
        let top = frame.plot.top + n as f64 * row;
        caption(canvas, frame.plot, (&span.name, &span.label), top + NAME_AT * row)?;
        let middle = top + BAR_AT * row;
        let half = THICKNESS * row / 2.0;
        let x = |value: f64| {
            let fraction = frame.axes.x.fraction(value);
            let inside = if fraction.is_nan() { 0.0 } else { fraction.clamp(0.0, 1.0) };
            frame.plot.left + inside * frame.plot.width()
        };
        for (range, cover, share) in [(span.light, WHOLE_COVER, 1.0), (span.dark, 1.0, 0.6)] {
            let Some((low, high)) = range.filter(|(a, b)| a.is_finite() && b.is_finite()) else { continue };
            let (left, right) = (x(low.min(high)), x(low.max(high)));
            let right = right.max(left + LEAST_WIDTH);
            let area = Rect { left, right, top: middle - share * half, bottom: middle + share * half };
            canvas.fill_rect(area, span.ink.colour(), cover)?;
        }
        let inside = |value: &f64| (0.0..=1.0).contains(&frame.axes.x.fraction(*value));
        if let Some(at) = span.mark.filter(inside).map(x) {
            // On paper first, so that it stands out from the dark range.
            let ends = [(at, middle - half - 2.0), (at, middle + half + 2.0)];
            canvas.curve(&ends, Pen::full(PAPER, 4.0))?;
            canvas.curve(&ends, Pen::full(TEXT, 1.6))?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use crate::kit::{Axis, Chart, Ink, Panel, Span};

    fn chart() -> Chart {
        let span = |light, dark, mark| Span {
            name: "fibre diameter".to_owned(),
            label: "3 to 5 um".to_owned(),
            light,
            dark,
            mark,
            ink: Ink::nth(0),
        };
        let spans = vec![
            span(Some((0.0, 1.0)), Some((0.3, 0.5)), Some(0.4)),
            span(Some((-3.0, 9.0)), Some((0.5, 0.5)), None),
            span(None, None, Some(f64::NAN)),
        ];
        let x = Axis::linear("share", "share").from_to(0.0, 1.0);
        let mut chart = Chart::new("Spans", vec![Panel::of_spans("", x, spans)]);
        chart.panel_height = 3.0 * Chart::BAR_ROW;
        chart
    }

    #[test]
    fn names_stand_in_the_picture_whatever_the_ends_are() {
        let svg = chart().to_svg().expect("drawn");
        assert_eq!(svg.matches("\nfibre diameter\n").count(), 3);
        assert!(!svg.contains("NaN"));
    }

    #[test]
    fn the_table_holds_all_ends() {
        let table = chart().to_csv();
        let rows: Vec<&str> = table.lines().collect();
        assert_eq!(
            rows,
            [
                "panel,series,mark,share,rank,share_light_low,share_light_high,share_dark_low,share_dark_high,label",
                "1,fibre diameter,span,0.4,1.0,0.0,1.0,0.3,0.5,3 to 5 um",
                "1,fibre diameter,span,,2.0,-3.0,9.0,0.5,0.5,3 to 5 um",
                "1,fibre diameter,span,,3.0,,,,,3 to 5 um",
            ]
        );
    }
}
