//! Cubic splines on even nodes, twice differentiable, by their coefficients.

/// The coefficients of the cubic spline through values at even nodes, five or more: two more than nodes, the first one
/// step before the first node.
///
/// ```text
/// (c_(i-1) + 4 c_i + c_(i+1))/6 = v_i,   no knot at the second node and the last but one
/// ```
/// so that cubics are reproduced. Without a knot at node 1 its coefficient is (8 v_1 - v_0 - v_2)/6.
pub(super) fn coefficients(values: &[f64]) -> Vec<f64> {
    let last = values.len() - 1;
    let mut c = vec![0.0; values.len() + 2];
    let free = |i: usize| (8.0 * values[i] - values[i - 1] - values[i + 1]) / 6.0;
    (c[2], c[last]) = (free(1), free(last - 1));
    // Elimination of the rows of nodes 2 to last - 2; the coefficient of node i stands at i + 1.
    let mut factors = vec![0.0_f64; values.len()];
    let mut carried = c[2];
    for node in 2..last.saturating_sub(1) {
        factors[node] = (4.0 - factors[node - 1]).recip();
        carried = (6.0 * values[node] - carried) * factors[node];
        c[node + 1] = carried;
    }
    for node in (2..last.saturating_sub(1)).rev() {
        c[node + 1] -= factors[node] * c[node + 2];
    }
    c[1] = 6.0 * values[1] - 4.0 * c[2] - c[3];
    c[0] = 6.0 * values[0] - 4.0 * c[1] - c[2];
    c[last + 1] = 6.0 * values[last - 1] - 4.0 * c[last] - c[last - 1];
    c[last + 2] = 6.0 * values[last] - 4.0 * c[last + 1] - c[last];
    c
}

/// Spline coefficients along one axis of an array: `outer` blocks of `nodes` rows of `inner` numbers.
pub(super) fn along(values: &[f64], outer: usize, nodes: usize, inner: usize) -> Vec<f64> {
    let mut result = vec![0.0; outer * (nodes + 2) * inner];
    let mut line = vec![0.0; nodes];
    for block in 0..outer {
        for column in 0..inner {
            for (node, value) in line.iter_mut().enumerate() {
                *value = values[(block * nodes + node) * inner + column];
            }
            for (node, coefficient) in coefficients(&line).into_iter().enumerate() {
                result[(block * (nodes + 2) + node) * inner + column] = coefficient;
            }
        }
    }
    result
}

/// The first of the four coefficients that count at a place, in steps from the first node, and their weights.
pub(super) fn weights(place: f64, nodes: usize) -> (usize, [f64; 4]) {
    let held = place.clamp(0.0, (nodes - 1) as f64);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held within the nodes above"
    )]
    let base = (held as usize).min(nodes - 2);
    let t = held - base as f64;
    let (s, sixth) = (1.0 - t, 1.0 / 6.0);
    let (s2, t2) = (s * s, t * t);
    let (outer, inner) = (s2 * s * sixth, t2 * t * sixth);
    (base, [outer, 2.0 / 3.0 - t2 + 3.0 * inner, 2.0 / 3.0 - s2 + 3.0 * outer, inner])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(coefficients: &[f64], place: f64) -> f64 {
        let (base, weights) = weights(place, coefficients.len() - 2);
        coefficients[base..base + 4].iter().zip(weights).map(|(c, weight)| c * weight).sum()
    }

    #[test]
    fn cubics_are_reproduced() {
        let cubic = |x: f64| 1.0 - 2.0 * x + 0.5 * x * x - 0.1 * x * x * x;
        for nodes in [5, 6, 9, 20] {
            let values: Vec<f64> = (0..nodes).map(|i| cubic(f64::from(i))).collect();
            let spline = coefficients(&values);
            for step in 0..=40 {
                let place = f64::from(step) / 40.0 * f64::from(nodes - 1);
                let (got, expected) = (read(&spline, place), cubic(place));
                assert!((got - expected).abs() < 1e-9, "{nodes} nodes, at {place}: got {got}, {expected}");
            }
        }
    }

    /// Where values step up and down, the spline still passes them.
    #[test]
    fn the_spline_passes_through_its_values() {
        let values = [0.3, -1.0, 2.0, 2.0, 0.0, 5.0, 4.0, 4.5];
        let spline = coefficients(&values);
        for (node, value) in values.iter().enumerate() {
            let got = read(&spline, node as f64);
            assert!((got - value).abs() < 1e-12, "node {node}: got {got}, {value}");
        }
    }
}
