//! The text of a file of counts as rows of fields, each with its place in the text.

use csv::{ByteRecord, ReaderBuilder, Trim};

use super::columns::{Column, HOW_MANY};
use super::fault::CountsFault;
use crate::near::nearest;
use crate::problem::Span;
use crate::rows::{Gathered, RowFault};

/// What may stand between fields.
const DELIMITERS: [u8; 3] = [b',', b';', b'\t'];

/// How a file of counts is laid out: what stands between fields, and which column is where.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    delimiter: u8,
    /// Position of each column, by [`Column`].
    positions: [Option<usize>; HOW_MANY],
    /// How many fields the header has.
    fields: usize,
    /// Where the first row after the header begins.
    body: usize,
}

impl Layout {
    /// Whether a comma inside a number stands for a decimal point.
    pub(super) const fn takes_decimal_commas(&self) -> bool {
        self.delimiter != b','
    }

    /// Whether the header names a column.
    pub(super) const fn has(&self, column: Column) -> bool {
        self.positions[column as usize].is_some()
    }

    /// Reads the header; `None` where there is none to go on with.
    pub(super) fn read(text: &str, gathered: &mut Gathered) -> Option<Self> {
        let start = content(text, if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 });
        let line = line_at(text, start);
        if line.trim().is_empty() {
            gathered.error(CountsFault::NoRows, start..start);
            return None;
        }
        let delimiter = delimiter_of(line);
        let names: Vec<(Span, String)> = spans(line, delimiter)
            .into_iter()
            .map(|span| (start + span.start..start + span.end, unquoted(&line[span.clone()])))
            .collect();
        if !names.iter().any(|(_, name)| Column::named(name).is_some()) {
            gathered.error(CountsFault::NoHeader, start..start + line.trim_end().len());
            return None;
        }
        let positions = positions(&names, gathered);
        let layout = Self { delimiter, positions, fields: names.len(), body: start + line.len() };
        let whole = start..start + line.trim_end().len();
        layout.check(whole, gathered).then_some(layout)
    }

    /// Whether every needed column is there.
    fn check(&self, header: Span, gathered: &mut Gathered) -> bool {
        let mut missing: Vec<Column> = Column::ALL
            .into_iter()
            .filter(|&column| column.when_empty().is_none() && !self.has(column))
            .collect();
        if !self.has(Column::From) && !self.has(Column::To) {
            missing.push(Column::From);
        }
        for &column in &missing {
            let fault = CountsFault::LacksColumn { column: column.name(), example: column.example() };
            gathered.error(fault, header.clone());
        }
        missing.is_empty()
    }

    /// Calls `each` with every row that has anything in it.
    pub(super) fn rows(
        &self,
        text: &str,
        gathered: &mut Gathered,
        mut each: impl FnMut(&Row<'_>, &mut Gathered),
    ) {
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.delimiter)
            .comment(Some(b'#'))
            .trim(Trim::Fields)
            .from_reader(&text.as_bytes()[self.body..]);
        let mut record = ByteRecord::new();
        loop {
            let from = self.body + usize::try_from(reader.position().byte()).unwrap_or(usize::MAX);
            if !reader.read_byte_record(&mut record).unwrap_or(false) {
                return; // a text in memory has no other end, and records of any length are taken
            }
            let row = Row { layout: self, text, record: &record, from };
            if row.is_blank() {
                continue;
            }
            if record.as_slice().contains(&b'\n') {
                gathered.error(CountsFault::OpenQuote, row.span());
                continue;
            }
            if (self.fields..record.len()).any(|i| !record[i].is_empty()) {
                let fault = RowFault::ExtraFields { fields: record.len(), columns: self.fields };
                gathered.error(fault, row.field_span(self.fields));
                continue;
            }
            each(&row, gathered);
        }
    }
}

/// The position of each column in a header.
fn positions(names: &[(Span, String)], gathered: &mut Gathered) -> [Option<usize>; HOW_MANY] {
    let mut positions = [None; HOW_MANY];
    for (position, (span, name)) in names.iter().enumerate() {
        match Column::named(name) {
            Some(column) if positions[column as usize].is_some() => {
                gathered.error(RowFault::ColumnTwice { column: column.name() }, span.clone());
            }
            Some(column) => positions[column as usize] = Some(position),
            None if name.is_empty() => {}
            None => {
                let near = nearest(name, Column::ALL.into_iter().map(Column::name));
                let is_missing = |near: &str| !names.iter().any(|(_, n)| n.trim().eq_ignore_ascii_case(near));
                let near = near.filter(|near| is_missing(near));
                let fault = RowFault::UnknownColumn { name: name.clone(), near };
                match near {
                    Some(_) => gathered.error(fault, span.clone()),
                    None => gathered.warning(fault, span.clone()),
                }
            }
        }
    }
    positions
}

/// A row of fields.
#[derive(Debug)]
pub(super) struct Row<'a> {
    layout: &'a Layout,
    text: &'a str,
    record: &'a ByteRecord,
    /// Where it begins, empty lines and comments before it included.
    pub(super) from: usize,
}

impl<'a> Row<'a> {
    /// A field; empty where the row ends before it or the header lacks the column.
    pub(super) fn field(&self, column: Column) -> &'a str {
        let bytes =
            self.layout.positions[column as usize].and_then(|at| self.record.get(at)).unwrap_or_default();
        let field = std::str::from_utf8(bytes).expect("a field of a text, cut at ASCII characters, is text");
        // A space before a quote makes it, to the reader of CSV, part of the field.
        field.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(field)
    }

    /// Where a field stands in the text; the end of the row where it has none.
    pub(super) fn place(&self, column: Column) -> Span {
        self.layout.positions[column as usize].map_or_else(|| self.span(), |at| self.field_span(at))
    }

    /// Line, from 1, of the row that an earlier row's `from` leads to.
    pub(super) fn line_of(&self, from: usize) -> usize {
        self.text[..row_span(self.text, from).start].matches('\n').count() + 1
    }

    /// Whether the fields are those of a row that was remembered.
    pub(super) fn is(&self, remembered: &str) -> bool {
        self.record.as_slice() == remembered.as_bytes()
    }

    /// Writes the fields into `text`, for comparison with later rows.
    pub(super) fn remember(&self, text: &mut String) {
        text.clear();
        text.push_str(std::str::from_utf8(self.record.as_slice()).unwrap_or_default());
    }

    /// The row in the text.
    pub(super) fn span(&self) -> Span {
        row_span(self.text, self.from)
    }

    fn field_span(&self, index: usize) -> Span {
        let row = self.span();
        let fields = spans(&self.text[row.clone()], self.layout.delimiter);
        match fields.get(index) {
            Some(span) => row.start + span.start..row.start + span.end,
            None => row.end..row.end,
        }
    }

    fn is_blank(&self) -> bool {
        let comment = self.record.get(0).is_some_and(|first| first.starts_with(b"#"));
        comment || self.record.iter().all(<[u8]>::is_empty)
    }
}

/// The line of a row, from a place in the empty lines and comments before it or at its beginning.
pub(super) fn row_span(text: &str, from: usize) -> Span {
    let start = content(text, from);
    start..start + line_at(text, start).trim_end().len()
}

/// The first place from `from` on that is neither in an empty line nor in a comment.
fn content(text: &str, from: usize) -> usize {
    let mut at = from;
    loop {
        let line = line_at(text, at);
        let rest = line.trim_start();
        if line.is_empty() || !(rest.is_empty() || rest.starts_with('#')) {
            return at;
        }
        at += line.len();
    }
}

/// From a place to the end of its line, the line's end included.
fn line_at(text: &str, from: usize) -> &str {
    let rest = &text[from..];
    let Some(end) = rest.find(['\n', '\r']) else { return rest };
    let width = if rest[end..].starts_with("\r\n") { 2 } else { 1 };
    &rest[..end + width]
}

/// What stands between the fields of a header: that which makes most names of columns of it.
fn delimiter_of(header: &str) -> u8 {
    let known = |delimiter: u8| {
        let fields = spans(header, delimiter);
        fields.into_iter().filter(|span| Column::named(&unquoted(&header[span.clone()])).is_some()).count()
    };
    DELIMITERS.into_iter().rev().max_by_key(|&delimiter| known(delimiter)).unwrap_or(b',')
}

/// The fields of a line, without the space and the quotes around them.
fn spans(line: &str, delimiter: u8) -> Vec<Span> {
    let mut fields = Vec::new();
    let (mut start, mut quoted) = (0, false);
    for (at, byte) in line.bytes().enumerate() {
        match byte {
            b'"' => quoted = !quoted,
            byte if byte == delimiter && !quoted => {
                fields.push(trimmed(line, start..at));
                start = at + 1;
            }
            _ => {}
        }
    }
    fields.push(trimmed(line, start..line.len()));
    fields
}

fn trimmed(line: &str, span: Span) -> Span {
    let field = &line[span.clone()];
    let start = span.start + (field.len() - field.trim_start().len());
    let end = start + field.trim().len();
    let inner = &line[start..end];
    if inner.len() >= 2 && inner.starts_with('"') && inner.ends_with('"') {
        start + 1..end - 1
    } else {
        start..end
    }
}

fn unquoted(field: &str) -> String {
    field.replace("\"\"", "\"").trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_stand_where_they_are() {
        let line = "open, \"a, b\" ,0.3\r\n";
        let fields: Vec<&str> = spans(line, b',').into_iter().map(|s| &line[s]).collect();
        assert_eq!(fields, ["open", "a, b", "0.3"]);
    }

    #[test]
    fn the_header_says_what_stands_between_fields() {
        for (header, delimiter) in [
            ("state,from_um,seconds,counts", b','),
            ("state;from_um;seconds;counts", b';'),
            ("state\tfrom_um\tseconds\tcounts", b'\t'),
            ("counts", b','),
        ] {
            assert_eq!(delimiter_of(header), delimiter, "{header}");
        }
    }

    #[test]
    fn comments_and_empty_lines_are_before_a_row() {
        let text = "\n# note\n  \r\n x,1\n";
        assert_eq!(&text[row_span(text, 0)], " x,1");
        assert_eq!(row_span(text, text.len()), text.len()..text.len());
    }
}
