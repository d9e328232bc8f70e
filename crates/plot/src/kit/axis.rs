//! Axes: a label with its unit, a scale, a range.

use super::ticks::{Tick, ticks, widened};
use crate::PlotError;

/// An axis of a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What stands on the figure: quantity, with the unit in brackets.
    pub label: String,
    /// Column name in the CSV, with the unit as suffix: `particle_diameter_um`.
    pub column: String,
    /// How values map to lengths.
    pub scale: Scale,
    /// Lower and upper end in axis units; `None` takes the data, widened to the next round numbers.
    pub range: Option<(f64, f64)>,
    /// What is written on the ticks.
    pub text: TickText,
}

/// How the values of an axis map to lengths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// Equal differences, equal lengths.
    Linear,
    /// Equal ratios, equal lengths; values above 0 only.
    Log,
    /// As `Log`, with the small values at the far end: a penetration drawn so that less of it stands higher.
    LogFalling,
}

/// What is written on the ticks of an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TickText {
    /// The value itself.
    Number,
    /// A fraction in percent.
    Percent,
    /// One minus the value, in percent: on an axis of penetration.
    EfficiencyOfPenetration,
    /// Nothing, and no ticks either: on the axis along which bars are counted.
    Nothing,
}

impl Axis {
    /// An axis with equal differences and a range taken from the data.
    pub fn linear(label: impl Into<String>, column: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            column: column.into(),
            scale: Scale::Linear,
            range: None,
            text: TickText::Number,
        }
    }

    /// An axis with equal ratios and a range taken from the data.
    pub fn log(label: impl Into<String>, column: impl Into<String>) -> Self {
        Self { scale: Scale::Log, ..Self::linear(label, column) }
    }

    /// The same axis from `low` to `high`.
    #[must_use]
    pub fn from_to(self, low: f64, high: f64) -> Self {
        Self { range: Some((low, high)), ..self }
    }

    /// Whether a value can stand on this axis at all.
    pub(super) fn can_show(&self, value: f64) -> bool {
        value.is_finite() && (self.scale == Scale::Linear || value > SMALLEST_ON_LOG)
    }

    /// The axis with its range settled; `Ok(None)` where no range is given and no value can be shown.
    pub(super) fn settled(&self, values: impl Iterator<Item = f64>) -> Result<Option<Mapping>, PlotError> {
        let (low, high) = match self.range {
            Some(range) => range,
            None => match self.data_range(values) {
                Some((low, high)) => widened(low, high, self.scale),
                None => return Ok(None),
            },
        };
        if !(self.can_show(low) && self.can_show(high) && (high - low).is_finite() && low < high) {
            return Err(PlotError::Range { axis: self.label.clone(), low, high });
        }
        Ok(Some(Mapping { low, high, scale: self.scale }))
    }

    fn data_range(&self, values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.filter(|v| self.can_show(*v)) {
            low = low.min(value);
            high = high.max(value);
        }
        if low > high {
            return None;
        }
        // A single value gets some room: an axis without length has no ticks.
        let tight = high - low <= 1e-9 * high.abs().max(low.abs());
        Some(match (tight, self.scale) {
            (false, _) => (low, high),
            (true, Scale::Linear) if low == 0.0 => (0.0, 1.0),
            (true, Scale::Linear) => (low - 0.1 * low.abs(), high + 0.1 * high.abs()),
            (true, Scale::Log | Scale::LogFalling) => (low / 2.0, high * 2.0),
        })
    }

    /// Ticks of a settled range.
    pub(super) fn ticks(&self, mapping: Mapping, most: usize) -> Vec<Tick> {
        if self.text == TickText::Nothing {
            return Vec::new();
        }
        ticks(mapping.low, mapping.high, self.scale, self.text, most)
    }
}

/// Smallest value on a logarithmic axis; below lie numbers that have lost their digits.
const SMALLEST_ON_LOG: f64 = 1e-290;

/// A settled axis: values to fractions of its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Mapping {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) scale: Scale,
}

impl Mapping {
    /// 0 at the near end, 1 at the far end, beyond for values outside; not finite for values that have no place.
    pub(super) fn fraction(self, value: f64) -> f64 {
        match self.scale {
            Scale::Linear => (value - self.low) / (self.high - self.low),
            Scale::Log => self.log_fraction(value),
            Scale::LogFalling => 1.0 - self.log_fraction(value),
        }
    }

    fn log_fraction(self, value: f64) -> f64 {
        if value <= SMALLEST_ON_LOG {
            return f64::NAN;
        }
        libm::log10(value / self.low) / libm::log10(self.high / self.low)
    }

    /// The same for an end of a band: what lies at or below 0 on a logarithmic axis goes far beyond its small end.
    pub(super) fn bounded_fraction(self, value: f64) -> f64 {
        let logarithmic = self.scale != Scale::Linear && !value.is_nan();
        self.fraction(if logarithmic { value.max(10.0 * SMALLEST_ON_LOG) } else { value })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log() -> Axis {
        Axis::log("particle diameter (µm)", "diameter_um")
    }

    #[test]
    fn a_range_comes_from_the_data_that_can_be_shown() {
        let values = [0.03, f64::NAN, -4.0, 0.0, 7.0, f64::INFINITY];
        let mapping = log().settled(values.into_iter()).expect("valid").expect("data");
        assert_eq!((mapping.low, mapping.high), (0.02, 10.0));
        assert_eq!(log().settled([0.0, -1.0].into_iter()).expect("no fault"), None);
    }

    #[test]
    fn an_impossible_range_is_refused_with_its_ends() {
        let fault = log().from_to(0.0, 1.0).settled(std::iter::empty()).expect_err("0 on a log axis");
        assert_eq!(fault.to_string(), "the axis \"particle diameter (µm)\" cannot run from 0.0 to 1.0");
        assert!(log().from_to(2.0, 1.0).settled(std::iter::empty()).is_err());
        assert!(log().from_to(1.0, f64::NAN).settled(std::iter::empty()).is_err());
    }

    #[test]
    fn one_value_still_has_an_axis() {
        for (axis, value) in [(log(), 0.3), (Axis::linear("a", "a"), 0.0), (Axis::linear("a", "a"), -5.0)] {
            let mapping = axis.settled([value].into_iter()).expect("valid").expect("data");
            assert!(
                mapping.low < mapping.high && (0.0..=1.0).contains(&mapping.fraction(value)),
                "{mapping:?}"
            );
        }
    }

    #[test]
    fn a_falling_axis_puts_small_values_at_the_far_end() {
        let mapping = Mapping { low: 1e-4, high: 1.0, scale: Scale::LogFalling };
        assert!((mapping.fraction(1e-4) - 1.0).abs() < 1e-12);
        assert!((mapping.fraction(1e-2) - 0.5).abs() < 1e-12);
        assert!(mapping.fraction(0.0).is_nan());
        assert!(mapping.bounded_fraction(0.0) > 50.0 && mapping.bounded_fraction(-1.0).is_finite());
    }
}
