//! Published tables: CSV files whose comments say where the numbers come from.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What the comments at the head of every table state.
const HEADINGS: [&str; 5] = ["source", "page", "units", "standing", "used_for"];
/// How a number reached the table.
const STANDINGS: [&str; 3] = ["read", "from memory", "derived"];
/// What a table is for: a number that a model was fitted to is no check of it.
const USES: [&str; 2] = ["check", "fit"];

/// One printed table.
#[derive(Clone, Debug)]
pub struct Table {
    headings: BTreeMap<String, String>,
    rows: Vec<Row>,
}

/// One row of a table, with its cells as printed.
#[derive(Clone, Debug)]
pub struct Row {
    place: String,
    cells: BTreeMap<String, String>,
}

/// A number as printed, and what its last digit leaves open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printed {
    /// The number.
    pub value: f64,
    /// Half a unit of its last printed digit.
    pub half_digit: f64,
}

impl Table {
    /// The folder of all tables.
    pub fn folder() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("published/data")
    }

    /// Reads a table by its path within the folder.
    ///
    /// # Panics
    /// Where the file is missing, its comments lack a heading, or it has no rows: a check without rows checks nothing.
    pub fn read(path: &str) -> Self {
        let whole = Self::folder().join(path);
        let text = std::fs::read_to_string(&whole).unwrap_or_else(|e| wrong(&whole, &e.to_string()));
        let headings = headings(&text);
        for heading in HEADINGS {
            assert!(headings.contains_key(heading), "{path} has no comment `# {heading}: ..`");
        }
        let stated = |heading: &str, allowed: &[&str]| {
            let value = headings[heading].as_str();
            assert!(allowed.contains(&value), "{path}: `{heading}: {value}` is none of {allowed:?}");
        };
        stated("standing", &STANDINGS);
        stated("used_for", &USES);
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
        let columns = reader.headers().unwrap_or_else(|e| wrong(&whole, &e.to_string())).clone();
        let rows: Vec<Row> = reader
            .records()
            .enumerate()
            .map(|(index, record)| {
                let record = record.unwrap_or_else(|e| wrong(&whole, &e.to_string()));
                let cells = columns.iter().zip(&record).map(|(c, v)| (c.to_owned(), v.trim().to_owned()));
                Row { place: format!("{path} row {}", index + 1), cells: cells.collect() }
            })
            .collect();
        assert!(!rows.is_empty(), "{path} has no rows");
        Self { headings, rows }
    }

    /// The rows in their order.
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// What a heading in the comments says.
    ///
    /// # Panics
    /// Where the comments do not have it.
    pub fn heading(&self, heading: &str) -> &str {
        &self.headings[heading]
    }

    /// The row whose cell in a column has a text.
    ///
    /// # Panics
    /// Where no row has it.
    pub fn row(&self, column: &str, text: &str) -> &Row {
        let found = self.rows.iter().find(|row| row.text(column) == text);
        found.unwrap_or_else(|| wrong(Path::new("table"), &format!("no row with {column} = {text}")))
    }
}

impl Row {
    /// Where the row stands, for messages.
    pub fn place(&self) -> &str {
        &self.place
    }

    /// A cell as it stands.
    ///
    /// # Panics
    /// Where the table has no such column.
    pub fn text(&self, column: &str) -> &str {
        let cell = self.cells.get(column);
        cell.unwrap_or_else(|| wrong(Path::new(&self.place), &format!("no column {column}")))
    }

    /// A cell as a number.
    ///
    /// # Panics
    /// Where the table has no such column, or the cell is no number.
    pub fn number(&self, column: &str) -> f64 {
        self.printed(column).value
    }

    /// A cell as a printed number, if there is one in it.
    pub fn printed_if_any(&self, column: &str) -> Option<Printed> {
        (!self.text(column).is_empty()).then(|| self.printed(column))
    }

    /// A cell as a printed number.
    ///
    /// # Panics
    /// Where the table has no such column, or the cell is no number.
    pub fn printed(&self, column: &str) -> Printed {
        let text = self.text(column);
        let value = text.parse();
        let value =
            value.unwrap_or_else(|_| wrong(Path::new(&self.place), &format!("`{text}` is no number")));
        Printed { value, half_digit: 0.5 * unit_of_last_digit(text) }
    }
}

/// The text after `# key:` of each comment.
fn headings(text: &str) -> BTreeMap<String, String> {
    text.lines()
        .filter_map(|line| line.strip_prefix("# ")?.split_once(": "))
        .map(|(key, value)| (key.to_owned(), value.trim().to_owned()))
        .collect()
}

/// The place value of the last digit of a printed number.
fn unit_of_last_digit(text: &str) -> f64 {
    let (mantissa, exponent) = text.split_once(['e', 'E']).unwrap_or((text, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, digits)| digits.len());
    let exponent: i32 = exponent.parse().unwrap_or(0);
    10_f64.powi(exponent - i32::try_from(decimals).unwrap_or(0))
}

#[expect(clippy::panic, reason = "a broken table fails the test that reads it")]
fn wrong(place: &Path, what: &str) -> ! {
    panic!("{}: {what}", place.display())
}
