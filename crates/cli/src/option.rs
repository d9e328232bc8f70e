//! Quantities in options, read with their units.

use std::ops::RangeInclusive;

use moteweir_units::text::{Dimension, read};
use moteweir_units::{Efficiency, Flow, Length, Time, Velocity};

use crate::outcome::Failure;

/// An option that was given.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Given<'a> {
    /// With its dashes.
    name: &'static str,
    /// As written.
    text: &'a str,
}

/// An option that was given or has a default.
pub(crate) const fn given<'a>(name: &'static str, text: &'a str) -> Given<'a> {
    Given { name, text }
}

/// An option that may not be there, read by `how`.
pub(crate) fn if_given<'a, T>(
    name: &'static str,
    text: Option<&'a String>,
    how: impl Fn(Given<'a>) -> Result<T, Failure>,
) -> Result<Option<T>, Failure> {
    text.map(|text| how(Given { name, text })).transpose()
}

/// Seconds as a number.
pub(crate) fn seconds(name: &'static str, value: f64) -> Result<Time, Failure> {
    if value > 0.0 && value <= 1e9 {
        Ok(Time::from_s(value))
    } else {
        Err(Failure::OptionRange { name, text: format!("{value}"), possible: "above 0 s" })
    }
}

impl Given<'_> {
    /// An SI value in a range.
    pub(crate) fn si(
        self,
        dimension: Dimension,
        possible: RangeInclusive<f64>,
        words: &'static str,
    ) -> Result<f64, Failure> {
        let value = read(self.text, dimension).map_err(|error| Failure::Option { name: self.name, error })?;
        if possible.contains(&value) { Ok(value) } else { Err(self.impossible(words)) }
    }

    /// The option with what would be possible.
    pub(crate) fn impossible(self, possible: &'static str) -> Failure {
        Failure::OptionRange { name: self.name, text: self.text.to_owned(), possible }
    }

    /// A level of an interval.
    pub(crate) fn level(self) -> Result<f64, Failure> {
        self.si(Dimension::Fraction, 0.5..=0.999, "50 to 99.9 %")
    }

    /// A share of one.
    pub(crate) fn share(self) -> Result<f64, Failure> {
        self.si(Dimension::Fraction, 0.0..=1.0, "0 to 100 %")
    }

    /// An efficiency below 100 %.
    pub(crate) fn efficiency(self) -> Result<Efficiency, Failure> {
        let value = self.si(Dimension::Fraction, 0.0..=0.999_999, "0 to 99.9999 %")?;
        Efficiency::new(value).ok_or_else(|| self.impossible("0 to 99.9999 %"))
    }

    /// Size of a particle.
    pub(crate) fn particle_size(self) -> Result<Length, Failure> {
        self.si(Dimension::Length, 1e-9..=1e-4, "1 nm to 100 um").map(Length::from_si)
    }

    /// Diameter of a hole that a sample is laid over.
    pub(crate) fn hole(self) -> Result<Length, Failure> {
        self.si(Dimension::Length, 1e-4..=1.0, "0.1 mm to 1 m").map(Length::from_si)
    }

    /// Flow of a pump.
    pub(crate) fn pump(self) -> Result<Flow, Failure> {
        self.si(Dimension::Flow, 1e-8..=1.0, "0.0006 L/min to 3600 m3/h").map(Flow::from_si)
    }

    /// A face velocity.
    pub(crate) fn velocity(self) -> Result<Velocity, Failure> {
        self.si(Dimension::Velocity, 1e-5..=20.0, "0.001 cm/s to 20 m/s").map(Velocity::from_si)
    }

    /// How long a counter is blind after a particle \[s\].
    pub(crate) fn dead_time(self) -> Result<f64, Failure> {
        self.si(Dimension::Time, 1e-9..=1.0, "1 ns to 1 s")
    }

    /// Particles in a volume \[1/m3\].
    pub(crate) fn concentration(self) -> Result<f64, Failure> {
        self.si(Dimension::Concentration, 1.0..=1e20, "above 1 /m3")
    }

    /// A duration.
    pub(crate) fn time(self) -> Result<Time, Failure> {
        self.si(Dimension::Time, 1e-3..=1e8, "1 ms to some years").map(Time::from_si)
    }
}
