//! A settled chart drawn on the sheet.

use super::bars::bars;
use super::canvas::{Align, Canvas, Pen, svg};
use super::clip::{Point, polygon, polyline};
use super::frame::Frame;
use super::key::draw_rows;
use super::labels::labels;
use super::layout::{Layout, TICK, TICK_EM, key_top};
use super::palette::{GRID, PAPER, QUIET, Shape, TEXT};
use super::raster::png;
use super::spans::spans;
use super::text::width;
use super::{Chart, Guide, Ink};
use crate::PlotError;

/// Radius of a mark (px).
pub(super) const RADIUS: f64 = 4.0;
/// Cover of a band by its ink.
const BAND_COVER: f64 = 0.17;
/// The same where bands lie on one another.
const BAND_COVER_AMONG_OTHERS: f64 = 0.11;

impl Chart {
    /// The chart as SVG: texts stay texts, in DejaVu Sans or what the reader has in its place.
    ///
    /// # Errors
    /// [`PlotError::NothingToDraw`], [`PlotError::Range`] or [`PlotError::NoRoom`] for a chart that cannot be drawn.
    pub fn to_svg(&self) -> Result<String, PlotError> {
        let layout = Layout::of(self)?;
        svg(layout.size, (&self.title, &self.subtitle), |canvas| {
            for frame in &layout.frames {
                panel(canvas, frame)?;
            }
            for text in &layout.texts {
                canvas.text(&text.text, text.at, text.em, text.ink, text.align)?;
            }
            Ok(())
        })
    }

    /// The chart as PNG of a width in pixels, 1 to 10 000; the height follows.
    ///
    /// # Errors
    /// As [`Chart::to_svg`], and [`PlotError::PngSize`].
    pub fn to_png(&self, width: u32) -> Result<Vec<u8>, PlotError> {
        png(&self.to_svg()?, width)
    }
}

fn panel(canvas: &Canvas<'_>, frame: &Frame<'_>) -> Result<(), PlotError> {
    grid(canvas, frame)?;
    bands(canvas, frame)?;
    let curves: Vec<Vec<Vec<Point>>> =
        frame.panel.lines.iter().map(|line| frame.axes.visible(line, frame.plot)).collect();
    for guide in &frame.panel.guides {
        let pen = Pen { colour: QUIET, width: 1.0, dash: &[3.0, 3.0] };
        if let Some((from, to)) = across(guide, frame) {
            canvas.curve(&[from, to], pen)?;
        }
    }
    for (line, pieces) in frame.panel.lines.iter().zip(&curves) {
        let pen = Pen { colour: line.ink.colour(), width: 2.0, dash: line.ink.dash() };
        for piece in pieces {
            canvas.curve(piece, pen)?;
        }
    }
    bars(canvas, frame)?;
    spans(canvas, frame)?;
    border(canvas, frame)?;
    for (at, ink) in marks(frame) {
        mark(canvas, at, ink)?;
    }
    labels(canvas, frame, &curves)?;
    draw_rows(canvas, &frame.key_rows, frame.plot.left.min(key_left(frame)), key_top(frame))
}

/// Bands first as areas, then their edges, so that each can be followed where several lie on one another.
fn bands(canvas: &Canvas<'_>, frame: &Frame<'_>) -> Result<(), PlotError> {
    let several = frame.panel.bands.len() > 1;
    let cover = if several { BAND_COVER_AMONG_OTHERS } else { BAND_COVER };
    for band in &frame.panel.bands {
        for outline in frame.axes.outlines(&band.points, frame.plot) {
            canvas.fill(&polygon(&outline, frame.plot), band.ink.colour(), cover)?;
            if several {
                let (lower, upper) = outline.split_at(outline.len() / 2);
                for edge in [lower, upper].into_iter().flat_map(|edge| polyline(edge, frame.plot)) {
                    canvas.curve(&edge, Pen::full(band.ink.colour(), 0.5))?;
                }
            }
        }
    }
    Ok(())
}

/// Left edge of the key: that of the texts on the vertical axis.
fn key_left(frame: &Frame<'_>) -> f64 {
    let texts = frame.y_ticks.iter().filter_map(|tick| tick.text.as_deref());
    frame.plot.left - TICK - 5.0 - texts.map(|text| width(text, TICK_EM)).fold(0.0, f64::max)
}

fn grid(canvas: &Canvas<'_>, frame: &Frame<'_>) -> Result<(), PlotError> {
    let Frame { plot, axes, .. } = frame;
    for tick in frame.x_ticks.iter().filter(|tick| tick.text.is_some()) {
        let x = plot.left + axes.x.fraction(tick.value) * plot.width();
        canvas.curve(&[(x, plot.top), (x, plot.bottom)], Pen::full(GRID, 0.8))?;
    }
    for tick in frame.y_ticks.iter().filter(|tick| tick.text.is_some()) {
        let y = plot.bottom - axes.y.fraction(tick.value) * plot.height();
        canvas.curve(&[(plot.left, y), (plot.right, y)], Pen::full(GRID, 0.8))?;
    }
    Ok(())
}

fn border(canvas: &Canvas<'_>, frame: &Frame<'_>) -> Result<(), PlotError> {
    let Frame { plot, axes, .. } = frame;
    let pen = Pen::full(TEXT, 1.1);
    canvas.curve(&[(plot.left, plot.top), (plot.left, plot.bottom), (plot.right, plot.bottom)], pen)?;
    for tick in &frame.x_ticks {
        let x = plot.left + axes.x.fraction(tick.value) * plot.width();
        let length = if tick.text.is_some() { TICK } else { 0.55 * TICK };
        canvas.curve(&[(x, plot.bottom), (x, plot.bottom + length)], Pen::full(TEXT, 1.0))?;
        if let Some(text) = &tick.text {
            let at = (x, plot.bottom + TICK + 0.8 * TICK_EM);
            canvas.text(text, at, TICK_EM, TEXT, Align::Middle)?;
        }
    }
    for tick in &frame.y_ticks {
        let y = plot.bottom - axes.y.fraction(tick.value) * plot.height();
        let length = if tick.text.is_some() { TICK } else { 0.55 * TICK };
        canvas.curve(&[(plot.left - length, y), (plot.left, y)], Pen::full(TEXT, 1.0))?;
        if let Some(text) = &tick.text {
            canvas.text(text, (plot.left - TICK - 3.0, y), TICK_EM, TEXT, Align::End)?;
        }
    }
    Ok(())
}

/// Ends of a guide; none where it lies outside the panel.
pub(super) fn across(guide: &Guide, frame: &Frame<'_>) -> Option<(Point, Point)> {
    let Frame { plot, axes, .. } = frame;
    match guide {
        Guide::Horizontal { at, .. } => {
            let y = plot.bottom - axes.y.fraction(*at) * plot.height();
            (plot.top..=plot.bottom).contains(&y).then_some(((plot.left, y), (plot.right, y)))
        }
        Guide::Vertical { at, .. } => {
            let x = plot.left + axes.x.fraction(*at) * plot.width();
            (plot.left..=plot.right).contains(&x).then_some(((x, plot.bottom), (x, plot.top)))
        }
    }
}

/// Every mark inside the panel: on the points of dotted lines, then the labelled ones.
pub(super) fn marks(frame: &Frame<'_>) -> Vec<(Point, Ink)> {
    let dots = frame.panel.lines.iter().filter(|line| line.dots);
    let dots = dots.flat_map(|line| line.points.iter().map(|point| (*point, line.ink)));
    let markers = frame.panel.markers.iter().map(|marker| (marker.at, marker.ink));
    dots.chain(markers)
        .map(|(point, ink)| (frame.axes.place(point, frame.plot), ink))
        .filter(|(at, _)| frame.plot.grown(0.05).has(*at))
        .collect()
}

/// A mark in the shape of its ink.
pub(super) fn mark(canvas: &Canvas<'_>, at: Point, ink: Ink) -> Result<(), PlotError> {
    let corners = |turns: &[(f64, f64)]| -> Vec<Point> {
        turns.iter().map(|(x, y)| (at.0 + RADIUS * x, at.1 + RADIUS * y)).collect()
    };
    let square = corners(&[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)]);
    let triangle = corners(&[(0.0, -1.2), (1.1, 0.8), (-1.1, 0.8)]);
    let diamond = corners(&[(0.0, -1.35), (1.1, 0.0), (0.0, 1.35), (-1.1, 0.0)]);
    let colour = ink.colour();
    let open = |outline: &[Point]| {
        canvas.fill(outline, PAPER, 1.0)?;
        let ring: Vec<Point> = outline.iter().chain(&outline[..2]).copied().collect();
        canvas.curve(&ring, Pen::full(colour, 1.6))
    };
    match ink.shape() {
        Shape::Disc => canvas.disc(at, RADIUS, colour),
        Shape::OpenDisc => {
            canvas.disc(at, RADIUS + 0.7, colour)?;
            canvas.disc(at, RADIUS - 0.9, PAPER)
        }
        Shape::Square => canvas.fill(&square, colour, 1.0),
        Shape::OpenSquare => open(&square),
        Shape::Triangle => canvas.fill(&triangle, colour, 1.0),
        Shape::OpenTriangle => open(&triangle),
        Shape::Diamond => canvas.fill(&diamond, colour, 1.0),
    }
}

#[cfg(test)]
mod tests {
    use resvg::tiny_skia::Pixmap;
    use resvg::usvg::roxmltree::Document;

    use super::*;
    use crate::kit::{Arrangement, Axis, Band, Key, Line, Marker, Panel, Scale, TickText};

    /// Three smooth curves of penetration with a hump, a band, marks and guides; names that try the escaping.
    fn sample(key: Key) -> Chart {
        let x = Axis::log("particle diameter (µm, mobility)", "particle_diameter_um").from_to(0.01, 10.0);
        let y = Axis::log("efficiency", "penetration").from_to(1e-4, 1.0);
        let y = Axis { scale: Scale::LogFalling, text: TickText::EfficiencyOfPenetration, ..y };
        let mut panel = Panel::new(x, y);
        panel.key = key;
        for (n, name) in ["2 cm/s", "5 cm/s <felt> & \"twill\"", "10 cm/s"].into_iter().enumerate() {
            let hump = |d: f64| 0.02 * (n + 1) as f64 * (-(d / 0.3).ln().powi(2) / 3.0).exp();
            let diameters: Vec<f64> = (0..61).map(|i| 0.01 * 10f64.powf(f64::from(i) / 20.0)).collect();
            let points = diameters.iter().map(|&d| (d, hump(d))).collect();
            panel.lines.push(Line::new(name, points, Ink::nth(n)));
            let points = diameters.iter().map(|&d| (d, 0.7 * hump(d), 1.4 * hump(d))).collect();
            panel.bands.push(Band { name: name.to_owned(), points, ink: Ink::nth(n) });
            let label = format!("0.30 µm, {n}");
            panel.markers.push(Marker {
                series: name.to_owned(),
                at: (0.3, hump(0.3)),
                label,
                ink: Ink::nth(n),
            });
        }
        panel.guides.push(Guide::Vertical { at: 1.0, label: "1 µm".to_owned() });
        let mut chart = Chart::new("Efficiency & size", vec![panel]);
        chart.footnotes.push("A footnote.".to_owned());
        chart
    }

    #[test]
    fn the_svg_is_well_formed_and_holds_every_label_as_text() {
        for key in [Key::LineEnds, Key::Below] {
            let svg = sample(key).to_svg().expect("drawn");
            let document = Document::parse(&svg).expect("well-formed");
            let texts: Vec<&str> = document
                .descendants()
                .filter(|node| node.has_tag_name("text"))
                .filter_map(|node| node.text().map(str::trim))
                .collect();
            for wanted in [
                "Efficiency & size",
                "particle diameter (µm, mobility)",
                "99.9 %",
                "0.05",
                "5 cm/s <felt> & \"twill\"",
                "0.30 µm, 2",
                "1 µm",
                "A footnote.",
            ] {
                assert!(texts.contains(&wanted), "{wanted} is not among {texts:?}");
            }
        }
    }

    #[test]
    fn the_same_chart_gives_the_same_bytes() {
        let chart = sample(Key::LineEnds);
        assert_eq!(chart.to_svg().expect("drawn"), chart.to_svg().expect("drawn"));
        assert_eq!(chart.to_png(600).expect("drawn"), chart.to_png(600).expect("drawn"));
        assert_eq!(chart.to_csv(), chart.to_csv());
    }

    #[test]
    fn the_png_has_the_size_asked_for_and_ink_on_it() {
        let chart = sample(Key::Below);
        let bitmap = Pixmap::decode_png(&chart.to_png(1080).expect("drawn")).expect("a PNG");
        let (width, height) = Layout::of(&chart).expect("settled").size;
        assert_eq!(bitmap.width(), 1080);
        assert!((f64::from(bitmap.height()) - height * 1080.0 / width).abs() <= 0.5, "{}", bitmap.height());
        let dark = bitmap.pixels().iter().filter(|p| p.red() < 128).count();
        assert!(dark > 5000, "{dark} dark pixels");
        assert!(matches!(chart.to_png(0), Err(PlotError::PngSize { .. })));
        assert!(matches!(chart.to_png(20_000), Err(PlotError::PngSize { .. })));
    }

    #[test]
    fn the_widths_of_texts_are_those_of_the_renderer() {
        let words = "Most penetrating size 0.21 µm, efficiency 99.97 %";
        let draw = |canvas: &Canvas<'_>| canvas.text(words, (20.0, 50.0), 20.0, TEXT, Align::Start);
        let picture = svg((800.0, 100.0), ("t", ""), draw).expect("drawn");
        let bitmap = Pixmap::decode_png(&png(&picture, 800).expect("drawn")).expect("a PNG");
        let inked = |x: &u32| (0..100).any(|y| bitmap.pixel(*x, y).is_some_and(|p| p.red() < 128));
        let first = (0..800).find(inked).expect("ink");
        let last = (0..800).rev().find(inked).expect("ink");
        let (got, expected) = (f64::from(last - first + 1), width(words, 20.0));
        assert!((got - expected).abs() < 6.0, "drawn {got} px wide, measured {expected}");
    }

    #[test]
    fn a_chart_without_points_is_an_error_and_not_a_panic() {
        let empty = Chart::new("Empty", Vec::new());
        assert!(matches!(empty.to_svg(), Err(PlotError::NothingToDraw { .. })));
        let mut chart = sample(Key::LineEnds);
        chart.panels[0].lines = vec![Line::new("nothing", vec![(0.1, f64::NAN), (1.0, 0.0)], Ink::nth(0))];
        chart.panels[0].bands.clear();
        chart.panels[0].markers.clear();
        let fault = chart.to_svg().expect_err("no point can be shown");
        assert_eq!(
            fault.to_string(),
            "the panel \"efficiency\" of the chart \"Empty\" has nothing to draw"
                .replace("Empty", "Efficiency & size")
        );
    }

    #[test]
    fn two_panels_draw_in_a_row() {
        let mut chart = sample(Key::Below);
        chart.panels.push(chart.panels[0].clone());
        chart.arrangement = Arrangement::Row;
        let svg = chart.to_svg().expect("drawn");
        assert_eq!(svg.matches("particle diameter (µm, mobility)").count(), 2);
    }
}
