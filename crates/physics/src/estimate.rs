//! A value with the low and high ends that the model itself cannot decide between.

/// A model's value between its own low and high ends; all three in the same unit, `low <= value <= high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Low end.
    pub low: f64,
    /// The value that the model stands by.
    pub value: f64,
    /// High end.
    pub high: f64,
}

impl Estimate {
    /// A value without a band.
    pub const fn exact(value: f64) -> Self {
        Self { low: value, value, high: value }
    }

    /// A value and two other ends, in any order; the band is widened to hold the value.
    pub fn spanning(value: f64, one: f64, other: f64) -> Self {
        Self { low: one.min(other).min(value), value, high: one.max(other).max(value) }
    }

    /// Applies a function that never falls to all three.
    #[must_use]
    pub fn map_rising(self, f: impl Fn(f64) -> f64) -> Self {
        Self { low: f(self.low), value: f(self.value), high: f(self.high) }
    }

    /// Applies a function that never rises: the low end becomes the high one.
    #[must_use]
    pub fn map_falling(self, f: impl Fn(f64) -> f64) -> Self {
        Self { low: f(self.high), value: f(self.value), high: f(self.low) }
    }

    /// Adds `weight` times another, end to end: as if both erred the same way.
    #[must_use]
    pub fn plus(self, other: Self, weight: f64) -> Self {
        Self {
            low: self.low + weight * other.low,
            value: self.value + weight * other.value,
            high: self.high + weight * other.high,
        }
    }

    /// The band of both; the value stays.
    #[must_use]
    pub fn widened_by(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), value: self.value, high: self.high.max(other.high) }
    }
}
