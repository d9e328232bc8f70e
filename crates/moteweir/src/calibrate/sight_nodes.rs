//! A rule for slope of the room and shift of the size scale, with what the one channel sees at its nodes.

use moteweir_sim::inference::gauss_hermite;

use super::forward::Forward;

/// A slope and a shift of the size scale, with what follows for the channel.
#[derive(Clone, Debug)]
pub(super) struct SightNode {
    pub(super) numbers: [f64; 2],
    /// Half the distance to the next node, by number.
    pub(super) about: [f64; 2],
    pub(super) ln_weight: f64,
    /// What the channel sees of each size.
    pub(super) weights: Vec<f64>,
}

/// Points for slope and shift.
const POINTS: [usize; 2] = [7, 5];

/// Nodes of slope and shift; one where neither is unknown.
pub(super) fn sights(forward: &Forward<'_>) -> Vec<SightNode> {
    let values = |numbers: [f64; 2]| {
        (!forward.numbers.sight.is_empty()).then(|| forward.sight_values(numbers[0], numbers[1]))
    };
    let unknown = |k: usize| {
        let mut moved = [0.0; 2];
        moved[k] = 1.0;
        values(moved).is_some() && values(moved) != values([0.0; 2])
    };
    let axis = |k: usize| if unknown(k) { gauss_hermite(POINTS[k]) } else { vec![(0.0, 1.0)] };
    let about = |axis: &[(f64, f64)], i: usize| {
        let next = if i + 1 < axis.len() { i + 1 } else { i.saturating_sub(1) };
        0.5 * (axis[next].0 - axis[i].0).abs()
    };
    let (slopes, shifts) = (axis(0), axis(1));
    let mut nodes = Vec::new();
    for (i, slope) in slopes.iter().enumerate() {
        for (j, shift) in shifts.iter().enumerate() {
            let numbers = [slope.0, shift.0];
            let mut weights = vec![0.0; forward.sight.ln_sizes.len()];
            if let Some((slope, shift)) = values(numbers) {
                forward.sight.weights(0, slope, shift, &mut weights);
            }
            nodes.push(SightNode {
                numbers,
                about: [about(&slopes, i), about(&shifts, j)],
                ln_weight: (slope.1 * shift.1).ln(),
                weights,
            });
        }
    }
    nodes
}
