//! Text on a chart: the font, how wide a text is, where it wraps.

use std::sync::OnceLock;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

use crate::PlotError;

/// DejaVu Sans, cut to what labels need; see `assets/README.md`.
pub(super) const FONT: &[u8] = include_bytes!("../../assets/DejaVuSans-subset.ttf");

/// Family in the SVG: the embedded font by name, one of nearly the same widths, and what the reader has.
pub(super) const FAMILY: &str = "DejaVu Sans, Verdana, sans-serif";

/// The drawing library writes `size / 1.24` as the SVG's font size.
pub(super) const SIZE_PER_EM: f64 = 1.24;

/// The library's font reader scales by ascent plus descent, 1901 + 483 of 2048 units in this font (its `hhea` table).
const HEIGHT_PER_EM: f64 = 2384.0 / 2048.0;

/// Makes the font known to the drawing library; only the first call does work.
pub(super) fn make_font_known() -> Result<(), PlotError> {
    static KNOWN: OnceLock<bool> = OnceLock::new();
    let known = *KNOWN.get_or_init(|| register_font(FAMILY, FontStyle::Normal, FONT).is_ok());
    if known { Ok(()) } else { Err(PlotError::Font) }
}

/// Width of a text at a font size of `em` pixels (px).
pub(super) fn width(text: &str, em: f64) -> f64 {
    const MEASURED_AT: f64 = 1000.0;
    if make_font_known().is_err() {
        return 0.6 * em * text.chars().count() as f64;
    }
    let font = FontDesc::new(FontFamily::Name(FAMILY), MEASURED_AT, FontStyle::Normal);
    let (width, _) = font.box_size(text).unwrap_or((0, 0));
    f64::from(width) / MEASURED_AT * HEIGHT_PER_EM * em
}

/// A text in which no character breaks an XML document or a line: each is turned into a space.
pub(super) fn one_line(text: &str) -> String {
    let spaced = |c: char| if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') { ' ' } else { c };
    text.chars().map(spaced).collect()
}

/// Lines of a text no wider than `room`, broken at spaces; a word wider than that stands alone and is cut.
pub(super) fn wrapped(text: &str, em: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in one_line(text).split(' ').filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if width(&longer, em) <= room || line.is_empty() {
            line = longer;
        } else {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines.into_iter().map(|line| shortened(&line, em, room)).collect()
}

/// The text, or its beginning with an ellipsis where it is wider than `room`.
pub(super) fn shortened(text: &str, em: f64, room: f64) -> String {
    let text = one_line(text);
    if width(&text, em) <= room {
        return text;
    }
    let mut kept: Vec<char> = text.chars().collect();
    while kept.pop().is_some() {
        let short: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
        if width(&short, em) <= room {
            return short;
        }
    }
    "…".to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_font() {
        // Advance widths of DejaVu Sans in units of 2048 to the em: M 1767, i 569, zero 1303.
        for (text, units) in [("M", 1767.0), ("i", 569.0), ("0000000000", 13030.0)] {
            let expected = units / 2048.0 * 20.0;
            let got = width(text, 20.0);
            assert!((got - expected).abs() < 0.05, "{text}: got {got}, expected {expected}");
        }
    }

    #[test]
    fn wrapping_keeps_every_word_within_the_room() {
        let text = "The band spans the named closures; the dot marks the most penetrating size.";
        let lines = wrapped(text, 12.0, 150.0);
        assert!(lines.len() > 2 && lines.iter().all(|line| width(line, 12.0) <= 150.0), "{lines:?}");
        assert_eq!(lines.join(" "), text);
    }

    #[test]
    fn a_long_word_is_cut_and_a_line_break_becomes_a_space() {
        let short = shortened(&"W".repeat(50), 12.0, 100.0);
        assert!(short.ends_with('…') && width(&short, 12.0) <= 100.0, "{short}");
        assert_eq!(one_line("a\nb\u{1}c"), "a b c");
        assert!(wrapped("", 12.0, 100.0).is_empty());
    }
}
