//! Labels of a panel: names at line ends, labels of points and guides, each where it covers least.

use super::canvas::{Align, Canvas, Pen};
use super::clip::{Point, Rect};
use super::draw::{RADIUS, across, marks};
use super::frame::Frame;
use super::key::{KEY_EM, KEY_ROW};
use super::layout::NAME_GAP;
use super::palette::{PAPER, QUIET, TEXT};
use super::place::{Placer, spread};
use super::text::width;
use super::{Guide, Ink};
use crate::PlotError;

/// Font size of labels inside a panel (px).
const MARK_EM: f64 = 12.0;

/// Names at line ends, then labels of guides and markers, each where it covers least.
pub(super) fn labels(
    canvas: &Canvas<'_>,
    frame: &Frame<'_>,
    curves: &[Vec<Vec<Point>>],
) -> Result<(), PlotError> {
    for label in placed_labels(frame, curves) {
        if let Some((from, to)) = label.leader {
            canvas.curve(&[from, to], Pen::full(label.ink.map_or(QUIET, Ink::colour), 0.9))?;
        }
        if label.covering {
            canvas.fill_rect(label.rect, PAPER, 0.8)?;
        }
        let at = (label.rect.left + PAD, f64::midpoint(label.rect.top, label.rect.bottom));
        canvas.text(&label.text, at, label.em, TEXT, Align::Start)?;
    }
    Ok(())
}

/// Room left of a label's text inside its rectangle (px).
const PAD: f64 = 2.0;

/// A label with its place.
#[derive(Debug, Clone)]
pub(super) struct Label {
    pub(super) text: String,
    pub(super) rect: Rect,
    em: f64,
    ink: Option<Ink>,
    leader: Option<(Point, Point)>,
    /// Inside the panel, where a grid line may run below it.
    covering: bool,
}

/// All labels of a frame that are not on its axes.
pub(super) fn placed_labels(frame: &Frame<'_>, curves: &[Vec<Vec<Point>>]) -> Vec<Label> {
    let mut placer = Placer::new(frame.plot.grown(-2.0), curves.iter().flatten().cloned().collect());
    for (at, _) in marks(frame) {
        let rect = Rect { left: at.0, right: at.0, top: at.1, bottom: at.1 };
        placer.block(rect.grown(RADIUS + 1.0));
    }
    let mut labels = if frame.names_at_ends { names_beside(frame, curves) } else { Vec::new() };
    let mut inside = |text: &str, point: Point, em: f64, ink: Option<Ink>| {
        if text.is_empty() {
            return;
        }
        let rect = placer.place(point, (width(text, em) + 2.0 * PAD, 1.25 * em));
        let leader = leader_to(rect, point);
        labels.push(Label { text: text.to_owned(), rect, em, ink, leader, covering: true });
    };
    for marker in &frame.panel.markers {
        let at = frame.axes.place(marker.at, frame.plot);
        if frame.plot.grown(0.05).has(at) {
            inside(&marker.label, at, MARK_EM, Some(marker.ink));
        }
    }
    if frame.names_at_ends {
        for (line, pieces) in frame.panel.lines.iter().zip(curves) {
            if let Some(end) =
                pieces.last().and_then(|piece| piece.last()).filter(|_| !frame.axes.reaches_right(line))
            {
                inside(&line.caption(), *end, KEY_EM, Some(line.ink));
            }
        }
    }
    for guide in &frame.panel.guides {
        let (Guide::Horizontal { label, .. } | Guide::Vertical { label, .. }) = guide;
        if let Some((_, end)) = across(guide, frame) {
            inside(label, end, MARK_EM, None);
        }
    }
    labels
}

/// Names of the curves that reach the right edge, beside their ends.
fn names_beside(frame: &Frame<'_>, curves: &[Vec<Vec<Point>>]) -> Vec<Label> {
    let ends: Vec<(String, Ink, Point)> = frame
        .panel
        .lines
        .iter()
        .zip(curves)
        .filter(|(line, _)| frame.axes.reaches_right(line))
        .filter_map(|(line, pieces)| {
            let end = pieces.last()?.last()?;
            Some((line.caption(), line.ink, *end))
        })
        .collect();
    let wanted: Vec<f64> = ends.iter().map(|(_, _, end)| end.1).collect();
    let heights = spread(&wanted, KEY_ROW - 2.0, frame.plot.top - 10.0, frame.plot.bottom + 6.0);
    let left = frame.plot.right + NAME_GAP - PAD;
    ends.into_iter()
        .zip(heights)
        .map(|((text, ink, end), y)| Label {
            rect: Rect {
                left,
                right: left + width(&text, KEY_EM) + 2.0 * PAD,
                top: y - KEY_ROW / 2.0 + 1.0,
                bottom: y + KEY_ROW / 2.0 - 1.0,
            },
            text,
            em: KEY_EM,
            ink: Some(ink),
            leader: Some(((end.0 + 2.0, end.1), (left - 1.0, y))),
            covering: false,
        })
        .collect()
}

/// A line from a point to the nearest edge of its label, where the two are apart.
fn leader_to(rect: Rect, point: Point) -> Option<(Point, Point)> {
    let near = (point.0.clamp(rect.left, rect.right), point.1.clamp(rect.top, rect.bottom));
    let apart = libm::hypot(near.0 - point.0, near.1 - point.1);
    (apart > 8.0).then_some((point, near))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::layout::Layout;
    use crate::kit::{Axis, Chart, Line, Marker, Panel};

    /// Curves whose ends and marked points crowd together.
    fn crowded() -> Chart {
        let mut panel = Panel::new(
            Axis::linear("layers", "layers"),
            Axis::linear("pressure drop (Pa)", "pressure_drop_pa"),
        );
        for n in 0..7 {
            let name = format!("material number {n}");
            let end = 100.0 + 0.8 * f64::from(n);
            let ink = Ink::nth(usize::try_from(n).expect("small"));
            panel.lines.push(Line::dotted(
                name.clone(),
                vec![(1.0, 10.0), (4.0, end / 2.0), (8.0, end)],
                ink,
            ));
            panel.markers.push(Marker {
                series: name,
                at: (4.0, end / 2.0),
                label: format!("{end} Pa"),
                ink,
            });
        }
        panel.guides.push(Guide::Horizontal { at: 60.0, label: "60 Pa".to_owned() });
        panel.guides.push(Guide::Vertical { at: 4.0, label: "four".to_owned() });
        Chart::new("Crowded", vec![panel])
    }

    #[test]
    fn no_label_covers_another_or_leaves_the_sheet() {
        let chart = crowded();
        let layout = Layout::of(&chart).expect("settled");
        let frame = &layout.frames[0];
        let curves: Vec<_> =
            frame.panel.lines.iter().map(|line| frame.axes.visible(line, frame.plot)).collect();
        let labels = placed_labels(frame, &curves);
        assert_eq!(labels.len(), 7 + 7 + 2);
        let sheet = Rect { left: 0.0, top: 0.0, right: layout.size.0, bottom: layout.size.1 };
        for (i, label) in labels.iter().enumerate() {
            assert!(sheet.holds(label.rect), "{label:?}");
            for other in &labels[i + 1..] {
                assert!(!label.rect.overlaps(other.rect), "{} on {}", label.text, other.text);
            }
        }
    }
}
