//! The axes of the atlas: how solidity, slip, Peclet number and particle size are spread over even nodes.

use moteweir_units::Solidity;

use super::reference::{Reference, Scales};
use crate::cell::KuwabaraCell;

/// Solidities, fibre Knudsen numbers and Peclet numbers that the atlas spans.
pub(super) const SOLIDITY: [f64; 2] = [0.003, 0.4];
/// Fibre Knudsen numbers.
pub(super) const FIBRE_KNUDSEN: [f64; 2] = [0.0, 2.0];
/// Peclet numbers.
pub(super) const PECLET: [f64; 2] = [1.0, 1e8];

/// The layer below the edge of the cell over sqrt(b/Pe), and the share that it takes of the axis.
const EDGE_LAYER: f64 = 0.35;
const EDGE_SHARE: f64 = 0.8;

/// Nodes of a field, and the largest Peclet number that it reaches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axes {
    /// Nodes over solidity, even in `ln(alpha/(1 - alpha))`.
    pub solidities: usize,
    /// Nodes over slip: even in `sqrt(l/(s + l))`, s the slip parameter, l the layer's thickness without slip.
    pub slips: usize,
    /// Nodes over the Peclet number, even in `Pe^(-1/6)`.
    pub peclets: usize,
    /// The largest Peclet number.
    pub largest_peclet: f64,
    /// Nodes over the interception parameter, even in
    /// `0.8 sqrt(m/(b - 1 - R + m)) - sqrt(l/(R + l))`, l the layer's thickness with slip, `m = 0.35 sqrt(b/Pe)`:
    /// close at the fibre and at the edge of the cell.
    pub sizes: usize,
}

/// What a node stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// The cell, slip included.
    pub cell: KuwabaraCell,
    /// The Peclet number.
    pub peclet: f64,
    /// The interception parameter.
    pub interception: f64,
}

impl Axes {
    /// How many nodes there are.
    pub fn nodes(&self) -> usize {
        self.solidities * self.slips * self.peclets * self.sizes
    }

    /// What a node stands for, sizes running fastest, then Peclet numbers, slips and solidities.
    ///
    /// Places between nodes are allowed: `[solidity, slip, peclet, size]`, each from 0 to 1.
    pub fn place(&self, share: [f64; 4]) -> Place {
        let solidity = solidity_at(share[0]);
        let root = 1.0 + (self.last_root() - 1.0) * share[2];
        let peclet = root.powi(-6);
        let still = Reference::new(KuwabaraCell::new(solidity, 0.0));
        let layer = still.scales(peclet).layer();
        let end = closeness(layer, largest_slip(still.cell()));
        let near = 1.0 - share[1] * (1.0 - end);
        let slip = layer * (near.powi(-2) - 1.0);
        let cell = KuwabaraCell::new(solidity, FIBRE_KNUDSEN[1] * slip / largest_slip(still.cell()));
        let reference = Reference::new(cell);
        let scales = reference.scales(peclet);
        let interception =
            bisect(cell.largest_interception(), |r| size_share(&reference, &scales, r) - share[3]);
        Place { cell, peclet, interception }
    }

    /// The shares of a node along the axes.
    pub fn shares(&self, node: usize) -> [f64; 4] {
        let share = |index: usize, nodes: usize| index as f64 / (nodes - 1) as f64;
        let (rest, size) = (node / self.sizes, node % self.sizes);
        let (rest, peclet) = (rest / self.peclets, rest % self.peclets);
        let (solidity, slip) = (rest / self.slips, rest % self.slips);
        [
            share(solidity, self.solidities),
            share(slip, self.slips),
            share(peclet, self.peclets),
            share(size, self.sizes),
        ]
    }

    /// The node's place along the axis of solidity, in steps; held at the ends.
    pub(super) fn solidity_place(&self, alpha: f64) -> f64 {
        let [first, last] = SOLIDITY.map(of_solidity);
        (of_solidity(alpha) - first) / (last - first) * (self.solidities - 1) as f64
    }

    /// The place along the axis of slip at a node of the Peclet axis, in steps.
    pub(super) fn slip_place(&self, still: &Reference, slip: f64, peclet_node: usize) -> f64 {
        let layer = still.scales(self.peclet_at(peclet_node)).layer();
        let end = closeness(layer, largest_slip(still.cell()));
        (1.0 - closeness(layer, slip)) / (1.0 - end) * (self.slips - 1) as f64
    }

    /// The Peclet number at a node.
    pub(super) fn peclet_at(&self, node: usize) -> f64 {
        let share = node as f64 / (self.peclets - 1) as f64;
        (1.0 + (self.last_root() - 1.0) * share).powi(-6)
    }

    /// Pe^(-1/6) at the last node.
    pub(super) fn last_root(&self) -> f64 {
        self.largest_peclet.cbrt().sqrt().recip()
    }
}

pub(super) fn of_solidity(alpha: f64) -> f64 {
    (alpha / (1.0 - alpha)).ln()
}

/// The solidity at a share of its axis.
pub(super) fn solidity_at(share: f64) -> Solidity {
    let [first, last] = SOLIDITY.map(of_solidity);
    let odds = (first + (last - first) * share).exp();
    Solidity::new(odds / (1.0 + odds)).expect("finite odds are those of a fraction within 0 to 1")
}

/// The slip parameter at the end of the axis.
pub(super) fn largest_slip(cell: &KuwabaraCell) -> f64 {
    let alpha = Solidity::new(cell.solidity()).expect("the solidity of a cell is a fraction within 0 to 1");
    KuwabaraCell::new(alpha, FIBRE_KNUDSEN[1]).slip_parameter()
}

/// sqrt(l/(x + l)): 1 at x = 0, falling.
fn closeness(length: f64, distance: f64) -> f64 {
    (length / (distance + length)).sqrt()
}

/// The share of the axis of sizes at an interception parameter: 0 for a point, 1 where it fills the cell.
pub(super) fn size_share(reference: &Reference, scales: &Scales, interception: f64) -> f64 {
    let [first, last] = size_ends(reference, scales);
    (size_coordinate(reference, scales, interception) - first) / (last - first)
}

/// The coordinate of sizes at its ends.
pub(super) fn size_ends(reference: &Reference, scales: &Scales) -> [f64; 2] {
    [0.0, reference.room()].map(|interception| size_coordinate(reference, scales, interception))
}

/// What the axis of sizes is even in.
pub(super) fn size_coordinate(reference: &Reference, scales: &Scales, interception: f64) -> f64 {
    // sqrt(b/Pe), from Pe^(-1/6).
    let edge_layer = EDGE_LAYER * reference.root_of_edge() * scales.sixth_root.powi(3);
    let left = (reference.room() - interception).max(0.0);
    EDGE_SHARE * closeness(edge_layer, left) - (1.0 + interception * scales.over_layer).recip().sqrt()
}

/// Where a rising function from 0 to `high` passes 0, to rounding.
fn bisect(high: f64, rising: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, high);
    if rising(low) >= 0.0 {
        return low;
    }
    if rising(high) <= 0.0 {
        return high;
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if rising(middle) < 0.0 { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    const AXES: Axes = Axes { solidities: 5, slips: 6, peclets: 7, largest_peclet: PECLET[1], sizes: 8 };

    /// What a node stands for is read back as the node.
    #[test]
    fn places_and_nodes_are_inverse() {
        for node in 0..AXES.nodes() {
            let share = AXES.shares(node);
            let Place { cell, peclet, interception } = AXES.place(share);
            let solidity = Solidity::new(cell.solidity()).unwrap();
            let still = Reference::new(KuwabaraCell::new(solidity, 0.0));
            let reference = Reference::new(cell);
            let scales = reference.scales(peclet);
            let peclet_node = (node / AXES.sizes) % AXES.peclets;
            let got = [
                AXES.solidity_place(cell.solidity()) / 4.0,
                AXES.slip_place(&still, cell.slip_parameter(), peclet_node) / 5.0,
                (1.0 - scales.sixth_root) / (1.0 - AXES.last_root()),
                size_share(&reference, &scales, interception),
            ];
            for (got, expected) in got.into_iter().zip(share) {
                assert!((got - expected).abs() < 1e-7, "node {node}: got {got}, expected {expected}");
            }
        }
    }

    #[test]
    fn the_ends_are_those_of_the_range() {
        let first = AXES.place([0.0; 4]);
        let last = AXES.place([1.0; 4]);
        assert!((first.cell.solidity() - SOLIDITY[0]).abs() < 1e-12);
        assert!((last.cell.solidity() - SOLIDITY[1]).abs() < 1e-12);
        assert!(first.cell.slip_parameter() == 0.0 && first.interception == 0.0);
        assert!((last.cell.slip_parameter() / 1.996 - FIBRE_KNUDSEN[1]).abs() < 1e-9);
        assert!((first.peclet - 1.0).abs() < 1e-12 && (last.peclet / 1e8 - 1.0).abs() < 1e-9);
        assert!((last.interception / last.cell.largest_interception() - 1.0).abs() < 1e-9);
    }
}
