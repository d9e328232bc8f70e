//! An axis of even steps and the cubic between its nodes.

/// An axis of even steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// The first node.
    pub first: f64,
    /// From node to node.
    pub step: f64,
    /// How many nodes, at least four.
    pub nodes: usize,
}

/// Four neighbouring nodes and what each counts for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The first of the four.
    pub base: usize,
    /// Their weights.
    pub weights: [f64; 4],
}

impl Axis {
    /// Even steps from `first` to `last`.
    pub fn between(first: f64, last: f64, nodes: usize) -> Self {
        Self { first, step: (last - first) / (nodes - 1) as f64, nodes }
    }

    /// The coordinate of a node.
    pub fn at(&self, node: usize) -> f64 {
        self.first + self.step * node as f64
    }

    /// The coordinate of the last node.
    pub fn last(&self) -> f64 {
        self.at(self.nodes - 1)
    }

    /// Where to interpolate; held beyond the ends.
    ///
    /// Cubic convolution: a cubic in each step whose slope at a node is that of the chord through its neighbours, so that
    /// the slope has no jump; at the ends the parabola through the last three nodes.
    ///
    /// Source: Keys (1981), IEEE Transactions on Acoustics, Speech and Signal Processing 29:1153 (from memory).
    pub fn place(&self, coordinate: f64) -> Place {
        let last = (self.nodes - 1) as f64;
        let place = ((coordinate - self.first) / self.step).clamp(0.0, last);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 0..=last above"
        )]
        let cell = (place as usize).min(self.nodes - 2);
        let t = place - cell as f64;
        let (u, tu) = (1.0 - t, t * (1.0 - t));
        let before = -0.5 * tu * u;
        let after = -0.5 * tu * t;
        let here = u + 0.5 * tu * (2.0 * u - t);
        let next = t + 0.5 * tu * (2.0 * t - u);
        if cell == 0 {
            // The node before the first lies on the parabola: 3 f0 - 3 f1 + f2.
            let weights = [here + 3.0 * before, next - 3.0 * before, after + before, 0.0];
            return Place { base: 0, weights };
        }
        if cell == self.nodes - 2 {
            let weights = [0.0, before + after, here - 3.0 * after, next + 3.0 * after];
            return Place { base: self.nodes - 4, weights };
        }
        Place { base: cell - 1, weights: [before, here, next, after] }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A parabola is met everywhere, to rounding, and a cubic's slope has no jump at the nodes.
    #[test]
    fn a_parabola_is_reproduced_and_slopes_are_continuous() {
        let axis = Axis::between(1.0, 3.0, 6);
        let sum = |x: f64, f: &dyn Fn(f64) -> f64| -> f64 {
            let Place { base, weights } = axis.place(x);
            (base..).zip(weights).map(|(node, weight)| weight * f(axis.at(node))).sum()
        };
        let parabola = |x: f64| 2.0 - x + 0.7 * x * x;
        for x in [1.0, 1.13, 1.4, 2.0, 2.55, 2.61, 2.99, 3.0] {
            let got = sum(x, &parabola);
            assert!((got - parabola(x)).abs() < 1e-12, "at {x}: {got} for {}", parabola(x));
        }
        let wavy = |x: f64| (3.0 * x).sin();
        for node in 1..5 {
            let x = axis.at(node);
            let (left, here, right) = (sum(x - 1e-6, &wavy), sum(x, &wavy), sum(x + 1e-6, &wavy));
            assert!(((right - here) - (here - left)).abs() < 1e-9, "at node {node}");
            assert!((here - wavy(x)).abs() < 1e-12, "at node {node}");
        }
        assert_eq!(axis.place(-5.0), axis.place(1.0));
        assert_eq!(axis.place(9.0), axis.place(3.0));
    }
}
