//! A polynomial that stands for what is dear to work out, learnt during the warm-up.

use ndarray::{Array1, Array2};

use super::cholesky::{cholesky, solve_lower, solve_upper};

/// Degree in the numbers that a leap moves.
const DEGREE: usize = 3;
/// Degree of terms that have numbers beside those.
const DEGREE_BESIDE: usize = 2;
/// Points for each coefficient before it is used.
const POINTS: f64 = 3.0;
/// Added to the normal equations, of a point's weight.
const RIDGE: f64 = 1e-4;

/// Polynomials of some inputs, by least squares over the points seen.
#[derive(Clone, Debug)]
pub(super) struct Surrogate {
    /// Inputs that each term multiplies.
    terms: Vec<Vec<usize>>,
    squares: Array2<f64>,
    products: Vec<Array1<f64>>,
    coefficients: Vec<Array1<f64>>,
    count: f64,
}

impl Surrogate {
    /// Of numbers that move, and numbers beside them.
    pub(super) fn new(moved: usize, beside: usize) -> Self {
        let mut terms: Vec<Vec<usize>> = vec![Vec::new()];
        let mut last = terms.clone();
        for degree in 1..=DEGREE {
            let longer = last.iter().flat_map(|term| {
                let first = term.last().copied().unwrap_or(0);
                (first..moved + beside).map(move |input| [term.as_slice(), &[input]].concat())
            });
            last = longer
                .filter(|term| degree <= DEGREE_BESIDE || term.iter().all(|input| *input < moved))
                .collect();
            terms.extend(last.iter().cloned());
        }
        let count = terms.len();
        Self {
            terms,
            squares: Array2::zeros((count, count)),
            products: Vec::new(),
            coefficients: Vec::new(),
            count: 0.0,
        }
    }

    fn term_values(&self, inputs: &[f64]) -> Array1<f64> {
        self.terms.iter().map(|term| term.iter().map(|input| inputs[*input]).product()).collect()
    }

    /// Learns a point.
    pub(super) fn learn(&mut self, inputs: &[f64], outputs: &[f64]) {
        if outputs.iter().any(|x| !x.is_finite()) {
            return;
        }
        let values = self.term_values(inputs);
        self.products.resize(outputs.len(), Array1::zeros(values.len()));
        for (products, output) in self.products.iter_mut().zip(outputs) {
            products.scaled_add(*output, &values);
        }
        for (mut row, value) in self.squares.rows_mut().into_iter().zip(&values) {
            row.scaled_add(*value, &values);
        }
        self.count += 1.0;
    }

    /// Takes the coefficients of what was seen so far.
    pub(super) fn fit(&mut self) {
        if self.count < POINTS * self.terms.len() as f64 {
            return;
        }
        let mut squares = self.squares.clone();
        squares.diag_mut().mapv_inplace(|s| s + RIDGE);
        if let Some(root) = cholesky(&squares.view()) {
            let solved =
                |b: &Array1<f64>| solve_upper(&root.view(), &solve_lower(&root.view(), &b.view()).view());
            self.coefficients = self.products.iter().map(solved).collect();
        }
    }

    /// Whether it says anything yet.
    pub(super) fn is_fitted(&self) -> bool {
        !self.coefficients.is_empty()
    }

    /// The outputs at some inputs.
    pub(super) fn outputs(&self, inputs: &[f64]) -> Vec<f64> {
        let values = self.term_values(inputs);
        self.coefficients.iter().map(|c| c.dot(&values)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cubic_is_found_again_from_its_values() {
        let of = |x: &[f64]| {
            vec![1.0 - x[0] + 0.5 * x[0] * x[1] * x[1] + 0.2 * x[2] * x[0], x[1].powi(3) - x[2] * x[2]]
        };
        let mut surrogate = Surrogate::new(2, 1);
        let mut stream = crate::random::Stream::new(4, crate::random::Purpose::named("surrogate"), 0);
        for _ in 0..200 {
            let x = [stream.normal(), stream.normal(), stream.normal()];
            surrogate.learn(&x, &of(&x));
        }
        surrogate.fit();
        let x = [0.3, -1.1, 0.7];
        let (got, exact) = (surrogate.outputs(&x), of(&x));
        assert!(got.iter().zip(&exact).all(|(g, e)| (g - e).abs() < 1e-4), "{got:?} {exact:?}");
    }
}
