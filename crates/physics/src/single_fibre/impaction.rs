//! Impaction (the table is being computed; this file is replaced with it).

/// How a particle enters the cell of a fibre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Release {
    /// With the uniform velocity U along the axis: it has the right limit for heavy particles.
    Uniform,
    /// With the velocity that the air has where it enters.
    Fluid,
}

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
