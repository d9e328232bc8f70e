//! Where everything stands: margins from the widths of the texts, panels from what is left.

use super::canvas::Align;
use super::clip::{Point, Rect};
use super::frame::{Axes, Frame};
use super::key::{KEY_EM, KEY_ROW, fits_at_ends, rows};
use super::palette::{QUIET, Rgb, TEXT};
use super::text::{width, wrapped};
use super::ticks::Tick;
use super::{Arrangement, Chart, Key, Panel, Scale};
use crate::PlotError;

/// Font size of the texts on ticks (px).
pub(super) const TICK_EM: f64 = 12.5;
/// Font size of axis labels (px).
pub(super) const LABEL_EM: f64 = 13.0;
/// Length of a tick (px).
pub(super) const TICK: f64 = 5.0;

const TITLE_EM: f64 = 17.0;
const SUBTITLE_EM: f64 = 13.0;
const PANEL_EM: f64 = 14.5;
const NOTE_EM: f64 = 11.5;
/// Height of a line of text to its font size.
const LEADING: f64 = 1.4;
/// Round the whole picture (px).
const MARGIN: f64 = 14.0;
/// Between panels (px).
const BETWEEN: f64 = 22.0;
/// Below the data: ticks with their texts, and the label of the axis (px).
const X_TEXTS: f64 = TICK + 1.5 * TICK_EM + LEADING * LABEL_EM;
/// From the right edge of the data to the names of curves (px).
pub(super) const NAME_GAP: f64 = 16.0;
/// Least width and height of the area of the data (px).
const LEAST: f64 = 60.0;

/// A line of text with its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Placed {
    pub(super) text: String,
    pub(super) at: Point,
    pub(super) em: f64,
    pub(super) ink: Rgb,
    pub(super) align: Align,
}

/// A chart with every place settled.
#[derive(Debug)]
pub(super) struct Layout<'a> {
    pub(super) size: (f64, f64),
    pub(super) texts: Vec<Placed>,
    pub(super) frames: Vec<Frame<'a>>,
}

/// Lines of text one below the other.
struct Stack {
    texts: Vec<Placed>,
    left: f64,
    y: f64,
}

impl Stack {
    fn add(&mut self, text: &str, em: f64, ink: Rgb, room: f64) {
        for line in wrapped(text, em, room) {
            let at = (self.left, self.y + LEADING * em / 2.0);
            self.texts.push(Placed { text: line, at, em, ink, align: Align::Start });
            self.y += LEADING * em;
        }
    }
}

/// What a panel needs before it has a place.
struct Measured<'a> {
    panel: &'a Panel,
    axes: Axes,
    y_ticks: Vec<Tick>,
    names_at_ends: bool,
    left: f64,
    right: f64,
}

impl<'a> Layout<'a> {
    /// Settles a chart.
    pub(super) fn of(chart: &'a Chart) -> Result<Self, PlotError> {
        if chart.panels.is_empty() {
            let (chart, panel) = (chart.title.clone(), String::new());
            return Err(PlotError::NothingToDraw { chart, panel });
        }
        let mut stack = Stack { texts: Vec::new(), left: MARGIN, y: MARGIN };
        let room = chart.width - 2.0 * MARGIN;
        stack.add(&chart.title, TITLE_EM, TEXT, room);
        stack.add(&chart.subtitle, SUBTITLE_EM, QUIET, room);
        stack.y += 8.0;
        let frames = match chart.arrangement {
            Arrangement::Column => column(chart, &mut stack)?,
            Arrangement::Row => row(chart, &mut stack)?,
        };
        stack.left = MARGIN;
        stack.y += 8.0;
        for note in &chart.footnotes {
            stack.add(note, NOTE_EM, QUIET, room);
        }
        let size = (chart.width.round(), (stack.y + MARGIN).round());
        Ok(Self { size, texts: stack.texts, frames })
    }
}

fn measured<'a>(panel: &'a Panel, chart: &Chart, slot: f64) -> Result<Measured<'a>, PlotError> {
    let axes = Axes::of(panel, chart)?;
    let y_ticks = panel.y.ticks(axes.y, most(chart.panel_height, 30.0));
    let names_at_ends = fits_at_ends(panel, 0.32 * slot, chart.panel_height);
    let names = panel.lines.iter().filter(|line| names_at_ends && axes.reaches_right(line));
    let name = names.map(|line| width(&line.caption(), KEY_EM)).fold(0.0, f64::max);
    let right = if name > 0.0 { NAME_GAP + name } else { MARGIN };
    Ok(Measured { panel, axes, left: widest(&y_ticks) + TICK + 5.0, y_ticks, names_at_ends, right })
}

fn widest(ticks: &[Tick]) -> f64 {
    ticks.iter().filter_map(|tick| tick.text.as_deref()).map(|text| width(text, TICK_EM)).fold(0.0, f64::max)
}

/// How many ticks with text stand on a length.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few dozen, checked from below"
)]
fn most(length: f64, each: f64) -> usize {
    (length / each).max(2.0) as usize
}

fn column<'a>(chart: &'a Chart, stack: &mut Stack) -> Result<Vec<Frame<'a>>, PlotError> {
    let slot = chart.width - 2.0 * MARGIN;
    let panels: Vec<Measured<'_>> =
        chart.panels.iter().map(|panel| measured(panel, chart, slot)).collect::<Result<_, _>>()?;
    let left = panels.iter().map(|m| m.left).fold(0.0, f64::max);
    let right = panels.iter().map(|m| m.right).fold(0.0, f64::max);
    let mut frames = Vec::new();
    for (number, panel) in panels.into_iter().enumerate() {
        if number > 0 {
            stack.y += BETWEEN;
        }
        let span = (MARGIN + left, MARGIN + slot - right, MARGIN + slot);
        heading(panel.panel, stack, slot);
        let (frame, bottom) = framed(panel, chart, span, stack)?;
        stack.y = bottom;
        frames.push(frame);
    }
    Ok(frames)
}

fn row<'a>(chart: &'a Chart, stack: &mut Stack) -> Result<Vec<Frame<'a>>, PlotError> {
    let count = chart.panels.len() as f64;
    let slot = (chart.width - 2.0 * MARGIN - (count - 1.0) * BETWEEN) / count;
    let top = stack.y;
    // Headings may wrap to different heights; the data areas start level.
    let mut lowest = top;
    for (number, panel) in chart.panels.iter().enumerate() {
        stack.y = top;
        stack.left = MARGIN + number as f64 * (slot + BETWEEN);
        heading(panel, stack, slot);
        lowest = lowest.max(stack.y);
    }
    let (mut frames, mut bottom) = (Vec::new(), lowest);
    for (number, panel) in chart.panels.iter().enumerate() {
        let panel = measured(panel, chart, slot)?;
        stack.y = lowest;
        stack.left = MARGIN + number as f64 * (slot + BETWEEN);
        // A key that speaks for the panels at its right may run below them.
        let alone = chart.panels[number + 1..].iter().all(|other| other.key == Key::None);
        let key_end = if alone { chart.width - MARGIN } else { stack.left + slot };
        let span = (stack.left + panel.left, stack.left + slot - panel.right, key_end);
        let (frame, below) = framed(panel, chart, span, stack)?;
        bottom = bottom.max(below);
        frames.push(frame);
    }
    stack.y = bottom;
    Ok(frames)
}

/// Title of a panel and the label of its vertical axis, above it.
fn heading(panel: &Panel, stack: &mut Stack, slot: f64) {
    stack.add(&panel.title, PANEL_EM, TEXT, slot);
    stack.add(&panel.y.label, LABEL_EM, QUIET, slot);
    stack.y += 6.0;
}

/// The frame between two verticals with its top at the stack's height and its key up to a third, and the bottom of
/// all that belongs to it.
fn framed<'a>(
    panel: Measured<'a>,
    chart: &Chart,
    (left, right, key_end): (f64, f64, f64),
    stack: &mut Stack,
) -> Result<(Frame<'a>, f64), PlotError> {
    let plot = Rect { left, right, top: stack.y, bottom: stack.y + chart.panel_height };
    if !(plot.width() >= LEAST && plot.height() >= LEAST) {
        return Err(PlotError::NoRoom { width: chart.width, height: chart.panel_height });
    }
    let Measured { panel, axes, y_ticks, names_at_ends, .. } = panel;
    let x_ticks = x_ticks(panel, axes, plot.width());
    let label = wrapped(&panel.x.label, LABEL_EM, plot.width()).join(" ");
    let at = (right, plot.bottom + TICK + 1.5 * TICK_EM + LEADING * LABEL_EM / 2.0);
    stack.texts.push(Placed { text: label, at, em: LABEL_EM, ink: QUIET, align: Align::End });
    let keyed = !names_at_ends && panel.key != Key::None;
    let key_rows = if keyed { rows(panel, key_end - stack.left) } else { Vec::new() };
    let key = if key_rows.is_empty() { 0.0 } else { KEY_ROW * key_rows.len() as f64 + 8.0 };
    let bottom = plot.bottom + X_TEXTS + key;
    Ok((Frame { panel, axes, plot, x_ticks, y_ticks, names_at_ends, key_rows }, bottom))
}

/// As many ticks as have room, tried from many to few: what stands on them decides how wide they are.
fn x_ticks(panel: &Panel, axes: Axes, length: f64) -> Vec<Tick> {
    let mut ticks = Vec::new();
    let most = if panel.x.scale == Scale::Linear { 9 } else { 14 };
    for wanted in (2..=most).rev() {
        ticks = panel.x.ticks(axes.x, wanted);
        let mut edge = f64::NEG_INFINITY;
        let mut fits = true;
        for tick in &ticks {
            if let Some(text) = &tick.text {
                let (at, half) = (axes.x.fraction(tick.value) * length, width(text, TICK_EM) / 2.0);
                fits &= at - half > edge + 6.0;
                edge = at + half;
            }
        }
        if fits {
            break;
        }
    }
    ticks
}

/// Top of the key of a frame.
pub(super) fn key_top(frame: &Frame<'_>) -> f64 {
    frame.plot.bottom + X_TEXTS + 6.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::{Axis, Ink, Line};

    fn chart(arrangement: Arrangement, names: &[&str]) -> Chart {
        let panel = |title: &str| {
            let x = Axis::log("particle diameter (µm, mobility)", "diameter_um").from_to(0.01, 10.0);
            let mut panel = Panel::new(x, Axis::linear("efficiency", "efficiency"));
            panel.title = title.to_owned();
            panel.lines = names
                .iter()
                .enumerate()
                .map(|(i, name)| Line::new(*name, vec![(0.01, 0.1), (10.0, 0.9)], Ink::nth(i)))
                .collect();
            panel
        };
        Chart {
            arrangement,
            ..Chart::new("A title", vec![panel("one"), panel("two, with a title that wraps")])
        }
    }

    #[test]
    fn panels_stand_apart_and_inside_the_sheet() {
        for arrangement in [Arrangement::Column, Arrangement::Row] {
            let chart = chart(arrangement, &["short", "other"]);
            let layout = Layout::of(&chart).expect("a valid chart");
            let sheet = Rect { left: 0.0, top: 0.0, right: layout.size.0, bottom: layout.size.1 };
            let plots: Vec<Rect> = layout.frames.iter().map(|f| f.plot).collect();
            assert!(plots.iter().all(|plot| sheet.holds(*plot)), "{plots:?} in {sheet:?}");
            assert!(!plots[0].overlaps(plots[1]), "{plots:?}");
            match arrangement {
                Arrangement::Column => assert!((plots[0].left - plots[1].left).abs() < 1e-9),
                Arrangement::Row => assert!((plots[0].top - plots[1].top).abs() < 1e-9),
            }
        }
    }

    #[test]
    fn long_names_go_below_the_panel() {
        let long = "needled felt between two sheets of a rather closely woven cotton";
        let chart = chart(Arrangement::Column, &["short", long]);
        let layout = Layout::of(&chart).expect("a valid chart");
        assert!(layout.frames.iter().all(|f| !f.names_at_ends && !f.key_rows.is_empty()));
    }

    #[test]
    fn tick_texts_do_not_touch() {
        let chart = chart(Arrangement::Row, &["a"]);
        let layout = Layout::of(&chart).expect("a valid chart");
        for frame in &layout.frames {
            let mut edge = f64::NEG_INFINITY;
            for tick in frame.x_ticks.iter().filter(|t| t.text.is_some()) {
                let half = width(tick.text.as_deref().unwrap_or(""), TICK_EM) / 2.0;
                let at = frame.axes.x.fraction(tick.value) * frame.plot.width();
                assert!(at - half > edge, "{:?} touches its neighbour", tick.text);
                edge = at + half;
            }
        }
    }

    #[test]
    fn a_sheet_too_narrow_is_refused() {
        let chart = Chart { width: 120.0, ..chart(Arrangement::Row, &["a"]) };
        assert!(matches!(Layout::of(&chart), Err(PlotError::NoRoom { .. })));
    }
}
