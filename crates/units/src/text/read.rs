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
            return self.cotton_count(self.trimmed(span.end - count.len()..span.end));
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

#[cfg(test)]
mod tests {
    use super::Dimension as D;
    use super::*;

    fn close(text: &str, dimension: D, expected: f64) {
        let got = read(text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(
            (got - expected).abs() <= 1e-14 * expected.abs(),
            "{text}: got {got:e}, expected {expected:e}"
        );
    }

    fn message(text: &str, dimension: D, words: &str, part: &str) {
        let error = read(text, dimension).expect_err(text);
        assert_eq!(error.to_string(), words, "{text}");
        assert_eq!(&text[error.span.clone()], part, "{text}: {:?}", error.span);
    }

    #[test]
    fn decimal_units_are_exact() {
        assert_eq!(read("0.3 um", D::Length), Ok(0.3e-6));
        assert_eq!(read("0.7um", D::Length), Ok(0.7e-6));
        assert_eq!(read("  18\u{b5}m ", D::Length), Ok(18e-6));
        assert_eq!(read("18 \u{3bc}m", D::Length), Ok(18e-6));
        assert_eq!(read("3.2e2 nm", D::Length), Ok(320e-9));
        assert_eq!(read("+5.3 cm/s", D::Velocity), Ok(0.053));
        assert_eq!(read("\u{2212}0.5 Pa", D::Pressure), Ok(-0.5));
        assert_eq!(read(".5 mm", D::Length), Ok(0.5e-3));
    }

    #[test]
    fn units_of_the_trade() {
        for (text, dimension, si) in [
            ("2 in", D::Length, 0.0508),
            ("3 mil", D::Length, 76.2e-6),
            ("1 ft", D::Length, 0.3048),
            ("150 cm2", D::Area, 0.015),
            ("6 in²", D::Area, 6.0 * 0.0254 * 0.0254),
            ("1.8 g", D::Mass, 1.8e-3),
            ("1 oz", D::Mass, 0.028349523125),
            ("90 min", D::Time, 5400.0),
            ("2 h", D::Time, 7200.0),
            ("22 degC", D::Temperature, 295.15),
            ("22 °C", D::Temperature, 295.15),
            ("22 C", D::Temperature, 295.15),
            ("212 degF", D::Temperature, 373.15),
            ("-40 °F", D::Temperature, 233.15),
            ("300 K", D::Temperature, 300.0),
            ("1013.25 hPa", D::Pressure, 101325.0),
            ("2.5 mbar", D::Pressure, 250.0),
            ("10 mmH2O", D::Pressure, 98.0665),
            ("10 mm H2O", D::Pressure, 98.0665),
            ("10 mm H\u{2082}O", D::Pressure, 98.0665),
            ("1 in H2O", D::Pressure, 249.08891),
            ("0.5inH2O", D::Pressure, 124.544455),
            ("760 mmHg", D::Pressure, 101325.0144354),
            ("350 mm/s", D::Velocity, 0.35),
            ("100 ft/min", D::Velocity, 0.508),
            ("100 cfm/ft2", D::Velocity, 0.508),
            ("100 ft3/min/ft2", D::Velocity, 0.508),
            ("85 L/min", D::Flow, 85e-3 / 60.0),
            ("85 l/min", D::Flow, 85e-3 / 60.0),
            ("85 LPM", D::Flow, 85e-3 / 60.0),
            ("1 m³/h", D::Flow, 1.0 / 3600.0),
            ("2 m^3 h^-1", D::Flow, 2.0 / 3600.0),
            ("3 cfm", D::Flow, 3.0 * 0.3048 * 0.3048 * 0.3048 / 60.0),
            ("120 g/m2", D::BasisWeight, 0.12),
            ("120 g·m⁻²", D::BasisWeight, 0.12),
            ("120 g m-2", D::BasisWeight, 0.12),
            ("120 gsm", D::BasisWeight, 0.12),
            ("3 oz/yd2", D::BasisWeight, 3.0 * 0.028349523125 / (0.9144 * 0.9144)),
            ("3 osy", D::BasisWeight, 3.0 * 0.028349523125 / (0.9144 * 0.9144)),
            ("0.91 g/cm³", D::Density, 910.0),
            ("910 kg/m^3", D::Density, 910.0),
            ("1.7 dtex", D::LinearDensity, 0.17e-6),
            ("9 denier", D::LinearDensity, 1e-6),
            ("20 tex", D::LinearDensity, 20e-6),
            ("30 Ne", D::LinearDensity, c::TEX_TIMES_COTTON_COUNT * 1e-6 / 30.0),
            ("Ne 30", D::LinearDensity, c::TEX_TIMES_COTTON_COUNT * 1e-6 / 30.0),
            ("30 /cm", D::ThreadCount, 3000.0),
            ("30/cm", D::ThreadCount, 3000.0),
            ("30 1/cm", D::ThreadCount, 3000.0),
            ("60 threads/in", D::ThreadCount, 60.0 / 0.0254),
            ("60 ends per inch", D::ThreadCount, 60.0 / 0.0254),
            ("480 Pa s/m", D::Resistance, 480.0),
            ("480 Pa.s/m", D::Resistance, 480.0),
            ("480 Pa/(m/s)", D::Resistance, 480.0),
            ("480 Pa*s*m^-1", D::Resistance, 480.0),
            ("20 uC/m2", D::SurfaceCharge, 20e-6),
            ("2e-5 C/m2", D::SurfaceCharge, 2e-5),
            ("45 %", D::Fraction, 0.45),
            ("45%", D::Fraction, 0.45),
            ("0.45", D::Fraction, 0.45),
            ("3 e", D::Charge, 3.0),
            ("-3e", D::Charge, -3.0),
            ("3", D::Charge, 3.0),
            ("1.602176634 fC", D::Charge, 1e4),
        ] {
            close(text, dimension, si);
        }
    }

    #[test]
    fn every_unit_of_every_dimension_reads_and_agrees_with_the_types() {
        for dimension in D::ALL {
            assert!(read(dimension.example(), dimension).is_ok(), "{dimension:?}");
            assert!(dimension.example().ends_with(dimension.units()[0]), "{dimension:?}");
            for unit in dimension.units() {
                let text = format!("7 {unit}");
                assert!(read(&text, dimension).is_ok_and(f64::is_finite), "{text}: {dimension:?}");
            }
        }
        let mm_h2o: Result<Pressure, _> = FromText::read("3 mmH2O");
        assert_eq!(mm_h2o, Ok(Pressure::from_mm_h2o(3.0)));
        close("1 ft/min", D::Velocity, c::METRES_PER_SECOND_PER_FOOT_PER_MINUTE);
        close("1 inH2O", D::Pressure, c::PASCALS_PER_INCH_H2O);
        close("1 oz", D::Mass, c::KILOGRAMS_PER_OUNCE);
        close("1 denier", D::LinearDensity, LinearDensity::from_denier(1.0).si());
    }

    #[test]
    fn a_unit_of_another_kind() {
        let words = "`g/m` is a mass per length, a mass per area was expected, such as `25 g/m2`";
        message("25 g/m", D::BasisWeight, words, "g/m");
        let words = "`cm` is a length, a velocity was expected, such as `5 cm/s`";
        message("5 cm", D::Velocity, words, "cm");
        let words = "`m/s` is a velocity, a length was expected, such as `18 um`";
        message(" 5 m/s ", D::Length, words, "m/s");
        let words = "`%` is a plain number, a length was expected, such as `18 um`";
        message("5 %", D::Length, words, "%");
        message("5 g m", D::Length, "`g m` is not a length, such as `18 um`", "g m");
        let words = "`Ne` is a mass per length, a length was expected, such as `18 um`";
        message("30 Ne", D::Length, words, "Ne");
        let words = "`degC` is a temperature, a pressure was expected, such as `24 Pa`";
        message("20 degC", D::Pressure, words, "degC");
    }

    #[test]
    fn no_unit_or_none_that_is_known() {
        message("18", D::Length, "a length needs a unit, such as `18 um`", "18");
        message(" -0.5 ", D::Velocity, "a velocity needs a unit, such as `5.3 cm/s`", "-0.5");
        message("18 umm", D::Length, "`umm` is not a known unit: did you mean `um` or `mm`?", "umm");
        message("24 pa", D::Pressure, "`pa` is not a known unit: did you mean `Pa`?", "pa");
        message("5 cm/sek", D::Velocity, "`sek` is not a known unit: did you mean `sec`?", "sek");
        message("20 texx", D::LinearDensity, "`texx` is not a known unit: did you mean `tex`?", "texx");
        let words = "`furlong` is not a known unit: a length was expected, such as `18 um`";
        message("1 furlong", D::Length, words, "furlong");
    }

    #[test]
    fn a_decimal_comma() {
        message("0,3 um", D::Length, "write `0,3 um` as `0.3 um`", "0,3");
        message("1,200 Pa", D::Pressure, "write `1,200 Pa` as `1.200 Pa` or `1200 Pa`", "1,200");
        message("-,5 Pa", D::Pressure, "write `-,5 Pa` as `-0.5 Pa`", ",5");
        message("1.234,5 Pa", D::Pressure, "write `1.234,5 Pa` as `1234.5 Pa`", "1.234,5");
        message("1,000,000 Pa", D::Pressure, "write `1,000,000 Pa` as `1000000 Pa`", "1,000,000");
    }

    #[test]
    fn no_number() {
        message("", D::Length, "a length was expected, such as `18 um`, but the text is empty", "");
        message("  ", D::Length, "a length was expected, such as `18 um`, but the text is empty", "");
        message("thin", D::Length, "not a number: a length was expected, such as `18 um`", "thin");
        message("NaN um", D::Length, "not a number: a length was expected, such as `18 um`", "NaN");
        message("1.2.3 um", D::Length, "not a number: a length was expected, such as `18 um`", "1.2.3");
        message("1e999 m", D::Length, "the value is too large to be a length", "1e999 m");
        message("Ne 0", D::LinearDensity, "the value is too large to be a mass per length", "0");
    }

    #[test]
    fn parts_that_belong_nowhere() {
        let words = "`-20 um` is neither number nor unit: a length was expected, such as `18 um`";
        message("18-20 um", D::Length, words, "-20 um");
        let words = "`/` is neither number nor unit: a length was expected, such as `18 um`";
        message("18 /", D::Length, words, "/");
        let words = "`m12` is neither number nor unit: a length was expected, such as `18 um`";
        message("18 m12", D::Length, words, "m12");
        let words = "`(m` is neither number nor unit: a length was expected, such as `18 um`";
        message("18 (m", D::Length, words, "(m");
        let words = "`325 Pa` is neither number nor unit: a pressure was expected, such as `24 Pa`";
        message("101 325 Pa", D::Pressure, words, "325 Pa");
    }

    #[test]
    fn pairs() {
        assert_eq!(read_pair("350 mm/s at 200 Pa", D::Velocity, D::Pressure), Ok((0.35, 200.0)));
        assert_eq!(read_pair("24 Pa at 10 cm/s", D::Pressure, D::Velocity), Ok((24.0, 0.1)));
        assert_eq!(read_pair("350mm/s@200Pa", D::Velocity, D::Pressure), Ok((0.35, 200.0)));
        let text = "350 mm/s at 200 pa";
        let error = read_pair(text, D::Velocity, D::Pressure).unwrap_err();
        assert_eq!(error.to_string(), "`pa` is not a known unit: did you mean `Pa`?");
        assert_eq!(error.span, 16..18);
        let error = read_pair("350 mm/s", D::Velocity, D::Pressure).unwrap_err();
        let words = "two values joined by `at` were expected, such as `5.3 cm/s at 24 Pa`";
        assert_eq!(error.to_string(), words);
        let error = read_pair("24 Pa at ", D::Pressure, D::Velocity).unwrap_err();
        assert_eq!((error.kind, error.expected, error.span), (TextErrorKind::Empty, D::Velocity, 9..9));
    }

    #[test]
    fn any_text_answers_or_errs_within_its_own_bounds() {
        let pieces = [
            "1", "e", "9", ",", ".", "-", "um", "µ", "/", "(", ")", "^", "²", " ", "H2O", "mm", "at", "@",
            "°C", "Ne",
        ];
        let mut state = 1_usize;
        for _ in 0..20_000 {
            let mut text = String::new();
            for _ in 0..=state % 7 {
                state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                text.push_str(pieces[(state >> 33) % pieces.len()]);
            }
            for dimension in D::ALL {
                match read(&text, dimension) {
                    Ok(value) => assert!(value.is_finite(), "{text}: {value}"),
                    Err(error) => assert!(text.get(error.span.clone()).is_some(), "{text}: {:?}", error.span),
                }
            }
        }
    }
}
