//! Impaction (the table is being computed; this file is replaced with it).

/// Increments for the two ways of entering the cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Increment {
    /// Entering with the uniform velocity.
    pub uniform: f64,
    /// Entering with the local fluid velocity.
    pub fluid: f64,
}

/// The table at one solidity.
#[derive(Clone, Debug)]
pub struct ImpactionSlice;

impl ImpactionSlice {
    /// The slice of a solidity.
    pub fn new(_: moteweir_units::Solidity) -> Self {
        Self
    }

    /// The increments.
    pub fn increment(&self, _: f64, _: f64) -> Increment {
        Increment { uniform: 0.0, fluid: 0.0 }
    }
}
