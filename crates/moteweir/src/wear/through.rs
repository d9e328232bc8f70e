//! What gets through a filter over face velocity: worked out at the rungs of a ladder, a cubic between.
//!
//! What is interpolated is ln(-ln P) over ln U, after the sum over charge states, and over sizes where an average is
//! asked: a smooth curve, but for a steep place where inertia sets in. There the rungs have to stand close, and
//! [`coarsest`] finds out how close.

use std::f64::consts::LN_10;

/// Rungs a decade, where all are used.
const A_DECADE: f64 = 24.0;
/// Distance of two rungs in ln U.
const STEP: f64 = LN_10 / A_DECADE;
/// Decades of the ladder.
const DECADES: f64 = 5.0;
/// Every how manyth rung may be used, the widest first.
const STRIDES: [usize; 4] = [6, 4, 3, 2];
/// Most that interpolation may miss at the rungs between to be taken, relative and in all.
const WIDE_ENOUGH: [f64; 2] = [1e-3, 1e-6];
/// Exponents are kept within what their logarithm can tell.
const MOST: f64 = 700.0;
/// Face velocities below this share of the peak's bring less than 2e-4 of the air: 1 - cos of the phase.
const STILL_MATTERS: f64 = 0.02;

/// Face velocities evenly spaced in their logarithm, counted downwards from the fastest.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ladder {
    ln_fastest: f64,
}

/// The rungs that are worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Rungs {
    /// The fastest one.
    top: usize,
    stride: usize,
    count: usize,
}

/// Penetrations over face velocity.
#[derive(Clone, Debug)]
pub(super) struct Through {
    /// ln U of the fastest rung.
    ln_fastest: f64,
    /// Distance of its rungs in ln U.
    step: f64,
    columns: usize,
    /// ln(-ln P) by rung from the fastest, then column.
    values: Vec<f64>,
}

impl Ladder {
    /// Down from a face velocity \[m/s\], above 0.
    pub(super) fn from(fastest: f64) -> Self {
        Self { ln_fastest: fastest.ln() }
    }

    /// Velocity of a rung \[m/s\].
    pub(super) fn velocity(self, rung: usize) -> f64 {
        (self.ln_fastest - STEP * rung as f64).exp()
    }

    /// How many rungs there are.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
    pub(super) const fn rungs() -> usize {
        (A_DECADE * DECADES) as usize + 1
    }

    /// Every so manyth rung for breaths whose face velocity peaks between these, and one more to each side.
    pub(super) fn for_peaks(self, stride: usize, [slowest, fastest]: [f64; 2]) -> Rungs {
        let deepest = (Self::rungs() - 1) / stride;
        let down = |v: f64| ((self.ln_fastest - v.ln()) / (STEP * stride as f64)).clamp(0.0, deepest as f64);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the deepest"
        )]
        let [top, bottom] = [down(fastest).floor() as usize, down(STILL_MATTERS * slowest).ceil() as usize];
        let top = top.saturating_sub(1).min(deepest - 3);
        let bottom = (bottom + 1).clamp(top + 3, deepest);
        Rungs { top: top * stride, stride, count: bottom - top + 1 }
    }
}

impl Rungs {
    /// Their places on the ladder, the fastest first.
    pub(super) fn places(self) -> impl Iterator<Item = usize> {
        (0..self.count).map(move |k| self.top + k * self.stride)
    }

    /// How many there are.
    pub(super) const fn count(self) -> usize {
        self.count
    }
}

impl Through {
    /// Through penetrations by rung from the fastest, then column.
    pub(super) fn new(ladder: Ladder, rungs: Rungs, columns: usize, penetrations: &[f64]) -> Self {
        Self {
            ln_fastest: ladder.ln_fastest - STEP * rungs.top as f64,
            step: STEP * rungs.stride as f64,
            columns,
            values: penetrations.iter().map(|p| (-p.ln()).clamp(f64::MIN_POSITIVE, MOST).ln()).collect(),
        }
    }

    /// Penetration of each column at a face velocity \[m/s\]; beyond the rungs that of the last.
    pub(super) fn at(&self, velocity: f64, out: &mut [f64]) {
        let last = self.values.len() / self.columns - 1;
        let place = ((self.ln_fastest - velocity.ln()) / self.step).clamp(0.0, last as f64);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between the rungs")]
        let base = (place as usize).clamp(1, last - 2) - 1;
        let weights = cubic(place - base as f64);
        for (column, out) in out.iter_mut().enumerate() {
            let value = |k: usize| self.values[(base + k) * self.columns + column];
            let ln: f64 = weights.iter().enumerate().map(|(k, w)| w * value(k)).sum();
            *out = (-ln.exp()).exp();
        }
    }

    /// The weighted mean over the first columns, rung by rung: one column.
    pub(super) fn averaged(&self, weights: &[f64]) -> Self {
        let mean = |rung: &[f64]| {
            let p: f64 = weights.iter().zip(rung).map(|(w, ln)| w * (-ln.exp()).exp()).sum();
            (-p.ln()).clamp(f64::MIN_POSITIVE, MOST).ln()
        };
        Self { columns: 1, values: self.values.chunks_exact(self.columns).map(mean).collect(), ..*self }
    }

    /// Every so manyth rung of a curve with one column; the last ones may be left out.
    fn every(&self, stride: usize) -> Self {
        let values = self.values.iter().copied().step_by(stride).collect();
        Self { step: self.step * stride as f64, values, ..*self }
    }

    /// Whether every so manyth rung would tell those between, in a curve with one column.
    fn is_told_by(&self, stride: usize) -> bool {
        let coarse = self.every(stride);
        if coarse.values.len() < 4 {
            return false;
        }
        let reached = (coarse.values.len() - 1) * stride;
        self.values.iter().enumerate().take(reached + 1).all(|(rung, ln)| {
            let (mut got, exact) = ([0.0], (-ln.exp()).exp());
            coarse.at((self.ln_fastest - self.step * rung as f64).exp(), &mut got);
            (got[0] - exact).abs() <= WIDE_ENOUGH[0] * exact + WIDE_ENOUGH[1]
        })
    }
}

/// The widest stride that tells all these curves, of one column and every rung.
pub(super) fn coarsest(curves: &[Through]) -> usize {
    STRIDES.into_iter().find(|&stride| curves.iter().all(|curve| curve.is_told_by(stride))).unwrap_or(1)
}

/// Weights of the cubic through four values at 0, 1, 2, 3.
fn cubic(t: f64) -> [f64; 4] {
    let [t1, t2, t3] = [t - 1.0, t - 2.0, t - 3.0];
    [-t1 * t2 * t3 / 6.0, 0.5 * t * t2 * t3, -0.5 * t * t1 * t3, t * t1 * t2 / 6.0]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// -ln P as diffusion has it, and a rise of inertia of a height and a width in ln U.
    fn curve(ladder: Ladder, stride: usize, rise: [f64; 2]) -> Through {
        let rungs = ladder.for_peaks(stride, [0.1, 0.1]);
        let through: Vec<f64> = rungs.places().map(|rung| penetration(ladder.velocity(rung), rise)).collect();
        Through::new(ladder, rungs, 1, &through)
    }

    fn penetration(velocity: f64, [height, width]: [f64; 2]) -> f64 {
        let rise = 1.0 / (1.0 + (-(velocity / 0.05).ln() / width).exp());
        (-(0.3 * (velocity / 0.1).powf(-2.0 / 3.0) + height * rise)).exp()
    }

    #[test]
    fn a_cubic_meets_powers_of_the_velocity_and_smooth_rises() {
        let ladder = Ladder::from(0.1);
        for (stride, rise, tolerance) in
            [(6, [0.0, 1.0], 1e-12), (6, [4.0, 3.0], 2e-3), (1, [4.0, 0.25], 1e-3)]
        {
            let curve = curve(ladder, stride, rise);
            for step in 0..200 {
                let velocity = 0.1 * (0.03_f64).powf(f64::from(step) / 199.0);
                let (mut got, exact) = ([0.0], penetration(velocity, rise));
                curve.at(velocity, &mut got);
                assert!((got[0] / exact - 1.0).abs() < tolerance, "{stride} {velocity}: {got:?} for {exact}");
            }
        }
    }

    #[test]
    fn rungs_stand_as_close_as_the_steepest_curve_needs() {
        let ladder = Ladder::from(0.1);
        let of = |rises: &[[f64; 2]]| {
            coarsest(&rises.iter().map(|&rise| curve(ladder, 1, rise)).collect::<Vec<Through>>())
        };
        let smooth = [0.0, 1.0];
        assert_eq!(of(&[smooth, smooth]), 6);
        let steep = of(&[smooth, [4.0, 0.3]]);
        assert!((1..6).contains(&steep), "{steep}");
        assert_eq!(of(&[[4.0, 0.02], smooth]), 1);
    }

    #[test]
    fn rungs_hold_the_velocities_of_a_breath() {
        let ladder = Ladder::from(0.2);
        for stride in [1, 3, 6] {
            for peaks in [[0.2, 0.2], [0.01, 0.15], [1e-7, 0.2], [0.0, 0.0]] {
                let rungs = ladder.for_peaks(stride, peaks);
                let places: Vec<usize> = rungs.places().collect();
                assert!(places.len() >= 4 && *places.last().expect("some") < Ladder::rungs(), "{rungs:?}");
                assert!(ladder.velocity(places[0]) >= peaks[1].max(1e-6), "{rungs:?}");
            }
        }
        let rungs = ladder.for_peaks(6, [0.1, 0.2]);
        let slowest = ladder.velocity(rungs.places().last().expect("some"));
        assert!(slowest <= 0.002 && slowest > 0.0007, "{slowest}");
    }
}
