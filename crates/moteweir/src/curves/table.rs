//! The text of a curve as a heading and rows of fields, each with its place.

use super::columns::CurveColumn;
use super::fault::CurveFault;
use crate::near::nearest;
use crate::problem::Span;
use crate::rows::{Gathered, RowFault};

/// What may stand between fields; the first wins where several fit.
const DELIMITERS: [char; 3] = [',', ';', '\t'];
/// A line that is neither empty nor a comment, with its number from 1.
#[derive(Clone, Debug)]
pub(super) struct Line<'t> {
    pub(super) number: usize,
    start: usize,
    content: &'t str,
}

impl Line<'_> {
    pub(super) const fn span(&self) -> Span {
        self.start..self.start + self.content.len()
    }
}

/// Lines that say something, whether they end in `\n`, `\r\n` or `\r`.
pub(super) fn lines(text: &str) -> impl Iterator<Item = Line<'_>> {
    let mut start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let mut number = 0;
    std::iter::from_fn(move || {
        if start >= text.len() {
            return None;
        }
        let rest = &text[start..];
        let length = rest.find(['\n', '\r']).unwrap_or(rest.len());
        let end = if rest[length..].starts_with("\r\n") { 2 } else { 1 };
        number += 1;
        let line = Line { number, start, content: rest[..length].trim_end() };
        start += length + end;
        Some(line)
    })
    .filter(|line| {
        let content = line.content.trim_start();
        !content.is_empty() && !content.starts_with('#')
    })
}

/// The heading: which field is which column, and what stands between fields.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    delimiter: char,
    fields: usize,
    positions: Vec<(CurveColumn, usize, Span)>,
    pub(super) span: Span,
}

impl Heading {
    /// Reads a heading; `None` where it names no column.
    pub(super) fn read(line: &Line<'_>, gathered: &mut Gathered) -> Option<Self> {
        let known = |delimiter: &char| {
            fields(line, *delimiter).iter().filter(|(_, name)| CurveColumn::named(name).is_some()).count()
        };
        let delimiter = DELIMITERS.into_iter().rev().max_by_key(known)?;
        let names = fields(line, delimiter);
        if known(&delimiter) == 0 {
            gathered.error(CurveFault::NoHeading, line.span());
            return None;
        }
        let mut heading = Self { delimiter, fields: names.len(), positions: Vec::new(), span: line.span() };
        for (position, (span, name)) in names.iter().enumerate() {
            match CurveColumn::named(name) {
                Some(column) if heading.has(column) => {
                    gathered.error(RowFault::ColumnTwice { column: column.name() }, span.clone());
                }
                Some(column) => heading.positions.push((column, position, span.clone())),
                None if name.is_empty() => {}
                None => unknown(name, span.clone(), &names, gathered),
            }
        }
        Some(heading)
    }

    /// Whether a comma inside a number stands for a decimal point.
    pub(super) const fn takes_decimal_commas(&self) -> bool {
        self.delimiter != ','
    }

    pub(super) fn has(&self, column: CurveColumn) -> bool {
        self.positions.iter().any(|(known, _, _)| *known == column)
    }

    /// Where the heading names a column; the whole heading where it does not.
    pub(super) fn place(&self, column: CurveColumn) -> Span {
        self.positions
            .iter()
            .find(|(known, _, _)| *known == column)
            .map_or(self.span.clone(), |(_, _, s)| s.clone())
    }

    /// Where the fields of a column are.
    pub(super) fn position(&self, column: CurveColumn) -> Option<usize> {
        self.positions.iter().find(|(known, _, _)| *known == column).map(|(_, position, _)| *position)
    }

    /// The fields of a row, each with its place; noted where there are too many.
    pub(super) fn row(&self, line: &Line<'_>, gathered: &mut Gathered) -> Option<Vec<(Span, String)>> {
        if line.content.matches('"').count() % 2 == 1 {
            gathered.error(CurveFault::OpenQuote, line.span());
            return None;
        }
        let row = fields(line, self.delimiter);
        if let Some((span, _)) = row.iter().skip(self.fields).find(|(_, field)| !field.is_empty()) {
            gathered.error(RowFault::ExtraFields { fields: row.len(), columns: self.fields }, span.clone());
            return None;
        }
        Some(row)
    }
}

/// Notes a column that there is not: an error where it is a slip for one that is missing, else only not used.
fn unknown(name: &str, span: Span, names: &[(Span, String)], gathered: &mut Gathered) {
    let is_missing =
        |column: &CurveColumn| !names.iter().any(|(_, other)| CurveColumn::named(other) == Some(*column));
    let near = nearest(name, CurveColumn::ALL.into_iter().filter(is_missing).map(CurveColumn::name));
    let near = CurveColumn::ALL.into_iter().map(CurveColumn::name).find(|known| Some(*known) == near);
    let fault = RowFault::UnknownColumn { name: name.chars().take(60).collect(), near };
    if near.is_some() { gathered.error(fault, span) } else { gathered.warning(fault, span) }
}

/// The fields of a line without the blanks and quotes around them, each with its place.
fn fields(line: &Line<'_>, delimiter: char) -> Vec<(Span, String)> {
    let mut found = Vec::new();
    let (mut from, mut quoted) = (0, false);
    let mut add = |from: usize, to: usize| {
        let raw = &line.content[from..to];
        let begin = line.start + from + (raw.len() - raw.trim_start().len());
        let mut content = raw.trim();
        let mut span = begin..begin + content.len();
        if let Some(inner) = content.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')) {
            content = inner;
            span = span.start + 1..span.end - 1;
        }
        found.push((span, content.replace("\"\"", "\"").trim().to_owned()));
    };
    for (at, character) in line.content.char_indices() {
        if character == '"' {
            quoted = !quoted;
        } else if character == delimiter && !quoted {
            add(from, at);
            from = at + delimiter.len_utf8();
        }
    }
    add(from, line.content.len());
    found
}
