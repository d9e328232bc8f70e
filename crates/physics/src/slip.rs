//! Slip correction: how much less a small particle is held back by air that it meets as molecules.

use moteweir_units::Length;

use crate::air::Air;

/// Coefficients A, B, C of a slip correction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlipCoefficients {
    a: f64,
    b: f64,
    c: f64,
}

impl SlipCoefficients {
    /// The set used throughout: [`crate::refs::KIM_2005`], as in [`crate::refs::ISO_15900`]; fitted with a mean
    /// free path of 67.3 nm.
    pub const KIM_2005: Self = Self { a: 1.165, b: 0.483, c: 0.997 };
    /// [`crate::refs::DAVIES_1945`], common in older papers; fitted with 66 nm. For comparison only.
    pub const DAVIES_1945: Self = Self { a: 1.257, b: 0.400, c: 1.10 };
    /// [`crate::refs::HINDS_1999`], eq. 3.20 (from memory); fitted with 66 nm. For comparison only.
    pub const HINDS_1999: Self = Self { a: 1.17, b: 0.525, c: 0.78 };

    /// Slip correction factor \[-\] at a particle Knudsen number 2 x mean free path / diameter.
    ///
    /// ```text
    /// Cc = 1 + Kn [A + B exp(-C/Kn)]
    /// ```
    /// Valid for all sizes in air to about 2 %.
    pub fn at(&self, knudsen: f64) -> f64 {
        1.0 + knudsen * (self.a + self.b * (-self.c / knudsen).exp())
    }
}

/// Slip correction factor \[-\] of a sphere in air, with the coefficients of [`crate::refs::KIM_2005`].
pub fn slip_correction(air: &Air, diameter: Length) -> f64 {
    SlipCoefficients::KIM_2005.at(2.0 * (air.mean_free_path() / diameter))
}
