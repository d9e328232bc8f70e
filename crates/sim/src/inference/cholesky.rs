//! The triangular root of a covariance, and solving with it.

use ndarray::{Array1, Array2, ArrayView1, ArrayView2};

/// The lower triangular L with L L^T = A, of a symmetric positive definite matrix; `None` where it is not.
///
/// Only the lower triangle of A is read. A pivot that is not above 1e-14 of the largest diagonal is taken as 0.
pub fn cholesky(a: &ArrayView2<'_, f64>) -> Option<Array2<f64>> {
    let n = a.nrows();
    let least = 1e-14 * a.diag().iter().fold(0.0_f64, |most, d| most.max(*d));
    let mut l = Array2::<f64>::zeros((n, n));
    for j in 0..n {
        for i in j..n {
            let inner: f64 = (0..j).map(|k| l[[i, k]] * l[[j, k]]).sum();
            let rest = a[[i, j]] - inner;
            if i == j {
                if rest <= least || !rest.is_finite() {
                    return None;
                }
                l[[j, j]] = rest.sqrt();
            } else {
                l[[i, j]] = rest / l[[j, j]];
            }
        }
    }
    Some(l)
}

/// The root of a covariance whose numbers may determine one another: the diagonal is raised by as little as makes it
/// positive definite, from 1e-10 of the largest on, tenfold each time.
///
/// `None` where a number is not finite or the matrix is far from a covariance (1e-2 is not enough).
pub fn root_of_covariance(a: &ArrayView2<'_, f64>) -> Option<Array2<f64>> {
    let largest = a.diag().iter().fold(0.0_f64, |most, d| most.max(*d));
    if largest == 0.0 && a.iter().all(|x| *x == 0.0) {
        return Some(Array2::zeros(a.raw_dim()));
    }
    (-10..=-2).find_map(|power| {
        let mut raised = a.to_owned();
        raised.diag_mut().mapv_inplace(|d| d + largest * 10_f64.powi(power));
        cholesky(&raised.view())
    })
}

/// Solves L x = b for a lower triangular L.
pub fn solve_lower(l: &ArrayView2<'_, f64>, b: &ArrayView1<'_, f64>) -> Array1<f64> {
    let mut x = b.to_owned();
    for i in 0..x.len() {
        let known: f64 = (0..i).map(|k| l[[i, k]] * x[k]).sum();
        x[i] = (x[i] - known) / l[[i, i]];
    }
    x
}

/// Solves L^T x = b for a lower triangular L.
pub fn solve_upper(l: &ArrayView2<'_, f64>, b: &ArrayView1<'_, f64>) -> Array1<f64> {
    let mut x = b.to_owned();
    for i in (0..x.len()).rev() {
        let known: f64 = (i + 1..x.len()).map(|k| l[[k, i]] * x[k]).sum();
        x[i] = (x[i] - known) / l[[i, i]];
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    #[test]
    fn the_root_squares_to_the_matrix_and_solves_it() {
        // By hand: L = [[2, 0, 0], [6, 1, 0], [-8, 5, 3]], a textbook example.
        let a = array![[4.0, 12.0, -16.0], [12.0, 37.0, -43.0], [-16.0, -43.0, 98.0]];
        let l = cholesky(&a.view()).unwrap();
        assert_eq!(l, array![[2.0, 0.0, 0.0], [6.0, 1.0, 0.0], [-8.0, 5.0, 3.0]]);
        let b = array![1.0, 2.0, 3.0];
        let x = solve_upper(&l.view(), &solve_lower(&l.view(), &b.view()).view());
        let back = a.dot(&x);
        assert!(back.iter().zip(&b).all(|(got, b)| (got - b).abs() < 1e-11), "{back}");
    }

    #[test]
    fn what_is_no_covariance_has_no_root_and_a_degenerate_one_nearly_its_own() {
        assert!(cholesky(&array![[1.0, 2.0], [2.0, 1.0]].view()).is_none());
        assert!(root_of_covariance(&array![[1.0, 2.0], [2.0, 1.0]].view()).is_none());
        let same = array![[4.0, 4.0], [4.0, 4.0]];
        let l = root_of_covariance(&same.view()).unwrap();
        let back = l.dot(&l.t());
        assert!(back.iter().zip(&same).all(|(got, a)| (got - a).abs() < 1e-8), "{back}");
    }
}
