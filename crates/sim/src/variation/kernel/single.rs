//! Exponential, logarithms and the cell's stream function in single precision, without branches, for loops that the
//! compiler turns into vectors.
//!
//! Only sums, products, quotients and bit operations: the same bits with vectors of any width. Products and sums fuse where
//! the caller's [`Arithmetic`] does.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use std::f32::consts::{LN_2, LOG2_E};

use super::super::arithmetic::Arithmetic;
use super::sizes::GROUP;

/// A number of each particle of a group.
pub(super) type Row = [f32; GROUP];

/// Adding it leaves the nearest whole number in the low bits.
pub(super) const ROUND: f32 = 12_582_912.0;
/// ln 2 to 12 bits; multiples of it by exponents are exact.
const LN_2_HIGH: f32 = f32::from_bits(LN_2.to_bits() & !0xfff);
/// The rest of ln 2: what the rounding of `LN_2` itself leaves is below it.
const LN_2_LOW: f32 = (LN_2 - LN_2_HIGH) - 1.904_654_3e-9;
/// Below it the exponential is called 0.
const LEAST_EXPONENT: f32 = -87.0;
/// q/(2 + q) below which the logarithm of 1 + q is summed as a series.
const SERIES_BELOW: f32 = 0.3;

/// exp(x) for x up to 88; 0 below -87. Within 2 units in the last place.
#[inline(always)]
pub(super) fn exp<A: Arithmetic>(x: f32) -> f32 {
    let inside = if x > LEAST_EXPONENT { x } else { LEAST_EXPONENT };
    let rounded = A::plus_single(inside, LOG2_E, ROUND);
    let turns = rounded - ROUND;
    let r = A::plus_single(-turns, LN_2_LOW, A::plus_single(-turns, LN_2_HIGH, inside));
    // The series of the exponential to the 7th power: |r| is at most ln 2/2, the rest is below 6e-9.
    let r2 = r * r;
    let low = A::plus_single(r2, A::plus_single(r, 1.0 / 6.0, 1.0 / 2.0), 1.0 + r);
    let middle = A::plus_single(r, 1.0 / 120.0, 1.0 / 24.0);
    let high = A::plus_single(r2, A::plus_single(r, 1.0 / 5040.0, 1.0 / 720.0), middle);
    let fraction = A::plus_single(r2 * r2, high, low);
    let power = f32::from_bits(rounded.to_bits().wrapping_add(127) << 23);
    if x > LEAST_EXPONENT { fraction * power } else { 0.0 }
}

/// ln(x) of a positive, normal number; within 1e-7 of it, or of 1 where that is more.
#[inline(always)]
pub(super) fn ln<A: Arithmetic>(x: f32) -> f32 {
    const ROOT_HALF: u32 = 0x3f35_04f3;
    const ONE: u32 = 127 << 23;
    /// 2^23, whose low bits take a whole number.
    const WHOLE: u32 = 0x4b00_0000;
    let bits = x.to_bits();
    let exponent_bits = bits.wrapping_sub(ROOT_HALF).wrapping_add(ONE) >> 23;
    let exponent = f32::from_bits(exponent_bits | WHOLE) - (8_388_608.0 + 127.0);
    let mantissa = f32::from_bits(bits.wrapping_sub(exponent_bits << 23).wrapping_add(ONE));
    let f = mantissa - 1.0;
    let s = f / (2.0 + f);
    let z = s * s;
    let low = A::plus_single(z, 1.0 / 5.0, 1.0 / 3.0);
    let series = A::plus_single(z * z, A::plus_single(z, 1.0 / 9.0, 1.0 / 7.0), low);
    let of_mantissa = A::plus_single(2.0 * s, z * series, 2.0 * s);
    A::plus_single(exponent, LN_2_HIGH, A::plus_single(exponent, LN_2_LOW, of_mantissa))
}

/// ln(1 + q) and 2 h(q)/q^2, h(q) = (1+q) ln(1+q) - q, for q above 0, without cancellation for small q.
///
/// The stream function of a cell without slip is `[2 h(q) - alpha q^2]/(4 Ku r)` at q = r^2 - 1. As
/// `moteweir_physics::cell` has it: with z = q/(2+q),
///
/// ```text
/// ln(1+q) = 2 (z + z^3/3 + z^5/5 + ..)
/// ```
#[inline(always)]
pub(super) fn logarithm_and_excess<A: Arithmetic>(q: f32) -> (f32, f32) {
    let inverse = 1.0 / (q * (2.0 + q));
    let (z, inverse_q) = (q * q * inverse, (2.0 + q) * inverse);
    let z2 = z * z;
    let low = A::plus_single(z2, 1.0 / 5.0, 1.0 / 3.0);
    let middle = A::plus_single(z2, 1.0 / 9.0, 1.0 / 7.0);
    let high = A::plus_single(z2, 1.0 / 13.0, 1.0 / 11.0);
    let tail = A::plus_single(z2 * z2, A::plus_single(z2 * z2, high, middle), low);
    let by_series = (
        A::plus_single(2.0 * z * z2, tail, 2.0 * z),
        (1.0 - z) * A::plus_single(A::plus_single(z, z, z), tail, 1.0),
    );
    let logarithm = ln::<A>(1.0 + q);
    let closed = 2.0 * (A::plus_single(q, logarithm, logarithm) - q) * (inverse_q * inverse_q);
    let is_small = z < SERIES_BELOW;
    (if is_small { by_series.0 } else { logarithm }, if is_small { by_series.1 } else { closed })
}

/// The smaller number, as one instruction.
#[inline(always)]
pub(super) fn lower(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

/// The larger number, as one instruction.
#[inline(always)]
pub(super) fn higher(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

#[cfg(test)]
mod tests {
    use super::super::super::arithmetic::{Apart, Fused};
    use super::*;

    fn close(got: f32, expected: f64, tolerance: f64, what: f32) {
        let miss = (f64::from(got) - expected).abs();
        assert!(miss <= tolerance, "at {what}: {got}, expected {expected}, miss {miss}");
    }

    fn library<A: Arithmetic>() {
        for step in 0..200_000_u32 {
            let x = -86.9 + 174.0 * step as f32 / 200_000.0;
            let expected = libm::exp(f64::from(x));
            close(exp::<A>(x), expected, 2.0 * f64::from(f32::EPSILON) * expected, x);
            let y = exp::<A>(x);
            let expected = libm::log(f64::from(y));
            close(ln::<A>(y), expected, 1e-7 * expected.abs().max(1.0), y);
        }
    }

    fn excess<A: Arithmetic>() {
        for step in 0..=40_000_u32 {
            // From 1e-7 to 1e3.
            let q = exp::<A>(-16.0 + 23.0 * step as f32 / 40_000.0);
            let (logarithm, excess) = logarithm_and_excess::<A>(q);
            let wide = f64::from(q);
            let exact = libm::log1p(wide);
            let h = if wide < 1e-3 {
                wide * wide * (0.5 - wide / 6.0 + wide * wide / 12.0 - wide.powi(3) / 20.0)
            } else {
                (1.0 + wide) * exact - wide
            };
            close(logarithm, exact, 4e-7 * exact, q);
            close(excess, 2.0 * h / (wide * wide), 1.5e-6 * 2.0 * h / (wide * wide), q);
        }
    }

    #[test]
    fn they_agree_with_the_library() {
        library::<Fused>();
        library::<Apart>();
    }

    #[test]
    fn the_excess_is_that_of_double_precision() {
        excess::<Fused>();
        excess::<Apart>();
    }
}
