//! A banded system of linear equations, solved by elimination.

/// A square matrix with `reach` diagonals on either side of the main one, stored row by row.
#[derive(Clone, Debug)]
pub(super) struct Banded {
    size: usize,
    reach: usize,
    entries: Vec<f64>,
}

impl Banded {
    pub(super) fn zero(size: usize, reach: usize) -> Self {
        Self { size, reach, entries: vec![0.0; size * (2 * reach + 1)] }
    }

    /// Adds to an entry within the band.
    pub(super) fn add(&mut self, row: usize, column: usize, value: f64) {
        let place = self.place(row, column);
        self.entries[place] += value;
    }

    fn place(&self, row: usize, column: usize) -> usize {
        row * (2 * self.reach + 1) + (column + self.reach - row)
    }

    /// The product with a vector.
    #[cfg(test)]
    pub(super) fn times(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.size)
            .map(|row| {
                let columns = row.saturating_sub(self.reach)..(row + self.reach + 1).min(self.size);
                let first = self.place(row, columns.start);
                let entries = &self.entries[first..first + columns.len()];
                entries.iter().zip(&vector[columns]).map(|(a, x)| a * x).sum()
            })
            .collect()
    }

    /// Solves for a right-hand side, which becomes the solution; the matrix is used up.
    ///
    /// Elimination in the order of the rows, without exchanges: for matrices whose diagonal outweighs or nearly
    /// outweighs the rest, as conservation makes it.
    pub(super) fn solve(mut self, right: &mut [f64]) {
        let width = 2 * self.reach + 1;
        for pivot in 0..self.size {
            let (above, below) = self.entries.split_at_mut((pivot + 1) * width);
            let tail = &above[pivot * width + self.reach..];
            let inverse = tail[0].recip();
            let rows = self.reach.min(self.size - pivot - 1);
            for (distance, row) in below.chunks_exact_mut(width).take(rows).enumerate() {
                let start = self.reach - 1 - distance;
                let factor = row[start] * inverse;
                if factor != 0.0 {
                    for (entry, upper) in row[start + 1..=start + self.reach].iter_mut().zip(&tail[1..]) {
                        *entry -= factor * upper;
                    }
                    right[pivot + 1 + distance] -= factor * right[pivot];
                }
            }
        }
        for row in (0..self.size).rev() {
            let tail = &self.entries[row * width + self.reach..(row + 1) * width];
            let end = (row + self.reach + 1).min(self.size);
            let known: f64 = tail[1..].iter().zip(&right[row + 1..end]).map(|(a, x)| a * x).sum();
            right[row] = (right[row] - known) / tail[0];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_what_it_multiplies() {
        let (size, reach) = (40, 5);
        let mut matrix = Banded::zero(size, reach);
        let mut state = 1_u64;
        for row in 0..size {
            for column in row.saturating_sub(reach)..(row + reach + 1).min(size) {
                state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                matrix.add(row, column, (state >> 40) as f64 / f64::from(1 << 24) - 0.5);
            }
            matrix.add(row, row, 4.0);
        }
        let expected: Vec<f64> = (0..size).map(|i| (i as f64).sin()).collect();
        let mut right = matrix.times(&expected);
        matrix.solve(&mut right);
        for (i, (got, expected)) in right.iter().zip(&expected).enumerate() {
            assert!((got - expected).abs() < 1e-14, "unknown {i}: got {got}, expected {expected}");
        }
    }
}
