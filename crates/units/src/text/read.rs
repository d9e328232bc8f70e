//! From a text to an SI value.

use std::ops::Range;

use super::error::{TextError, TextErrorKind};
use super::expression;
use super::number::{self, Number};
use super::{Dimension, near};
use crate::conversion as c;
use crate::quantity::{
    Area, BasisWeight, Density, Flow, Length, LinearDensity, Mass, Pressure, Resistance, SurfaceCharge,
    Temperature, ThreadCount, Time, Velocity,
};

/// The longest text that is read; beyond it is no quantity.
const LONGEST_TEXT: usize = 200;

/// The SI value of `text`, which has to hold one quantity of the given dimension.
///
/// White space between number and unit is free. [`Dimension::Fraction`] gives a fraction of one, from `45 %` or `0.45`;
/// [`Dimension::Charge`] gives a number of elementary charges, from `3 e`, `3` or `0.48 fC`. The sign is not checked.
///
/// # Errors
/// Where the text holds anything else, with the bytes of it that are at fault.
///
/// ```
/// use moteweir_units::text::{Dimension, read};
///
/// assert_eq!(read("18 um", Dimension::Length), Ok(18e-6));
/// let error = read("120 g/m", Dimension::BasisWeight).unwrap_err();
/// assert_eq!(error.to_string(), "`g/m` is a mass per length, a mass per area was expected, such as `120 g/m2`");
/// assert_eq!(error.span, 4..7);
/// ```
pub fn read(text: &str, dimension: Dimension) -> Result<f64, TextError> {
    Reading { text, dimension }.value(0..text.len())
}

/// The SI values of `left at right`, such as `350 mm/s at 200 Pa`; `@` is read as `at`.
///
/// # Errors
/// As [`read`], for the first of the two that is at fault, and where there is no `at`.
pub fn read_pair(text: &str, left: Dimension, right: Dimension) -> Result<(f64, f64), TextError> {
    let first = Reading { text, dimension: left };
    let Some(joint) = joint(text) else {
        let kind =
            if text.trim().is_empty() { TextErrorKind::Empty } else { TextErrorKind::PairMissing { right } };
        return Err(first.error(kind, first.trimmed(0..text.len())));
    };
    let second = Reading { text, dimension: right };
    Ok((first.value(0..joint.start)?, second.value(joint.end..text.len())?))
}

/// A quantity that can be read from text.
pub trait FromText: Sized {
    /// What kind of quantity it is.
    const DIMENSION: Dimension;

    /// Reads a text such as `0.3 um`.
    ///
    /// # Errors
    /// As [`read`].
    fn read(text: &str) -> Result<Self, TextError>;
}

macro_rules! from_text {
    ($($name:ident)+) => {
        $(impl FromText for $name {
            const DIMENSION: Dimension = Dimension::$name;

            fn read(text: &str) -> Result<Self, TextError> {
                read(text, Self::DIMENSION).map(Self::from_si)
            }
        })+
    };
}

from_text! {
    Length Area Mass Time Temperature Pressure Velocity Flow BasisWeight Density LinearDensity ThreadCount
    SurfaceCharge Resistance
}

/// Where the word between the two values of a pair stands.
fn joint(text: &str) -> Option<Range<usize>> {
    if let Some(at) = text.find('@') {
        return Some(at..at + 1);
    }
    text.match_indices("at").map(|(start, word)| start..start + word.len()).find(|word| {
        text[..word.start].ends_with(char::is_whitespace) && text[word.end..].starts_with(char::is_whitespace)
    })
}

/// A scale that is no multiple of its SI unit.
#[derive(Clone, Copy)]
enum Scale {
    Celsius,
    Fahrenheit,
    CottonCount,
}

impl Scale {
    fn find(unit: &str, dimension: Dimension) -> Option<Self> {
        let plain: String = unit.chars().filter(|c| !c.is_whitespace()).collect();
        match (dimension, plain.as_str()) {
            (Dimension::Temperature, "degC" | "°C" | "C" | "\u{2103}" | "celsius" | "Celsius") => {
                Some(Self::Celsius)
            }
            (Dimension::Temperature, "degF" | "°F" | "F" | "\u{2109}" | "fahrenheit" | "Fahrenheit") => {
                Some(Self::Fahrenheit)
            }
            (Dimension::LinearDensity, "Ne") => Some(Self::CottonCount),
            _ => None,
        }
    }

    fn si(self, value: f64) -> f64 {
        match self {
            Self::Celsius => value + c::CELSIUS_ZERO_KELVIN,
            Self::Fahrenheit => (value - 32.0) * 5.0 / 9.0 + c::CELSIUS_ZERO_KELVIN,
            Self::CottonCount => LinearDensity::from_cotton_count(value).si(),
        }
    }
}

/// A text and what it should hold.
#[derive(Clone, Copy)]
struct Reading<'a> {
    text: &'a str,
    dimension: Dimension,
}

impl Reading<'_> {
    fn error(self, kind: TextErrorKind, span: Range<usize>) -> TextError {
        TextError { kind, expected: self.dimension, span }
    }

    /// A span without the white space at its ends.
    fn trimmed(self, span: Range<usize>) -> Range<usize> {
        let part = &self.text[span.clone()];
        let start = span.start + (part.len() - part.trim_start().len());
        start..start + part.trim().len()
    }

    /// The SI value of a part of the text.
    fn value(self, span: Range<usize>) -> Result<f64, TextError> {
        let span = self.trimmed(span);
        let part = &self.text[span.clone()];
        if part.is_empty() {
            return Err(self.error(TextErrorKind::Empty, span));
        }
        if part.len() > LONGEST_TEXT {
            return Err(self.error(TextErrorKind::NotANumber, span));
        }
        if let Some(count) = part.strip_prefix("Ne").filter(|_| self.dimension == Dimension::LinearDensity) {
            return self.cotton_count(span.end - count.len()..span.end);
        }
        let (number, rest) = number::split(part).map_err(|fault| {
            self.error(fault.kind, span.start + fault.span.start..span.start + fault.span.end)
        })?;
        let unit = self.trimmed(span.end - rest.len()..span.end);
        let value = self.scaled(number, unit)?;
        if value.is_finite() { Ok(value) } else { Err(self.error(TextErrorKind::NotFinite, span)) }
    }

    /// A cotton count with its name in front, as it is printed on cones: `Ne 30`.
    fn cotton_count(self, span: Range<usize>) -> Result<f64, TextError> {
        let count = Reading { dimension: Dimension::Fraction, ..self }.value(span.clone());
        let value = count.map(|count| Scale::CottonCount.si(count));
        match value {
            Ok(value) if value.is_finite() => Ok(value),
            Ok(_) => Err(self.error(TextErrorKind::NotFinite, span)),
            Err(error) => Err(TextError { expected: self.dimension, ..error }),
        }
    }

    /// A number times the unit that stands at `span`.
    fn scaled(self, number: Number<'_>, span: Range<usize>) -> Result<f64, TextError> {
        let text = &self.text[span.clone()];
        if text.is_empty() || (self.dimension == Dimension::Charge && text == "e") {
            let bare = self.dimension.is_number().then(|| number.times_ten_to(0));
            return bare.ok_or_else(|| {
                self.error(TextErrorKind::UnitMissing, span.start - number.text.len()..span.start)
            });
        }
        if let Some(scale) = Scale::find(text, self.dimension) {
            return Ok(scale.si(number.times_ten_to(0)));
        }
        let unit = expression::parse(text).map_err(|fault| {
            let at = span.start + fault.at;
            let part = fault.part.to_owned();
            let kind = if fault.is_word {
                let near = near::units(&part, text, self.dimension);
                TextErrorKind::UnknownUnit { symbol: part, near }
            } else {
                TextErrorKind::Unexpected { part }
            };
            self.error(kind, at..at + fault.part.len())
        })?;
        if unit.vector != self.dimension.vector() {
            let kind = TextErrorKind::WrongDimension {
                unit: text.to_owned(),
                measures: unit.vector.noun(),
                such_as: near::example(number.text, text, self.dimension),
            };
            return Err(self.error(kind, span));
        }
        let si = number.times_ten_to(unit.ten) * unit.times / unit.per;
        Ok(if self.dimension == Dimension::Charge { si / c::COULOMBS_PER_ELEMENTARY_CHARGE } else { si })
    }
}
