//! A value together with where it came from and how far it may be off.

use std::fmt;

/// A value of a case, the range it may lie in where one is known, and its origin.
///
/// `value` is the central value that a single prediction uses. `range` is what is *not known* about it (a class
/// of the shelf brings one); a spread that is real, such as the fibre diameters inside one web, is a quantity of
/// its own and never hides in `range`.
#[derive(Clone, Debug, PartialEq)]
pub struct Known<T> {
    /// The central value.
    pub value: T,
    /// Lowest and highest plausible value, where the origin states them.
    pub range: Option<(T, T)>,
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
        Self { value, range: None, origin: Origin::Given }
    }

    /// A value that follows from others, without a range.
    pub const fn derived(value: T, from: Derivation) -> Self {
        Self { value, range: None, origin: Origin::Derived(from) }
    }

    /// A documented default.
    pub const fn default_of(value: T) -> Self {
        Self { value, range: None, origin: Origin::Default }
    }

    /// The same knowledge of a value expressed as another quantity; `convert` must be monotonic.
    pub fn map<U: PartialOrd>(self, convert: impl Fn(T) -> U) -> Known<U> {
        let range = self.range.map(|(low, high)| {
            let (a, b) = (convert(low), convert(high));
            if a <= b { (a, b) } else { (b, a) }
        });
        Known { value: convert(self.value), range, origin: self.origin }
    }

    /// Whether the scenario states the value itself.
    pub const fn is_given(&self) -> bool {
        matches!(self.origin, Origin::Given)
    }
}

impl<T: Copy + PartialOrd> Known<T> {
    /// A value that follows from two others; its range spans the corners of theirs.
    pub fn combine<A: Copy, B: Copy>(
        a: &Known<A>,
        b: &Known<B>,
        from: Derivation,
        rule: impl Fn(A, B) -> T,
    ) -> Self {
        let value = rule(a.value, b.value);
        let range = (a.range.is_some() || b.range.is_some()).then(|| {
            let (a_low, a_high) = a.range.unwrap_or((a.value, a.value));
            let (b_low, b_high) = b.range.unwrap_or((b.value, b.value));
            let corners =
                [rule(a_low, b_low), rule(a_low, b_high), rule(a_high, b_low), rule(a_high, b_high)];
            corners.into_iter().fold((value, value), |(low, high), corner| {
                (if corner < low { corner } else { low }, if corner > high { corner } else { high })
            })
        });
        Self { value, range, origin: Origin::Derived(from) }
    }
}
