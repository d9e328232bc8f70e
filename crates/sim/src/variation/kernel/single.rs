//! Exponential, logarithms and the cell's stream function in single precision, without branches, for loops that the
//! compiler turns into vectors.
//!
//! Only additions, multiplications, divisions and bit operations, never a fused multiplication: the same bits with
//! vectors of any width.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use std::f32::consts::{LN_2, LOG2_E};

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
pub(super) fn exp(x: f32) -> f32 {
    let inside = if x > LEAST_EXPONENT { x } else { LEAST_EXPONENT };
    let rounded = inside * LOG2_E + ROUND;
    let turns = rounded - ROUND;
    let r = (inside - turns * LN_2_HIGH) - turns * LN_2_LOW;
    // The series of the exponential to the 7th power: |r| is at most ln 2/2, the rest is below 6e-9.
    let r2 = r * r;
    let low = (1.0 + r) + r2 * (1.0 / 2.0 + r * (1.0 / 6.0));
    let high = (1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5040.0));
    let fraction = low + r2 * r2 * high;
    let power = f32::from_bits(rounded.to_bits().wrapping_add(127) << 23);
    if x > LEAST_EXPONENT { fraction * power } else { 0.0 }
}

/// ln(x) of a positive, normal number; within 1e-7 of it, or of 1 where that is more.
#[inline(always)]
pub(super) fn ln(x: f32) -> f32 {
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
    let tail = z * ((1.0 / 3.0 + z * (1.0 / 5.0)) + z * z * (1.0 / 7.0 + z * (1.0 / 9.0)));
    exponent * LN_2_HIGH + (2.0 * s * (1.0 + tail) + exponent * LN_2_LOW)
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
pub(super) fn logarithm_and_excess(q: f32) -> (f32, f32) {
    let inverse = 1.0 / (q * (2.0 + q));
    let (z, inverse_q) = (q * q * inverse, (2.0 + q) * inverse);
    let z2 = z * z;
    let tail = (1.0 / 3.0 + z2 * (1.0 / 5.0))
        + z2 * z2 * ((1.0 / 7.0 + z2 * (1.0 / 9.0)) + z2 * z2 * (1.0 / 11.0 + z2 * (1.0 / 13.0)));
    let series = (2.0 * z * (1.0 + z2 * tail), (1.0 - z) * (1.0 + (1.0 + z) * z * tail));
    let logarithm = ln(1.0 + q);
    let closed = 2.0 * ((1.0 + q) * logarithm - q) * (inverse_q * inverse_q);
    let is_small = z < SERIES_BELOW;
    (if is_small { series.0 } else { logarithm }, if is_small { series.1 } else { closed })
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
    use super::*;

    fn close(got: f32, expected: f64, tolerance: f64, what: f32) {
        let miss = (f64::from(got) - expected).abs();
        assert!(miss <= tolerance, "at {what}: {got}, expected {expected}, miss {miss}");
    }

    #[test]
    fn they_agree_with_the_library() {
        for step in 0..200_000_u32 {
            let x = -86.9 + 174.0 * step as f32 / 200_000.0;
            let expected = libm::exp(f64::from(x));
            close(exp(x), expected, 2.0 * f64::from(f32::EPSILON) * expected, x);
            let y = exp(x);
            let expected = libm::log(f64::from(y));
            close(ln(y), expected, 1e-7 * expected.abs().max(1.0), y);
        }
    }

    #[test]
    fn the_excess_is_that_of_double_precision() {
        for step in 0..=40_000_u32 {
            // From 1e-7 to 1e3.
            let q = exp(-16.0 + 23.0 * step as f32 / 40_000.0);
            let (logarithm, excess) = logarithm_and_excess(q);
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
}
