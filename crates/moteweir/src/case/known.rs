//! A value together with where it came from and how far it may be off.

use std::fmt;

use crate::doubt::Doubt;

/// A value of a case, what is not known about it, and its origin.
///
/// `value` is the central value that a single prediction uses. `doubt` is what is *not known* about it (a class
/// of the shelf brings some); a spread that is real, such as the fibre diameters inside one web, is a quantity of
/// its own and never hides in `doubt`. What follows from other values carries no doubt: theirs is all there is.
#[derive(Clone, Debug, PartialEq)]
pub struct Known<T> {
    /// The central value.
    pub value: T,
    /// What is not known about it, in SI.
    pub doubt: Doubt,
    /// Where the value came from.
    pub origin: Origin,
}

/// Where a value of a case came from.
#[derive(Clone, Debug, PartialEq)]
pub enum Origin {
    /// Stated in the scenario.
    Given,
    /// Follows from other values.
    Derived(Derivation),
    /// The shelf's typical value of a class.
    Class {
        /// Name of the class.
        class: String,
        /// The shelf's source for this value.
        source: String,
    },
    /// The documented default of the key.
    Default,
}

/// Which values a derived value follows from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Derivation {
    /// Basis weight: a swatch's mass over its area.
    Swatch,
    /// Basis weight: thickness times solidity times fibre density.
    ThicknessAndSolidity,
    /// Thickness: basis weight over solidity and fibre density.
    WeightAndSolidity,
    /// Thickness of one sheet: that of several over their number.
    SeveralSheets,
    /// Solidity: basis weight over thickness and fibre density.
    WeightAndThickness,
    /// Fibre diameter: that of a solid cylinder of the stated linear density and density.
    FibreLinearDensity,
    /// Density of the fibre's polymer.
    Polymer,
    /// Yarn linear density: basis weight over the length of yarn in an area.
    WeightAndThreadCounts,
}

impl fmt::Display for Derivation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Swatch => "the swatch's mass over its area",
            Self::ThicknessAndSolidity => "thickness, solidity and fibre density",
            Self::WeightAndSolidity => "weight, solidity and fibre density",
            Self::SeveralSheets => "the thickness of several sheets",
            Self::WeightAndThickness => "weight, thickness and fibre density",
            Self::FibreLinearDensity => "fibre linear density and fibre density",
            Self::Polymer => "the polymer, from memory",
            Self::WeightAndThreadCounts => "weight and thread counts",
        })
    }
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Given => f.write_str("the scenario"),
            Self::Derived(from) => from.fmt(f),
            Self::Class { class, source } => write!(f, "class `{class}`: {source}"),
            Self::Default => f.write_str("default"),
        }
    }
}

impl<T> Known<T> {
    /// A value stated in the scenario, taken as exact.
    pub const fn given(value: T) -> Self {
        Self { value, doubt: Doubt::None, origin: Origin::Given }
    }

    /// A value that follows from others.
    pub const fn derived(value: T, from: Derivation) -> Self {
        Self { value, doubt: Doubt::None, origin: Origin::Derived(from) }
    }

    /// A documented default.
    pub const fn default_of(value: T) -> Self {
        Self { value, doubt: Doubt::None, origin: Origin::Default }
    }

    /// The same knowledge with what is not known about the value.
    #[must_use]
    pub fn with_doubt(self, doubt: Doubt) -> Self {
        Self { doubt, ..self }
    }

    /// The same knowledge of an SI value under its type.
    pub fn map<U>(self, convert: impl Fn(T) -> U) -> Known<U> {
        Known { value: convert(self.value), doubt: self.doubt, origin: self.origin }
    }

    /// Whether somebody measured it, on one piece or on several together.
    pub const fn is_measured(&self) -> bool {
        matches!(self.origin, Origin::Given | Origin::Derived(Derivation::SeveralSheets | Derivation::Swatch))
    }

    /// Whether the scenario states the value itself.
    pub const fn is_given(&self) -> bool {
        matches!(self.origin, Origin::Given)
    }
}

impl<T: Copy + PartialEq> Known<T> {
    /// The same quantity at another value, which is then taken as exact.
    pub(super) fn moved_to(&self, value: T) -> Self {
        let doubt = if value == self.value { self.doubt } else { Doubt::None };
        Self { value, doubt, origin: self.origin.clone() }
    }
}
