//! What a counter's channel sees: the room's particles through the channel's response.

use super::evidence::CountedChannel;
use crate::case::{Counter, Room};

/// Steps of ln d at the most between the sizes that channels are summed over; penetration is smooth over them.
const STEP: f64 = 0.2;
/// The same in standard deviations of the edges: with normal edges the sum is off by exp(-2 pi^2/1.2^2), 1e-6.
const STEPS_OF_AN_EDGE: f64 = 1.2;
/// Edges are taken as no sharper, in ln d: the sum over sizes has to see them.
const SHARPEST: f64 = 0.02;
/// How far beyond its edges a channel is summed, in standard deviations.
const BEYOND: f64 = 3.0;

/// Sizes that all channels are summed over, and the counter's uncertainty.
#[derive(Clone, Debug)]
pub(super) struct Sight {
    /// ln of the mobility diameters, evenly spaced.
    pub(super) ln_sizes: Vec<f64>,
    edges: Vec<(f64, f64)>,
    resolution: f64,
    sizing: f64,
    room: Room,
}

impl Sight {
    /// Of some channels; empty where there are none.
    pub(super) fn new(channels: &[CountedChannel], counter: &Counter, room: Room) -> Self {
        let edges: Vec<(f64, f64)> = channels.iter().map(|c| (c.from.ln(), c.to.ln())).collect();
        let resolution = counter.resolution.max(SHARPEST);
        let beyond = BEYOND * resolution.hypot(counter.sizing);
        let low = edges.iter().map(|e| e.0).fold(f64::INFINITY, f64::min) - beyond;
        let high = edges.iter().map(|e| e.1).fold(f64::NEG_INFINITY, f64::max) + beyond;
        let ln_sizes = if edges.is_empty() {
            Vec::new()
        } else {
            let step = STEP.min(STEPS_OF_AN_EDGE * resolution);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
            let count = ((high - low) / step).ceil() as usize + 1;
            (0..count).map(|i| low + (high - low) * i as f64 / (count - 1) as f64).collect()
        };
        Self { ln_sizes, edges, resolution, sizing: counter.sizing, room }
    }

    /// The slope of the room's aerosol and the shift of the size scale, of their standard normal numbers.
    pub(super) fn of(&self, normals: &[f64]) -> (f64, f64) {
        (self.room.doubt.quantile(self.room.slope, super::share_below(normals[0])), self.sizing * normals[1])
    }

    /// Weights of the sizes in a channel, which sum to 1, and the logarithm of their sum before: of what it counts of a
    /// room whose number per unit of ln d is 1 at 1 um.
    ///
    /// ```text
    /// w(d) ~ d^-slope [F((ln d + shift - ln from)/r) - F((ln d + shift - ln to)/r)]
    /// ```
    pub(super) fn weights(&self, channel: usize, slope: f64, shift: f64, out: &mut [f64]) -> f64 {
        let (from, to) = self.edges[channel];
        let below = |x: f64| super::share_below(x / self.resolution);
        let mut sum = 0.0;
        let centre = 1e-6_f64.ln();
        for (w, ln_d) in out.iter_mut().zip(&self.ln_sizes) {
            let seen = ln_d + shift;
            *w = (-slope * (ln_d - centre)).exp() * (below(seen - from) - below(seen - to)).max(0.0);
            sum += *w;
        }
        for w in out.iter_mut() {
            *w /= sum;
        }
        let step = if self.ln_sizes.len() > 1 { self.ln_sizes[1] - self.ln_sizes[0] } else { 1.0 };
        (sum * step).ln()
    }

    /// The middle of a channel: the mean of ln d of what it sees of the room as it is expected.
    pub(super) fn centre(&self, channel: usize) -> f64 {
        let mut weights = vec![0.0; self.ln_sizes.len()];
        self.weights(channel, self.room.slope, 0.0, &mut weights);
        weights.iter().zip(&self.ln_sizes).map(|(w, x)| w * x).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doubt::Doubt;
    use moteweir_physics::aerosol::DiameterKind;

    fn sight(resolution: f64) -> Sight {
        let channel = CountedChannel { words: String::new(), from: 0.5e-6, to: 1e-6, readings: Vec::new() };
        let counter = Counter {
            diameter: DiameterKind::Optical,
            edges: Vec::new(),
            largest: moteweir_units::Length::from_um(10.0),
            sizing: 0.1,
            resolution,
            dead_time: None,
            most_per_m3: None,
        };
        Sight::new(&[channel], &counter, Room { slope: 3.0, doubt: Doubt::None })
    }

    /// Between sharp edges the mean of ln d of a power law: with a = slope, from x1 to x2,
    /// mean = 1/a + (x1 e^(-a x1) - x2 e^(-a x2))/(e^(-a x1) - e^(-a x2)).
    #[test]
    fn a_sharp_channel_sees_the_mean_of_its_power_law() {
        let (a, x1, x2) = (3.0, 0.5e-6_f64.ln(), 1e-6_f64.ln());
        // From x1 on, so that no exponent is large.
        let w = x2 - x1;
        let exact = x1 + 1.0 / a - w * (-a * w).exp() / (1.0 - (-a * w).exp());
        let got = sight(0.02).centre(0);
        assert!((got - exact).abs() < 2e-3, "{got} {exact}");
    }

    #[test]
    fn a_size_scale_set_too_high_sees_smaller_particles() {
        let sight = sight(0.15);
        let mean = |shift: f64| {
            let mut w = vec![0.0; sight.ln_sizes.len()];
            sight.weights(0, 3.0, shift, &mut w);
            w.iter().zip(&sight.ln_sizes).map(|(w, x)| w * x).sum::<f64>()
        };
        assert!((mean(0.1) - mean(0.0) + 0.1).abs() < 5e-3, "{} {}", mean(0.1), mean(0.0));
    }
}
