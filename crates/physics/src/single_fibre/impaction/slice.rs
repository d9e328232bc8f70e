//! The impaction table at one solidity, ready for many particles.

use std::sync::Arc;

use moteweir_units::Solidity;

use super::table::{Axes, Axis, ImpactionTable};
use crate::cell::KuwabaraCell;
use crate::range::Range;
use crate::refs;

/// What inertia adds to the single-fibre efficiency of interception, for the two ways of entering the cell [-].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Increment {
    /// Entering with the uniform velocity.
    pub uniform: f64,
    /// Entering with the local fluid velocity.
    pub fluid: f64,
}

/// g and its slope over the Stokes axis at a node: uniform, fluid, slope uniform, slope fluid.
type Node = [f32; 4];

/// The impaction table at one solidity.
///
/// ```text
/// E_I = E(Stk, R) - E(0, R) = E_R (exp g - 1)
/// ```
/// Along the Stokes number a cubic through the nodes with slopes limited so that it rises or falls where the nodes do
/// (Hyman's limit), across rooms and solidities a cubic through four nodes. Below the lowest Stokes number g goes to 0
/// in proportion to it; above the highest it goes as 1/Stk to the straight path's closed form; below the smallest room
/// g goes on as a straight line in ln R, between the two limits of an efficiency that scales with interception and one
/// that does not depend on R. A particle that the cell has no room for gets no increment: interception takes it all.
///
/// Source: [`refs::CELL_TRAJECTORIES`], without slip. Ranges: [`ImpactionSlice::ranges`] and
/// [`super::SOLIDITY_RANGE`].
/// Checked by fresh solutions at random points, `moteweir-sim` `impaction_table`.
#[derive(Clone, Debug)]
pub struct ImpactionSlice {
    cell: KuwabaraCell,
    edge_slope: f64,
    critical_stokes: f64,
    room: Axis,
    stokes: Arc<[f64]>,
    nodes: Arc<[Node]>,
}

impl ImpactionSlice {
    /// The compiled table at one solidity.
    pub fn new(solidity: Solidity) -> Self {
        Self::from_table(&ImpactionTable::compiled(), solidity)
    }

    /// A table at one solidity.
    pub fn from_table(table: &ImpactionTable<'_>, solidity: Solidity) -> Self {
        let cell = KuwabaraCell::new(solidity, 0.0);
        let (critical, values) = table.at_solidity(cell.solidity());
        let Axes { room, stokes, .. } = table.axes();
        Self {
            cell,
            edge_slope: cell.stream_slope(cell.edge_radius()),
            critical_stokes: critical * cell.kuwabara_factor() / (1.0 - cell.solidity()),
            room: *room,
            nodes: with_slopes(stokes, &values).into(),
            stokes: stokes.as_slice().into(),
        }
    }

    /// The Stokes number above which even a point is caught.
    pub fn critical_stokes(&self) -> f64 {
        self.critical_stokes
    }

    /// Where the table is known at this solidity: Stokes number, then interception parameter.
    ///
    /// Outside, the limits in the type's description answer; they are good for a decade.
    pub fn ranges(&self) -> [Range; 2] {
        let reach = self.cell.largest_interception();
        let range = |quantity, low, high| Range {
            relation: "impaction table",
            quantity,
            low,
            high,
            source: refs::CELL_TRAJECTORIES,
        };
        let stokes = [self.stokes[0], self.stokes[self.stokes.len() - 1]]
            .map(|coordinate| self.critical_stokes * coordinate.exp());
        [
            range("Stokes number", 0.0, stokes[1]),
            range("interception parameter", reach * self.room.first.exp(), reach),
        ]
    }

    /// What inertia adds to interception, without slip, at a Stokes number (over the fibre diameter) and an
    /// interception parameter `d_p/d_f`.
    pub fn increment(&self, stokes: f64, interception: f64) -> Increment {
        let room = interception / self.cell.largest_interception();
        if !(room > 0.0 && room < 1.0 && stokes > 0.0) {
            return Increment { uniform: 0.0, fluid: 0.0 };
        }
        let still = self.cell.stream_at_gap(interception);
        let [uniform, fluid] = self.exponents(stokes, interception, room.ln(), still);
        Increment { uniform: still * uniform.exp_m1(), fluid: still * fluid.exp_m1() }
    }

    /// g for both releases.
    fn exponents(&self, stokes: f64, interception: f64, room: f64, still: f64) -> [f64; 2] {
        let coordinate = (stokes / self.critical_stokes).ln();
        let last = self.stokes[self.stokes.len() - 1];
        if coordinate > last {
            let far = self.straight(interception).map(|efficiency| (efficiency / still).ln());
            let near = self.inside(last, room);
            let share = (last - coordinate).exp();
            return [0, 1].map(|release| far[release] + (near[release] - far[release]) * share);
        }
        let known = coordinate.max(self.stokes[0]);
        let share = (coordinate - known).exp();
        self.inside(known, room).map(|exponent| exponent * share)
    }

    /// g at a Stokes coordinate within the axis.
    fn inside(&self, coordinate: f64, room: f64) -> [f64; 2] {
        let below = self.room.first - room;
        if below <= 0.0 {
            return self.interpolate(coordinate, room);
        }
        let edge = self.interpolate(coordinate, self.room.first);
        let within = self.interpolate(coordinate, self.room.first + self.room.step);
        [0, 1].map(|release| {
            let slope = (within[release] - edge[release]) / self.room.step;
            edge[release] - slope.clamp(-2.0, 0.0) * below
        })
    }

    fn interpolate(&self, coordinate: f64, room: f64) -> [f64; 2] {
        let after = self.stokes.partition_point(|node| *node <= coordinate).clamp(1, self.stokes.len() - 1);
        let (base, weights) = self.room.weights(room);
        let row = |stokes: usize| {
            let start = stokes * self.room.nodes + base;
            let mut sum = [0.0; 4];
            for (node, weight) in self.nodes[start..start + 4].iter().zip(weights) {
                for (total, value) in sum.iter_mut().zip(node) {
                    *total += weight * f64::from(*value);
                }
            }
            sum
        };
        let (left, right) = (row(after - 1), row(after));
        let width = self.stokes[after] - self.stokes[after - 1];
        let t = (coordinate - self.stokes[after - 1]) / width;
        let (t2, t3) = (t * t, t * t * t);
        let rise = 3.0 * t2 - 2.0 * t3;
        let (leave, arrive) = (width * (t3 - 2.0 * t2 + t), width * (t3 - t2));
        [0, 1].map(|release| {
            left[release]
                + rise * (right[release] - left[release])
                + leave * left[release + 2]
                + arrive * right[release + 2]
        })
    }

    /// The efficiency of particles that fly straight on, by release.
    ///
    /// ```text
    /// uniform 1 + R;  fluid (1 + R)/sqrt(f'(b)^2 + (1 - f'(b)^2) (1 + R)^2/b^2)
    /// ```
    /// The second from the straight line that leaves the edge with the velocity of the air there and touches the circle
    /// of contact.
    fn straight(&self, interception: f64) -> [f64; 2] {
        let contact = 1.0 + interception;
        let share = (contact / self.cell.edge_radius()).powi(2);
        let slope = self.edge_slope * self.edge_slope;
        [contact, contact / (slope + share * (1.0 - slope)).sqrt()]
    }
}

/// Pairs the values with their slopes over the Stokes axis.
fn with_slopes(stokes: &[f64], values: &[f64]) -> Vec<Node> {
    let columns = values.len() / stokes.len();
    let row = |node: usize| &values[node * columns..(node + 1) * columns];
    let mut nodes = Vec::with_capacity(values.len() / 2);
    let mut slopes = vec![0.0; columns];
    for node in 0..stokes.len() {
        if node == 0 {
            // g goes to 0 in proportion to the Stokes number.
            slopes.copy_from_slice(row(0));
        } else if node + 1 == stokes.len() {
            let width = stokes[node] - stokes[node - 1];
            for (slope, (left, here)) in slopes.iter_mut().zip(row(node - 1).iter().zip(row(node))) {
                *slope = (here - left) / width;
            }
        } else {
            let widths = [stokes[node] - stokes[node - 1], stokes[node + 1] - stokes[node]];
            let neighbours = row(node - 1).iter().zip(row(node)).zip(row(node + 1));
            for (slope, ((left, here), right)) in slopes.iter_mut().zip(neighbours) {
                *slope = limited_slope([(here - left) / widths[0], (right - here) / widths[1]], widths);
            }
        }
        nodes.extend(row(node).chunks_exact(2).zip(slopes.chunks_exact(2)).map(|(value, slope)| {
            #[expect(clippy::cast_possible_truncation, reason = "the stored numbers have no more digits")]
            [value[0], value[1], slope[0], slope[1]].map(|number| number as f32)
        }));
    }
    nodes
}

/// The parabola's slope at the middle of three nodes, at most three times the gentler of the two chords, so that a
/// cubic rises or falls where the nodes do (Hyman 1983, SIAM J. Sci. Stat. Comput. 4:645, from memory).
fn limited_slope(chords: [f64; 2], widths: [f64; 2]) -> f64 {
    let parabola = (widths[1] * chords[0] + widths[0] * chords[1]) / (widths[0] + widths[1]);
    let bound = 3.0 * chords[0].abs().min(chords[1].abs());
    parabola.clamp(-bound, bound)
}
