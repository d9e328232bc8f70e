//! Evenly spread points for the draws of a fit.
//!
//! A lattice costs an addition for each coordinate, where the scrambled points of [`crate::random`] cost a hash for each
//! binary digit; and its coordinates all come from the same evenly spaced numbers, so that their normal deviates are
//! found once. A fit draws a hundred thousand coordinates and is done thousands of times.

use crate::random::{Purpose, Stream, normal_quantile, unit_interval};

/// Sizes, all prime, with multipliers of good Korobov lattices (L'Ecuyer and Lemieux 2000, from memory; a poor multiplier
/// would give uneven points, not wrong ones).
const LATTICES: [(usize, usize); 4] = [(4093, 1516), (8191, 5130), (16_381, 4026), (32_749, 14_251)];
/// Intervals are a function of their readings alone: the shift is the same for all.
const SHIFT: Purpose = Purpose::named("shift of a lattice of count draws");

/// A shifted lattice in the unit cube, and the point of it that one has walked to.
#[derive(Clone, Debug)]
pub(crate) struct Lattice {
    size: usize,
    /// Of each dimension: the step from a point to the next.
    steps: Vec<usize>,
    /// Of each dimension: which of the evenly spaced numbers the point has.
    places: Vec<usize>,
    /// Normal deviates of the evenly spaced numbers.
    normals: Vec<f64>,
}

impl Lattice {
    /// The smallest lattice of at least a number of points, or else the largest, at its first point.
    pub(crate) fn new(least: usize, dimensions: usize) -> Self {
        let largest = LATTICES[LATTICES.len() - 1];
        let (size, multiplier) = LATTICES.into_iter().find(|(size, _)| *size >= least).unwrap_or(largest);
        let mut power = 1;
        let mut steps = Vec::with_capacity(dimensions);
        for _ in 0..dimensions {
            steps.push(power);
            power = power * multiplier % size;
        }
        let shift = |index| {
            let share = unit_interval(Stream::new(0, SHIFT, index).word());
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the size")]
            let places = (share * size as f64) as usize;
            places.min(size - 1)
        };
        let places = (0..dimensions as u64).map(shift).collect();
        let normals = (0..size).map(|place| normal_quantile(middle(place, size))).collect();
        Self { size, steps, places, normals }
    }

    /// How many points there are.
    pub(crate) fn size(&self) -> usize {
        self.size
    }

    /// Goes on to the next point; from the last to the first.
    pub(crate) fn walk(&mut self) {
        for (place, step) in self.places.iter_mut().zip(&self.steps) {
            *place += step;
            if *place >= self.size {
                *place -= self.size;
            }
        }
    }

    /// A coordinate of the point, above 0 and below 1.
    pub(crate) fn coordinate(&self, dimension: usize) -> f64 {
        middle(self.places[dimension], self.size)
    }

    /// The standard normal deviate that a coordinate of the point is the probability of.
    pub(crate) fn normal(&self, dimension: usize) -> f64 {
        self.normals[self.places[dimension]]
    }
}

/// The middle of one of so many equal parts from 0 to 1.
fn middle(place: usize, size: usize) -> f64 {
    (place as f64 + 0.5) / size as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each coordinate has one point in each of `size` cells, and no two coordinates go together.
    #[test]
    fn points_are_even_and_unrelated() {
        for (size, _) in LATTICES {
            let mut lattice = Lattice::new(size, 12);
            assert_eq!(lattice.size(), size);
            let mut points = Vec::new();
            for _ in 0..size {
                points.push((0..12).map(|dimension| lattice.coordinate(dimension)).collect::<Vec<f64>>());
                lattice.walk();
            }
            let first: Vec<f64> = (0..12).map(|dimension| lattice.coordinate(dimension)).collect();
            assert_eq!(first, points[0], "a walk through all points ends at the first");
            for dimension in 0..12 {
                let sum: f64 = points.iter().map(|point| point[dimension]).sum();
                assert!((sum / size as f64 - 0.5).abs() < 1e-9);
                for other in 0..dimension {
                    let product = |point: &Vec<f64>| (point[dimension] - 0.5) * (point[other] - 0.5);
                    let correlation = 12.0 * points.iter().map(product).sum::<f64>() / size as f64;
                    assert!(correlation.abs() < 0.02, "{size}: {dimension} and {other}: {correlation}");
                }
            }
        }
    }

    #[test]
    fn normal_deviates_are_those_of_the_coordinates() {
        let mut lattice = Lattice::new(4093, 3);
        for _ in 0..50 {
            lattice.walk();
            for dimension in 0..3 {
                let expected = normal_quantile(lattice.coordinate(dimension));
                assert_eq!(lattice.normal(dimension).to_bits(), expected.to_bits());
            }
        }
    }
}
