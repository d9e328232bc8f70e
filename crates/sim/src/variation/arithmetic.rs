//! Products with a sum, rounded once where the machine can, and quotients and roots from single precision on.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

/// How a product is added to something.
pub(super) trait Arithmetic {
    /// `a b + c`.
    fn plus(a: f64, b: f64, c: f64) -> f64;
    /// The same in single precision.
    fn plus_single(a: f32, b: f32, c: f32) -> f32;
}

/// Rounded once. For functions that are compiled for machines that can: elsewhere a slow routine of the library does it.
pub(super) struct Fused;

/// The product is rounded, then the sum.
pub(super) struct Apart;

impl Arithmetic for Fused {
    #[inline(always)]
    fn plus(a: f64, b: f64, c: f64) -> f64 {
        a.mul_add(b, c)
    }

    #[inline(always)]
    fn plus_single(a: f32, b: f32, c: f32) -> f32 {
        a.mul_add(b, c)
    }
}

impl Arithmetic for Apart {
    #[inline(always)]
    #[expect(clippy::suboptimal_flops, reason = "that is what it is for")]
    fn plus(a: f64, b: f64, c: f64) -> f64 {
        a * b + c
    }

    #[inline(always)]
    #[expect(clippy::suboptimal_flops, reason = "that is what it is for")]
    fn plus_single(a: f32, b: f32, c: f32) -> f32 {
        a * b + c
    }
}

/// 1/x of a number from 1e-37 to 1e37, within 2e-14 of it.
///
/// A quotient of single precision, in a third of the time of one of double, and one step of Newton's.
#[inline(always)]
#[expect(clippy::cast_possible_truncation, reason = "the step gives the digits back")]
pub(super) fn reciprocal<A: Arithmetic>(x: f64) -> f64 {
    let near = f64::from(1.0 / (x as f32));
    A::plus(near, A::plus(-x, near, 1.0), near)
}

/// Square root of a number from 1e-37 to 1e37, within 2e-14 of it, in the same way.
#[inline(always)]
#[expect(clippy::cast_possible_truncation, reason = "the step gives the digits back")]
pub(super) fn root<A: Arithmetic>(x: f64) -> f64 {
    let single = (x as f32).sqrt();
    let near = f64::from(single);
    A::plus(A::plus(-near, near, x), f64::from(0.5 / single), near)
}

/// One over the cube root of a positive, normal number, within 4 units in the last place.
///
/// A third of the bits, taken from a constant, is near (4 %). Then twice the series of (1 - e)^(-1/3) in what is missing,
/// e = 1 - x y^3, to its third power.
#[inline(always)]
pub(super) fn inverse_cube_root<A: Arithmetic>(x: f64) -> f64 {
    /// 4/3 (1023 - 0.0450) 2^52.
    const NEAR: u64 = 0x553e_f0ff_289d_d796;
    let closer = |y: f64| {
        let e = A::plus(-(y * y), y * x, 1.0);
        let series = A::plus(e * e, 14.0 / 81.0, A::plus(e, 2.0 / 9.0, 1.0 / 3.0));
        A::plus(y * e, series, y)
    };
    closer(closer(f64::from_bits(NEAR.wrapping_sub(x.to_bits() / 3))))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Largest miss of a function over many numbers, relative.
    fn miss(got: impl Fn(f64) -> f64, expected: impl Fn(f64) -> f64) -> f64 {
        let at = |step: u32| libm::exp(-85.0 + 170.0 * f64::from(step) / 300_000.0);
        let misses = (0..300_000).map(at).map(|x| (got(x) / expected(x) - 1.0).abs());
        misses.fold(0.0, f64::max)
    }

    #[test]
    fn quotients_and_roots_have_their_digits() {
        assert!(miss(reciprocal::<Fused>, |x| 1.0 / x) < 2e-14);
        assert!(miss(reciprocal::<Apart>, |x| 1.0 / x) < 2e-14);
        assert!(miss(root::<Fused>, f64::sqrt) < 2e-14);
        assert!(miss(root::<Apart>, f64::sqrt) < 2e-14);
        let exact = |x| 1.0 / libm::cbrt(x);
        assert!(miss(inverse_cube_root::<Fused>, exact) < 4.0 * f64::EPSILON);
        assert!(miss(inverse_cube_root::<Apart>, exact) < 4.0 * f64::EPSILON);
    }
}
