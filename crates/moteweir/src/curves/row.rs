//! The numbers of one row.

use super::columns::CurveColumn;
use super::fault::CurveFault;
use super::table::{Heading, Line};
use crate::fault::Fault;
use crate::problem::Span;
use crate::rows::{Field, Gathered, RowFault, number};

/// One row of a curve being read; what is wrong in it goes to the problems of the file.
#[derive(Debug)]
pub(super) struct Row<'a, 't> {
    heading: &'a Heading,
    fields: Vec<(Span, String)>,
    line: &'a Line<'t>,
    gathered: &'a mut Gathered,
}

impl<'a, 't> Row<'a, 't> {
    /// A row; `None` where it cannot be divided into fields.
    pub(super) fn read(heading: &'a Heading, line: &'a Line<'t>, gathered: &'a mut Gathered) -> Option<Self> {
        let fields = heading.row(line, gathered)?;
        Some(Self { heading, fields, line, gathered })
    }

    /// Line of the file, from 1.
    pub(super) const fn line(&self) -> usize {
        self.line.number
    }

    /// Where the row stands.
    pub(super) const fn span(&self) -> Span {
        self.line.span()
    }

    /// Where the field of a column stands.
    pub(super) fn place(&self, column: CurveColumn) -> Span {
        let field = self.heading.position(column).and_then(|position| self.fields.get(position));
        field.map_or_else(|| self.span(), |(span, _)| span.clone())
    }

    /// The text of a field; empty where there is none.
    pub(super) fn text(&self, column: CurveColumn) -> String {
        let field = self.heading.position(column).and_then(|position| self.fields.get(position));
        field.map(|(_, text)| text.clone()).unwrap_or_default()
    }

    pub(super) fn error(&mut self, fault: impl Into<Fault>, span: Span) {
        self.gathered.error(fault, span);
    }

    /// A number that may be left out; `Err` where there is one that is of no use, which is noted.
    pub(super) fn optional(&mut self, column: CurveColumn) -> Result<Option<f64>, Noted> {
        let (text, place) = (self.text(column), self.place(column));
        let value = match number(&text, self.heading.takes_decimal_commas()) {
            Field::Empty => return Ok(None),
            Field::Number(value) => value,
            Field::Other(meant) => {
                let text = text.chars().take(60).collect();
                self.error(RowFault::NotANumber { column: column.name(), text, meant }, place);
                return Err(Noted);
            }
        };
        let (lowest, highest, possible) = column.limits();
        // An efficiency of 1 and a penetration of 0 are the same: nothing that a logarithm could be taken of.
        let is_whole = column == CurveColumn::Efficiency && value >= 1.0;
        if value > lowest && value <= highest && !is_whole {
            return Ok(Some(value));
        }
        let is_fraction = matches!(column, CurveColumn::Penetration | CurveColumn::Efficiency);
        let meant = (is_fraction && value > 1.0 && value < 100.0)
            .then(|| format!("{}: fractions run from 0 to 1, and {text} % is that", rounded(value / 100.0)));
        self.error(CurveFault::OutOfRange { column: column.name(), text, possible, meant }, place);
        Err(Noted)
    }

    /// A number that has to be there.
    pub(super) fn needed(&mut self, column: CurveColumn) -> Result<f64, Noted> {
        if let Some(value) = self.optional(column)? {
            return Ok(value);
        }
        let place = self.span();
        self.error(CurveFault::EmptyField { column: column.name() }, place);
        Err(Noted)
    }

    /// A whole number that has to be there.
    pub(super) fn counts(&mut self, column: CurveColumn) -> Result<u64, Noted> {
        let value = self.needed(column)?;
        if value.fract() != 0.0 {
            let (text, place) = (self.text(column), self.place(column));
            self.error(RowFault::NotWhole { column: column.name(), text }, place);
            return Err(Noted);
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole, and 0 to 1e15 by the limits"
        )]
        Ok(value as u64)
    }
}

/// A field of no use; why is among the problems of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Noted;

fn rounded(value: f64) -> String {
    format!("{}", (value * 1e9).round() / 1e9)
}
