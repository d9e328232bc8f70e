//! A smooth number over the axes of the atlas: how it is kept, and its plane at one solidity and slip.

use std::sync::Arc;

use super::axes::{Axes, size_coordinate, size_ends};
use super::reference::{Reference, Scales};
use super::spline;

/// A field over all axes: spline coefficients along solidity and slip, values along Peclet number and size.
#[derive(Clone, Debug)]
pub(super) struct Field<'a> {
    pub(super) axes: Axes,
    /// Little-endian f32: solidities + 2, slips + 2, Peclet numbers, sizes, the last running fastest.
    pub(super) bytes: &'a [u8],
}

impl Field<'_> {
    /// The bytes of a field with these axes.
    pub(super) fn length(axes: &Axes) -> usize {
        4_usize
            .saturating_mul(axes.solidities.saturating_add(2))
            .saturating_mul(axes.slips.saturating_add(2))
            .saturating_mul(axes.peclets)
            .saturating_mul(axes.sizes)
    }

    /// The bytes of a field from its values in the order of its nodes.
    pub(super) fn write(axes: &Axes, values: &[f64]) -> Vec<u8> {
        let plane = axes.peclets * axes.sizes;
        let along_slip = spline::along(values, axes.solidities, axes.slips, plane);
        let along_both = spline::along(&along_slip, 1, axes.solidities, (axes.slips + 2) * plane);
        #[expect(clippy::cast_possible_truncation, reason = "the atlas keeps seven digits")]
        along_both.into_iter().flat_map(|value| (value as f32).to_le_bytes()).collect()
    }

    /// The plane of a cell.
    pub(super) fn plane(&self, reference: &Reference, still: &Reference) -> Plane {
        let axes = self.axes;
        let alpha = axes.solidity_place(reference.cell().solidity());
        let (solidity, by_solidity) = spline::weights(alpha, axes.solidities);
        let numbers = self.bytes.as_chunks::<4>().0;
        let mut rows = Vec::with_capacity(axes.peclets * (axes.sizes + 2));
        let mut ends = Vec::with_capacity(2 * axes.peclets);
        for peclet in 0..axes.peclets {
            let place = axes.slip_place(still, reference.cell().slip_parameter(), peclet);
            let (slip, by_slip) = spline::weights(place, axes.slips);
            let mut row = vec![0.0; axes.sizes];
            for (i, outer) in by_solidity.into_iter().enumerate() {
                for (j, inner) in by_slip.into_iter().enumerate() {
                    let start =
                        (((solidity + i) * (axes.slips + 2) + slip + j) * axes.peclets + peclet) * axes.sizes;
                    let weight = outer * inner;
                    for (sum, bytes) in row.iter_mut().zip(&numbers[start..start + axes.sizes]) {
                        *sum += weight * f64::from(f32::from_le_bytes(*bytes));
                    }
                }
            }
            rows.extend(spline::coefficients(&row));
            let [first, last] = size_ends(reference, &reference.scales(axes.peclet_at(peclet)));
            ends.extend([first, (axes.sizes - 1) as f64 / (last - first)]);
        }
        let coefficients = spline::along(&rows, 1, axes.peclets, axes.sizes + 2);
        #[expect(clippy::cast_possible_truncation, reason = "the atlas keeps seven digits")]
        let coefficients = coefficients.into_iter().map(|c| c as f32).collect();
        let last_root = axes.last_root();
        Plane {
            peclets: axes.peclets,
            sizes: axes.sizes,
            last_root,
            steps_per_root: (axes.peclets - 1) as f64 / (1.0 - last_root),
            ends: spline::along(&ends, 1, axes.peclets, 2).as_chunks::<2>().0.into(),
            coefficients,
        }
    }
}

/// A field at one solidity and slip, over Peclet number and size.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    peclets: usize,
    sizes: usize,
    last_root: f64,
    steps_per_root: f64,
    /// Peclet numbers + 2: the coordinate of sizes at a point, and steps over its length.
    ends: Arc<[[f64; 2]]>,
    /// Peclet numbers + 2, sizes + 2.
    coefficients: Arc<[f32]>,
}

impl Plane {
    /// Pe^(-1/6) where the field ends.
    pub(super) fn last_root(&self) -> f64 {
        self.last_root
    }

    /// The field's number, held at the ends of the Peclet axis.
    ///
    /// The ends of the axis of sizes are a spline over Peclet numbers too: what lies between nodes then lies a little
    /// aside, by less than the field is known there.
    pub(super) fn value(&self, reference: &Reference, scales: &Scales, interception: f64) -> f64 {
        let place = (1.0 - scales.sixth_root) * self.steps_per_root;
        let (row, by_peclet) = spline::weights(place, self.peclets);
        let mut end = [0.0; 2];
        for ([first, steps], weight) in self.ends[row..row + 4].iter().zip(by_peclet) {
            end[0] += weight * first;
            end[1] += weight * steps;
        }
        let place = (size_coordinate(reference, scales, interception) - end[0]) * end[1];
        let (column, by_size) = spline::weights(place, self.sizes);
        let width = self.sizes + 2;
        let mut across = [0.0_f32; 4];
        for (i, weight) in by_peclet.into_iter().enumerate() {
            let start = (row + i) * width + column;
            #[expect(clippy::cast_possible_truncation, reason = "the atlas keeps seven digits")]
            let weight = weight as f32;
            for (sum, coefficient) in across.iter_mut().zip(&self.coefficients[start..start + 4]) {
                *sum += weight * coefficient;
            }
        }
        let [a, b, c, d] = across.map(f64::from);
        let [first, second, third, fourth] = by_size;
        (a * first + b * second) + (c * third + d * fourth)
    }
}
