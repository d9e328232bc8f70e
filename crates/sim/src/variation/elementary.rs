//! Exponential and logarithm without branches, for loops that the compiler turns into vectors.
//!
//! Only additions, multiplications, divisions and bit operations: the same bits with vectors of any width. Each comes
//! twice: without fused multiplications, the same bits on machines without them as well; and in an arithmetic of choice.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use std::f64::consts::{LN_2, LOG2_E};

use super::arithmetic::{Apart, Arithmetic};

/// Adding it leaves the nearest whole number in the low bits.
const ROUND: f64 = 6_755_399_441_055_744.0;
/// ln 2 to 32 bits; multiples of it by exponents are exact.
const LN_2_HIGH: f64 = f64::from_bits(LN_2.to_bits() & !0xf_ffff);
/// The rest of ln 2.
const LN_2_LOW: f64 = (LN_2 - LN_2_HIGH) + 2.319_046_813_846_299_6e-17;
/// Below it the exponential is called 0.
const LEAST_EXPONENT: f64 = -708.0;

/// exp(x) for x up to 709; 0 below -708. Within 3 units in the last place.
#[inline(always)]
pub(super) fn exp(x: f64) -> f64 {
    exp_in::<Apart>(x)
}

/// ln(x) of a positive, normal number. Within 2 units in the last place away from 1.
#[inline(always)]
pub(super) fn ln(x: f64) -> f64 {
    ln_in::<Apart>(x)
}

/// ln(1 + y) for y from 0, to full relative accuracy for small y as well.
#[inline(always)]
pub(super) fn ln_1p(y: f64) -> f64 {
    ln_1p_in::<Apart>(y)
}

/// As [`exp`].
#[inline(always)]
pub(super) fn exp_in<A: Arithmetic>(x: f64) -> f64 {
    let inside = if x > LEAST_EXPONENT { x } else { LEAST_EXPONENT };
    let rounded = A::plus(inside, LOG2_E, ROUND);
    let turns = rounded - ROUND;
    let r = A::plus(-turns, LN_2_LOW, A::plus(-turns, LN_2_HIGH, inside));
    // The series of the exponential to the 13th power: |r| is at most ln 2/2, the rest is below 5e-18.
    let r2 = r * r;
    let r4 = r2 * r2;
    let pair = |low: f64, high: f64| A::plus(r, 1.0 / high, 1.0 / low);
    let low = A::plus(r2, A::plus(r, 1.0 / 6.0, 0.5), 1.0 + r);
    let middle = A::plus(r2, pair(720.0, 5040.0), pair(24.0, 120.0));
    let high = A::plus(r2, pair(3_628_800.0, 39_916_800.0), pair(40_320.0, 362_880.0));
    let highest = pair(479_001_600.0, 6_227_020_800.0);
    let fraction = A::plus(r4, A::plus(r4, A::plus(r4, highest, high), middle), low);
    // The low bits of `rounded` hold the power of two; shifted up they are its exponent.
    let power = f64::from_bits(rounded.to_bits().wrapping_add(1023) << 52);
    if x > LEAST_EXPONENT { fraction * power } else { 0.0 }
}

/// As [`ln`].
#[inline(always)]
pub(super) fn ln_in<A: Arithmetic>(x: f64) -> f64 {
    const ROOT_HALF: u64 = 0x3fe6_a09e_667f_3bcd;
    const ONE: u64 = 1023 << 52;
    /// 2^52, whose low bits take a whole number.
    const WHOLE: u64 = 0x4330_0000_0000_0000;
    let bits = x.to_bits();
    let exponent_bits = bits.wrapping_sub(ROOT_HALF).wrapping_add(ONE) >> 52;
    let exponent = f64::from_bits(exponent_bits | WHOLE) - (4_503_599_627_370_496.0 + 1023.0);
    let mantissa = f64::from_bits(bits.wrapping_sub(exponent_bits << 52).wrapping_add(ONE));
    let f = mantissa - 1.0;
    let s = f / (2.0 + f);
    let z = s * s;
    let z2 = z * z;
    let z4 = z2 * z2;
    let pair = |low: f64, high: f64| A::plus(z, 1.0 / high, 1.0 / low);
    let low = A::plus(z2, pair(7.0, 9.0), pair(3.0, 5.0));
    let high = A::plus(z2, pair(15.0, 17.0), pair(11.0, 13.0));
    let tail = z * A::plus(z4, A::plus(z4, pair(19.0, 21.0), high), low);
    let twice = 2.0 * s;
    A::plus(exponent, LN_2_HIGH, A::plus(exponent, LN_2_LOW, A::plus(twice, tail, twice)))
}

/// As [`ln_1p`].
#[inline(always)]
pub(super) fn ln_1p_in<A: Arithmetic>(y: f64) -> f64 {
    let u = 1.0 + y;
    ln_in::<A>(u) + (y - (u - 1.0)) / u
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: f64, expected: f64, tolerance: f64, what: f64) {
        let miss = ((got - expected) / expected).abs();
        assert!(miss <= tolerance, "at {what}: {got}, expected {expected}, miss {miss}");
    }

    #[test]
    fn they_agree_with_the_library_over_their_whole_range() {
        for step in 0..200_000 {
            let x = -707.9 + 1417.0 * f64::from(step) / 200_000.0;
            close(exp(x), libm::exp(x), 3.0 * f64::EPSILON, x);
            let y = libm::exp(0.9 * x);
            close(ln(y), libm::log(y), 4.0 * f64::EPSILON, y);
            let small = libm::exp(-36.0 + 0.05 * x.abs());
            close(ln_1p(small), libm::log1p(small), 4.0 * f64::EPSILON, small);
        }
    }

    #[test]
    fn nothing_left_is_nothing() {
        for x in [-708.1, -1e300, f64::NEG_INFINITY] {
            assert_eq!(exp(x).to_bits(), 0.0_f64.to_bits());
        }
        assert_eq!(exp(0.0).to_bits(), 1.0_f64.to_bits());
        assert_eq!(ln(1.0).to_bits(), 0.0_f64.to_bits());
        assert_eq!(ln_1p(0.0).to_bits(), 0.0_f64.to_bits());
    }
}
