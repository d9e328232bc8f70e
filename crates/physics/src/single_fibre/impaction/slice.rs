//! The impaction table at one solidity, ready for many particles.

use std::sync::Arc;

use moteweir_units::Solidity;

use super::table::{Axes, Axis, ImpactionTable};
use crate::cell::KuwabaraCell;
use crate::range::Range;
use crate::refs;

/// What inertia adds to the single-fibre efficiency of interception, for the two ways of entering the cell \[-\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Increment {
    /// Entering with the uniform velocity.
    pub uniform: f64,
    /// Entering with the local fluid velocity.
    pub fluid: f64,
}

/// g and its slope over the Stokes axis at a node: uniform, fluid, slope uniform, slope fluid.
type Node = [f32; 4];

/// A place between nodes of the room axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RoomPlace {
    base: usize,
    weights: [f64; 4],
}

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
    inverse_critical: f64,
    least_stokes: f64,
    room: Axis,
    least_room: f64,
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
        let axes = table.axes();
        let critical_stokes = critical * cell.kuwabara_factor() / (1.0 - cell.solidity());
        Self {
            cell,
            edge_slope: cell.stream_slope(cell.edge_radius()),
            critical_stokes,
            inverse_critical: critical_stokes.recip(),
            least_stokes: axes.stokes[0].exp(),
            room: axes.room,
            least_room: Axes::room_at(axes.room.first),
            nodes: with_slopes(&axes.stokes, &values).into(),
            stokes: axes.stokes.as_slice().into(),
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
            range("interception parameter", reach * self.least_room, reach),
        ]
    }

    /// The nodes of the Stokes axis, `ln(Stk/Stk_c)`.
    pub(crate) fn stokes_nodes(&self) -> &[f64] {
        &self.stokes
    }

    /// The shares of the cell's room at the nodes of the room axis.
    pub(crate) fn room_nodes(&self) -> impl Iterator<Item = f64> {
        let axis = self.room;
        (0..axis.nodes).map(move |node| Axes::room_at(axis.at(node)))
    }

    /// Where a share of the cell's room, not below the smallest of the axis, lies between nodes.
    pub(crate) fn room_place(&self, room: f64) -> RoomPlace {
        let (base, weights) = self.room.weights(Axes::of_room(room));
        RoomPlace { base, weights }
    }

    /// `ln(E/E_R)` by release at a node of the Stokes axis and a place of the room axis.
    pub(crate) fn exponents_at(&self, stokes: usize, room: &RoomPlace) -> [f64; 2] {
        let [uniform, fluid, ..] = self.weighed(stokes, room.base, room.weights);
        [uniform, fluid]
    }

    /// A slice of the same nodes in another flow of the same solidity, from `ln(E/E_R)` there: by Stokes number, then
    /// room, then release.
    pub(crate) fn in_cell(&self, cell: KuwabaraCell, exponents: &[f64]) -> Self {
        Self {
            cell,
            edge_slope: cell.stream_slope(cell.edge_radius()),
            nodes: with_slopes(&self.stokes, exponents).into(),
            ..self.clone()
        }
    }

    /// What inertia adds to interception, without slip unless made so, at a Stokes number (over the fibre diameter) and an
    /// interception parameter `d_p/d_f`.
    pub fn increment(&self, stokes: f64, interception: f64) -> Increment {
        let room = interception / self.cell.largest_interception();
        if !(room > 0.0 && room < 1.0 && stokes > 0.0) {
            return Increment { uniform: 0.0, fluid: 0.0 };
        }
        let still = self.cell.stream_at_gap(interception);
        let [uniform, fluid] =
            self.exponents(stokes * self.inverse_critical, interception, Axes::of_room(room), still);
        // Not exp_m1: it takes three times as long, and the digits that it saves are far below those of the table.
        Increment { uniform: still * (uniform.exp() - 1.0), fluid: still * (fluid.exp() - 1.0) }
    }

    /// g for both releases, the Stokes number over the critical one.
    fn exponents(&self, relative: f64, interception: f64, room: f64, still: f64) -> [f64; 2] {
        let last = self.stokes[self.stokes.len() - 1];
        if relative <= self.least_stokes {
            let share = relative / self.least_stokes;
            return self.in_room(room, |room| self.at_stokes(0, room)).map(|exponent| exponent * share);
        }
        let coordinate = relative.ln();
        if coordinate <= last {
            return self.in_room(room, |room| self.along_stokes(coordinate, room));
        }
        let far =
            straight(&self.cell, self.edge_slope, interception).map(|efficiency| (efficiency / still).ln());
        let near = self.in_room(room, |room| self.at_stokes(self.stokes.len() - 1, room));
        let share = (last - coordinate).exp();
        [0, 1].map(|release| far[release] + (near[release] - far[release]) * share)
    }

    /// g at a room, read from the table or continued below its smallest.
    fn in_room(&self, room: f64, read: impl Fn(f64) -> [f64; 2]) -> [f64; 2] {
        let below = self.room.first - room;
        if below <= 0.0 {
            return read(room);
        }
        let (edge, within) = (read(self.room.first), read(self.room.first + self.room.step));
        [0, 1].map(|release| {
            let slope = (within[release] - edge[release]) / self.room.step;
            edge[release] - slope.clamp(-2.0, 0.0) * below
        })
    }

    /// Both g at a node of the Stokes axis.
    fn at_stokes(&self, node: usize, room: f64) -> [f64; 2] {
        let (base, weights) = self.room.weights(room);
        let [uniform, fluid, ..] = self.weighed(node, base, weights);
        [uniform, fluid]
    }

    /// Both g and both slopes at a node of the Stokes axis.
    fn weighed(&self, stokes: usize, base: usize, weights: [f64; 4]) -> [f64; 4] {
        #[expect(clippy::cast_possible_truncation, reason = "the stored numbers have no more digits")]
        let weights = weights.map(|weight| weight as f32);
        let start = stokes * self.room.nodes + base;
        let mut sum = [0.0_f32; 4];
        for (node, weight) in self.nodes[start..start + 4].iter().zip(weights) {
            for (total, value) in sum.iter_mut().zip(node) {
                *total += weight * value;
            }
        }
        sum.map(f64::from)
    }

    /// Both g at a coordinate within the Stokes axis.
    fn along_stokes(&self, coordinate: f64, room: f64) -> [f64; 2] {
        let after = self.stokes.partition_point(|node| *node <= coordinate).clamp(1, self.stokes.len() - 1);
        let (base, weights) = self.room.weights(room);
        let (left, right) = (self.weighed(after - 1, base, weights), self.weighed(after, base, weights));
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
}

/// The efficiency of particles that fly straight on, by release.
///
/// ```text
/// uniform 1 + R;  fluid (1 + R)/sqrt(f'(b)^2 + (1 - f'(b)^2) (1 + R)^2/b^2)
/// ```
/// The second from the straight line that leaves the edge with the velocity of the air there and touches the circle
/// of contact.
pub(crate) fn straight_on(cell: &KuwabaraCell, interception: f64) -> [f64; 2] {
    straight(cell, cell.stream_slope(cell.edge_radius()), interception)
}

fn straight(cell: &KuwabaraCell, edge_slope: f64, interception: f64) -> [f64; 2] {
    let contact = 1.0 + interception;
    let share = (contact / cell.edge_radius()).powi(2);
    let slope = edge_slope * edge_slope;
    [contact, contact / (slope + share * (1.0 - slope)).sqrt()]
}

/// Pairs the values with their slopes over the Stokes axis.
fn with_slopes(stokes: &[f64], values: &[f64]) -> Vec<Node> {
    let columns = values.len() / stokes.len();
    let row = |node: usize| &values[node * columns..(node + 1) * columns];
    let inverse_width = |node: usize| (stokes[node + 1] - stokes[node]).recip();
    let mut nodes = Vec::with_capacity(values.len() / 2);
    let mut slopes = vec![0.0; columns];
    for node in 0..stokes.len() {
        if node == 0 {
            // g goes to 0 in proportion to the Stokes number.
            slopes.copy_from_slice(row(0));
        } else if node + 1 == stokes.len() {
            let inverse = inverse_width(node - 1);
            for (slope, (left, here)) in slopes.iter_mut().zip(row(node - 1).iter().zip(row(node))) {
                *slope = (here - left) * inverse;
            }
        } else {
            let inverse = [inverse_width(node - 1), inverse_width(node)];
            let share = inverse[0] / (inverse[0] + inverse[1]);
            let neighbours = row(node - 1).iter().zip(row(node)).zip(row(node + 1));
            for (slope, ((left, here), right)) in slopes.iter_mut().zip(neighbours) {
                *slope = limited_slope((here - left) * inverse[0], (right - here) * inverse[1], share);
            }
        }
        nodes.extend(row(node).chunks_exact(2).zip(slopes.chunks_exact(2)).map(|(value, slope)| {
            #[expect(clippy::cast_possible_truncation, reason = "the stored numbers have no more digits")]
            [value[0], value[1], slope[0], slope[1]].map(|number| number as f32)
        }));
    }
    nodes
}

/// The parabola's slope at the middle of three nodes, `share` that of the first chord in it, at most three times the
/// gentler chord, so that a cubic rises or falls where the nodes do (Hyman 1983, SIAM J. Sci. Stat. Comput. 4:645, from
/// memory).
fn limited_slope(before: f64, after: f64, share: f64) -> f64 {
    let parabola = after + share * (before - after);
    let bound = 3.0 * before.abs().min(after.abs());
    parabola.min(bound).max(-bound)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::single_fibre::impaction::{LARGEST_MISS, SOLIDITY_RANGE};

    fn slice(alpha: f64) -> ImpactionSlice {
        ImpactionSlice::new(Solidity::new(alpha).unwrap())
    }

    /// Increments at solidity 0.05, computed independently to the digits shown; the table's own error comes on top.
    #[test]
    fn increments_match_the_reference_values() {
        let rows = [
            (0.1, 0.03, -0.000245, -0.000163, 1e-6),
            (0.1, 0.18, 0.004705, 0.005391, 1e-6),
            (0.1, 0.5, 0.1110, 0.1244, 1e-4),
            (0.1, 2.0, 0.5152, 0.6723, 1e-4),
            (0.5, 0.03, -0.004245, -0.002592, 1e-6),
            (0.5, 0.18, 0.03153, 0.04257, 1e-5),
            (0.5, 0.5, 0.2124, 0.2605, 1e-4),
            (0.5, 2.0, 0.5678, 0.8015, 1e-4),
        ];
        let slice = slice(0.05);
        for (interception, stokes, fluid, uniform, digit) in rows {
            let got = slice.increment(stokes, interception);
            let total = slice.cell.stream_at_gap(interception) + uniform;
            let tolerance = 0.5 * digit + LARGEST_MISS * (total + 1e-3);
            for (got, expected) in [(got.fluid, fluid), (got.uniform, uniform)] {
                assert!(
                    (got - expected).abs() <= tolerance,
                    "R {interception}, Stk {stokes}: got {got}, expected {expected}, tolerance {tolerance}"
                );
            }
        }
    }

    #[test]
    fn without_inertia_or_without_room_there_is_no_increment() {
        let slice = slice(0.1);
        let reach = slice.cell.largest_interception();
        for (stokes, interception) in
            [(0.0, 0.2), (3.0, reach), (3.0, 2.0 * reach), (3.0, 0.0), (f64::NAN, 0.2)]
        {
            assert_eq!(slice.increment(stokes, interception), Increment { uniform: 0.0, fluid: 0.0 });
        }
        let [once, twice] = [1e-6, 2e-6].map(|stokes| slice.increment(stokes, 0.2));
        assert!(once.uniform < 0.0 && once.fluid < once.uniform, "{once:?}");
        assert!((twice.uniform / once.uniform - 2.0).abs() < 1e-5, "{once:?} {twice:?}");
    }

    #[test]
    fn heavy_particles_fly_straight() {
        for alpha in [0.005, 0.05, 0.3, 0.65] {
            let slice = slice(alpha);
            for room in [0.001, 0.1, 0.5, 0.99] {
                let interception = room * slice.cell.largest_interception();
                let still = slice.cell.stream_at_gap(interception);
                let got = slice.increment(1e12, interception);
                let [uniform, fluid] = straight_on(&slice.cell, interception);
                assert!((uniform - 1.0 - interception).abs() < 1e-12);
                for (got, expected) in [(got.uniform, uniform), (got.fluid, fluid)] {
                    let total = still + got;
                    assert!((total / expected - 1.0).abs() < 1e-6, "{alpha} {room}: {total} for {expected}");
                }
            }
        }
    }

    /// Positive, finite and no more than the air of the cell, in range and far out of it.
    #[test]
    fn the_total_stays_between_nothing_and_all_air() {
        for alpha in [1e-4, 0.003, 0.02, 0.1, 0.4, 0.7, 0.9] {
            let slice = slice(alpha);
            let edge = slice.cell.edge_radius();
            for decade in -90..0 {
                let interception = slice.cell.largest_interception() * 10_f64.powf(f64::from(decade) / 10.0);
                for decade in -60..=60 {
                    let stokes = 10_f64.powf(f64::from(decade) / 10.0);
                    let increment = slice.increment(stokes, interception);
                    let still = slice.cell.stream_at_gap(interception);
                    for total in [still + increment.uniform, still + increment.fluid] {
                        let inside = total > 0.0 && total <= edge * (1.0 + LARGEST_MISS);
                        assert!(inside, "alpha {alpha}, R {interception}, Stk {stokes}: {total} of {edge}");
                    }
                }
            }
        }
    }

    /// No jump at the ends of an axis, where another formula takes over.
    #[test]
    fn the_ends_of_the_axes_join() {
        let slice = slice(0.07);
        let [stokes, interception] = slice.ranges().map(|range| (range.low, range.high));
        let least = slice.least_stokes * slice.critical_stokes;
        let joins = [
            [(least, 0.3), (0.0, 1e-9)],
            [(stokes.1, 0.3), (0.0, 1e-9)],
            [(0.1, interception.0), (1e-9, 0.0)],
            [(1.0, interception.0), (1e-9, 0.0)],
            [(1.0, interception.1), (1e-9, 0.0)],
        ];
        for [(stokes, interception), (shift_room, shift_stokes)] in joins {
            let at = |sign: f64| {
                let interception = interception * (1.0 + sign * shift_room);
                let total = slice.increment(stokes * (1.0 + sign * shift_stokes), interception).uniform;
                (total + slice.cell.stream_at_gap(interception)) / slice.cell.stream_at_gap(interception)
            };
            let jump = at(1.0) - at(-1.0);
            assert!(jump.abs() < 1e-6 * at(1.0), "Stk {stokes}, R {interception}: {jump} on {}", at(1.0));
        }
    }

    /// Away from the dip, more inertia never means less capture where the particle enters with the uniform velocity.
    #[test]
    fn the_rise_with_stokes_number_has_no_ripples() {
        for alpha in [0.004, 0.05, 0.17, 0.6] {
            let slice = slice(alpha);
            for room in [4e-4, 0.01, 0.13, 0.6] {
                let interception = room * slice.cell.largest_interception();
                let totals: Vec<f64> = (0..4000)
                    .map(|step| slice.critical_stokes * 10_f64.powf(f64::from(step) / 800.0 - 2.0))
                    .map(|stokes| slice.increment(stokes, interception).uniform)
                    .collect();
                let turns = totals.windows(3).filter(|w| (w[1] - w[0]) * (w[2] - w[1]) < 0.0).count();
                assert!(turns <= 1, "solidity {alpha}, room {room}: {turns} turns");
            }
        }
    }

    #[test]
    fn the_ranges_say_where_the_table_ends() {
        let slice = slice(0.05);
        let [stokes, interception] = slice.ranges();
        assert!((slice.critical_stokes() - 0.5207).abs() < 5.1e-5, "{}", slice.critical_stokes());
        assert!(stokes.contains(0.0) && stokes.contains(520.0) && !stokes.contains(521.0), "{stokes:?}");
        assert!(interception.contains(0.0011) && !interception.contains(0.001), "{interception:?}");
        assert!(interception.contains(3.47) && !interception.contains(3.48), "{interception:?}");
        assert!(SOLIDITY_RANGE.contains(0.05));
    }
}
