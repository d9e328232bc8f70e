//! The sum over how far the model is off at one channel.
//!
//! ```text
//! int L(y(v)) phi(v) dv = sum_i h w cosh(t_i) phi(v_i) L(y(v_i)),   v_i = c + w sinh(t_i),   t_i = h i
//! ```
//! with c where the readings would have v and w how wide they are there. Both L, that may be a hundredth as wide as phi
//! and has long tails where the dispersion is unknown, and phi are resolved wherever they lie: spacing is h w near c and
//! h |v - c| further off. Equal steps of a smooth function that vanishes at both ends miss less than any power of h.

use std::f64::consts::PI;

use moteweir_sim::inference::ln_of_sum;

use super::channel_table::ChannelTable;

/// Where y is worked out along the direction, in standard deviations of the misfit.
pub(super) const BENDS: [f64; 7] = [-6.0, -4.0, -2.0, 0.0, 2.0, 4.0, 6.0];
/// h.
const STEP: f64 = 0.15;
/// The number is no further off than this: beyond lie 1e-18 of its prior.
const END: f64 = 9.0;
/// w, in standard deviations of the misfit, from and to.
const WIDTHS: (f64, f64) = (1e-3, 1.0);
/// Steps by which c is found.
const SECANTS: u32 = 3;

/// The sum at given unknowns, slope and shift.
#[derive(Clone, Debug)]
pub(super) struct Misfits {
    /// y at [`BENDS`].
    bend: [f64; BENDS.len()],
    centre: f64,
    width: f64,
    /// t of the first node.
    first: f64,
    /// The logarithm of what each node has of the integral.
    ln_shares: Vec<f64>,
    /// The logarithm of the integral.
    pub(super) ln_integral: f64,
}

impl Misfits {
    /// Sums what a table says of y over the misfit, that moves y by `deviation` for each of its standard deviations and
    /// bends it by `bend`.
    pub(super) fn new(
        bend: [f64; BENDS.len()],
        deviation: f64,
        ln_weight: f64,
        table: &ChannelTable,
    ) -> Self {
        let mut centre = 0.0_f64;
        for _ in 0..SECANTS {
            centre = (centre + (table.peak() - interpolated(&bend, centre)) / deviation).clamp(-END, END);
        }
        let width = (table.width() / deviation).clamp(WIDTHS.0, WIDTHS.1);
        let steps = |end: f64| (libm::asinh((end - centre) / width) / STEP).trunc();
        let (from, to) = (steps(-END), steps(END));
        #[expect(clippy::cast_possible_truncation, reason = "a hundred or so")]
        let ln_shares: Vec<f64> = (from as i32..=to as i32)
            .map(|i| {
                let t = STEP * f64::from(i);
                let v = centre + width * t.sinh();
                let ln_step = (STEP * width * t.cosh() / (2.0 * PI).sqrt()).ln();
                ln_weight + ln_step - 0.5 * v * v + table.at(interpolated(&bend, v))
            })
            .collect();
        let ln_integral = ln_of_sum(ln_shares.iter().copied());
        Self { bend, centre, width, first: STEP * from, ln_shares, ln_integral }
    }

    /// What each node has of the integral, by its logarithm.
    pub(super) fn ln_shares(&self) -> &[f64] {
        &self.ln_shares
    }

    /// The number at a place about a node, from -0.5 to 0.5, and y there.
    pub(super) fn about(&self, node: usize, place: f64) -> (f64, f64) {
        let t = self.first + STEP * (node as f64 + place);
        let v = self.centre + self.width * t.sinh();
        (v, interpolated(&self.bend, v))
    }
}

/// Through the values at [`BENDS`], straight on beyond.
fn interpolated(values: &[f64; BENDS.len()], t: f64) -> f64 {
    let n = BENDS.len();
    if t <= BENDS[0] {
        return values[0] + (t - BENDS[0]) * (values[1] - values[0]) / (BENDS[1] - BENDS[0]);
    }
    if t >= BENDS[n - 1] {
        let slope = (values[n - 1] - values[n - 2]) / (BENDS[n - 1] - BENDS[n - 2]);
        return values[n - 1] + (t - BENDS[n - 1]) * slope;
    }
    (0..n)
        .map(|i| {
            let others = (0..n).filter(|j| *j != i);
            values[i] * others.map(|j| (t - BENDS[j]) / (BENDS[i] - BENDS[j])).product::<f64>()
        })
        .sum()
}
