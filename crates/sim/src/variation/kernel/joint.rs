//! The table of the joint law of charge at the solidity of a web, and reading it for many particles at once.
//!
//! `moteweir_physics::single_fibre::electret_law` keeps ln(E/bound) over solidity, the strength of the forces, the share of
//! polarisation and the size of the particle. Here the same nodes are contracted over solidity once for each web and read
//! by the same cubics, in single precision: what is read is the law itself, to rounding.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use std::ops::Range;

use moteweir_physics::single_fibre::electret_law::{Axes, ElectretTable, SOLIDITY_RANGE};
use moteweir_units::Solidity;
use multiversion::multiversion;

use super::super::arithmetic::Arithmetic;
use super::single::{ROUND, Row, higher, lower};
use super::sizes::GROUP;

/// Nodes of strength, share and size.
const NODES: [usize; 3] = [25, 17, 17];
/// From node to node of strength and of share.
const STRIDES: [usize; 2] = [NODES[1] * NODES[2], NODES[2]];
/// What a reading reaches over: four nodes of each.
const WINDOW: usize = 3 * STRIDES[0] + 3 * STRIDES[1] + 4;

/// The compiled table.
#[derive(Clone, Debug)]
pub(super) struct JointTable {
    table: ElectretTable<'static>,
    /// First node of ln strength, and one over its step.
    pub strength: [f32; 2],
    /// The strongest forces.
    pub most: f32,
}

/// The law at one solidity.
#[derive(Clone, Debug, Default)]
pub(super) struct JointPlane {
    of: Option<(Solidity, bool)>,
    /// ln(E/bound) by strength, then share, then size.
    values: Vec<f32>,
}

/// Where to read, for a group of particles.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub(super) struct Places {
    base: [u32; GROUP],
    strength: [Row; 4],
    share: [Row; 4],
    size: [Row; 4],
    /// What was read, for each of the four nodes of size.
    sums: [[f32; 4]; GROUP],
}

impl JointTable {
    pub(super) fn compiled() -> Self {
        let table = ElectretTable::compiled();
        let Axes { strength, share, size, .. } = *table.axes();
        debug_assert_eq!([strength, share, size].map(|axis| axis.nodes), NODES);
        #[expect(clippy::cast_possible_truncation, reason = "places are read in single precision")]
        Self {
            table,
            strength: [strength.first as f32, (1.0 / strength.step) as f32],
            most: libm::exp(strength.last()) as f32,
        }
    }
}

impl JointPlane {
    /// Contracts the table over solidity, held beyond its ends, unless it is there from the web before. Neutral particles
    /// feel polarisation alone: for them the last nodes of its share will do.
    pub(super) fn set(&mut self, joint: &JointTable, solidity: Solidity, charged_particles: bool) {
        if self.of.is_some_and(|(known, all)| known == solidity && (all || !charged_particles)) {
            return;
        }
        self.of = Some((solidity, charged_particles));
        let axis = &joint.table.axes().solidity;
        let held = solidity.fraction().clamp(SOLIDITY_RANGE.low, SOLIDITY_RANGE.high);
        let place = axis.place(libm::log(held / (1.0 - held)));
        #[expect(clippy::cast_possible_truncation, reason = "the nodes have no more digits")]
        let weights = place.weights.map(|weight| weight as f32);
        let nodes = [0, 1, 2, 3].map(|node| joint.table.stored_at(place.base + node));
        self.values.resize(NODES.iter().product(), 0.0);
        let first = if charged_particles { 0 } else { NODES[1] - 4 };
        contract(nodes, weights, first * STRIDES[1]..STRIDES[0], &mut self.values);
    }
}

/// The weighted sum of four nodes of solidity, in a part of each strength.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn contract(nodes: [&[[u8; 4]]; 4], weights: [f32; 4], part: Range<usize>, out: &mut [f32]) {
    let [a, b, c, d] = nodes;
    for strength in 0..NODES[0] {
        let (first, last) = (strength * STRIDES[0] + part.start, strength * STRIDES[0] + part.end);
        let (out, n) = (&mut out[first..last], last - first);
        let (a, b, c, d) = (&a[first..][..n], &b[first..][..n], &c[first..][..n], &d[first..][..n]);
        // Without closures: the compiler may leave those where they are, without the vectors.
        for i in 0..n {
            let first = weights[0] * f32::from_le_bytes(a[i]) + weights[1] * f32::from_le_bytes(b[i]);
            let second = weights[2] * f32::from_le_bytes(c[i]) + weights[3] * f32::from_le_bytes(d[i]);
            out[i] = first + second;
        }
    }
}

/// Four nodes round a coordinate, counted in steps and held beyond the ends: the first of them, and the weights of cubic
/// convolution, as `electret_law::Axis::place` has them.
#[inline(always)]
fn stencil<A: Arithmetic>(coordinate: f32, nodes: usize) -> (f32, [f32; 4]) {
    let last = (nodes - 1) as f32;
    let place = lower(higher(coordinate, 0.0), last);
    let cell = lower((place - 0.5 + ROUND) - ROUND, last - 1.0);
    let t = place - cell;
    let (u, tu) = (1.0 - t, t * (1.0 - t));
    let before = -0.5 * tu * u;
    let after = -0.5 * tu * t;
    let here = A::plus_single(0.5 * tu, A::plus_single(2.0, u, -t), u);
    let next = A::plus_single(0.5 * tu, A::plus_single(2.0, t, -u), t);
    let (is_first, is_last) = (cell < 0.5, cell > last - 1.5);
    let pick = |first: f32, last: f32, inside: f32| {
        let not_first = if is_last { last } else { inside };
        if is_first { first } else { not_first }
    };
    (
        pick(0.0, last - 3.0, cell - 1.0),
        [
            pick(A::plus_single(3.0, before, here), 0.0, before),
            pick(A::plus_single(-3.0, before, next), before + after, here),
            pick(after + before, A::plus_single(-3.0, after, here), next),
            pick(0.0, A::plus_single(3.0, after, next), after),
        ],
    )
}

/// Where the stencils of strength, share and size begin in the plane.
#[inline(always)]
fn base(strength: f32, share: f32, size: f32) -> u32 {
    const WHOLE: u32 = 0x007f_ffff;
    let place = (strength * NODES[1] as f32 + share) * NODES[2] as f32 + size;
    (place + 8_388_608.0).to_bits() & WHOLE
}

impl Places {
    /// Nowhere yet.
    pub(super) fn new() -> Self {
        let row = [0.0; GROUP];
        Self {
            base: [0; GROUP],
            strength: [row; 4],
            share: [row; 4],
            size: [row; 4],
            sums: [[0.0; 4]; GROUP],
        }
    }

    /// Sets a particle's place: ln strength, and share and size between 0 and 1.
    #[inline(always)]
    pub(super) fn set<A: Arithmetic>(
        &mut self,
        particle: usize,
        of: &JointTable,
        [ln_strength, share, size]: [f32; 3],
    ) {
        let strength = stencil::<A>((ln_strength - of.strength[0]) * of.strength[1], NODES[0]);
        let share = stencil::<A>(share * (NODES[1] - 1) as f32, NODES[1]);
        let size = stencil::<A>(size * (NODES[2] - 1) as f32, NODES[2]);
        self.base[particle] = base(strength.0, share.0, size.0);
        for k in 0..4 {
            self.strength[k][particle] = strength.1[k];
            self.share[k][particle] = share.1[k];
            self.size[k][particle] = size.1[k];
        }
    }

    /// Reads the nodes round all places.
    #[inline(always)]
    pub(super) fn read<A: Arithmetic>(&mut self, plane: &JointPlane) {
        let past = plane.values.len().saturating_sub(WINDOW);
        for x in 0..GROUP {
            let start = (self.base[x] as usize).min(past);
            let Some(window) = plane.values[start..].first_chunk::<WINDOW>() else { return };
            let by_share = [self.share[0][x], self.share[1][x], self.share[2][x], self.share[3][x]];
            let mut sum = [0.0_f32; 4];
            for (i, weights) in self.strength.iter().enumerate() {
                let mut over_share = [0.0_f32; 4];
                for (j, weight) in by_share.iter().enumerate() {
                    let at = i * STRIDES[0] + j * STRIDES[1];
                    for k in 0..4 {
                        over_share[k] = A::plus_single(*weight, window[at + k], over_share[k]);
                    }
                }
                for k in 0..4 {
                    sum[k] = A::plus_single(weights[x], over_share[k], sum[k]);
                }
            }
            self.sums[x] = sum;
        }
    }

    /// ln(E/bound) of a particle, of what was read.
    #[inline(always)]
    pub(super) fn logarithm(&self, particle: usize) -> f32 {
        let [a, b, c, d] = self.sums[particle];
        let weight = |k: usize| self.size[k][particle];
        (weight(0) * a + weight(1) * b) + (weight(2) * c + weight(3) * d)
    }
}

#[cfg(test)]
mod tests {
    use moteweir_physics::single_fibre::electret_law::Axis;

    use super::super::super::arithmetic::Fused;
    use super::*;

    #[test]
    fn the_table_has_the_nodes_that_are_read() {
        let axes = *ElectretTable::compiled().axes();
        assert_eq!([axes.strength, axes.share, axes.size].map(|axis| axis.nodes), NODES);
        for axis in [axes.share, axes.size] {
            assert!(axis.first.abs() < 1e-12 && (axis.last() - 1.0).abs() < 1e-12, "{axis:?}");
        }
    }

    #[test]
    fn stencils_are_those_of_the_axis() {
        let axis = Axis::between(0.0, 16.0, 17);
        for step in -40..=700_i16 {
            let coordinate = 0.025 * f32::from(step);
            let expected = axis.place(f64::from(coordinate));
            let (first, weights) = stencil::<Fused>(coordinate, 17);
            // At a node either cell gives the same: all weights on it.
            let spread = |first: usize, weights: [f64; 4]| {
                let mut all = [0.0_f64; 17];
                (0..4).for_each(|k| all[first + k] += weights[k]);
                all
            };
            let got = spread(base(0.0, 0.0, first) as usize, weights.map(f64::from));
            let wanted = spread(expected.base, expected.weights);
            for (got, wanted) in got.iter().zip(&wanted) {
                assert!((got - wanted).abs() < 2e-6, "at {coordinate}: {got} for {wanted}");
            }
        }
    }

    #[test]
    fn the_plane_is_the_law_at_its_solidity() {
        let joint = JointTable::compiled();
        let mut plane = JointPlane::default();
        for alpha in [0.001, 0.003, 0.05, 0.237, 0.4, 0.6] {
            let solidity = Solidity::new(alpha).unwrap();
            for charged in [false, true] {
                plane.set(&joint, solidity, charged);
                let axis = joint.table.axes().solidity;
                let held = alpha.clamp(SOLIDITY_RANGE.low, SOLIDITY_RANGE.high);
                let place = axis.place((held / (1.0 - held)).ln());
                // The first share that neutral particles need, the last node, and, for charged ones, any.
                let any = if charged { 7000 } else { 15 * STRIDES[1] };
                for node in [13 * STRIDES[1], any, NODES[0] * STRIDES[0] - 1] {
                    let stored =
                        |k: usize| f64::from(f32::from_le_bytes(joint.table.stored_at(place.base + k)[node]));
                    let expected: f64 = (0..4).map(|k| place.weights[k] * stored(k)).sum();
                    let got = f64::from(plane.values[node]);
                    assert!((got - expected).abs() < 1e-6, "{alpha}, {node}: {got} for {expected}");
                }
            }
        }
    }
}
