//! The sheet that is drawn on: every call of the drawing library but the measuring of text.
//!
//! The library counts in whole units, so the sheet has ten of them to the pixel, and the head of the SVG is rewritten
//! to give the size in pixels again.

use std::io;

use plotters::backend::SVGBackend;
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind, IntoDrawingArea};
use plotters::element::{Circle, PathElement, Polygon};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, FontStyle, RGBColor, ShapeStyle, TextStyle};

use super::clip::{Point, Rect, dashes};
use super::palette::{PAPER, Rgb};
use super::text::{FAMILY, SIZE_PER_EM, make_font_known, one_line};
use crate::PlotError;

/// Units of the drawing library to the pixel.
const UNITS: f64 = 10.0;

/// Where a text starts from its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    Start,
    Middle,
    End,
}

/// How a curve is inked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pen {
    pub(super) colour: Rgb,
    pub(super) width: f64,
    pub(super) dash: &'static [f64],
}

impl Pen {
    pub(super) const fn full(colour: Rgb, width: f64) -> Self {
        Self { colour, width, dash: &[] }
    }
}

/// A sheet on which a chart is being drawn.
pub(super) struct Canvas<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
}

type Fault = DrawingAreaErrorKind<io::Error>;

impl From<Fault> for PlotError {
    fn from(source: Fault) -> Self {
        Self::Svg { source: Box::new(source) }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a picture of a few thousand pixels")]
fn unit(length: f64) -> i32 {
    libm::round(length * UNITS) as i32
}

fn units(point: Point) -> (i32, i32) {
    (unit(point.0), unit(point.1))
}

fn colour(rgb: Rgb) -> RGBColor {
    RGBColor(rgb.0, rgb.1, rgb.2)
}

/// Draws on a sheet of `width` by `height` pixels and returns the SVG; `title` and `description` go into it for
/// readers that speak.
pub(super) fn svg(
    (width, height): (f64, f64),
    (title, description): (&str, &str),
    draw: impl FnOnce(&Canvas<'_>) -> Result<(), PlotError>,
) -> Result<String, PlotError> {
    make_font_known()?;
    let mut text = String::new();
    let sheet = (unit(width).unsigned_abs(), unit(height).unsigned_abs());
    {
        let area = SVGBackend::with_string(&mut text, sheet).into_drawing_area();
        area.fill(&colour(PAPER))?;
        let canvas = Canvas { area };
        draw(&canvas)?;
        canvas.area.present()?;
    }
    let body = text.split_once('\n').map_or("", |(_, body)| body);
    Ok(format!(
        "<svg width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\" role=\"img\" xmlns=\"http://www.w3.org/2000/svg\">\n\
         <title>{}</title>\n<desc>{}</desc>\n{body}",
        width,
        height,
        sheet.0,
        sheet.1,
        escaped(title),
        escaped(description),
    ))
}

fn escaped(text: &str) -> String {
    one_line(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

impl Canvas<'_> {
    /// A curve.
    pub(super) fn curve(&self, points: &[Point], pen: Pen) -> Result<(), PlotError> {
        let style = ShapeStyle {
            color: colour(pen.colour).to_rgba(),
            filled: false,
            stroke_width: unit(pen.width).unsigned_abs(),
        };
        for piece in dashes(points, pen.dash) {
            let path: Vec<(i32, i32)> = piece.into_iter().map(units).collect();
            self.area.draw(&PathElement::new(path, style))?;
        }
        Ok(())
    }

    /// A filled area; `cover` is 1 for full ink, 0 for none.
    pub(super) fn fill(&self, points: &[Point], ink: Rgb, cover: f64) -> Result<(), PlotError> {
        if points.len() < 3 {
            return Ok(());
        }
        let corners: Vec<(i32, i32)> = points.iter().copied().map(units).collect();
        Ok(self.area.draw(&Polygon::new(corners, colour(ink).mix(cover).filled()))?)
    }

    /// A filled rectangle.
    pub(super) fn fill_rect(&self, rect: Rect, ink: Rgb, cover: f64) -> Result<(), PlotError> {
        let Rect { left, top, right, bottom } = rect;
        self.fill(&[(left, top), (right, top), (right, bottom), (left, bottom)], ink, cover)
    }

    /// A disc.
    pub(super) fn disc(&self, centre: Point, radius: f64, ink: Rgb) -> Result<(), PlotError> {
        Ok(self.area.draw(&Circle::new(units(centre), unit(radius), colour(ink).filled()))?)
    }

    /// A text of font size `em` whose middle height is at the point.
    pub(super) fn text(
        &self,
        text: &str,
        at: Point,
        em: f64,
        ink: Rgb,
        align: Align,
    ) -> Result<(), PlotError> {
        let anchor = match align {
            Align::Start => HPos::Left,
            Align::Middle => HPos::Center,
            Align::End => HPos::Right,
        };
        let font = FontDesc::new(FontFamily::Name(FAMILY), em * UNITS * SIZE_PER_EM, FontStyle::Normal);
        let ink = colour(ink);
        let style = TextStyle::from(font).color(&ink).pos(Pos::new(anchor, VPos::Center));
        Ok(self.area.draw_text(&one_line(text), &style, units(at))?)
    }
}
