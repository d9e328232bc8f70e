//! Where the ticks of an axis stand and what is written on them.

use super::number::{decade, number_text, power_text, scaled};
use super::{Scale, TickText};

/// A tick; one without text is a minor one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub(super) value: f64,
    pub(super) text: Option<String>,
}

/// Logarithmic axes up to this many decades carry 1, 2 and 5 of each; longer ones the decades.
const SHORT_DECADES: f64 = 3.3;
/// Below this many decades 1-2-5 leaves too few labels, and evenly spaced ticks serve better.
const TINY_DECADES: f64 = 0.75;

/// Ticks between `low` and `high`, at most about `most` of them with text.
pub(super) fn ticks(low: f64, high: f64, scale: Scale, text: TickText, most: usize) -> Vec<Tick> {
    match scale {
        Scale::Linear => linear(low, high, text, most),
        Scale::Log | Scale::LogFalling => {
            let decades = libm::log10(high / low);
            if decades < TINY_DECADES {
                linear(low, high, text, most.min(7))
            } else {
                logarithmic(low, high, text, most)
            }
        }
    }
}

/// The step, as mantissa 1, 2 or 5 and exponent, that puts at most `most` multiples on a length.
fn step(length: f64, most: usize) -> (i32, i32) {
    let wanted = length / most.max(2) as f64;
    let exponent = decade(wanted);
    for mantissa in [1, 2, 5] {
        if scaled(f64::from(mantissa), exponent) >= wanted * (1.0 - 1e-9) {
            return (mantissa, exponent);
        }
    }
    (1, exponent + 1)
}

fn linear(low: f64, high: f64, text: TickText, most: usize) -> Vec<Tick> {
    let (mantissa, exponent) = step(high - low, most.saturating_sub(1));
    let unit = scaled(f64::from(mantissa), exponent);
    let slip = 1e-9 * (high - low);
    let first = libm::ceil((low - slip) / unit);
    let count = libm::floor((high + slip) / unit) - first;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most `most` steps, from 0"
    )]
    let count = count.max(0.0) as usize;
    (0..=count)
        .map(|k| {
            let value = scaled((first + k as f64) * f64::from(mantissa), exponent);
            Tick { value, text: Some(text.even(value, exponent)) }
        })
        .collect()
}

fn logarithmic(low: f64, high: f64, text: TickText, most: usize) -> Vec<Tick> {
    let (from, to) = (decade(low), decade(high));
    let inside = |value: f64| value >= low * (1.0 - 1e-9) && value <= high * (1.0 + 1e-9);
    let places = |mantissas: &[i32]| {
        let mut count = 0;
        for exponent in from..=to {
            count += mantissas.iter().filter(|&&m| inside(scaled(f64::from(m), exponent))).count();
        }
        count
    };
    let short = libm::log10(high / low) <= SHORT_DECADES && places(&[1, 2, 5]) <= most;
    let labelled: &[i32] = if short { &[1, 2, 5] } else { &[1] };
    let least = i32::try_from(places(labelled).div_ceil(most.max(2))).unwrap_or(i32::MAX);
    let stride = [1, 2, 3, 5, 10, 20, 50].into_iter().find(|stride| *stride >= least).unwrap_or(100);
    let powers = !short && (low < 0.99e-3 || high >= 1e5);
    let mut ticks = Vec::new();
    for exponent in from..=to {
        let on_stride = exponent.rem_euclid(stride) == 0;
        for mantissa in 1..10 {
            let value = scaled(f64::from(mantissa), exponent);
            let wanted = on_stride && labelled.contains(&mantissa);
            // Minor ticks only while they stand apart: else they are a grey bar.
            if inside(value) && (wanted || stride == 1 || (mantissa == 1 && stride <= 5)) {
                let text = wanted.then(|| text.on_decade(mantissa, exponent, powers));
                ticks.push(Tick { value, text });
            }
        }
    }
    ticks
}

/// A range widened to the next ticks outside.
pub(super) fn widened(low: f64, high: f64, scale: Scale) -> (f64, f64) {
    match scale {
        Scale::Linear => {
            let (mantissa, exponent) = step(high - low, 6);
            let unit = scaled(f64::from(mantissa), exponent);
            let slip = 1e-9;
            let ends = (libm::floor(low / unit + slip), libm::ceil(high / unit - slip));
            let multiple = |k: f64| scaled(k * f64::from(mantissa), exponent);
            (multiple(ends.0), multiple(ends.1))
        }
        Scale::Log | Scale::LogFalling => {
            let steps = |exponent| [1.0, 2.0, 5.0, 10.0].map(|m| scaled(m, exponent));
            let below = steps(decade(low)).into_iter().rfind(|v| *v <= low * (1.0 + 1e-9));
            let above = steps(decade(high)).into_iter().find(|v| *v >= high * (1.0 - 1e-9));
            (below.unwrap_or(low), above.unwrap_or(high))
        }
    }
}

impl TickText {
    /// Text of a multiple of a step whose last digit stands at ten to the `exponent`.
    fn even(self, value: f64, exponent: i32) -> String {
        let decimals = |exponent: i32| usize::try_from(-exponent).unwrap_or(0);
        match self {
            Self::Number if (-4..5).contains(&exponent) => {
                format!("{value:.*}", decimals(exponent)).replace('-', "−")
            }
            Self::Number => number_text(value),
            Self::Percent => format!("{:.*} %", decimals(exponent + 2), value * 100.0).replace('-', "−"),
            Self::EfficiencyOfPenetration => {
                format!("{:.*} %", decimals(exponent + 2), (1.0 - value) * 100.0)
            }
            Self::Nothing => String::new(),
        }
    }

    /// Text of `mantissa` times ten to the `exponent`.
    fn on_decade(self, mantissa: i32, exponent: i32, powers: bool) -> String {
        match self {
            Self::Number if powers => power_text(mantissa, exponent),
            Self::Number => number_text(scaled(f64::from(mantissa), exponent)),
            Self::Percent | Self::EfficiencyOfPenetration | Self::Nothing => {
                self.even(scaled(f64::from(mantissa), exponent), exponent)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(ticks: &[Tick]) -> Vec<&str> {
        ticks.iter().filter_map(|t| t.text.as_deref()).collect()
    }

    #[test]
    fn linear_ticks_are_round_and_exact() {
        let ticks = linear(0.0, 1.0, TickText::Number, 6);
        assert_eq!(texts(&ticks), ["0.0", "0.2", "0.4", "0.6", "0.8", "1.0"]);
        assert_eq!(ticks.iter().map(|t| t.value).collect::<Vec<_>>(), [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]);
        assert_eq!(texts(&linear(0.0, 0.9, TickText::Percent, 7))[1], "20 %");
        assert_eq!(
            texts(&linear(-30.0, 30.0, TickText::Number, 7)),
            ["−30", "−20", "−10", "0", "10", "20", "30"]
        );
    }

    #[test]
    fn a_short_log_axis_carries_two_and_five() {
        let ticks = logarithmic(0.01, 10.0, TickText::Number, 12);
        assert_eq!(texts(&ticks), ["0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1", "2", "5", "10"]);
        assert_eq!(ticks.len(), 28, "9 a decade and the last end");
    }

    #[test]
    fn a_long_log_axis_carries_powers_and_a_crowded_one_skips() {
        let ticks = logarithmic(1e-6, 1.0, TickText::Number, 9);
        assert_eq!(texts(&ticks), ["10⁻⁶", "10⁻⁵", "10⁻⁴", "10⁻³", "10⁻²", "10⁻¹", "1"]);
        let ticks = logarithmic(1e-6, 1.0, TickText::Number, 4);
        assert_eq!(texts(&ticks), ["10⁻⁶", "10⁻⁴", "10⁻²", "1"]);
    }

    #[test]
    fn a_penetration_axis_reads_as_efficiency() {
        let ticks = logarithmic(1e-4, 1.0, TickText::EfficiencyOfPenetration, 8);
        assert_eq!(texts(&ticks), ["99.99 %", "99.9 %", "99 %", "90 %", "0 %"]);
        let ticks = logarithmic(0.01, 1.0, TickText::EfficiencyOfPenetration, 8);
        assert_eq!(texts(&ticks), ["99 %", "98 %", "95 %", "90 %", "80 %", "50 %", "0 %"]);
    }

    #[test]
    fn a_log_axis_under_a_decade_is_ticked_evenly() {
        let ticks = ticks(2.0, 5.0, Scale::Log, TickText::Number, 8);
        assert_eq!(texts(&ticks), ["2.0", "2.5", "3.0", "3.5", "4.0", "4.5", "5.0"]);
    }

    #[test]
    fn ranges_widen_to_round_ends_and_no_further() {
        assert_eq!(widened(3.0, 97.0, Scale::Linear), (0.0, 100.0));
        assert_eq!(widened(0.0, 100.0, Scale::Linear), (0.0, 100.0));
        assert_eq!(widened(0.013, 8.0, Scale::Log), (0.01, 10.0));
        assert_eq!(widened(0.02, 0.5, Scale::Log), (0.02, 0.5));
    }
}
