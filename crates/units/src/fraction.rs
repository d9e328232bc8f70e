//! Fractions of one: what is caught, what gets through, and how much of a web is fibre.

/// The share of particles that a layer catches, 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Efficiency(f64);

/// The share of particles that gets through, 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Penetration(f64);

/// The share of a web's volume that is fibre (solidity, fibre volume fraction), above 0 and below 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Solidity(f64);

impl Penetration {
    /// From a fraction; `None` outside 0 to 1 or where it is not a number.
    pub fn new(fraction: f64) -> Option<Self> {
        (0.0..=1.0).contains(&fraction).then_some(Self(fraction))
    }

    /// The fraction that gets through.
    pub const fn fraction(self) -> f64 {
        self.0
    }

    /// What is caught.
    pub const fn efficiency(self) -> Efficiency {
        Efficiency(1.0 - self.0)
    }
}

impl Efficiency {
    /// From a fraction; `None` outside 0 to 1 or where it is not a number.
    pub fn new(fraction: f64) -> Option<Self> {
        (0.0..=1.0).contains(&fraction).then_some(Self(fraction))
    }

    /// The fraction that is caught.
    pub const fn fraction(self) -> f64 {
        self.0
    }

    /// What gets through.
    pub const fn penetration(self) -> Penetration {
        Penetration(1.0 - self.0)
    }
}

impl Solidity {
    /// From a fraction; `None` unless it lies strictly between 0 and 1.
    pub fn new(fraction: f64) -> Option<Self> {
        (fraction > 0.0 && fraction < 1.0).then_some(Self(fraction))
    }

    /// The fraction of the volume that is fibre.
    pub const fn fraction(self) -> f64 {
        self.0
    }
}
