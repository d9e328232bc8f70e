//! A panel with its axes settled and its place on the sheet known.

use super::axis::Mapping;
use super::clip::{Point, Rect, polyline};
use super::key::KeyRow;
use super::ticks::Tick;
use super::{Chart, Line, Panel, Span};
use crate::PlotError;

/// The axes of a panel, settled on its data.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axes {
    pub(super) x: Mapping,
    pub(super) y: Mapping,
}

impl Axes {
    /// Settles the axes; a panel in which no point can be shown is an error.
    pub(super) fn of(panel: &Panel, chart: &Chart) -> Result<Self, PlotError> {
        let nothing =
            || PlotError::NothingToDraw { chart: chart.title.clone(), panel: panel.name().to_owned() };
        let points = || panel.lines.iter().flat_map(|line| line.points.iter().copied());
        let edges = || panel.bands.iter().flat_map(|band| band.points.iter().copied());
        let marks = || panel.markers.iter().map(|marker| marker.at);
        let bars = || panel.bars.iter().enumerate().map(|(n, bar)| (bar.whole, n as f64 + 1.0));
        let spans = || {
            let places = |(n, span): (usize, &Span)| span.places().map(move |x| (x, n as f64 + 1.0));
            panel.spans.iter().enumerate().flat_map(places).collect::<Vec<_>>()
        };
        let single = || points().chain(marks()).chain(bars()).chain(spans());
        let xs = single().map(|p| p.0).chain(edges().map(|e| e.0));
        let ys = single().map(|p| p.1).chain(edges().flat_map(|e| [e.1, e.2]));
        let shown = single().chain(edges().map(|e| (e.0, e.2)));
        if !shown.into_iter().any(|(x, y)| panel.x.can_show(x) && panel.y.can_show(y)) {
            return Err(nothing());
        }
        let x = panel.x.settled(xs)?.ok_or_else(nothing)?;
        let y = panel.y.settled(ys)?.ok_or_else(nothing)?;
        Ok(Self { x, y })
    }

    /// Place of a point inside a rectangle of the sheet.
    pub(super) fn place(self, (x, y): (f64, f64), plot: Rect) -> Point {
        (plot.left + self.x.fraction(x) * plot.width(), plot.bottom - self.y.fraction(y) * plot.height())
    }

    /// The outline of a band, lower edge forth and upper edge back, in one piece for each unbroken run of points.
    pub(super) fn outlines(self, points: &[(f64, f64, f64)], plot: Rect) -> Vec<Vec<Point>> {
        let at = |x: f64, y: f64| {
            let fraction = self.y.bounded_fraction(y);
            (plot.left + self.x.fraction(x) * plot.width(), plot.bottom - fraction * plot.height())
        };
        let ends: Vec<(Point, Point)> = points.iter().map(|&(x, lo, up)| (at(x, lo), at(x, up))).collect();
        let whole = |(lo, up): &(Point, Point)| [lo.0, lo.1, up.1].into_iter().all(f64::is_finite);
        ends.split(|end| !whole(end))
            .filter(|run| run.len() > 1)
            .map(|run| run.iter().map(|end| end.0).chain(run.iter().rev().map(|end| end.1)).collect())
            .collect()
    }

    /// The pieces of a line that can be seen inside `plot`.
    pub(super) fn visible(self, line: &Line, plot: Rect) -> Vec<Vec<Point>> {
        let path: Vec<Point> = line.points.iter().map(|&p| self.place(p, plot)).collect();
        polyline(&path, plot)
    }

    /// Whether a line can be seen up to the right edge of the panel, so that its name can stand beside its end.
    pub(super) fn reaches_right(self, line: &Line) -> bool {
        const UNIT: Rect = Rect { left: 0.0, top: 0.0, right: 1.0, bottom: 1.0 };
        self.visible(line, UNIT).last().and_then(|piece| piece.last()).is_some_and(|end| end.0 > 0.99)
    }
}

/// A panel ready to be drawn.
#[derive(Debug)]
pub(super) struct Frame<'a> {
    pub(super) panel: &'a Panel,
    pub(super) axes: Axes,
    /// The area of the data.
    pub(super) plot: Rect,
    pub(super) x_ticks: Vec<Tick>,
    pub(super) y_ticks: Vec<Tick>,
    /// Names at line ends; else in rows.
    pub(super) names_at_ends: bool,
    pub(super) key_rows: Vec<KeyRow>,
}
