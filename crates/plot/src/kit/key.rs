//! The key below a panel: samples of the inks with their names, in rows.

use super::canvas::{Align, Canvas, Pen};
use super::draw::mark;
use super::palette::TEXT;
use super::text::{shortened, width};
use super::{Ink, Key, Panel};
use crate::PlotError;

/// Font size of names of curves (px).
pub(super) const KEY_EM: f64 = 12.5;
/// Height of a row of the key (px).
pub(super) const KEY_ROW: f64 = 19.0;
/// Length of the sample of a line (px).
const SAMPLE: f64 = 44.0;
/// Between a sample and its name (px).
const GAP: f64 = 6.0;
/// Between one entry and the next (px).
const SPACE: f64 = 20.0;

/// One name in the key.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    name: String,
    ink: Ink,
    marked: bool,
    left: f64,
}

/// Names side by side.
pub(super) type KeyRow = Vec<Entry>;

/// Whether the names of a panel fit at the ends of its curves: `room` wide each, `height` for all.
pub(super) fn fits_at_ends(panel: &Panel, room: f64, height: f64) -> bool {
    panel.key == Key::LineEnds
        && panel.lines.iter().all(|line| width(&line.caption(), KEY_EM) <= room)
        && panel.lines.len() as f64 * KEY_ROW < 0.8 * height
}

/// Rows of the key of a panel in a width.
pub(super) fn rows(panel: &Panel, room: f64) -> Vec<KeyRow> {
    let mut rows: Vec<KeyRow> = Vec::new();
    let mut left = 0.0;
    for line in &panel.lines {
        let name = shortened(&line.caption(), KEY_EM, room - SAMPLE - GAP);
        let length = SAMPLE + GAP + width(&name, KEY_EM);
        if rows.is_empty() || left + length > room {
            rows.push(Vec::new());
            left = 0.0;
        }
        let marked = line.dots || panel.markers.iter().any(|marker| marker.ink == line.ink);
        if let Some(row) = rows.last_mut() {
            row.push(Entry { name, ink: line.ink, marked, left });
        }
        left += length + SPACE;
    }
    rows
}

/// Draws the rows with the top left corner at a point.
pub(super) fn draw_rows(canvas: &Canvas<'_>, rows: &[KeyRow], left: f64, top: f64) -> Result<(), PlotError> {
    for (number, row) in rows.iter().enumerate() {
        let y = top + (number as f64 + 0.5) * KEY_ROW;
        for entry in row {
            let x = left + entry.left;
            let pen = Pen { colour: entry.ink.colour(), width: 2.0, dash: entry.ink.dash() };
            canvas.curve(&[(x, y), (x + SAMPLE, y)], pen)?;
            if entry.marked {
                mark(canvas, (x + SAMPLE / 2.0, y), entry.ink)?;
            }
            canvas.text(&entry.name, (x + SAMPLE + GAP, y), KEY_EM, TEXT, Align::Start)?;
        }
    }
    Ok(())
}
