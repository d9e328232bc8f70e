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

use super::super::arithmetic::Arithmetic;
use super::capture::{self, Sums, Terms};
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

/// Increment over room of a group of sizes.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Slopes([f32; GROUP]);

/// Increment over room of every size, at one node.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// First group that inertia matters to; before it all is 0.
    first: usize,
    groups: Box<[Slopes]>,
}

/// What inertia brings to a fibre: a weighted sum of rows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Inertia<'a> {
    /// First group of sizes that it matters to.
    pub first: usize,
    rows: [&'a [Slopes]; 16],
    weights: [f32; 16],
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

    /// Sets the increment over room of every size at a fibre diameter; `false` where the lattice does not reach.
    #[inline]
    pub(super) fn read<'a>(
        &'a self,
        sizes: &Sizes,
        solidities: &Solidities,
        ln_fibre_diameter: f64,
        inertia: &mut Inertia<'a>,
    ) -> bool {
        let place = (ln_fibre_diameter + solidities.ln_critical - self.first) * STEPS;
        let Some((base, weights)) = stencil(place, NODES) else { return false };
        inertia.first = usize::MAX;
        for (i, of_solidity) in solidities.weights.iter().enumerate() {
            let column = self.column(solidities.base + i);
            for (j, of_diameter) in weights.iter().enumerate() {
                let row = self.row(sizes, column, base + j);
                let k = 4 * i + j;
                inertia.first = inertia.first.min(row.first);
                inertia.rows[k] = &row.groups;
                #[expect(clippy::cast_possible_truncation, reason = "the rows have no more digits")]
                {
                    inertia.weights[k] = (of_solidity * of_diameter) as f32;
                }
            }
        }
        true
    }

    #[inline]
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

    #[inline]
    fn row<'a>(&self, sizes: &Sizes, column: &'a Column, node: usize) -> &'a Row {
        column.rows[node].get_or_init(|| self.solved(sizes, column, node))
    }

    #[cold]
    fn solved(&self, sizes: &Sizes, column: &Column, node: usize) -> Row {
        let fibre_diameter = libm::exp(self.first + node as f64 / STEPS - column.ln_critical);
        let slopes: Vec<f64> =
            slopes(sizes, &column.slice, column.reach, column.convention, fibre_diameter).collect();
        let first = self.first_that_matters(sizes, &slopes, column, fibre_diameter);
        Row::new(first, &slopes)
    }

    /// The first group with a size whose capture inertia changes by more than [`NEGLIGIBLE`].
    fn first_that_matters(
        &self,
        sizes: &Sizes,
        slopes: &[f64],
        column: &Column,
        fibre_diameter: f64,
    ) -> usize {
        let array = Array::new(column.solidity, &self.surroundings);
        let fibre = Fibre::new(fibre_diameter, &array, &self.surroundings);
        let mut without = vec![0.0; sizes.len()];
        // Across the flow settling helps least but for an upward flow, where the measure is what it takes away from.
        let terms = Terms { closure: self.surroundings.closure, direction: FlowDirection::Horizontal };
        capture::add(
            terms,
            &sizes.groups,
            &fibre,
            &Inertia::NONE,
            &mut Sums { factor: 1.0, sums: &mut without },
        );
        let matters = (0..sizes.len()).position(|i| {
            let increment = (fibre.reach - sizes.diameter[i]).max(0.0) * slopes[i];
            increment.abs() > NEGLIGIBLE * without[i]
        });
        matters.unwrap_or(sizes.len()) / GROUP
    }
}

impl Row {
    /// Of slopes of all sizes, from a group on.
    fn new(first: usize, slopes: &[f64]) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "far more digits than the table has")]
        let kept = |group: usize, slope: f64| if group < first { 0.0 } else { slope as f32 };
        let group = |(group, slopes): (usize, &[f64])| {
            Slopes(std::array::from_fn(|i| slopes.get(i).map_or(0.0, |slope| kept(group, *slope))))
        };
        Self { first, groups: slopes.chunks(GROUP).enumerate().map(group).collect() }
    }

    /// From the table itself: for fibres and webs outside the lattice.
    pub(super) fn fresh(sizes: &Sizes, slice: &ImpactionSlice, array: &Array, fibre_diameter: f64) -> Self {
        let slopes: Vec<f64> =
            slopes(sizes, slice, array.edge - 1.0, array.convention, fibre_diameter).collect();
        Self::new(0, &slopes)
    }

    /// What it brings alone.
    pub(super) fn alone(&self) -> Inertia<'_> {
        let mut weights = [0.0; 16];
        weights[0] = 1.0;
        Inertia { first: self.first, rows: [&self.groups; 16], weights }
    }
}

impl Inertia<'_> {
    /// None for any size.
    pub(super) const NONE: Self = Self { first: usize::MAX, rows: [&[]; 16], weights: [0.0; 16] };

    /// Increment over room of a group of sizes.
    #[expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]
    #[inline(always)]
    pub(super) fn slopes<A: Arithmetic>(&self, group: usize) -> [f32; GROUP] {
        let mut rows = [&[0.0; GROUP]; 16];
        for (here, row) in rows.iter_mut().zip(&self.rows) {
            *here = &row[group].0;
        }
        let w = &self.weights;
        let mut sum = [0.0; GROUP];
        for (x, sum) in sum.iter_mut().enumerate() {
            *sum = (four::<A>(&rows, w, 0, x) + four::<A>(&rows, w, 4, x))
                + (four::<A>(&rows, w, 8, x) + four::<A>(&rows, w, 12, x));
        }
        sum
    }
}

/// The weighted sum of four rows from the k-th on, at a size.
#[expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]
#[inline(always)]
fn four<A: Arithmetic>(rows: &[&[f32; GROUP]; 16], weights: &[f32; 16], k: usize, x: usize) -> f32 {
    let two = A::plus_single(weights[k + 1], rows[k + 1][x], weights[k] * rows[k][x]);
    let three = A::plus_single(weights[k + 2], rows[k + 2][x], two);
    A::plus_single(weights[k + 3], rows[k + 3][x], three)
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
