//! The swept width of a fibre, size by size: the closures of `moteweir_physics::closure`, arranged for vectors.
//!
//! All is multiplied by the fibre diameter: with q = `d_f` + d, the width of contact, the fitted set needs one quotient
//! and one root for each size. Both come from single precision and a step of Newton's (`reciprocal`, `root`).

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use moteweir_physics::closure::Closure;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use super::super::arithmetic::{Apart, Arithmetic, Fused, reciprocal, root};
use super::super::elementary::ln_in;
use super::fibre::Fibre;
use super::lattice::Inertia;
use super::sizes::{GROUP, Group};

/// Squared radius less one below which the stream function is summed as a series.
const SERIES_BELOW: f64 = 0.1;

/// The closure's set of terms, and which way the air flows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Terms {
    pub closure: Closure,
    pub direction: FlowDirection,
}

/// Where the widths of a group of sizes go.
pub(super) trait Sink {
    /// Takes those of a group, by number.
    fn put<A: Arithmetic>(&mut self, number: usize, group: &Group, widths: &[f64; GROUP]);
}

/// Swept widths E `d_f` of a fibre at each size, without charge \[m\].
pub(super) struct Widths<'a>(pub &'a mut [f64]);

impl Sink for Widths<'_> {
    #[inline(always)]
    fn put<A: Arithmetic>(&mut self, number: usize, _: &Group, widths: &[f64; GROUP]) {
        self.0[number * GROUP..(number + 1) * GROUP].copy_from_slice(widths);
    }
}

/// Sums to which widths are added, each over what arrives of its size, times a factor.
pub(super) struct Sums<'a> {
    pub factor: f64,
    pub sums: &'a mut [f64],
}

impl Sink for Sums<'_> {
    #[inline(always)]
    fn put<A: Arithmetic>(&mut self, number: usize, group: &Group, widths: &[f64; GROUP]) {
        let sums = &mut self.sums[number * GROUP..(number + 1) * GROUP];
        for i in 0..GROUP {
            sums[i] = A::plus(self.factor * group.inverse_arrival[i], widths[i], sums[i]);
        }
    }
}

/// Works out the swept widths of a fibre.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
pub(super) fn widths(
    terms: Terms,
    groups: &[Group],
    fibre: &Fibre,
    inertia: &Inertia<'_>,
    out: &mut Widths<'_>,
) {
    if target_cfg_f!(target_feature = "fma") {
        anywhere::<Fused, _>(terms, groups, fibre, inertia, out);
    } else {
        anywhere::<Apart, _>(terms, groups, fibre, inertia, out);
    }
}

/// Adds the swept widths of a fibre to sums.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
pub(super) fn add(terms: Terms, groups: &[Group], fibre: &Fibre, inertia: &Inertia<'_>, out: &mut Sums<'_>) {
    if target_cfg_f!(target_feature = "fma") {
        anywhere::<Fused, _>(terms, groups, fibre, inertia, out);
    } else {
        anywhere::<Apart, _>(terms, groups, fibre, inertia, out);
    }
}

/// The work of both, with the instructions of whoever calls it.
#[inline(always)]
pub(super) fn anywhere<A: Arithmetic, S: Sink>(
    terms: Terms,
    groups: &[Group],
    fibre: &Fibre,
    inertia: &Inertia<'_>,
    out: &mut S,
) {
    match terms.direction {
        FlowDirection::Horizontal => of_closure::<A, Across, S>(terms.closure, groups, fibre, inertia, out),
        FlowDirection::Down => of_closure::<A, Down, S>(terms.closure, groups, fibre, inertia, out),
        FlowDirection::Up => of_closure::<A, Up, S>(terms.closure, groups, fibre, inertia, out),
    }
}

/// How settling joins the flow: `moteweir_physics::single_fibre::gravity`.
trait Fall {
    /// Interception and settling together, from each alone.
    fn joined<A: Arithmetic>(still: f64, fall: f64) -> f64;
    /// Speed of a particle past a fibre over that of the air, from settling over velocity.
    fn crossing<A: Arithmetic, const GENTLE: bool>(settling: f64) -> f64;
}

/// The air flows across gravity.
struct Across;
/// With gravity.
struct Down;
/// Against it.
struct Up;

impl Fall for Across {
    #[inline(always)]
    fn joined<A: Arithmetic>(still: f64, fall: f64) -> f64 {
        root::<A>(A::plus(fall, fall, still * still))
    }

    /// Where particles settle slowly by the series of the root, to 2e-9.
    #[inline(always)]
    fn crossing<A: Arithmetic, const GENTLE: bool>(settling: f64) -> f64 {
        let square = settling * settling;
        if GENTLE { A::plus(square, A::plus(square, -0.125, 0.5), 1.0) } else { root::<A>(1.0 + square) }
    }
}

impl Fall for Down {
    #[inline(always)]
    fn joined<A: Arithmetic>(still: f64, fall: f64) -> f64 {
        still + fall
    }

    #[inline(always)]
    fn crossing<A: Arithmetic, const GENTLE: bool>(settling: f64) -> f64 {
        1.0 + settling
    }
}

impl Fall for Up {
    #[inline(always)]
    fn joined<A: Arithmetic>(still: f64, fall: f64) -> f64 {
        higher(still - fall, 0.0)
    }

    #[inline(always)]
    fn crossing<A: Arithmetic, const GENTLE: bool>(settling: f64) -> f64 {
        higher(1.0 - settling, 0.0)
    }
}

/// A set of terms at one size.
trait Set {
    /// One over the width of contact; diffusion as a width; interception times the width of contact.
    fn still<A: Arithmetic>(group: &Group, i: usize, fibre: &Fibre) -> Still;
}

/// What air at rest in the particle's frame brings: no inertia, no settling.
struct Still {
    /// Width of contact q \[m\].
    q: f64,
    /// 1/q.
    inverse: f64,
    /// By diffusion \[m\].
    wandering: f64,
    /// By interception, times q \[m2\].
    contact: f64,
}

/// `lee-liu`.
struct Fitted;
/// `kuwabara-cell`.
struct Cell;

impl Set for Fitted {
    #[inline(always)]
    fn still<A: Arithmetic>(group: &Group, i: usize, fibre: &Fibre) -> Still {
        let unbounded = A::plus(fibre.of_two_thirds, group.two_thirds[i], fibre.of_other * group.third[i]);
        let q = fibre.diameter + group.diameter[i];
        let bounded = 1.0 + unbounded;
        let inverse = reciprocal::<A>(bounded * q);
        Still {
            q,
            inverse: bounded * inverse,
            wandering: fibre.diameter * unbounded * (q * inverse),
            contact: lower(fibre.of_interception * group.contact[i], q * q),
        }
    }
}

impl Set for Cell {
    #[inline(always)]
    fn still<A: Arithmetic>(group: &Group, i: usize, fibre: &Fibre) -> Still {
        let Fibre { diameter: df, of_two_thirds, of_other, of_cross, of_stream, .. } = *fibre;
        let q = df + group.diameter[i];
        let gap = group.diameter[i] * (1.0 / df);
        let square = gap * (2.0 + gap);
        // The stream function over df^2, times r: interception as a width is it over q.
        let of_square = A::plus(of_stream[2], square, of_stream[0]);
        let stream = A::plus(of_square, square, of_stream[1] * excess::<A>(square));
        let full = group.diameter[i] >= fibre.reach;
        let once = A::plus(of_other, group.once[i], of_cross * group.cross[i]);
        Still {
            q,
            inverse: reciprocal::<A>(q),
            wandering: A::plus(of_two_thirds, group.two_thirds[i], once),
            contact: if full { q * q } else { lower(stream * df, q * q) },
        }
    }
}

#[inline(always)]
fn of_closure<A: Arithmetic, F: Fall, S: Sink>(
    closure: Closure,
    groups: &[Group],
    fibre: &Fibre,
    inertia: &Inertia<'_>,
    out: &mut S,
) {
    match closure {
        Closure::LeeLiu => all::<A, F, Fitted, S>(groups, fibre, inertia, out),
        // A web in the solved cell never comes here: its widths are read or asked for whole.
        Closure::KuwabaraCell | Closure::Resolved => all::<A, F, Cell, S>(groups, fibre, inertia, out),
    }
}

/// All groups: those that inertia does not matter to, those of particles that settle slowly, and the rest.
#[inline(always)]
fn all<A: Arithmetic, F: Fall, T: Set, S: Sink>(
    groups: &[Group],
    fibre: &Fibre,
    inertia: &Inertia<'_>,
    out: &mut S,
) {
    let first = inertia.first.min(groups.len());
    for (number, group) in groups[..first].iter().enumerate() {
        out.put::<A>(number, group, &group_without_inertia::<A, F, T>(group, fibre));
    }
    for (number, group) in groups.iter().enumerate().skip(first) {
        let slopes = inertia.slopes::<A>(number);
        let widths = if group.gentle {
            group_with_inertia::<A, F, T, true>(group, fibre, &slopes)
        } else {
            group_with_inertia::<A, F, T, false>(group, fibre, &slopes)
        };
        out.put::<A>(number, group, &widths);
    }
}

/// A group's widths by diffusion, interception and settling.
///
/// Here and below: a number of sizes that the compiler does not know keeps the loop one, which becomes vectors; what it
/// unrolls does not. Nor do closures, which it may leave where they are.
#[inline(always)]
fn group_without_inertia<A: Arithmetic, F: Fall, T: Set>(group: &Group, fibre: &Fibre) -> [f64; GROUP] {
    let mut widths = [0.0; GROUP];
    #[expect(clippy::needless_range_loop, reason = "there are a dozen columns to be indexed")]
    for i in 0..group.len.min(GROUP) {
        widths[i] = without_inertia::<A, F, T>(group, i, fibre);
    }
    widths
}

/// As [`group_without_inertia`], with inertia.
#[inline(always)]
fn group_with_inertia<A: Arithmetic, F: Fall, T: Set, const GENTLE: bool>(
    group: &Group,
    fibre: &Fibre,
    slopes: &[f32; GROUP],
) -> [f64; GROUP] {
    let mut widths = [0.0; GROUP];
    for i in 0..group.len.min(GROUP) {
        widths[i] = with_inertia::<A, F, T, GENTLE>(group, i, fibre, slopes[i]);
    }
    widths
}

/// Diffusion, interception and settling. Together the latter two are never more than what comes past the fibre.
#[inline(always)]
fn without_inertia<A: Arithmetic, F: Fall, T: Set>(group: &Group, i: usize, fibre: &Fibre) -> f64 {
    let Still { q, inverse, wandering, contact } = T::still::<A>(group, i, fibre);
    let fall = fibre.of_settling * group.settling[i] * (q * q);
    let total = A::plus(F::joined::<A>(contact, fall), inverse, wandering);
    lower(total, fibre.whole * group.arrival[i])
}

/// As [`without_inertia`], with the increment by inertia, from its slope.
#[inline(always)]
fn with_inertia<A: Arithmetic, F: Fall, T: Set, const GENTLE: bool>(
    group: &Group,
    i: usize,
    fibre: &Fibre,
    slope: f32,
) -> f64 {
    let Still { q, inverse, wandering, contact } = T::still::<A>(group, i, fibre);
    let settling = fibre.of_settling * group.settling[i];
    let settled = F::joined::<A>(contact, settling * (q * q)) - contact;
    let room = higher(fibre.reach - group.diameter[i], 0.0);
    let raised = lower(A::plus(room, f64::from(slope), contact * inverse), q);
    let carried = higher(A::plus(settled, inverse, raised), 0.0);
    let total = wandering + lower(carried, q * F::crossing::<A, GENTLE>(settling));
    lower(total, fibre.whole * group.arrival[i])
}

/// h(q) = (1+q) ln(1+q) - q; by its series for small q, as in `moteweir_physics::cell`.
#[inline(always)]
fn excess<A: Arithmetic>(q: f64) -> f64 {
    let closed = A::plus(1.0 + q, ln_in::<A>(1.0 + q), -q);
    let z = q * reciprocal::<A>(2.0 + q);
    let z2 = z * z;
    let tail = A::plus(z2, 1.0 / 13.0, 1.0 / 11.0);
    let tail = A::plus(z2, A::plus(z2, A::plus(z2, tail, 1.0 / 9.0), 1.0 / 7.0), 1.0 / 5.0);
    let tail = A::plus(z2, tail, 1.0 / 3.0);
    // 2 z2 (1 + (1+z) z tail)/(1 - z), and 1 - z = 2/(2 + q).
    let series = z2 * A::plus((1.0 + z) * z, tail, 1.0) * (2.0 + q);
    if q < SERIES_BELOW { series } else { closed }
}

/// The smaller number, as one instruction.
#[inline(always)]
pub(super) fn lower(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The larger number, as one instruction.
#[inline(always)]
pub(super) fn higher(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}
