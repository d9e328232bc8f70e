//! From exponents to penetrations: loops over all sizes.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use super::super::arithmetic::{Apart, Arithmetic, Fused};
use super::super::elementary::{exp_in, ln_1p_in};
use super::capture::lower;
use super::channels::Slot;

/// As `uneven_penetration`: `ln P = -(1/c^2 - 1) ln(1 + K c^2)`.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
pub(super) fn subtract_uneven(exponents: &[f64], unevenness: f64, times: f64, sum: &mut [f64]) {
    if target_cfg_f!(target_feature = "fma") {
        subtract_uneven_anywhere::<Fused>(exponents, unevenness, times, sum);
    } else {
        subtract_uneven_anywhere::<Apart>(exponents, unevenness, times, sum);
    }
}

/// Penetration of each size, over its charge states.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
pub(super) fn add_up(slots: &[Slot], logarithms: &[f64], inverse_arrival: &[f64], out: &mut [f64]) {
    if target_cfg_f!(target_feature = "fma") {
        add_up_anywhere::<Fused>(slots, logarithms, inverse_arrival, out);
    } else {
        add_up_anywhere::<Apart>(slots, logarithms, inverse_arrival, out);
    }
}

#[inline(always)]
fn subtract_uneven_anywhere<A: Arithmetic>(exponents: &[f64], unevenness: f64, times: f64, sum: &mut [f64]) {
    let square = unevenness * unevenness;
    let power = times * (1.0 / square - 1.0);
    for (sum, exponent) in sum.iter_mut().zip(exponents) {
        *sum = A::plus(-power, ln_1p_in::<A>(exponent * square), *sum);
    }
}

#[inline(always)]
fn add_up_anywhere<A: Arithmetic>(
    slots: &[Slot],
    logarithms: &[f64],
    inverse_arrival: &[f64],
    out: &mut [f64],
) {
    out.fill(0.0);
    for slot in slots {
        let of_slot = logarithms[slot.offset..].iter().zip(&slot.shares);
        for (p, (logarithm, share)) in out[slot.start..].iter_mut().zip(of_slot) {
            *p = A::plus(*share, exp_in::<A>(*logarithm), *p);
        }
    }
    // The shares sum to 1 but for rounding. Against gravity, what falls faster than the air rises never arrives.
    for (p, inverse_arrival) in out.iter_mut().zip(inverse_arrival) {
        *p = if *inverse_arrival > 0.0 { lower(*p, 1.0) } else { 0.0 };
    }
}
