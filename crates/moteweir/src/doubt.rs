//! What is not known about a value: a distribution around its central value.
//!
//! This is ignorance, not a real spread: the fibre diameters inside one web are a quantity of their own (`gsd`), and so
//! is what differs from piece to piece ([`crate::case::Variation`]).

use moteweir_sim::random::truncated_normal_quantile;

/// The share of a distribution between the ends that [`Doubt::ends`] gives.
pub const BAND: f64 = 0.95;

/// What is not known about a value, in SI units of the value. The central value is kept beside it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Doubt {
    /// Nothing: the value is taken as exact.
    #[default]
    None,
    /// Somewhere between two ends: as often below the central value as above it, and on each side uniform on the
    /// scale. With the central value in the middle of the scale this is the uniform distribution; a class's typical
    /// value that is not in the middle of its range remains the median.
    Between {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
        /// What it is uniform in.
        scale: Scale,
    },
    /// Normal about the central value, cut off where the impossible begins.
    About {
        /// Standard deviation of the normal distribution before it is cut off.
        give_or_take: f64,
        /// Lowest possible value.
        lowest: f64,
        /// Highest possible value.
        highest: f64,
    },
}

/// What a distribution between two ends is uniform in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// The logarithm of the value: a factor up is as likely as the same factor down.
    Log,
    /// The value itself.
    Linear,
}

impl Scale {
    /// The word for it in a scenario.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Log => "log",
            Self::Linear => "linear",
        }
    }

    /// The value in the middle between two: the geometric or the arithmetic mean.
    pub fn middle(self, low: f64, high: f64) -> f64 {
        self.at(low, high, 0.5)
    }

    /// The value at a share of the way from `low` to `high`; the ends exactly.
    fn at(self, low: f64, high: f64, share: f64) -> f64 {
        let value = match self {
            Self::Log => low * (high / low).powf(share),
            Self::Linear => low + share * (high - low),
        };
        value.clamp(low, high)
    }
}

impl Doubt {
    /// Between two ends, uniform in the logarithm where the lower end is above zero, else in the value itself.
    pub fn between(low: f64, high: f64) -> Self {
        let scale = if low > 0.0 { Scale::Log } else { Scale::Linear };
        Self::Between { low, high, scale }
    }

    /// Whether the value is taken as exact.
    pub const fn is_none(&self) -> bool {
        matches!(self, Self::None)
    }

    /// The value below which the share `p` of the distribution about `value` lies, for 0 < p < 1.
    pub fn quantile(&self, value: f64, p: f64) -> f64 {
        match *self {
            Self::None => value,
            Self::Between { low, scale, .. } if p < 0.5 => scale.at(low, value, 2.0 * p),
            Self::Between { high, scale, .. } => scale.at(value, high, 2.0 * p - 1.0),
            Self::About { give_or_take, lowest, highest } => {
                let deviations = |end: f64| (end - value) / give_or_take;
                let z = truncated_normal_quantile(p, deviations(lowest), deviations(highest));
                (value + give_or_take * z).clamp(lowest, highest)
            }
        }
    }

    /// The values between which 95 % of the distribution about `value` lies, as much outside on either side; `None`
    /// where there is no doubt.
    pub fn ends(&self, value: f64) -> Option<(f64, f64)> {
        let outside = 0.5 * (1.0 - BAND);
        (!self.is_none()).then(|| (self.quantile(value, outside), self.quantile(value, 1.0 - outside)))
    }

    /// The same doubt of a value that is `factor` times as large.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        match self {
            Self::None => Self::None,
            Self::Between { low, high, scale } => {
                Self::Between { low: factor * low, high: factor * high, scale }
            }
            Self::About { give_or_take, lowest, highest } => Self::About {
                give_or_take: factor * give_or_take,
                lowest: factor * lowest,
                highest: factor * highest,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn close(got: f64, expected: f64) {
        assert!((got / expected - 1.0).abs() < 1e-12, "got {got}, expected {expected}");
    }

    #[test]
    fn between_two_ends_is_uniform_on_its_scale() {
        let (low, high) = (8e-6, 20e-6);
        let log = Doubt::between(low, high);
        let middle = Scale::Log.middle(low, high);
        close(middle, (low * high).sqrt());
        for p in [0.01, 0.3, 0.5, 0.9] {
            close(log.quantile(middle, p), low * (high / low).powf(p));
            let linear = Doubt::Between { low, high, scale: Scale::Linear };
            close(linear.quantile(Scale::Linear.middle(low, high), p), low + p * (high - low));
        }
        let (a, b) = log.ends(middle).unwrap();
        close(a, low * (high / low).powf(0.025));
        close(b, low * (high / low).powf(0.975));
    }

    #[test]
    fn a_typical_value_off_the_middle_is_the_median() {
        let doubt = Doubt::between(12.0, 25.0);
        close(doubt.quantile(17.0, 0.5), 17.0);
        close(doubt.quantile(17.0, 0.25), (12.0_f64 * 17.0).sqrt());
        close(doubt.quantile(17.0, 0.75), (17.0_f64 * 25.0).sqrt());
        // A value at the end of its range is as often that as more.
        let from_zero = Doubt::between(0.0, 0.3);
        assert_eq!(from_zero.quantile(0.0, 0.4).to_bits(), 0.0_f64.to_bits());
        close(from_zero.quantile(0.0, 0.75), 0.15);
    }

    #[test]
    fn about_is_normal_and_stays_possible() {
        let doubt = Doubt::About { give_or_take: 3.0, lowest: 0.0, highest: 1e6 };
        // 14 is 4.67 standard deviations above 0: cutting moves the quantiles by less than 1e-5.
        let (low, high) = doubt.ends(14.0).unwrap();
        assert!((low - (14.0 - 3.0 * 1.959964)).abs() < 1e-4, "{low}");
        assert!((high - (14.0 + 3.0 * 1.959964)).abs() < 1e-4, "{high}");
        for p in [1e-12, 0.5, 1.0 - 1e-12] {
            assert!((0.0..=1e6).contains(&doubt.quantile(2.0, p)));
        }
    }

    #[test]
    fn a_scaled_doubt_has_scaled_quantiles() {
        for doubt in [
            Doubt::None,
            Doubt::between(1.0, 3.0),
            Doubt::About { give_or_take: 1.0, lowest: 0.1, highest: 9.0 },
        ] {
            for p in [0.1, 0.8] {
                close(doubt.scaled(0.25).quantile(0.5, p), 0.25 * doubt.quantile(2.0, p));
            }
        }
    }
}
