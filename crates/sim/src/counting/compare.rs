//! Which of several specimens lets fewer particles through, and what could not be told.

use super::draws::Draws;
use super::error::CountingError;
use super::exact::Bounds;
use super::joint::Fit;
use super::readings::check_level;
use crate::random::normal_quantile;

/// How often a difference of the stated size would be seen.
const USUAL_POWER: f64 = 0.8;

/// Which of two specimens lets fewer particles through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The interval of the ratio lies below 1.
    ALower,
    /// The interval of the ratio lies above 1.
    BLower,
    /// The interval holds 1.
    NotTold,
}

/// Two specimens compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// One specimen.
    pub a: usize,
    /// The other.
    pub b: usize,
    /// Penetration of `a` over that of `b`, with its interval.
    pub ratio: Bounds,
    /// What follows.
    pub verdict: Verdict,
    /// A true ratio above this, or below one over this, would have been seen in about four of five repetitions; infinite
    /// where too little was counted to say. From the widths of the interval, normal in the logarithm.
    pub detectable: f64,
}

/// Specimens from the lowest penetration to the highest, and which of them cannot be told apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking {
    /// The specimens, the one with the lowest estimate first.
    pub order: Vec<usize>,
    /// Runs of specimens in that order no two of which can be told apart, as long as possible; a specimen may belong to
    /// several.
    pub groups: Vec<Vec<usize>>,
    /// Every pair, in the order of the ranking.
    pub comparisons: Vec<Comparison>,
    /// The level of each interval by itself, so that all together hold at the level asked for.
    pub level_each: f64,
}

/// Compares two specimens at a level.
///
/// # Errors
/// As [`Fit::penetration`].
pub fn compare_one(fit: &Fit, a: usize, b: usize, level: f64) -> Result<Comparison, CountingError> {
    check_level(level)?;
    compared(fit, fit.draws_at(level).as_ref(), (a, b), level)
}

/// Compares every two of several specimens, so that all intervals together hold at a level.
/// ```text
/// level of each = level^(1/pairs)
/// ```
/// The correction is that of Sidak (1967, from memory). Intervals that share readings go together, and then it errs on the
/// safe side. It serves intervals and verdicts alike, so that a verdict never contradicts its interval, as the sharper
/// step-down corrections do. Beyond a level of each of 0.9999 (about 500 pairs at 0.95) that is what is used.
///
/// # Errors
/// As [`Fit::penetration`].
pub fn compare_all(fit: &Fit, specimens: &[usize], level: f64) -> Result<Ranking, CountingError> {
    check_level(level)?;
    let pairs = specimens.len() * specimens.len().saturating_sub(1) / 2;
    let level_each = libm::pow(level, 1.0 / pairs.max(1) as f64).min(super::readings::HIGHEST_LEVEL);
    let mut ranked = Vec::with_capacity(specimens.len());
    for &specimen in specimens {
        ranked.push((fit.estimate_of(specimen)?, specimen));
    }
    ranked.sort_by(|x, y| x.0.total_cmp(&y.0));
    let order: Vec<usize> = ranked.into_iter().map(|(_, specimen)| specimen).collect();
    let draws = fit.draws_at(level_each);
    let mut comparisons = Vec::with_capacity(pairs);
    for (place, &a) in order.iter().enumerate() {
        for &b in &order[place + 1..] {
            comparisons.push(compared(fit, draws.as_ref(), (a, b), level_each)?);
        }
    }
    let groups = runs_not_told_apart(&order, &comparisons);
    Ok(Ranking { order, groups, comparisons, level_each })
}

fn compared(
    fit: &Fit,
    draws: Option<&Draws>,
    (a, b): (usize, usize),
    level: f64,
) -> Result<Comparison, CountingError> {
    let ratio = fit.ratio_from(draws, a, b, level)?;
    let verdict = if ratio.high < 1.0 {
        Verdict::ALower
    } else if ratio.low > 1.0 {
        Verdict::BLower
    } else {
        Verdict::NotTold
    };
    Ok(Comparison { a, b, ratio, verdict, detectable: detectable(&ratio, level) })
}

/// The ratio that the wider half of an interval and the power call for.
fn detectable(ratio: &Bounds, level: f64) -> f64 {
    let wider = (ratio.high / ratio.estimate).max(ratio.estimate / ratio.low);
    if wider.is_nan() {
        return f64::INFINITY;
    }
    let stretch = 1.0 + normal_quantile(USUAL_POWER) / normal_quantile(0.5 + 0.5 * level);
    libm::exp(libm::log(wider) * stretch)
}

/// Longest runs of the order within which no two were told apart.
fn runs_not_told_apart(order: &[usize], comparisons: &[Comparison]) -> Vec<Vec<usize>> {
    let count = order.len();
    // Pairs stand row by row: (0,1), (0,2), .., (1,2), ..
    let told =
        |i: usize, j: usize| comparisons[i * count - i * (i + 1) / 2 + j - i - 1].verdict != Verdict::NotTold;
    let mut runs = Vec::new();
    let mut reached = 0;
    for first in 0..count {
        let mut end = first + 1;
        while end < count && (first..end).all(|earlier| !told(earlier, end)) {
            end += 1;
        }
        if end > reached {
            runs.push(order[first..end].to_vec());
            reached = end;
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counting::{Assumptions, Reading, State};

    fn fit(samples: &[(usize, u64)]) -> Fit {
        let open = |time, counts| Reading { state: State::Open, exposure: 1.0, time: Some(time), counts };
        let mut readings = vec![open(0.0, 20_000), open(9.0, 20_100)];
        readings.extend(samples.iter().enumerate().map(|(index, &(specimen, counts))| Reading {
            state: State::Sample(specimen),
            exposure: 1.0,
            time: Some(1.0 + index as f64),
            counts,
        }));
        let specimens = samples.iter().map(|(specimen, _)| specimen + 1).max().expect("a specimen");
        Fit::new(&readings, specimens, Assumptions::STATED).expect("good readings")
    }

    #[test]
    fn ranks_and_groups() {
        let fit = fit(&[
            (0, 5000),
            (1, 210),
            (2, 200),
            (0, 5050),
            (1, 205),
            (2, 215),
            (0, 4990),
            (1, 199),
            (2, 204),
        ]);
        let ranking = compare_all(&fit, &[0, 1, 2], 0.95).expect("three specimens");
        assert_eq!(ranking.order[2], 0);
        assert_eq!(ranking.groups.len(), 2, "{:?}", ranking.groups);
        assert_eq!(ranking.groups[1], [0]);
        assert!((ranking.level_each - 0.95_f64.powf(1.0 / 3.0)).abs() < 1e-12);
        let pair = ranking.comparisons[0];
        assert_eq!(pair.verdict, Verdict::NotTold);
        assert!(pair.ratio.low < 1.0 && pair.ratio.high > 1.0 && pair.detectable > pair.ratio.high);
        let alone = compare_one(&fit, pair.a, pair.b, 0.95).expect("two specimens");
        assert!(alone.ratio.high < pair.ratio.high && alone.ratio.low > pair.ratio.low);
    }

    /// The ratio the other way round is the reciprocal, and the open readings drop out: it is narrower than two
    /// penetrations divided.
    #[test]
    fn the_room_drops_out() {
        let fit = fit(&[(0, 900), (1, 300), (0, 920), (1, 310)]);
        let (there, back) =
            (fit.ratio(0, 1, 0.95).expect("specimens"), fit.ratio(1, 0, 0.95).expect("specimens"));
        assert!(
            (there.low * back.high - 1.0).abs() < 1e-4
                && (there.estimate * back.estimate - 1.0).abs() < 1e-12
        );
        let of = |specimen| fit.penetration(specimen, 0.95).expect("a specimen").bounds;
        assert!(there.high < of(0).high / of(1).low && there.low > of(0).low / of(1).high);
    }

    #[test]
    fn nothing_through_either_tells_nothing() {
        let fit = fit(&[(0, 0), (1, 0), (0, 0), (1, 0)]);
        let pair = compare_one(&fit, 0, 1, 0.95).expect("specimens");
        assert_eq!(pair.verdict, Verdict::NotTold);
        assert!(pair.detectable.is_infinite() && pair.ratio.low == 0.0 && pair.ratio.high.is_infinite());
    }

    /// Two that let through no more than the counter counts in clean air are not told apart by what is left of them, and
    /// one of them is told from one that lets much through, by a ratio that has an end.
    #[test]
    fn below_the_background_nothing_is_told_apart() {
        let reading = |state, time, counts| Reading { state, exposure: 1.0, time: Some(time), counts };
        let readings = [
            reading(State::Open, 0.0, 5049),
            reading(State::Sample(0), 1.0, 10),
            reading(State::Sample(1), 2.0, 15),
            reading(State::Zero, 3.0, 100),
            reading(State::Open, 4.0, 5100),
            reading(State::Sample(0), 5.0, 12),
            reading(State::Sample(1), 6.0, 14),
            reading(State::Sample(2), 7.0, 2000),
            reading(State::Open, 8.0, 5000),
        ];
        let fit = Fit::new(&readings, 3, Assumptions::STATED).expect("good readings");
        let below = compare_one(&fit, 0, 1, 0.95).expect("specimens");
        assert_eq!(below.verdict, Verdict::NotTold, "{below:?}");
        let far = compare_one(&fit, 0, 2, 0.95).expect("specimens");
        assert!(far.verdict == Verdict::ALower && far.ratio.high > 0.0 && far.ratio.high < 0.05, "{far:?}");
    }
}
