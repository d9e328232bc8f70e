//! Gauss-Legendre nodes.

use std::f64::consts::PI;

/// Nodes and weights for integrals from 0 to 1; exact for polynomials to degree 2 `count` - 1.
pub(super) fn gauss_legendre(count: u32) -> Vec<(f64, f64)> {
    let n = f64::from(count);
    (0..count)
        .map(|index| {
            let mut x = -(PI * (f64::from(index) + 0.75) / (n + 0.5)).cos();
            for _ in 0..8 {
                let (value, slope) = legendre(count, x);
                x -= value / slope;
            }
            let slope = legendre(count, x).1;
            (0.5 * (1.0 + x), 1.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

/// The Legendre polynomial of a degree above 0, and its slope.
fn legendre(degree: u32, x: f64) -> (f64, f64) {
    let (mut before, mut value) = (1.0, x);
    for k in 2..=degree {
        let k = f64::from(k);
        (before, value) = (value, ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k);
    }
    (value, f64::from(degree) * (x * value - before) / (x * x - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_are_integrated_exactly() {
        for count in [1, 2, 3, 24] {
            let nodes = gauss_legendre(count);
            for power in 0..2 * count {
                let got: f64 = nodes.iter().map(|(x, w)| w * x.powi(power.cast_signed())).sum();
                let exact = 1.0 / f64::from(power + 1);
                assert!(
                    (got / exact - 1.0).abs() < 1e-13,
                    "{count} nodes, power {power}: {got}, exact {exact}"
                );
            }
        }
    }
}
