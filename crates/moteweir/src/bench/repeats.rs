//! Rows that repeat the one before them to the last digit.

use super::columns::Column;
use super::fault::CountsFault;
use super::table::{Row, row_span};
use crate::rows::Gathered;

/// How many times as many repeats as chance makes look like copies.
const SUSPICIOUS: f64 = 10.0;

/// Repeats seen so far, and how many chance would make.
///
/// Two counts of one Poisson distribution of mean n are the same with a probability of about 1/(2 sqrt(pi n)).
#[derive(Debug, Default)]
pub(super) struct Repeats {
    before: String,
    seen: usize,
    by_chance: f64,
    first: Option<usize>,
}

impl Repeats {
    /// Looks at a row that has no reading number; one that has is checked by it.
    pub(super) fn take(&mut self, row: &Row<'_>) {
        if !row.field(Column::Reading).is_empty() {
            return;
        }
        let counts: f64 = row.field(Column::Counts).parse().unwrap_or(0.0);
        if counts >= 1.0 {
            self.by_chance += 0.5 / (std::f64::consts::PI * counts).sqrt();
        }
        if row.is(&self.before) {
            if counts >= 1.0 {
                self.seen += 1;
                self.first.get_or_insert(row.from);
            }
        } else {
            row.remember(&mut self.before);
        }
    }

    /// Warns where copying is likelier than chance.
    pub(super) fn warn(&self, text: &str, gathered: &mut Gathered) {
        let rows = self.seen;
        if let Some(first) = self.first.filter(|_| rows as f64 >= SUSPICIOUS * self.by_chance) {
            gathered.warning(CountsFault::Repeats { rows }, row_span(text, first));
        }
    }
}
