//! The fields of one row, each a possible value.

use moteweir_units::{Flow, Velocity};

use super::channels::same;
use super::columns::Column;
use super::fault::CountsFault;
use super::reading::{Reading, State};
use super::table::{Layout, Row};
use crate::fault::Fault;
use crate::near::nearest;
use crate::rows::{Field, Gathered, RowFault, number};

/// More than this was never counted, and a double still holds every whole number up to it.
const MOST_COUNTS: f64 = 9e15;

/// What a row says, apart from names.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fields {
    /// The position in `State::Sample` is not known yet.
    pub(super) state: State,
    pub(super) layers: u32,
    /// Lower edge \[um\], 0 where open.
    pub(super) from: f64,
    /// Upper edge \[um\], infinite where open.
    pub(super) to: f64,
    pub(super) seconds: f64,
    pub(super) flow: Option<Flow>,
    pub(super) face_velocity: Option<Velocity>,
    pub(super) counts: u64,
}

/// A field is wrong, and that has been noted.
#[derive(Debug)]
struct Wrong;

/// What is possible in a column.
struct Possible {
    is: fn(f64) -> bool,
    words: &'static str,
}

const LAYERS: Possible = Possible { is: |n| (1.0..=1000.0).contains(&n), words: "1 to 1000" };
const EDGE: Possible = Possible { is: |um| (0.0..=1000.0).contains(&um), words: "0 to 1000, in um" };
const SECONDS: Possible = Possible { is: |s| s > 0.0 && s <= 1e9, words: "above 0, in seconds" };
const FLOW: Possible = Possible { is: |l| l > 0.0 && l <= 1e6, words: "above 0, in L/min" };
const VELOCITY: Possible =
    Possible { is: |v| (0.001..=2000.0).contains(&v), words: "0.001 to 2000, in cm/s" };
const COUNTS: Possible = Possible { is: |n| (0.0..=MOST_COUNTS).contains(&n), words: "0 or more" };

impl Fields {
    /// Reads a row; `None` where something is wrong with it, and then everything that is.
    pub(super) fn read(row: &Row<'_>, layout: &Layout, gathered: &mut Gathered) -> Option<Self> {
        let mut reader = Reader { row, decimal_comma: layout.takes_decimal_commas(), gathered };
        let state = reader.state();
        let layers = reader.whole(Column::Layers, &LAYERS);
        let edges = reader.edges();
        let seconds = reader.optional(Column::Seconds, &SECONDS);
        let flow = reader.optional(Column::Flow, &FLOW);
        let face_velocity = reader.optional(Column::FaceVelocity, &VELOCITY);
        let counts = reader.whole(Column::Counts, &COUNTS);
        let seconds = reader.needed(Column::Seconds, seconds);
        let counts = reader.needed(Column::Counts, counts);
        let (from, to) = edges?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whole and within what the type holds"
        )]
        Some(Self {
            state: state?,
            layers: layers.ok()?.map_or(1, |n| n as u32),
            from,
            to,
            seconds: seconds?,
            flow: flow.ok()?.map(Flow::from_l_per_min),
            face_velocity: face_velocity.ok()?.map(Velocity::from_cm_per_s),
            counts: counts? as u64,
        })
    }

    /// The column in which the row says something else of its reading than another row did, with what that said.
    pub(super) fn disagrees(&self, reading: &Reading) -> Option<(Column, String)> {
        let text = |value: Option<f64>| value.map_or_else(|| "not given".to_owned(), |v| format!("{v}"));
        let differ = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => !same(a, b),
            (a, b) => a.is_some() != b.is_some(),
        };
        let flow = |flow: Option<Flow>| flow.map(Flow::to_l_per_min);
        let velocity = |velocity: Option<Velocity>| velocity.map(Velocity::to_cm_per_s);
        if !same(self.seconds, reading.seconds) {
            return Some((Column::Seconds, text(Some(reading.seconds))));
        }
        if differ(flow(self.flow), flow(reading.flow)) {
            return Some((Column::Flow, text(flow(reading.flow))));
        }
        let (here, there) = (velocity(self.face_velocity), velocity(reading.face_velocity));
        differ(here, there).then(|| (Column::FaceVelocity, text(there)))
    }
}

/// Reads fields of a row and notes what is wrong with them.
struct Reader<'a, 'r> {
    row: &'a Row<'r>,
    decimal_comma: bool,
    gathered: &'a mut Gathered,
}

impl Reader<'_, '_> {
    fn state(&mut self) -> Option<State> {
        const STATES: [State; 4] = [State::Open, State::Sample(0), State::Zero, State::Blocked];
        let word = self.row.field(Column::State);
        let found = STATES.into_iter().find(|state| state.word().eq_ignore_ascii_case(word));
        if found.is_none() {
            let fault = if word.is_empty() {
                CountsFault::EmptyField { column: Column::State.name(), example: Column::State.example() }
            } else {
                let near = nearest(word, STATES.into_iter().map(State::word));
                CountsFault::UnknownState { word: word.to_owned(), near }
            };
            self.error(fault, Column::State);
        }
        found
    }

    /// Lower and upper edge.
    fn edges(&mut self) -> Option<(f64, f64)> {
        let from = self.optional(Column::From, &EDGE);
        let to = self.optional(Column::To, &EDGE);
        let (from, to) = (from.ok()?.filter(|&um| um > 0.0), to.ok()?);
        match (from, to) {
            (None, None) => {
                self.gathered.error(CountsFault::NoEdge, self.row.span());
                None
            }
            (from, Some(to)) if from.unwrap_or(0.0) >= to => {
                let written = |column| self.row.field(column).to_owned();
                let fault = RowFault::UpsideDown { from: written(Column::From), to: written(Column::To) };
                self.error(fault, Column::From);
                None
            }
            (from, to) => Some((from.unwrap_or(0.0), to.unwrap_or(f64::INFINITY))),
        }
    }

    /// A whole number, if there is one.
    fn whole(&mut self, column: Column, possible: &Possible) -> Result<Option<f64>, Wrong> {
        let value = self.optional(column, possible)?;
        if value.is_some_and(|v| v.fract() != 0.0) {
            let text = self.row.field(column).to_owned();
            self.error(RowFault::NotWhole { column: column.name(), text }, column);
            return Err(Wrong);
        }
        Ok(value)
    }

    /// A number, if there is one.
    fn optional(&mut self, column: Column, possible: &Possible) -> Result<Option<f64>, Wrong> {
        let field = self.row.field(column);
        let text = field.to_owned();
        let fault: Fault = match number(field, self.decimal_comma) {
            Field::Empty => return Ok(None),
            Field::Number(value) if (possible.is)(value) => return Ok(Some(value)),
            Field::Number(_) => {
                CountsFault::OutOfRange { column: column.name(), text, possible: possible.words }.into()
            }
            Field::Other(meant) => RowFault::NotANumber { column: column.name(), text, meant }.into(),
        };
        self.error(fault, column);
        Err(Wrong)
    }

    /// A number that may not be left out.
    fn needed(&mut self, column: Column, value: Result<Option<f64>, Wrong>) -> Option<f64> {
        let value = value.ok()?;
        if value.is_none() {
            self.error(CountsFault::EmptyField { column: column.name(), example: column.example() }, column);
        }
        value
    }

    fn error(&mut self, fault: impl Into<Fault>, column: Column) {
        self.gathered.error(fault, self.row.place(column));
    }
}
