//! The swept width of a fibre, size by size: the closures of `moteweir_physics::closure`, arranged for vectors.
//!
//! All is multiplied by the fibre diameter: with q = `d_f` + d, the width of contact, the fitted set needs one division
//! and one root for each size.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use moteweir_physics::closure::Closure;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use multiversion::multiversion;

use super::super::elementary::ln;
use super::fibre::Fibre;
use super::sizes::Sizes;

/// Squared radius less one below which the stream function is summed as a series.
const SERIES_BELOW: f64 = 0.1;

/// Swept widths E `d_f` of a fibre at each size, without charge \[m\].
#[derive(Clone, Debug)]
pub(super) struct Widths {
    /// By diffusion, its cross term with interception included.
    pub wandering: Vec<f64>,
    /// In all.
    pub total: Vec<f64>,
}

/// Works out the swept widths of a fibre.
///
/// `slopes` is the inertial increment over the room that is left, from the lattice.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
pub(super) fn widths(
    closure: Closure,
    direction: FlowDirection,
    sizes: &Sizes,
    fibre: &Fibre,
    slopes: &[f32],
    out: &mut Widths,
) {
    widths_anywhere(closure, direction, sizes, fibre, slopes, out);
}

/// As [`widths`], with the instructions of whoever calls it.
#[inline(always)]
pub(super) fn widths_anywhere(
    closure: Closure,
    direction: FlowDirection,
    sizes: &Sizes,
    fibre: &Fibre,
    slopes: &[f32],
    out: &mut Widths,
) {
    match direction {
        FlowDirection::Horizontal => of_closure::<Across>(closure, sizes, fibre, slopes, out),
        FlowDirection::Down => of_closure::<Down>(closure, sizes, fibre, slopes, out),
        FlowDirection::Up => of_closure::<Up>(closure, sizes, fibre, slopes, out),
    }
}

/// How settling joins the flow: `moteweir_physics::single_fibre::gravity`.
trait Fall {
    /// Interception and settling together, from each alone.
    fn joined(still: f64, fall: f64) -> f64;
    /// Speed of a particle past a fibre over that of the air, from settling over velocity.
    fn crossing(settling: f64) -> f64;
}

/// The air flows across gravity.
struct Across;
/// With gravity.
struct Down;
/// Against it.
struct Up;

impl Fall for Across {
    #[inline(always)]
    fn joined(still: f64, fall: f64) -> f64 {
        (still * still + fall * fall).sqrt()
    }

    /// In single precision, three times as fast: it bounds what inertia brings, no more.
    #[inline(always)]
    #[expect(clippy::cast_possible_truncation, reason = "six digits are enough for a bound")]
    fn crossing(settling: f64) -> f64 {
        f64::from(((1.0 + settling * settling) as f32).sqrt())
    }
}

impl Fall for Down {
    #[inline(always)]
    fn joined(still: f64, fall: f64) -> f64 {
        still + fall
    }

    #[inline(always)]
    fn crossing(settling: f64) -> f64 {
        1.0 + settling
    }
}

impl Fall for Up {
    #[inline(always)]
    fn joined(still: f64, fall: f64) -> f64 {
        higher(still - fall, 0.0)
    }

    #[inline(always)]
    fn crossing(settling: f64) -> f64 {
        higher(1.0 - settling, 0.0)
    }
}

#[inline(always)]
fn of_closure<F: Fall>(closure: Closure, sizes: &Sizes, fibre: &Fibre, slopes: &[f32], out: &mut Widths) {
    match closure {
        Closure::LeeLiu => fitted::<F>(sizes, fibre, slopes, out),
        // A web in the solved cell never comes here: its widths are read or asked for whole.
        Closure::KuwabaraCell | Closure::Resolved => cell::<F>(sizes, fibre, slopes, out),
    }
}

#[inline(always)]
fn fitted<F: Fall>(sizes: &Sizes, fibre: &Fibre, slopes: &[f32], out: &mut Widths) {
    let n = sizes.len();
    let (wandering, total) = (&mut out.wandering[..n], &mut out.total[..n]);
    let Fibre { diameter: df, of_two_thirds, of_other, of_interception, .. } = *fibre;
    let (diameter, slopes, contact) = (&sizes.diameter[..n], &slopes[..n], &sizes.interception[..n]);
    let (third, two_thirds) = (&sizes.diffusivity_third[..n], &sizes.diffusivity_two_thirds[..n]);
    let (settling, arrival) = (&sizes.settling[..n], &sizes.arrival[..n]);
    for i in 0..n {
        let unbounded = of_two_thirds * two_thirds[i] + of_other * third[i];
        let q = df + diameter[i];
        let bounded = 1.0 + unbounded;
        let inverse = 1.0 / (bounded * q);
        let still = lower(of_interception * contact[i] * (bounded * inverse), q);
        let carried = carried::<F>(fibre, [q, diameter[i], still, settling[i]], slopes[i]);
        wandering[i] = df * unbounded * (q * inverse);
        total[i] = lower(wandering[i] + carried, fibre.whole * arrival[i]);
    }
}

#[inline(always)]
fn cell<F: Fall>(sizes: &Sizes, fibre: &Fibre, slopes: &[f32], out: &mut Widths) {
    let n = sizes.len();
    let (wandering, total) = (&mut out.wandering[..n], &mut out.total[..n]);
    let Fibre { diameter: df, of_two_thirds, of_other, of_cross, of_stream, reach, .. } = *fibre;
    let inverse_df = 1.0 / df;
    let (diameter, slopes, cross) = (&sizes.diameter[..n], &slopes[..n], &sizes.cross[..n]);
    let (two_thirds, once) = (&sizes.diffusivity_two_thirds[..n], &sizes.diffusivity[..n]);
    let (settling, arrival) = (&sizes.settling[..n], &sizes.arrival[..n]);
    for i in 0..n {
        let q = df + diameter[i];
        let gap = diameter[i] * inverse_df;
        let square = gap * (2.0 + gap);
        let excess = excess(square);
        let stream =
            (of_stream[0] * square + of_stream[1] * excess + of_stream[2] * square * square) / (1.0 + gap);
        let still = if diameter[i] >= reach { q } else { lower(stream, q) };
        let carried = carried::<F>(fibre, [q, diameter[i], still, settling[i]], slopes[i]);
        wandering[i] = of_two_thirds * two_thirds[i] + of_other * once[i] + of_cross * cross[i];
        total[i] = lower(wandering[i] + carried, fibre.whole * arrival[i]);
    }
}

/// Interception, inertia and settling together.
#[inline(always)]
fn carried<F: Fall>(fibre: &Fibre, [q, diameter, still, settling]: [f64; 4], slope: f32) -> f64 {
    let increment = higher(fibre.reach - diameter, 0.0) * f64::from(slope);
    let settling = fibre.of_settling * settling;
    let settled = F::joined(still, settling * q) - still;
    lower(higher(settled + lower(still + increment, q), 0.0), q * F::crossing(settling))
}

/// h(q) = (1+q) ln(1+q) - q; by its series for small q, as in `moteweir_physics::cell`.
#[inline(always)]
fn excess(q: f64) -> f64 {
    let closed = (1.0 + q) * ln(1.0 + q) - q;
    let z = q / (2.0 + q);
    let z2 = z * z;
    let tail = 1.0 / 3.0
        + z2 * (1.0 / 5.0 + z2 * (1.0 / 7.0 + z2 * (1.0 / 9.0 + z2 * (1.0 / 11.0 + z2 * (1.0 / 13.0)))));
    let series = 2.0 * z2 * (1.0 + (1.0 + z) * z * tail) / (1.0 - z);
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
