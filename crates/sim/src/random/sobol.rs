//! Sobol points that can be asked for by number, scrambled after Owen by a hash.

use super::philox::philox4x64;
use super::sobol_directions::ROWS;
use super::stream::{Purpose, Stream, unit_interval};

/// Dimensions with direction numbers of their own.
pub const MOST_SOBOL_DIMENSIONS: usize = ROWS.len() + 1;

/// Bits of a point before scrambling, and of its number.
const BITS: u32 = u32::BITS;

/// A scrambled Sobol sequence in the open unit cube, one of many independent ones.
///
/// Every stretch of 2^m points that begins at a multiple of 2^m fills the strata of the sequence evenly, and each
/// point alone is evenly distributed, so that the mean over one sequence is unbiased and its error is found from
/// several replicates. Dimensions beyond [`MOST_SOBOL_DIMENSIONS`] are filled with plain random numbers.
///
/// Source: Sobol (1967); direction numbers of Joe and Kuo (2008); order by Gray code, Antonov and Saleev (1979);
/// scrambling, Owen (1995), Randomly permuted (t,m,s)-nets and (t,s)-sequences, with the permutation of a digit taken
/// from a hash of the digits before it, as in Burley (2020), Practical hash-based Owen scrambling, JCGT 9(4)
/// (all from memory; the digits are permuted one by one, without the shortcut of the last).
#[derive(Clone, Debug)]
pub struct Sobol {
    seed: u64,
    purpose: Purpose,
    replicate: u64,
    dimensions: Vec<Dimension>,
    padding: u64,
}

#[derive(Clone, Debug)]
struct Dimension {
    directions: [u32; BITS as usize],
    key: u64,
}

impl Sobol {
    /// The sequence of a number of dimensions for a seed, a purpose and the number of the replicate. One dimension
    /// more changes none of the others.
    pub fn new(dimensions: usize, seed: u64, purpose: Purpose, replicate: u64) -> Self {
        let own = dimensions.min(MOST_SOBOL_DIMENSIONS);
        let key = |number: usize| {
            philox4x64([number as u64, replicate, 0, 0], [seed, Stream::new(seed, purpose, u64::MAX).word()])
                [0]
        };
        Self {
            seed,
            purpose,
            replicate,
            dimensions: (0..own)
                .map(|number| Dimension { directions: directions(number), key: key(number) })
                .collect(),
            padding: (dimensions - own) as u64,
        }
    }

    /// Writes the point of a number, from 0, into `point`, which takes as many coordinates as it has room for, at most
    /// as many as there are dimensions.
    pub fn point(&self, number: u32, point: &mut [f64]) {
        let (own, padding) = point.split_at_mut(point.len().min(self.dimensions.len()));
        for (coordinate, dimension) in own.iter_mut().zip(&self.dimensions) {
            let digits = plain(&dimension.directions, number);
            *coordinate = unit_interval(scramble(digits, dimension.key));
        }
        for (coordinate, dimension) in padding.iter_mut().zip(0..self.padding) {
            let purpose = Purpose::named("sobol padding").item(dimension);
            let key = Stream::new(self.seed, self.purpose, self.replicate).word();
            *coordinate = Stream::new(key, purpose, u64::from(number)).uniform();
        }
    }
}

/// The direction numbers of a dimension, the first digit in the highest bit.
fn directions(dimension: usize) -> [u32; BITS as usize] {
    let mut v = [0_u32; BITS as usize];
    let Some(row) = dimension.checked_sub(1).map(|index| &ROWS[index]) else {
        (0..BITS).for_each(|digit| v[digit as usize] = 1 << (BITS - 1 - digit));
        return v;
    };
    let degree = row.first.len();
    for digit in 0..v.len() {
        v[digit] = if digit < degree {
            row.first[digit] << (v.len() - 1 - digit)
        } else {
            let inner = (1..degree)
                .filter(|back| row.inner >> (degree - 1 - back) & 1 == 1)
                .fold(0, |sum, back| sum ^ v[digit - back]);
            v[digit - degree] ^ (v[digit - degree] >> degree) ^ inner
        };
    }
    v
}

/// The digits of a point before scrambling.
fn plain(directions: &[u32; BITS as usize], number: u32) -> u32 {
    let mut gray = number ^ (number >> 1);
    let mut digits = 0;
    while gray != 0 {
        digits ^= directions[gray.trailing_zeros() as usize];
        gray &= gray - 1;
    }
    digits
}

/// Flips each digit by a hash of the digits before it, and appends 32 random digits of the cell that is left.
fn scramble(digits: u32, key: u64) -> u64 {
    let leaf = 1 << BITS | u64::from(digits);
    // The node in the tree of digits: a leading one, then the digits so far.
    let flips = (1..=BITS).rev().fold(0, |flips, left| flips << 1 | hash(key, leaf >> left) >> 63);
    (u64::from(digits) ^ flips) << BITS | hash(key, leaf) >> BITS
}

/// The finaliser of SplitMix64 in the variant 13 of Stafford, over a key and a node.
const fn hash(key: u64, node: u64) -> u64 {
    let mut z = key.wrapping_add(node.wrapping_mul(0x9e37_79b9_7f4a_7c15));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small and not negative")]
    fn whole(x: f64) -> usize {
        x as usize
    }

    const DESIGN: Purpose = Purpose::named("design");

    /// `scipy.stats.qmc.Sobol(100, scramble=False)`, SciPy 1.17: number, then dimensions 1, 2, 3, 8, 20, 50, 100.
    const KNOWN: [(u32, [f64; 7]); 4] = [
        (1, [0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]),
        (5, [0.875, 0.875, 0.125, 0.375, 0.625, 0.875, 0.375]),
        (37, [0.921875, 0.640625, 0.578125, 0.796875, 0.140625, 0.953125, 0.171875]),
        (
            1_000_003,
            [
                0.2764749526977539,
                0.5619192123413086,
                0.07799625396728516,
                0.26679325103759766,
                0.6322927474975586,
                0.10164546966552734,
                0.04960346221923828,
            ],
        ),
    ];

    #[test]
    fn unscrambled_points_are_those_of_another_implementation() {
        for (number, expected) in KNOWN {
            for (dimension, expected) in [0, 1, 2, 7, 19, 49, 99].into_iter().zip(expected) {
                let got = f64::from(plain(&directions(dimension), number)) / 2.0_f64.powi(32);
                assert!(
                    (got - expected).abs() < 1e-9,
                    "point {number}, dimension {dimension}: {got}, {expected}"
                );
            }
        }
    }

    #[test]
    fn every_dimension_has_one_point_in_each_stratum() {
        let sobol = Sobol::new(MOST_SOBOL_DIMENSIONS, 11, DESIGN, 0);
        for first in [0, 3 * 1024] {
            let mut taken = vec![[false; MOST_SOBOL_DIMENSIONS]; 1024];
            let mut point = [0.0; MOST_SOBOL_DIMENSIONS];
            for number in first..first + 1024 {
                sobol.point(number, &mut point);
                for (dimension, x) in point.iter().enumerate() {
                    let stratum = whole(x * 1024.0);
                    assert!(!taken[stratum][dimension], "dimension {dimension}, stratum {stratum} twice");
                    taken[stratum][dimension] = true;
                }
            }
        }
    }

    #[test]
    fn two_dimensions_fill_every_elementary_box() {
        let sobol = Sobol::new(2, 12, DESIGN, 4);
        for wide in 0..=8 {
            let (columns, rows) = (f64::from(1 << wide), f64::from(1 << (8 - wide)));
            let mut taken = [false; 256];
            for number in 256..512 {
                let mut x = [0.0; 2];
                sobol.point(number, &mut x);
                let at = (x[0] * columns).floor() * rows + (x[1] * rows).floor();
                assert!(!std::mem::replace(&mut taken[whole(at)], true), "a box of 2^{wide} columns twice");
            }
        }
    }

    #[test]
    fn replicates_differ_and_a_dimension_more_moves_nothing() {
        let at = |dimensions, replicate| {
            let mut x = [0.0; 3];
            Sobol::new(dimensions, 11, DESIGN, replicate).point(77, &mut x);
            x
        };
        assert_eq!(at(3, 0).map(f64::to_bits), at(50, 0).map(f64::to_bits));
        assert!(at(3, 0).iter().zip(at(3, 1)).all(|(a, b)| (a - b).abs() > 1e-12));
    }

    /// Over replicates a point is evenly distributed: Kolmogorov-Smirnov, 4096 replicates, four dimensions among them a
    /// padded one; sqrt(n) D above 2.7 has a probability of 2 exp(-2 2.7^2) = 9e-7 each.
    #[test]
    fn over_replicates_a_point_is_evenly_distributed() {
        let count = 4096_u32;
        let mut columns = vec![Vec::new(); 4];
        let mut point = [0.0; MOST_SOBOL_DIMENSIONS + 1];
        for replicate in 0..count {
            Sobol::new(point.len(), 13, DESIGN, replicate.into()).point(5, &mut point);
            for (column, dimension) in columns.iter_mut().zip([0, 1, 60, MOST_SOBOL_DIMENSIONS]) {
                column.push(point[dimension]);
            }
        }
        for (number, mut column) in columns.into_iter().enumerate() {
            column.sort_by(f64::total_cmp);
            let distance = column.iter().enumerate().fold(0.0_f64, |d, (rank, x)| {
                d.max((x - rank as f64 / f64::from(count)).abs())
                    .max((x - (rank + 1) as f64 / f64::from(count)).abs())
            });
            let scaled = distance * f64::from(count).sqrt();
            assert!(scaled < 2.7, "column {number}: sqrt(n) D = {scaled}");
        }
    }

    /// The error of a smooth integral falls faster than 1/sqrt(n): over 32 replicates of 1024 points the root mean
    /// square is far below that of random points, 1/sqrt(1024) of the standard deviation.
    #[test]
    fn smooth_integrals_are_far_better_than_random() {
        let error = |replicate: u64| {
            let sobol = Sobol::new(4, 14, DESIGN, replicate);
            let mut x = [0.0; 4];
            let sum: f64 = (0..1024)
                .map(|number| {
                    sobol.point(number, &mut x);
                    x.iter().map(|x| 1.0 + (x - 0.5)).product::<f64>()
                })
                .sum();
            sum / 1024.0 - 1.0
        };
        let root_mean_square = ((0..32).map(|r| error(r).powi(2)).sum::<f64>() / 32.0).sqrt();
        let random = ((13.0_f64 / 12.0).powi(4) - 1.0).sqrt() / 32.0;
        assert!(root_mean_square < 0.05 * random, "{root_mean_square} against {random} of random points");
    }
}
