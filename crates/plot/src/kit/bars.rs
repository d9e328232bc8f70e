//! Lying bars: the name above each, the whole light, a part of it dark.

use super::canvas::{Align, Canvas, Pen};
use super::clip::Rect;
use super::frame::Frame;
use super::key::KEY_EM;
use super::palette::{PAPER, TEXT};
use super::text::{shortened, width};
use crate::PlotError;

/// Cover of the whole bar by its ink.
pub(super) const WHOLE_COVER: f64 = 0.35;
/// Where the name and the bar stand in the height of a row.
pub(super) const NAME_AT: f64 = 0.3;
pub(super) const BAR_AT: f64 = 0.74;
/// Thickness of a bar, as a share of its row.
pub(super) const THICKNESS: f64 = 0.32;
/// From the axis to a name, and between a name and the label at the right (px).
const GAP: f64 = 6.0;

/// Draws the bars of a panel, the first on top, over its full height.
pub(super) fn bars(canvas: &Canvas<'_>, frame: &Frame<'_>) -> Result<(), PlotError> {
    let row = frame.plot.height() / frame.panel.bars.len().max(1) as f64;
    for (n, bar) in frame.panel.bars.iter().enumerate() {
        let top = frame.plot.top + n as f64 * row;
        caption(canvas, frame.plot, (&bar.name, &bar.label), top + NAME_AT * row)?;
        let middle = top + BAR_AT * row;
        let x = |value: f64| {
            let fraction = frame.axes.x.fraction(value);
            let inside = if fraction.is_nan() { 0.0 } else { fraction.clamp(0.0, 1.0) };
            frame.plot.left + inside * frame.plot.width()
        };
        let (above, below) = (middle - THICKNESS * row / 2.0, middle + THICKNESS * row / 2.0);
        for (length, cover) in [(bar.whole, WHOLE_COVER), (bar.part, 1.0)] {
            let area = Rect { left: frame.plot.left, right: x(length), top: above, bottom: below };
            canvas.fill_rect(area, bar.ink.colour(), cover)?;
        }
        if let Some((low, high)) = bar.spread {
            // On paper first, so that it stands out from the dark part.
            for (colour, wide) in [(PAPER, 3.0), (TEXT, 1.2)] {
                canvas.curve(&[(x(low), middle), (x(high), middle)], Pen::full(colour, wide))?;
                for end in [x(low), x(high)] {
                    canvas.curve(&[(end, middle - 3.0), (end, middle + 3.0)], Pen::full(colour, wide))?;
                }
            }
        }
    }
    Ok(())
}

/// Name at the left, label at the right, on paper that keeps the grid off them.
pub(super) fn caption(
    canvas: &Canvas<'_>,
    plot: Rect,
    (name, label_text): (&str, &str),
    y: f64,
) -> Result<(), PlotError> {
    let label = width(label_text, KEY_EM);
    let name = shortened(name, KEY_EM, plot.width() - label - 3.0 * GAP);
    let (left, right) = (plot.left + GAP, plot.right - label);
    let half = 0.6 * KEY_EM;
    for (from, to) in [(left, left + width(&name, KEY_EM)), (right, plot.right)] {
        let paper = Rect { left: from - 1.0, right: to + 1.0, top: y - half, bottom: y + half };
        canvas.fill_rect(paper, PAPER, 0.9)?;
    }
    canvas.text(&name, (left, y), KEY_EM, TEXT, Align::Start)?;
    canvas.text(label_text, (plot.right, y), KEY_EM, TEXT, Align::End)
}

#[cfg(test)]
mod tests {
    use crate::kit::{Axis, Bar, Chart, Ink, Panel};

    fn chart(name: &str) -> Chart {
        let bar = |whole: f64, part: f64, spread| Bar {
            name: name.to_owned(),
            label: "62 %".to_owned(),
            whole,
            part,
            spread,
            ink: Ink::nth(0),
        };
        let bars = vec![bar(0.62, 0.4, Some((0.55, 0.69))), bar(1.4, -0.02, None), bar(f64::NAN, 0.0, None)];
        let x = Axis::linear("share of the variance", "share_of_variance").from_to(0.0, 1.0);
        let mut chart = Chart::new("Bars", vec![Panel::of_bars("", x, bars)]);
        chart.panel_height = 3.0 * Chart::BAR_ROW;
        chart
    }

    #[test]
    fn names_and_labels_stand_in_the_picture_and_long_names_are_cut() {
        let svg = chart("fibre diameter of felt").to_svg().expect("drawn");
        assert_eq!(svg.matches("\nfibre diameter of felt\n").count(), 3);
        assert_eq!(svg.matches("\n62 %\n").count(), 3);
        assert!(!chart(&"long ".repeat(60)).to_svg().expect("drawn").contains(&"long ".repeat(60)));
    }

    #[test]
    fn the_table_holds_whole_part_and_spread() {
        let table = chart("felt").to_csv();
        let rows: Vec<&str> = table.lines().collect();
        assert_eq!(
            rows[..3],
            [
                "panel,series,mark,share_of_variance,rank,share_of_variance_part,share_of_variance_low,share_of_variance_high,label",
                "1,felt,bar,0.62,1.0,0.4,0.55,0.69,62 %",
                "1,felt,bar,1.4,2.0,-0.02,,,62 %",
            ]
        );
    }
}
