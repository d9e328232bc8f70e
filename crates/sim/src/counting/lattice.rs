//! Evenly spread points for the draws of a fit.
//!
//! A lattice costs a multiplication for each coordinate, where the scrambled points of [`crate::random`] cost a hash for
//! each binary digit; a fit draws a hundred thousand coordinates and is done thousands of times.

use crate::random::{Purpose, Stream, unit_interval};

/// Sizes, all prime, with multipliers of good Korobov lattices (L'Ecuyer and Lemieux 2000, from memory; a poor multiplier
/// would give uneven points, not wrong ones).
const LATTICES: [(u32, u32); 4] = [(4093, 1516), (8191, 5130), (16_381, 4026), (32_749, 14_251)];
/// Intervals are a function of their readings alone: the shift is the same for all.
const SHIFT: Purpose = Purpose::named("shift of a lattice of count draws");

/// A shifted lattice in the unit cube.
#[derive(Clone, Debug)]
pub(crate) struct Lattice {
    size: u32,
    generators: Vec<u64>,
    shifts: Vec<f64>,
}

impl Lattice {
    /// The smallest lattice of at least a number of points, or else the largest.
    pub(crate) fn new(least: u32, dimensions: usize) -> Self {
        let largest = LATTICES[LATTICES.len() - 1];
        let (size, multiplier) = LATTICES.into_iter().find(|(size, _)| *size >= least).unwrap_or(largest);
        let mut power = 1_u64;
        let mut generators = Vec::with_capacity(dimensions);
        for _ in 0..dimensions {
            generators.push(power);
            power = power * u64::from(multiplier) % u64::from(size);
        }
        let shifts =
            (0..dimensions as u64).map(|index| unit_interval(Stream::new(0, SHIFT, index).word())).collect();
        Self { size, generators, shifts }
    }

    /// How many points there are.
    pub(crate) fn size(&self) -> u32 {
        self.size
    }

    /// A coordinate of a point, above 0 and below 1.
    pub(crate) fn coordinate(&self, point: u32, dimension: usize) -> f64 {
        let place = u64::from(point) * self.generators[dimension] % u64::from(self.size);
        let shifted = (place as f64 + self.shifts[dimension]) / f64::from(self.size);
        shifted.clamp(1e-12, 1.0 - 1e-12)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each coordinate has one point in each of `size` cells, and no two coordinates go together.
    #[test]
    fn points_are_even_and_unrelated() {
        for (size, _) in LATTICES {
            let lattice = Lattice::new(size, 12);
            assert_eq!(lattice.size(), size);
            for dimension in 0..12 {
                let sum: f64 = (0..size).map(|point| lattice.coordinate(point, dimension)).sum();
                assert!((sum / f64::from(size) - 0.5).abs() < 1.0 / f64::from(size));
                for other in 0..dimension {
                    let product = |point| {
                        (lattice.coordinate(point, dimension) - 0.5)
                            * (lattice.coordinate(point, other) - 0.5)
                    };
                    let correlation = 12.0 * (0..size).map(product).sum::<f64>() / f64::from(size);
                    assert!(correlation.abs() < 0.02, "{size}: {dimension} and {other}: {correlation}");
                }
            }
        }
    }
}
