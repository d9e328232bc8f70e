//! What can be wrong with a leak.

use moteweir_units::{Flow, Length, Pressure};
use thiserror::Error;

/// A leak that cannot be, or a split that cannot be found.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LeakError {
    /// A quantity that has to be above zero and finite is not.
    #[error("the {quantity} of a leak is {value}, but has to be above zero and finite")]
    NotPositive {
        /// The quantity, as a reader would call it.
        quantity: &'static str,
        /// Its SI value.
        value: f64,
    },
    /// A slit wider than long.
    #[error(
        "a slit with a gap of {:.2} mm and a length of {:.2} mm: the gap has to be the smaller; give a hole by its area instead",
        gap.to_mm(), length.to_mm()
    )]
    GapAboveLength {
        /// Distance between the walls.
        gap: Length,
        /// Length along the edge.
        length: Length,
    },
    /// An exponent that no flow has.
    #[error(
        "the exponent of a leak's pressure drop on flow is {exponent}, but lies between 1 (laminar) and 2 (inertial); an exponent of flow on pressure drop is its inverse"
    )]
    Exponent {
        /// As given.
        exponent: f64,
    },
    /// A share of particles outside 0 to 1.
    #[error("the penetration of the {path} is {fraction}, but has to lie between 0 and 1")]
    Fraction {
        /// `filter` or `leak`.
        path: &'static str,
        /// As given.
        fraction: f64,
    },
    /// The filter lets through more than the fit factor says got in.
    #[error(
        "a fit factor of {fit_factor:.0} means that {:.3} % got in, but the filter alone lets {:.3} % of the test's particles through; give the filter's penetration for the particles of the fit test",
        100.0 / fit_factor, 100.0 * filter_penetration
    )]
    FilterAlonePassesMore {
        /// Concentration outside over inside.
        fit_factor: f64,
        /// Of the filter, for the particles of the test.
        filter_penetration: f64,
    },
    /// More got in than would without a filter.
    #[error(
        "a fit factor of {fit_factor} means that {:.1} % got in, more than the leak alone would let in ({:.1} %)",
        100.0 / fit_factor, 100.0 * leak_penetration
    )]
    MoreThanTheLeak {
        /// Concentration outside over inside.
        fit_factor: f64,
        /// Of the leak, for the particles of the test.
        leak_penetration: f64,
    },
    /// No gap passes the flow.
    #[error(
        "no slit of {:.1} mm by {:.1} mm passes {:.4} L/min at {:.2} Pa with a gap between 1 um and its own length",
        length.to_mm(), depth.to_mm(), flow.to_l_per_min(), pressure_drop.to_pa()
    )]
    NoSuchGap {
        /// Length along the edge.
        length: Length,
        /// Way through.
        depth: Length,
        /// Flow to be passed.
        flow: Flow,
        /// Pressure drop of it.
        pressure_drop: Pressure,
    },
    /// The filter's pressure drop is none.
    #[error(
        "the filter's pressure drop at {:.3} L/min is {:.3} Pa, but has to be finite and not below zero",
        flow.to_l_per_min(), pressure_drop.to_pa()
    )]
    FilterPressure {
        /// Flow through the filter.
        flow: Flow,
        /// Its pressure drop.
        pressure_drop: Pressure,
    },
    /// A total flow that is none.
    #[error("the flow to divide is {:.3} L/min, but has to be finite and not below zero", flow.to_l_per_min())]
    TotalFlow {
        /// As given.
        flow: Flow,
    },
}

impl LeakError {
    /// Checks that a quantity is above zero and finite.
    pub(super) fn unless_positive(quantity: &'static str, value: f64) -> Result<(), Self> {
        if value > 0.0 && value.is_finite() { Ok(()) } else { Err(Self::NotPositive { quantity, value }) }
    }

    /// Checks that a penetration is a fraction.
    pub(super) fn unless_fraction(path: &'static str, fraction: f64) -> Result<(), Self> {
        if (0.0..=1.0).contains(&fraction) { Ok(()) } else { Err(Self::Fraction { path, fraction }) }
    }
}
