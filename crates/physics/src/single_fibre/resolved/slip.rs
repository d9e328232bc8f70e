//! What slip on the fibre changes in the inertial increment.
//!
//! In a flow that slips, a particle passes as in one that sticks whose surface of contact lies on the same streamline:
//!
//! ```text
//! E(Stk, R; Kn_f) = E(Stk, R'; 0) exp h,    f_0(1 + R') = f(1 + R)
//! ```
//! The factor is within 15 % of 1 for R above a tenth, and is tabulated; without slip it is 1, without inertia it is 1.

use moteweir_units::Solidity;

use super::axes::{FIBRE_KNUDSEN, SOLIDITY, largest_slip, of_solidity, solidity_at};
use super::spline;
use crate::cell::KuwabaraCell;
use crate::single_fibre::impaction::{self, ImpactionSlice, RoomPlace, straight_on};

/// Stokes numbers over the critical one without slip.
const STOKES: [f64; 2] = [0.01, 100.0];
/// The slip parameter about which the axis of slip changes from even steps to equal ratios.
const SLIP_KNEE: f64 = 0.02;
/// The smallest share of the room that is solved; below it h is held.
const LEAST_ROOM: f64 = 1e-3;

/// Nodes of the factor h.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlipAxes {
    /// Nodes over solidity, even in `ln(alpha/(1 - alpha))`.
    pub solidities: usize,
    /// Nodes over the slip parameter s, even in `ln(1 + s/0.02)`.
    pub slips: usize,
    /// Nodes over the Stokes number, even in `ln(Stk/Stk_c)`, `Stk_c` the critical one without slip, 0.01 to 100.
    pub stokes: usize,
    /// Nodes over the share of the room that a particle takes, from 0.001 to 1, even as in the impaction table.
    pub rooms: usize,
}

/// What a node stands for.
#[derive(Clone, Debug)]
pub struct SlipPlace {
    /// The cell, slip included.
    pub cell: KuwabaraCell,
    /// What inertia adds without slip.
    pub without: ImpactionSlice,
    /// The Stokes number.
    pub stokes: f64,
    /// The interception parameter, R.
    pub interception: f64,
    /// The one of the same streamline without slip, R'.
    pub equal_interception: f64,
}

impl SlipAxes {
    /// How many nodes there are.
    pub fn nodes(&self) -> usize {
        self.solidities * self.slips * self.stokes * self.rooms
    }

    /// The shares of a node along the axes, rooms running fastest, then Stokes numbers, slips and solidities.
    pub fn shares(&self, node: usize) -> [f64; 4] {
        let share = |index: usize, nodes: usize| index as f64 / (nodes - 1) as f64;
        let (rest, room) = (node / self.rooms, node % self.rooms);
        let (rest, stokes) = (rest / self.stokes, rest % self.stokes);
        let (solidity, slip) = (rest / self.slips, rest % self.slips);
        [
            share(solidity, self.solidities),
            share(slip, self.slips),
            share(stokes, self.stokes),
            share(room, self.rooms),
        ]
    }

    /// What stands at `[solidity, slip, Stokes number, room]`, each from 0 to 1 along its axis.
    pub fn place(share: [f64; 4]) -> SlipPlace {
        let solidity = solidity_at(share[0]);
        let still = KuwabaraCell::new(solidity, 0.0);
        let largest = largest_slip(&still);
        let slip = SLIP_KNEE * (share[1] * slip_coordinate(largest)).exp_m1();
        let cell = KuwabaraCell::new(solidity, FIBRE_KNUDSEN[1] * slip / largest);
        let [first, last] = STOKES.map(f64::ln);
        let without = ImpactionSlice::new(solidity);
        let stokes = without.critical_stokes() * (first + (last - first) * share[2]).exp();
        let [first, last] = [LEAST_ROOM, 1.0].map(impaction::Axes::of_room);
        let room = impaction::Axes::room_at(first + (last - first) * share[3]);
        let interception = room.min(1.0) * cell.largest_interception();
        let equal_interception = equal_interception(&cell, &still, interception);
        SlipPlace { cell, without, stokes, interception, equal_interception }
    }
}

fn slip_coordinate(slip: f64) -> f64 {
    (slip / SLIP_KNEE).ln_1p()
}

/// R' with f_0(1 + R') = f(1 + R): the particle without slip that touches the same streamline.
fn equal_interception(cell: &KuwabaraCell, still: &KuwabaraCell, interception: f64) -> f64 {
    let stream = cell.stream_at_gap(interception);
    let (mut low, mut high) = (interception, still.largest_interception());
    let mut size = low;
    for _ in 0..60 {
        let (value, slope) = still.stream_and_slope_at_gap(size);
        if value < stream {
            low = size;
        } else {
            high = size;
        }
        let newton = size + (stream - value) / slope;
        let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
        if (next - size).abs() <= 1e-12 * next {
            return next;
        }
        size = next;
    }
    size
}

/// The factors h of an atlas.
#[derive(Clone, Debug)]
pub(super) struct SlipTable<'a> {
    pub(super) axes: SlipAxes,
    /// Little-endian f32, spline coefficients along solidity and slip: solidities + 2, slips + 2, Stokes numbers, rooms,
    /// the pair uniform and fluid release.
    pub(super) bytes: &'a [u8],
}

impl SlipTable<'_> {
    /// The bytes of a table with these axes.
    pub(super) fn length(axes: &SlipAxes) -> usize {
        8_usize
            .saturating_mul(axes.solidities.saturating_add(2))
            .saturating_mul(axes.slips.saturating_add(2))
            .saturating_mul(axes.stokes)
            .saturating_mul(axes.rooms)
    }

    /// The bytes of a table from its pairs of values in the order of its nodes.
    pub(super) fn write(axes: &SlipAxes, values: &[[f64; 2]]) -> Vec<u8> {
        let plane = 2 * axes.stokes * axes.rooms;
        let along_slip = spline::along(values.as_flattened(), axes.solidities, axes.slips, plane);
        let along_both = spline::along(&along_slip, 1, axes.solidities, (axes.slips + 2) * plane);
        #[expect(clippy::cast_possible_truncation, reason = "the atlas keeps seven digits")]
        along_both.into_iter().flat_map(|value| (value as f32).to_le_bytes()).collect()
    }

    /// The impaction slice of a solidity with slip on the fibre.
    pub(super) fn slice(&self, solidity: Solidity, fibre_knudsen: f64) -> ImpactionSlice {
        let slice = ImpactionSlice::new(solidity);
        if fibre_knudsen <= 0.0 {
            return slice;
        }
        let cell = KuwabaraCell::new(solidity, fibre_knudsen);
        let still = KuwabaraCell::new(solidity, 0.0);
        let rooms: Vec<Room> =
            slice.room_nodes().map(|room| Room::new(&slice, &cell, &still, room, self.axes.rooms)).collect();
        let factors = Factors { axes: self.axes, coefficients: self.plane(&cell) };
        let [first, last] = STOKES.map(f64::ln);
        let steps = (self.axes.stokes - 1) as f64 / (last - first);
        let mut exponents = Vec::with_capacity(2 * rooms.len() * slice.stokes_nodes().len());
        for (node, stokes) in slice.stokes_nodes().iter().enumerate() {
            let row = factors.row((stokes - first) * steps);
            let far = 1.0 - (last - stokes).exp().min(1.0);
            for room in &rooms {
                let equal = slice.exponents_at(node, &room.equal);
                let factor = room.factor(&row, far);
                exponents.extend([equal[0] + factor[0], equal[1] + factor[1]]);
            }
        }
        slice.in_cell(cell, &exponents)
    }

    /// Spline coefficients over Stokes number and room at one solidity and slip, rows of pairs.
    fn plane(&self, cell: &KuwabaraCell) -> Vec<f64> {
        let axes = self.axes;
        let [first, last] = SOLIDITY.map(of_solidity);
        let place = (of_solidity(cell.solidity()) - first) / (last - first) * (axes.solidities - 1) as f64;
        let (solidity, by_solidity) = spline::weights(place, axes.solidities);
        let most = slip_coordinate(largest_slip(cell));
        let place = slip_coordinate(cell.slip_parameter()) / most * (axes.slips - 1) as f64;
        let (slip, by_slip) = spline::weights(place, axes.slips);
        let plane = 2 * axes.stokes * axes.rooms;
        let numbers = self.bytes.as_chunks::<4>().0;
        let mut values = vec![0.0; plane];
        for (i, outer) in by_solidity.into_iter().enumerate() {
            for (j, inner) in by_slip.into_iter().enumerate() {
                let start = ((solidity + i) * (axes.slips + 2) + slip + j) * plane;
                let weight = outer * inner;
                for (sum, bytes) in values.iter_mut().zip(&numbers[start..start + plane]) {
                    *sum += weight * f64::from(f32::from_le_bytes(*bytes));
                }
            }
        }
        let along_rooms = spline::along(&values, axes.stokes, axes.rooms, 2);
        spline::along(&along_rooms, 1, axes.stokes, 2 * (axes.rooms + 2))
    }
}

/// h at one solidity and slip, spline coefficients over Stokes number and room.
struct Factors {
    axes: SlipAxes,
    coefficients: Vec<f64>,
}

impl Factors {
    /// Coefficients over room at a place of the Stokes axis, in steps.
    fn row(&self, place: f64) -> Vec<[f64; 2]> {
        let (row, by_stokes) = spline::weights(place, self.axes.stokes);
        let width = self.axes.rooms + 2;
        let pairs = self.coefficients.as_chunks::<2>().0;
        let mut sums = vec![[0.0; 2]; width];
        for (i, weight) in by_stokes.into_iter().enumerate() {
            for (sum, pair) in sums.iter_mut().zip(&pairs[(row + i) * width..]) {
                sum[0] += weight * pair[0];
                sum[1] += weight * pair[1];
            }
        }
        sums
    }
}

/// A size on the axis of rooms of the impaction table.
struct Room {
    /// Where it lies on the axis of the factors.
    column: usize,
    weights: [f64; 4],
    /// Where R' lies on the axis of the impaction table.
    equal: RoomPlace,
    /// ln of the straight paths' ratio, by release.
    straight: [f64; 2],
}

impl Room {
    fn new(
        slice: &ImpactionSlice,
        cell: &KuwabaraCell,
        still: &KuwabaraCell,
        room: f64,
        nodes: usize,
    ) -> Self {
        let reach = cell.largest_interception();
        let held = room.min(1.0);
        let interception = held * reach;
        let equal = equal_interception(cell, still, interception);
        let [first, last] = [LEAST_ROOM, 1.0].map(impaction::Axes::of_room);
        let (with, without) = (straight_on(cell, interception), straight_on(still, equal));
        let share = (impaction::Axes::of_room(held) - first) / (last - first);
        let (column, weights) = spline::weights(share * (nodes - 1) as f64, nodes);
        Self {
            column,
            weights,
            equal: slice.room_place((equal / reach).min(1.0)),
            straight: [0, 1].map(|release| (with[release] / without[release]).ln()),
        }
    }

    /// h for both releases, `far` the share of the straight paths: above the largest Stokes number h goes as 1/Stk to
    /// theirs.
    fn factor(&self, row: &[[f64; 2]], far: f64) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for (pair, weight) in row[self.column..self.column + 4].iter().zip(self.weights) {
            sum[0] += weight * pair[0];
            sum[1] += weight * pair[1];
        }
        [0, 1].map(|release| sum[release] + far * (self.straight[release] - sum[release]))
    }
}
