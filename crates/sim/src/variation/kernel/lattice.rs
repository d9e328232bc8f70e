//! Impaction of every size on a lattice of fibre diameters and solidities, solved where draws fall.
//!
//! At one face velocity the inertial increment of a size depends on the fibre diameter and the solidity alone. Its
//! steep rise stands where the Stokes number is the critical one, which depends on the solidity: on the coordinates
//!
//! ```text
//! s = ln[d_f (U0/U) Stk_c(alpha)],   a = ln[alpha/(1 - alpha)]
//! ```
//! the rise of each size is at one s for all solidities. What is kept is the increment over the room that is left,
//! (E(Stk, R) - E(0, R))/(R_max - R): it has no kink where a particle fills the cell, R = R_max, beyond which it is
//! continued with its last value and multiplied by 0.
//!
//! A node is a pure function of its place, so that it does not matter which thread meets it first, and draws do not
//! depend on the range that other draws cover.

use std::sync::OnceLock;

use moteweir_physics::closure::Closure;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::single_fibre::impaction::{ImpactionSlice, SOLIDITY_RANGE};
use moteweir_units::Solidity;
use multiversion::multiversion;

use super::capture::{self, Widths};
use super::fibre::{Array, Fibre, Surroundings};
use super::sizes::{GROUP, Sizes};

/// Steps of s in a factor e.
const STEPS: f64 = 100.0;
/// Nodes of solidity: three in each step of the compiled table, so that its own joints are nodes.
const SOLIDITIES: usize = 70;
/// Nodes of s: from fibre diameters times critical Stokes numbers of 1e-10 m up to 2 mm.
const NODES: usize = 1682;
/// The first of them \[m\].
const LEAST: f64 = 1e-10;
/// Share of the capture of a size that inertia has to change to be asked for.
const NEGLIGIBLE: f64 = 1e-5;
/// Share of its room that a particle takes which is taken for one that fills it.
const FULL: f64 = 0.999;
/// How far before that the slope is taken with which the increment goes on beyond.
const BEND: f64 = 0.02;

/// The lattice.
#[derive(Debug)]
pub(super) struct Lattice {
    first_solidity: f64,
    solidity_step: f64,
    first: f64,
    surroundings: Surroundings,
    columns: Vec<OnceLock<Column>>,
}

/// One node.
#[derive(Clone, Debug)]
struct Row {
    /// First size that inertia matters to: a whole number of groups.
    first: usize,
    /// Increment over room from there on.
    slopes: Box<[f32]>,
}

/// One solidity of the lattice.
#[derive(Clone, Debug)]
struct Column {
    solidity: Solidity,
    slice: ImpactionSlice,
    /// R_max = b - 1.
    reach: f64,
    /// ln of (U0/U) Stk_c.
    ln_critical: f64,
    /// U0/U.
    convention: f64,
    rows: Box<[OnceLock<Row>]>,
}

/// The solidity's place on the lattice: what all fibre diameters of a web share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Solidities {
    base: usize,
    weights: [f64; 4],
    ln_critical: f64,
}

impl Lattice {
    /// An empty lattice.
    pub(super) fn new(surroundings: Surroundings) -> Self {
        let odds = |alpha: f64| libm::log(alpha / (1.0 - alpha));
        let (first_solidity, last) = (odds(SOLIDITY_RANGE.low), odds(SOLIDITY_RANGE.high));
        Self {
            first_solidity,
            solidity_step: (last - first_solidity) / (SOLIDITIES - 1) as f64,
            first: libm::log(LEAST),
            surroundings,
            columns: (0..SOLIDITIES).map(|_| OnceLock::new()).collect(),
        }
    }

    /// Where a solidity lies; `None` outside the compiled table.
    pub(super) fn solidities(&self, array: &Array) -> Option<Solidities> {
        let coordinate = array.ln_solidity - array.ln_void;
        let (base, weights) = stencil((coordinate - self.first_solidity) / self.solidity_step, SOLIDITIES)?;
        let ln_critical = (0..4).map(|j| weights[j] * self.column(base + j).ln_critical).sum();
        Some(Solidities { base, weights, ln_critical })
    }

    /// Increment over room of every size at a fibre diameter; `false` where the lattice does not reach.
    pub(super) fn read(
        &self,
        sizes: &Sizes,
        solidities: &Solidities,
        ln_fibre_diameter: f64,
        out: &mut [f32],
    ) -> bool {
        let place = (ln_fibre_diameter + solidities.ln_critical - self.first) * STEPS;
        let Some((base, weights)) = stencil(place, NODES) else { return false };
        let rows: [&Row; 16] =
            std::array::from_fn(|k| self.row(sizes, solidities.base + k / 4, base + k % 4));
        let first = rows.iter().fold(sizes.len(), |first, row| first.min(row.first));
        out[..first].fill(0.0);
        let rows = rows.map(|row| &row.slopes[first..]);
        #[expect(clippy::cast_possible_truncation, reason = "the rows have no more digits")]
        let weights = std::array::from_fn(|k| (solidities.weights[k / 4] * weights[k % 4]) as f32);
        weigh(&rows, &weights, &mut out[first..]);
        true
    }

    fn column(&self, number: usize) -> &Column {
        self.columns[number].get_or_init(|| {
            let odds = libm::exp(self.first_solidity + self.solidity_step * number as f64);
            let alpha = odds / (1.0 + odds);
            let solidity = Solidity::new(alpha).expect("finite odds are those of a fraction within 0 to 1");
            let slice = ImpactionSlice::new(solidity);
            let convention = match self.surroundings.closure {
                Closure::LeeLiu => 1.0 - alpha,
                Closure::KuwabaraCell | Closure::Resolved => 1.0,
            };
            let ln_critical = libm::log(convention * slice.critical_stokes());
            let rows = (0..NODES).map(|_| OnceLock::new()).collect();
            Column { solidity, slice, reach: 1.0 / alpha.sqrt() - 1.0, ln_critical, convention, rows }
        })
    }

    fn row(&self, sizes: &Sizes, column: usize, node: usize) -> &Row {
        let column = self.column(column);
        column.rows[node].get_or_init(|| {
            let fibre_diameter = libm::exp(self.first + node as f64 / STEPS - column.ln_critical);
            let slopes: Box<[f64]> =
                slopes(sizes, &column.slice, column.reach, column.convention, fibre_diameter).collect();
            let first = self.first_that_matters(sizes, &slopes, column, fibre_diameter);
            #[expect(clippy::cast_possible_truncation, reason = "far more digits than the table has")]
            let kept = |(i, slope): (usize, &f64)| if i < first { 0.0 } else { *slope as f32 };
            Row { first, slopes: slopes.iter().enumerate().map(kept).collect() }
        })
    }

    /// The first size, rounded down to whole groups, whose capture inertia changes by more than [`NEGLIGIBLE`].
    fn first_that_matters(
        &self,
        sizes: &Sizes,
        slopes: &[f64],
        column: &Column,
        fibre_diameter: f64,
    ) -> usize {
        let array = Array::new(column.solidity, &self.surroundings);
        let fibre = Fibre::new(fibre_diameter, &array, &self.surroundings);
        let mut without = Widths { wandering: vec![0.0; sizes.len()], total: vec![0.0; sizes.len()] };
        let none = vec![0.0; sizes.len()];
        // Across the flow settling helps least but for an upward flow, where the measure is what it takes away from.
        capture::widths(
            self.surroundings.closure,
            FlowDirection::Horizontal,
            sizes,
            &fibre,
            &none,
            &mut without,
        );
        let matters = (0..sizes.len()).position(|i| {
            let increment = (fibre.reach - sizes.diameter[i]).max(0.0) * slopes[i];
            increment.abs() > NEGLIGIBLE * without.total[i]
        });
        matters.unwrap_or(sizes.len()) / GROUP * GROUP
    }
}

/// Increment over room of every size, from the table itself: for fibres and webs outside the lattice.
pub(super) fn fresh(
    sizes: &Sizes,
    slice: &ImpactionSlice,
    array: &Array,
    fibre_diameter: f64,
    out: &mut [f32],
) {
    for (slope, fresh) in
        out.iter_mut().zip(slopes(sizes, slice, array.edge - 1.0, array.convention, fibre_diameter))
    {
        #[expect(clippy::cast_possible_truncation, reason = "far more digits than the table has")]
        {
            *slope = fresh as f32;
        }
    }
}

fn slopes<'a>(
    sizes: &'a Sizes,
    slice: &'a ImpactionSlice,
    reach: f64,
    convention: f64,
    fibre_diameter: f64,
) -> impl Iterator<Item = f64> + 'a {
    sizes.diameter.iter().zip(&sizes.stop_distance).map(move |(diameter, stop_distance)| {
        let stokes = stop_distance / (convention * fibre_diameter);
        let at = |room: f64| slice.increment(stokes, room * reach).uniform / (reach * (1.0 - room));
        let room = diameter / (fibre_diameter * reach);
        if room <= FULL {
            return at(room);
        }
        // A straight line for the few nodes that a cubic reaches into.
        let (last, before) = (at(FULL), at(FULL - BEND));
        last + (last - before) / BEND * (room - FULL).min(BEND)
    })
}

/// Four nodes round a place among `nodes`, and their weights in a cubic through them; `None` outside.
fn stencil(place: f64, nodes: usize) -> Option<(usize, [f64; 4])> {
    if !(0.0..=(nodes - 1) as f64).contains(&place) {
        return None;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "within the nodes, as tested above"
    )]
    let base = (place as usize).clamp(1, nodes - 3) - 1;
    let t = place - base as f64;
    let [t0, t1, t2, t3] = [t, t - 1.0, t - 2.0, t - 3.0];
    let (outer, inner) = (t1 * t2 / 6.0, 0.5 * t0 * t3);
    Some((base, [-outer * t3, inner * t2, -inner * t1, outer * t0]))
}

/// The weighted sum of rows.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn weigh(rows: &[&[f32]; 16], weights: &[f32; 16], out: &mut [f32]) {
    weigh_anywhere(rows, weights, out);
}

/// As [`weigh`], with the instructions of whoever calls it.
#[expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]
#[inline(always)]
fn weigh_anywhere(rows: &[&[f32]; 16], weights: &[f32; 16], out: &mut [f32]) {
    let n = out.len();
    let [a, b, c, d, e, f, g, h, i, j, k, l, m, o, p, q] = rows.map(|row| &row[..n]);
    let w = *weights;
    for x in 0..n {
        let first = (w[0] * a[x] + w[1] * b[x]) + (w[2] * c[x] + w[3] * d[x]);
        let second = (w[4] * e[x] + w[5] * f[x]) + (w[6] * g[x] + w[7] * h[x]);
        let third = (w[8] * i[x] + w[9] * j[x]) + (w[10] * k[x] + w[11] * l[x]);
        let fourth = (w[12] * m[x] + w[13] * o[x]) + (w[14] * p[x] + w[15] * q[x]);
        out[x] = (first + second) + (third + fourth);
    }
}
