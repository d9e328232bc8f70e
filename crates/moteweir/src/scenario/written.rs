//! Values as the file has them, with their place.

use crate::doubt::Doubt;
use crate::problem::Span;

/// A value and the bytes of the file that state it.
#[derive(Clone, Debug, PartialEq)]
pub struct Written<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub span: Span,
}

/// What a file has under a key.
///
/// A broken value is not the same as none: its problem is reported where it stands, and nothing else is said to be
/// lacking because of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry<T> {
    /// The key is not there.
    Absent,
    /// The key is there, but its value is of no use; a problem says why.
    Broken(Span),
    /// The key and its value.
    Stated(Written<T>),
}

impl<T> Entry<T> {
    /// The value, if it is of use.
    pub const fn stated(&self) -> Option<&Written<T>> {
        match self {
            Self::Stated(written) => Some(written),
            Self::Absent | Self::Broken(_) => None,
        }
    }

    /// The bare value, if it is of use.
    pub const fn value(&self) -> Option<&T> {
        match self {
            Self::Stated(written) => Some(&written.value),
            Self::Absent | Self::Broken(_) => None,
        }
    }

    /// Whether the key is not there.
    pub const fn is_absent(&self) -> bool {
        matches!(self, Self::Absent)
    }

    /// Whether the key is there without a value of use.
    pub const fn is_broken(&self) -> bool {
        matches!(self, Self::Broken(_))
    }

    /// The same entry with its value made into another.
    pub(super) fn map<U>(self, convert: impl FnOnce(T) -> U) -> Entry<U> {
        match self {
            Self::Absent => Entry::Absent,
            Self::Broken(span) => Entry::Broken(span),
            Self::Stated(Written { value, span }) => Entry::Stated(Written { value: convert(value), span }),
        }
    }

    /// Where the value stands, of use or not.
    pub fn span(&self) -> Option<Span> {
        match self {
            Self::Absent => None,
            Self::Broken(span) => Some(span.clone()),
            Self::Stated(written) => Some(written.span.clone()),
        }
    }
}

/// A quantity as written: its SI value and its text.
///
/// Every quantity of a file is read into this one type; what is not known about it comes with it.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// SI value, or the central one of what is not known.
    pub si: f64,
    /// As written; for what is not known, in words.
    pub text: String,
    /// What is not known about it, in SI.
    pub doubt: Doubt,
}

impl Quantity {
    /// The central value in words, such as `the middle between 8 um and 20 um`; `None` where the value is exact.
    pub fn central_text(&self) -> Option<String> {
        central_text(self.doubt, &self.text)
    }
}

/// Two quantities joined by `at`: what was measured, and at what.
#[derive(Clone, Debug, PartialEq)]
pub struct QuantityPair {
    /// SI value of the first, or the central one of what is not known.
    pub first_si: f64,
    /// SI value of the second.
    pub second_si: f64,
    /// As written; for what is not known, in words.
    pub text: String,
    /// What is not known about the first, in SI.
    pub doubt: Doubt,
}

impl QuantityPair {
    /// As [`Quantity::central_text`].
    pub fn central_text(&self) -> Option<String> {
        central_text(self.doubt, &self.text)
    }
}

fn central_text(doubt: Doubt, text: &str) -> Option<String> {
    match doubt {
        Doubt::None => None,
        Doubt::Between { .. } => Some(format!("the middle {text}")),
        Doubt::About { .. } => Some(text.to_owned()),
    }
}
