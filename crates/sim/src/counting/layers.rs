//! Are several layers the product of one?

use super::draws::Draws;
use super::error::CountingError;
use super::exact::Bounds;
use super::joint::Fit;
use super::readings::check_level;

/// A stack measured whole, and one of its layers (or a lower stack) measured alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layers {
    /// The specimen with fewer layers.
    pub one: usize,
    /// The specimen with more.
    pub many: usize,
    /// Layers of the second over layers of the first, above 0.
    pub layers: f64,
}

/// What a stack does against what its layers would do one after another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LayersVerdict {
    /// The interval holds what was expected.
    AsExpected,
    /// The stack lets more through than expected: the layers bypass, touch, or the first takes the easy sizes.
    LetsMoreThrough,
    /// The stack lets less through than expected.
    LetsLessThrough,
}

/// How a stack compares with its layers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayersFound {
    /// `ln P_many / (layers ln P_one)`: 1 where the penetrations multiply, below where the stack lets more through. The
    /// high end is infinite where nothing came through the stack.
    pub ratio: Bounds,
    /// What the ratio has to be where the channel is broad, if that was given.
    pub expected: Option<f64>,
    /// The ratio over the expected one, with the expectation following the penetration of one layer from draw to draw.
    pub against_expected: Option<Bounds>,
    /// What follows: against the expectation, or against 1 where there is none.
    pub verdict: LayersVerdict,
}

/// Compares a stack with its layers at a level.
///
/// `expected` gives the ratio that a channel of a certain breadth must show for a penetration of one layer: the first
/// layer takes the sizes that are easily caught, so that the ratio is below 1 without any fault of the layers. It comes
/// from the physics of the caller.
///
/// # Errors
/// As [`Fit::penetration`], and where `layers` is not above 0.
pub fn layers(
    fit: &Fit,
    question: Layers,
    expected: Option<&dyn Fn(f64) -> f64>,
    level: f64,
) -> Result<LayersFound, CountingError> {
    check_level(level)?;
    if !(question.layers.is_finite() && question.layers > 0.0) {
        return Err(CountingError::Plan { quantity: "layers", value: question.layers });
    }
    let (one, many) = (fit.estimate_of(question.one)?, fit.estimate_of(question.many)?);
    let draws = fit.draws_in_any_case(level);
    let estimate = ratio_of(many, one, question.layers);
    let ratio = interval(fit, &draws, question, estimate, level, |_| 1.0)?;
    let expectation = expected.map(|of| of(one));
    let against_expected = match expected {
        Some(of) => Some(interval(fit, &draws, question, estimate / of(one), level, of)?),
        None => None,
    };
    let decides = against_expected.unwrap_or(ratio);
    let verdict = if decides.high < 1.0 {
        LayersVerdict::LetsMoreThrough
    } else if decides.low > 1.0 {
        LayersVerdict::LetsLessThrough
    } else {
        LayersVerdict::AsExpected
    };
    Ok(LayersFound { ratio, expected: expectation, against_expected, verdict })
}

/// The interval of the ratio over an expectation: each end with the counts and the room that lie towards it. The room is
/// divided by in both penetrations, so that neither way is always the outer one, and both are taken.
fn interval(
    fit: &Fit,
    draws: &Draws,
    question: Layers,
    estimate: f64,
    level: f64,
    expected: impl Fn(f64) -> f64,
) -> Result<Bounds, CountingError> {
    let tail = (1.0 - level) / 2.0;
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for side in [false, true] {
        let one_low = fit.net_draws(draws, question.one, false, side)?;
        let one_high = fit.net_draws(draws, question.one, true, side)?;
        let many_low = fit.net_draws(draws, question.many, false, side)?;
        let many_high = fit.net_draws(draws, question.many, true, side)?;
        let value = |many: f64, one: f64| ratio_of(many, one, question.layers) / expected(one);
        low = low.min(draws.quantile(|draw| value(many_high[draw], one_low[draw]), tail));
        high = high.max(draws.quantile(|draw| value(many_low[draw], one_high[draw]), 1.0 - tail));
    }
    Ok(Bounds { low: low.min(estimate), estimate, high: high.max(estimate) })
}

fn ratio_of(many: f64, one: f64, layers: f64) -> f64 {
    libm::log(many) / (layers * libm::log(one))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counting::{Assumptions, Reading, State};

    /// Tissue of common practice (no source), counts invented for 29, 49 and 63 % at 1 um.
    fn tissue() -> Fit {
        let reading = |state, time, counts| Reading { state, exposure: 1.0, time: Some(time), counts };
        let readings = [
            reading(State::Open, 0.0, 10_020),
            reading(State::Sample(0), 1.0, 7_080),
            reading(State::Sample(1), 2.0, 5_110),
            reading(State::Sample(2), 3.0, 3_690),
            reading(State::Open, 4.0, 9_980),
            reading(State::Sample(0), 5.0, 7_120),
            reading(State::Sample(1), 6.0, 5_090),
            reading(State::Sample(2), 7.0, 3_710),
            reading(State::Open, 8.0, 10_010),
        ];
        Fit::new(&readings, 3, Assumptions::STATED).expect("good readings")
    }

    #[test]
    fn tissue_multiplies() {
        for (many, layers_of) in [(1, 2.0), (2, 3.0)] {
            let found =
                layers(&tissue(), Layers { one: 0, many, layers: layers_of }, None, 0.95).expect("specimens");
            assert!((found.ratio.estimate - 0.98).abs() < 0.02, "{found:?}");
            assert!(found.ratio.low < found.ratio.estimate && found.ratio.high > found.ratio.estimate);
            assert_eq!(found.verdict, LayersVerdict::AsExpected);
        }
    }

    #[test]
    fn the_expectation_divides() {
        let question = Layers { one: 0, many: 1, layers: 2.0 };
        let constant = |_: f64| 0.5;
        let found = layers(&tissue(), question, Some(&constant), 0.95).expect("specimens");
        let against = found.against_expected.expect("an expectation");
        assert!((against.low / found.ratio.low - 2.0).abs() < 1e-9);
        assert_eq!(found.expected, Some(0.5));
        assert_eq!(found.verdict, LayersVerdict::LetsLessThrough);
        assert!(layers(&tissue(), Layers { layers: 0.0, ..question }, None, 0.95).is_err());
    }
}
