//! What to measure next: which measurement takes away most of the variance of what one wants to know.
//!
//! ```text
//! share taken away = cov(T, M)^2 / (var T (var M + s^2))
//! ```
//! T is ln(-ln P) of the target, M the same of what would be measured (ln of the pressure drop for a resistance), both over
//! the posterior draws with their misfits drawn together, and s the standard deviation of the measurement by counting:
//! the linear regression of the target on the reading. It is exact where both are normal, and ranks well where not. What
//! is read on the bench is off by as much as all that was read on it. The range that would be left is that of now, drawn
//! together about its middle by sqrt(1 - share) on the scale of T.

use moteweir_units::Length;
use moteweir_units::show::Show;

use super::forward::Forward;
use super::outlook::{Foresight, Outlook};
use super::run::lengths;
use super::shown::quantiles;
use super::work::ln_exponent;
use crate::report::NextReport;

/// Sizes that counters commonly have channels for, beside those of the bench \[m\].
const SIZES: [f64; 6] = [0.1e-6, 0.2e-6, 0.3e-6, 0.5e-6, 1e-6, 2e-6];
/// Sizes nearer to one another than this in ln d are one.
const NEAR: f64 = 0.2;
/// Width in ln d of a channel at such a size.
const WIDTH: f64 = 0.4;
/// Seconds of counting.
const SECONDS: f64 = 60.0;
/// Relative standard uncertainty of a pressure drop or permeability.
const RESISTANCE: f64 = 0.05;
/// The same of ln P by a laboratory, where no counts say how fast the room counts.
const LABORATORY: f64 = 0.05;
/// Rows at the most, and the share below which there is nothing to say.
const ROWS: usize = 12;
const WORTH_A_ROW: f64 = 0.01;

/// Sizes that candidates ask for, in the order of [`Candidate`]s: channels of the bench, then common ones.
pub(super) fn sizes(forward: &Forward<'_>) -> Vec<Length> {
    lengths(&asked(forward).into_iter().map(|(d, _, _)| d).collect::<Vec<_>>())
}

/// Size, how a reader knows it, and particles counted a second in the open room.
fn asked(forward: &Forward<'_>) -> Vec<(f64, String, Option<f64>)> {
    let mut all: Vec<(f64, String, Option<f64>)> = (0..forward.evidence.channels.len())
        .map(|c| {
            let channel = &forward.evidence.channels[c];
            let open = channel.readings.iter().filter(|r| r.through == super::evidence::Through::Open);
            let (counts, seconds) = open.fold((0.0, 0.0), |s, r| (s.0 + r.counts, s.1 + r.seconds));
            (forward.centre_of(c).exp(), channel.words.clone(), Some(counts / f64::max(seconds, 1e-9)))
        })
        .collect();
    let range = (forward.case.particles.smallest.to_m(), forward.case.particles.largest.to_m());
    // The room as the first channel sees it, carried on by its power law.
    let per_ln_d = forward.room_per_ln_d();
    for d in SIZES.into_iter().filter(|d| (range.0..=range.1).contains(d)) {
        if !all.iter().any(|(known, _, _)| (known / d).ln().abs() < NEAR) {
            let rate = per_ln_d.as_ref().map(|(at_1_um, slope)| WIDTH * at_1_um * (d / 1e-6).powf(-slope));
            all.push((d, format!("about {}", Length::from_m(d).show(2)), rate));
        }
    }
    all
}

/// Candidates ranked.
pub(super) fn of(
    forward: &Forward<'_>,
    outlook: &Outlook<'_>,
    draws: &[Vec<f64>],
    after: &[Foresight],
    seconds: Option<f64>,
) -> Vec<NextReport> {
    let seconds = seconds.unwrap_or(SECONDS);
    let Some(wanted) = outlook.foreseen.iter().position(|f| f.shown && f.velocity == 0) else {
        return Vec::new();
    };
    let target = Target::new(
        format!("{} at its worst size", outlook.foreseen[wanted].name),
        after.iter().map(|x| ln_exponent(x.worst[wanted].1)).collect(),
    );
    let dispersion = forward.mean_dispersion(draws);
    let mut rows = Vec::new();
    for (i, f) in outlook.foreseen.iter().enumerate() {
        let velocity = outlook.velocities[f.velocity];
        let at = format!("{} at {}", with_treatment(&f.name, f.discharged), velocity.show(2));
        for (k, (_, size, rate)) in asked(forward).iter().enumerate() {
            let p = |x: &Foresight| x.penetration[i][Outlook::SIZES + k];
            let reading: Vec<f64> = after.iter().map(|x| ln_exponent(p(x)) + x.off).collect();
            let ln_p: Vec<f64> = after.iter().map(|x| p(x).max(1e-300).ln()).collect();
            let noise = rate.map_or(LABORATORY, |rate| noise(rate * seconds, mean(&ln_p), dispersion));
            let what = What { sheets: f.sheets.clone(), discharged: f.discharged, size: Some(k) };
            rows.push((
                what,
                target.row(format!("count {size} through {at}"), Some(seconds), &reading, noise),
            ));
        }
        if !f.discharged && f.velocity == 0 {
            let reading: Vec<f64> = after.iter().map(|x| x.pressure_drop[i].ln()).collect();
            let what = What { sheets: f.sheets.clone(), discharged: false, size: None };
            let words = format!("pressure drop or air permeability of {}", f.name);
            rows.push((what, target.row(words, None, &reading, RESISTANCE)));
        }
    }
    rows.retain(|(_, r)| r.variance_reduction.is_finite() && r.variance_reduction > WORTH_A_ROW);
    best_of_each(rows)
}

/// The most telling first; of what differs in the velocity only, the better.
fn best_of_each(mut rows: Vec<(What, NextReport)>) -> Vec<NextReport> {
    rows.sort_by(|a, b| b.1.variance_reduction.total_cmp(&a.1.variance_reduction));
    let mut seen: Vec<What> = Vec::new();
    rows.retain(|(what, _)| {
        let new = !seen.contains(what);
        if new {
            seen.push(what.clone());
        }
        new
    });
    rows.into_iter().take(ROWS).map(|(_, row)| row).collect()
}

/// Standard deviation of ln(-ln P) by counting, of so many particles in the open room.
fn noise(open: f64, ln_p: f64, dispersion: f64) -> f64 {
    (1.0 / open + 1.0 / (open * ln_p.exp()) + 2.0 * dispersion * dispersion).sqrt() / ln_p.abs()
}

fn with_treatment(name: &str, discharged: bool) -> String {
    if discharged { format!("{name}, its charge removed with alcohol,") } else { name.to_owned() }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// What a measurement is of, its velocity apart.
#[derive(Clone, Debug, PartialEq)]
struct What {
    sheets: Vec<(usize, f64)>,
    discharged: bool,
    /// Among those asked for; `None` for a resistance.
    size: Option<usize>,
}

/// What one wants to know.
struct Target {
    name: String,
    /// ln(-ln P) by draw.
    values: Vec<f64>,
    /// Its 2.5 %, 50 % and 97.5 %.
    quantiles: [f64; 3],
}

impl Target {
    fn new(name: String, values: Vec<f64>) -> Self {
        let q = quantiles(values.iter().copied());
        Self { name, values, quantiles: [q.q025, q.q50, q.q975] }
    }

    fn row(&self, measurement: String, seconds: Option<f64>, reading: &[f64], noise: f64) -> NextReport {
        let (t, m) = (mean(&self.values), mean(reading));
        let n = self.values.len().max(1) as f64;
        let sum = |f: &dyn Fn(f64, f64) -> f64| {
            self.values.iter().zip(reading).map(|(a, b)| f(a - t, b - m)).sum::<f64>() / n
        };
        let (var_t, var_m, covariance) = (sum(&|a, _| a * a), sum(&|_, b| b * b), sum(&|a, b| a * b));
        let reduction = covariance * covariance / (var_t * (var_m + noise * noise));
        let left = (1.0 - reduction).max(0.0).sqrt();
        let [low, middle, high] = self.quantiles;
        let penetration = |x: f64| libm::exp(-libm::exp(x));
        let range = |left: f64| [high, low].map(|end| penetration(middle + left * (end - middle)));
        NextReport {
            measurement,
            target: self.name.clone(),
            seconds,
            variance_reduction: reduction,
            penetration_now: range(1.0),
            penetration_after: range(left),
            sd_now: var_t.sqrt(),
            sd_after: left * var_t.sqrt(),
        }
    }
}
