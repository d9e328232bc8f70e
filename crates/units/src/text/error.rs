//! What can be wrong with a text, where, and how to say it.

use std::error::Error;
use std::fmt;
use std::ops::Range;

use super::Dimension;

/// Why a text is not the quantity that was expected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TextErrorKind {
    /// There is nothing in the text.
    Empty,
    /// The text does not begin with a number.
    NotANumber,
    /// A comma stands where a point or nothing was meant.
    DecimalComma {
        /// The text with the comma.
        written: String,
        /// The same with a point, and without the comma where it may have grouped thousands.
        write: Vec<String>,
    },
    /// The value is larger than any number that can be held.
    NotFinite,
    /// A number alone where a unit is needed.
    UnitMissing,
    /// A symbol that is no unit.
    UnknownUnit {
        /// The symbol as written.
        symbol: String,
        /// Units that may have been meant, the nearest first.
        near: Vec<&'static str>,
    },
    /// A unit of another kind of quantity.
    WrongDimension {
        /// The unit as written.
        unit: String,
        /// What the unit measures, where there is a word for it.
        measures: Option<&'static str>,
        /// A text of the right kind, as near as possible to the one written.
        such_as: String,
    },
    /// Something that belongs neither to a number nor to a unit.
    Unexpected {
        /// The part that does not belong.
        part: String,
    },
    /// Two values joined by `at` were expected.
    PairMissing {
        /// What the second value is.
        right: Dimension,
    },
}

/// A text that is not the quantity expected, and where in it the trouble is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextError {
    /// What is wrong.
    pub kind: TextErrorKind,
    /// What was expected there.
    pub expected: Dimension,
    /// Byte offsets into the text that was read.
    pub span: Range<usize>,
}

impl fmt::Display for TextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (noun, example) = (self.expected.noun(), self.expected.example());
        match &self.kind {
            TextErrorKind::Empty => {
                write!(f, "{noun} was expected, such as `{example}`, but the text is empty")
            }
            TextErrorKind::NotANumber => write!(f, "not a number: {noun} was expected, such as `{example}`"),
            TextErrorKind::DecimalComma { written, write } => {
                write!(f, "write `{written}` as `{}`", write.join("` or `"))
            }
            TextErrorKind::NotFinite => write!(f, "the value is too large to be {noun}"),
            TextErrorKind::UnitMissing => write!(f, "{noun} needs a unit, such as `{example}`"),
            TextErrorKind::UnknownUnit { symbol, near } => {
                write!(f, "`{symbol}` is not a known unit: ")?;
                if near.is_empty() {
                    write!(f, "{noun} was expected, such as `{example}`")
                } else {
                    write!(f, "did you mean `{}`?", near.join("` or `"))
                }
            }
            TextErrorKind::WrongDimension { unit, measures: Some(measures), such_as } => {
                write!(f, "`{unit}` is {measures}, {noun} was expected, such as `{such_as}`")
            }
            TextErrorKind::WrongDimension { unit, measures: None, such_as } => {
                write!(f, "`{unit}` is not {noun}, such as `{such_as}`")
            }
            TextErrorKind::Unexpected { part } => {
                write!(f, "`{part}` is neither number nor unit: {noun} was expected, such as `{example}`")
            }
            TextErrorKind::PairMissing { right } => {
                write!(
                    f,
                    "two values joined by `at` were expected, such as `{example} at {}`",
                    right.example()
                )
            }
        }
    }
}

impl Error for TextError {}
