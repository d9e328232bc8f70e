//! How far a penetration or a pressure drop may be off: by the models, by the inputs, by both.

use moteweir_physics::estimate::Estimate;
use ndarray::ArrayView1;

/// An exponent larger than this is no penetration that a double can hold.
const LARGEST_EXPONENT: f64 = 700.0;

/// A value with what the models and the inputs make of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// The headline.
    pub value: f64,
    /// Low and high end of the models.
    pub models: (f64, f64),
    /// Low and high end of the inputs that are not known.
    pub inputs: (f64, f64),
    /// Low and high end of both together.
    pub both: (f64, f64),
}

/// Deviations of the logarithm of a positive number, downward (at most 0) and upward (at least 0).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Deviation {
    down: f64,
    up: f64,
}

impl Deviation {
    /// From a value's logarithm to other values' logarithms: the furthest on each side.
    fn span(value: f64, others: impl IntoIterator<Item = f64>) -> Self {
        others
            .into_iter()
            .map(|o| o - value)
            .filter(|d| d.is_finite())
            .fold(Self::default(), |span, d| Self { down: span.down.min(d), up: span.up.max(d) })
    }

    /// Both, as if neither knew of the other: root of the sum of squares on each side.
    fn with(self, other: Self) -> Self {
        Self { down: -self.down.hypot(other.down), up: self.up.hypot(other.up) }
    }

    /// Part of the way from one to another, for interpolation.
    pub(super) fn towards(self, other: Self, share: f64) -> Self {
        Self {
            down: self.down + share * (other.down - self.down),
            up: self.up + share * (other.up - self.up),
        }
    }
}

/// How far unknown inputs move the exponent of a penetration: each unknown alone, then joined by squares.
pub(super) fn input_deviation(value: f64, unknowns: &[Vec<f64>]) -> Deviation {
    let centre = log_exponent(value);
    unknowns
        .iter()
        .map(|ends| Deviation::span(centre, ends.iter().map(|&p| log_exponent(p))))
        .fold(Deviation::default(), Deviation::with)
}

/// The ends of a penetration, from the closures compared and the deviation by inputs.
pub(super) fn penetration_ends(value: f64, closures: &ArrayView1<'_, Estimate>, inputs: Deviation) -> Ends {
    let centre = log_exponent(value);
    let low = closures.iter().map(|e| e.low).fold(value, f64::min);
    let high = closures.iter().map(|e| e.high).fold(value, f64::max);
    let models = Deviation::span(centre, [log_exponent(low), log_exponent(high)]);
    let both = models.with(inputs);
    let penetration = |deviation: f64| (-(centre + deviation).exp()).exp();
    // A larger exponent is a smaller penetration.
    let pair = |d: Deviation| (penetration(d.up).min(value), penetration(d.down).max(value));
    let (low_both, high_both) = pair(both);
    Ends { value, models: (low, high), inputs: pair(inputs), both: (low_both.min(low), high_both.max(high)) }
}

/// The ends of a pressure drop, from the closures compared and each unknown's ends.
pub(super) fn pressure_ends(value: f64, closures: &[Estimate], unknowns: &[Vec<f64>]) -> Ends {
    let centre = value.ln();
    let low = closures.iter().map(|e| e.low).fold(value, f64::min);
    let high = closures.iter().map(|e| e.high).fold(value, f64::max);
    let models = Deviation::span(centre, [low.ln(), high.ln()]);
    let inputs = unknowns
        .iter()
        .map(|ends| Deviation::span(centre, ends.iter().map(|p| p.ln())))
        .fold(Deviation::default(), Deviation::with);
    let pair = |d: Deviation| ((centre + d.down).exp().min(value), (centre + d.up).exp().max(value));
    Ends { value, models: (low, high), inputs: pair(inputs), both: pair(models.with(inputs)) }
}

/// Logarithm of the exponent K of a penetration P = exp(-K).
fn log_exponent(penetration: f64) -> f64 {
    (-penetration.ln()).clamp(f64::MIN_POSITIVE, LARGEST_EXPONENT).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_doubt_there_are_no_ends() {
        let ends = penetration_ends(0.4, &ArrayView1::from(&[Estimate::exact(0.4)]), Deviation::default());
        for end in [ends.models, ends.inputs, ends.both] {
            assert!((end.0 - 0.4).abs() < 1e-12 && (end.1 - 0.4).abs() < 1e-12);
        }
    }

    #[test]
    fn two_equal_doubts_join_by_squares() {
        // Exponent 1, doubled and halved by each of two unknowns: a factor of 2^sqrt(2) either way.
        let value = (-1.0_f64).exp();
        let ends = vec![(-2.0_f64).exp(), (-0.5_f64).exp()];
        let inputs = input_deviation(value, &[ends.clone(), ends]);
        let joined = penetration_ends(value, &ArrayView1::from(&[Estimate::exact(value)]), inputs);
        let factor = 2.0_f64.powf(2.0_f64.sqrt());
        assert!((-joined.inputs.0.ln() - factor).abs() < 1e-12);
        assert!((-joined.inputs.1.ln() - 1.0 / factor).abs() < 1e-12);
    }

    #[test]
    fn certain_capture_and_certain_passage_stay_numbers() {
        for value in [0.0, 1.0, 1e-300] {
            let inputs = input_deviation(value, &[vec![0.0, 1.0]]);
            let ends = penetration_ends(
                value,
                &ArrayView1::from(&[Estimate { low: 0.0, value, high: 1.0 }]),
                inputs,
            );
            for (low, high) in [ends.models, ends.inputs, ends.both] {
                assert!((0.0..=1.0).contains(&low) && (0.0..=1.0).contains(&high) && low <= high, "{ends:?}");
            }
        }
    }
}
