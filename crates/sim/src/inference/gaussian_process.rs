//! A function that is not known: a Gaussian process over (ln d, ln U), known at some points, drawn at others.

use ndarray::{Array1, Array2, ArrayView1};

use super::cholesky::{root_of_covariance, solve_lower, solve_upper};

/// A point: the logarithms of a size and of a velocity.
pub type Point = [f64; 2];

/// How a function at two points goes together.
///
/// ```text
/// k(x, y) = s^2 m(|x1 - y1|/l1) m(|x2 - y2|/l2),   m(r) = (1 + a + a^2/3) exp(-a),   a = sqrt(5) r
/// ```
/// The Matern covariance of order 5/2 in each coordinate (Rasmussen and Williams 2006, Gaussian Processes for Machine
/// Learning, eq. 4.17, from memory): functions with two derivatives. The squared exponential, infinitely smooth, would
/// be falsely sure of what lies beyond the data.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Covariance {
    /// Standard deviation of the function where nothing is known, above 0.
    pub amplitude: f64,
    /// Distance in each coordinate over which it forgets itself, above 0.
    pub lengths: [f64; 2],
}

impl Covariance {
    /// Covariance of the function at two points.
    pub fn between(&self, x: Point, y: Point) -> f64 {
        let of = |k: usize| {
            let a = 5.0_f64.sqrt() * (x[k] - y[k]).abs() / self.lengths[k];
            (1.0 + a + a * a / 3.0) * libm::exp(-a)
        };
        self.amplitude * self.amplitude * of(0) * of(1)
    }

    fn matrix(&self, x: &[Point], y: &[Point]) -> Array2<f64> {
        Array2::from_shape_fn((x.len(), y.len()), |(i, j)| self.between(x[i], y[j]))
    }
}

/// A function at its knots: values are `root` times independent standard normal numbers.
#[derive(Clone, Debug)]
pub struct Field {
    covariance: Covariance,
    knots: Vec<Point>,
    root: Array2<f64>,
}

impl Field {
    /// A function at some points.
    ///
    /// # Panics
    /// Never for finite points: a Matern covariance is positive definite.
    pub fn new(covariance: Covariance, knots: Vec<Point>) -> Self {
        let root = root_of_covariance(&covariance.matrix(&knots, &knots).view())
            .expect("a covariance of finite points is positive definite");
        Self { covariance, knots, root }
    }

    /// The points at which it is known.
    pub fn knots(&self) -> &[Point] {
        &self.knots
    }

    /// What it was made with.
    pub const fn covariance(&self) -> &Covariance {
        &self.covariance
    }

    /// Values at the knots of as many independent standard normal numbers.
    pub fn values(&self, normals: &[f64], out: &mut [f64]) {
        for (i, out) in out.iter_mut().enumerate() {
            *out = (0..=i).map(|k| self.root[[i, k]] * normals[k]).sum();
        }
    }

    /// The standard normal numbers of values at the knots: the inverse of [`Field::values`].
    pub fn normals(&self, values: &[f64]) -> Vec<f64> {
        solve_lower(&self.root.view(), &ArrayView1::from(values)).to_vec()
    }

    /// What is expected at points, of the numbers of [`Field::values`]: rows points, columns numbers.
    pub fn loadings(&self, points: &[Point]) -> Array2<f64> {
        self.elsewhere(points).weights.dot(&self.root)
    }

    /// The function elsewhere, given its values at the knots.
    pub fn elsewhere(&self, points: &[Point]) -> Elsewhere {
        let across = self.covariance.matrix(&self.knots, points);
        let (knots, count) = (self.knots.len(), points.len());
        let mut halves = Array2::zeros((knots, count));
        let mut weights = Array2::zeros((count, knots));
        for j in 0..count {
            let half = solve_lower(&self.root.view(), &across.column(j));
            weights.row_mut(j).assign(&solve_upper(&self.root.view(), &half.view()));
            halves.column_mut(j).assign(&half);
        }
        let rest = self.covariance.matrix(points, points) - halves.t().dot(&halves);
        let scale = self.covariance.amplitude.powi(2);
        Elsewhere { weights, rest: symmetric(rest, scale) }
    }
}

/// A function at points other than its knots, given those.
#[derive(Clone, Debug)]
pub struct Elsewhere {
    weights: Array2<f64>,
    rest: Array2<f64>,
}

impl Elsewhere {
    /// What is expected there, of the values at the knots.
    pub fn mean(&self, values: &[f64]) -> Array1<f64> {
        self.weights.dot(&ArrayView1::from(values))
    }

    /// Weight of each knot (columns) at each point (rows).
    pub const fn weights(&self) -> &Array2<f64> {
        &self.weights
    }

    /// Standard deviation that is left at each point.
    pub fn deviations(&self) -> Vec<f64> {
        self.rest.diag().iter().map(|v| v.max(0.0).sqrt()).collect()
    }

    /// Made ready to draw what is left.
    ///
    /// # Panics
    /// Never: what is left of a covariance is one, up to rounding, which the root allows for.
    pub fn drawer(&self) -> Drawer {
        let root = root_of_covariance(&self.rest.view()).expect("what is left of a covariance is one");
        Drawer { weights: self.weights.clone(), root }
    }
}

/// Draws of a function elsewhere, given its values at the knots.
#[derive(Clone, Debug)]
pub struct Drawer {
    weights: Array2<f64>,
    root: Array2<f64>,
}

impl Drawer {
    /// A draw of independent standard normal numbers, one a point.
    pub fn draw(&self, values: &[f64], normals: &[f64]) -> Array1<f64> {
        self.weights.dot(&ArrayView1::from(values)) + self.root.dot(&ArrayView1::from(normals))
    }
}

/// Rounding taken out: symmetric, and no variance below what rounding leaves.
fn symmetric(mut a: Array2<f64>, scale: f64) -> Array2<f64> {
    for i in 0..a.nrows() {
        a[[i, i]] = a[[i, i]].max(1e-12 * scale);
        for j in 0..i {
            a[[j, i]] = a[[i, j]];
        }
    }
    a
}

#[cfg(test)]
mod tests {
    use super::*;

    const COVARIANCE: Covariance = Covariance { amplitude: 0.3, lengths: [1.0, 1.5] };

    #[test]
    fn at_a_knot_nothing_is_left_and_far_away_all() {
        let field = Field::new(COVARIANCE, vec![[0.0, 0.0], [1.0, 0.0], [1.0, 2.0]]);
        let there = field.elsewhere(&[[1.0, 0.0], [40.0, 0.0], [0.5, 0.0]]);
        let sd = there.deviations();
        assert!(sd[0] < 1e-4 && (sd[1] - 0.3).abs() < 1e-9 && sd[2] > 1e-3 && sd[2] < 0.15, "{sd:?}");
        let mean = there.mean(&[0.1, 0.2, -0.1]);
        assert!((mean[0] - 0.2).abs() < 1e-6 && mean[1].abs() < 1e-9, "{mean}");
    }

    #[test]
    fn normals_and_values_are_inverses() {
        let field = Field::new(COVARIANCE, vec![[0.0, 0.0], [0.7, 0.0], [1.0, 2.0]]);
        let mut values = [0.0; 3];
        field.values(&[0.4, -1.2, 2.0], &mut values);
        let back = field.normals(&values);
        assert!(back.iter().zip([0.4, -1.2, 2.0]).all(|(a, b)| (a - b).abs() < 1e-12), "{back:?}");
    }

    /// Two knots and a point by the formula for three normal numbers.
    #[test]
    fn what_is_left_is_the_variance_given_the_knots() {
        let (a, b, x) = ([0.0, 0.0], [1.0, 0.0], [0.4, 0.0]);
        let field = Field::new(COVARIANCE, vec![a, b]);
        let k = |x, y| COVARIANCE.between(x, y) / 0.09;
        let (r, p, q) = (k(a, b), k(a, x), k(b, x));
        let left = 0.09 * (1.0 - (p * p - 2.0 * r * p * q + q * q) / (1.0 - r * r));
        let sd = field.elsewhere(&[x]).deviations()[0];
        assert!((sd - left.sqrt()).abs() < 1e-7, "{sd} {}", left.sqrt());
    }
}
