//! Every reading beside what the calibrated model would read: the posterior predictive check.

use moteweir_sim::inference::{Model, replicate};
use moteweir_sim::random::{Purpose, Stream};
use rayon::prelude::*;

use super::counts::CountsOfChannel;
use super::evidence::{Counted, Through};
use super::forward::Forward;
use super::parameters::quantile;
use crate::report::PredictiveReport;

const AGAIN: Purpose = Purpose::named("read again");
/// Draws that readings are repeated for.
const DRAWS: usize = 400;
/// Share of an outer tail that makes a reading odd.
const ODD: f64 = 0.005;

/// A row a reading, in the order of channels, curves, resistances.
pub(super) fn of(forward: &Forward<'_>, draws: &[Vec<f64>], seed: u64) -> Vec<PredictiveReport> {
    let step = draws.len().div_ceil(DRAWS).max(1);
    let chosen: Vec<&Vec<f64>> = draws.iter().step_by(step).collect();
    let again: Vec<Vec<f64>> = chosen
        .par_iter()
        .enumerate()
        .map_init(|| forward.room(), |work, (index, at)| read_again(forward, at, work, seed, index as u64))
        .collect();
    let mut rows = labels(forward);
    for (number, row) in rows.iter_mut().enumerate() {
        let mut values: Vec<f64> = again.iter().map(|draw| draw[number]).collect();
        values.sort_by(f64::total_cmp);
        let count = values.len() as f64;
        let below = values.partition_point(|x| *x < row.observed) as f64;
        let equal = values.partition_point(|x| *x <= row.observed) as f64 - below;
        row.q025 = quantile(&values, 0.025);
        row.q50 = quantile(&values, 0.5);
        row.q975 = quantile(&values, 0.975);
        row.share_below = (below + 0.5 * equal) / count;
        row.odd = row.share_below < ODD || row.share_below > 1.0 - ODD;
    }
    rows
}

fn read_again(
    forward: &Forward<'_>,
    at: &[f64],
    work: &mut super::work::Work,
    seed: u64,
    index: u64,
) -> Vec<f64> {
    forward.log_likelihood(at, None, work);
    let mut read = Vec::with_capacity(forward.evidence.len());
    let stream = |number: usize| Stream::new(seed, AGAIN.item(number as u64), index);
    for (channel, likelihood) in forward.likelihoods.iter().enumerate() {
        let nuisances = likelihood.nuisances(&at[forward.numbers.channels[channel].clone()]);
        for reading in &likelihood.readings {
            let mean = CountsOfChannel::expected(reading, &nuisances, |test| work.through[channel][test]);
            read.push(replicate(mean, nuisances.dispersion, &mut stream(read.len())));
        }
    }
    for (i, point) in forward.evidence.points.iter().enumerate() {
        let noise = stream(read.len()).normal();
        read.push(forward.ln_p_of_point(i, work) + point.deviation * noise);
    }
    for (i, resisted) in forward.evidence.resisted.iter().enumerate() {
        let noise = stream(read.len()).normal();
        read.push((forward.ln_pressure_drop(i, at, work) + resisted.deviation * noise).exp());
    }
    read
}

fn labels(forward: &Forward<'_>) -> Vec<PredictiveReport> {
    let row = |reading: String, kind: &'static str, line: usize, observed: f64| PredictiveReport {
        reading,
        kind,
        line,
        observed,
        q025: f64::NAN,
        q50: f64::NAN,
        q975: f64::NAN,
        share_below: f64::NAN,
        odd: false,
    };
    let evidence = &forward.evidence;
    let mut rows = Vec::new();
    for channel in &evidence.channels {
        for r in &channel.readings {
            let what = format!("{}, {}", what(forward, r), channel.words);
            rows.push(row(what, "counts", r.line as usize, r.counts));
        }
    }
    for p in &evidence.points {
        let name = &evidence.tests[p.test].name;
        let what = format!("{name}, {:.3} um, {}", 1e6 * p.diameter, p.file);
        rows.push(row(what, "ln_penetration", p.line, p.ln_p));
    }
    for r in &evidence.resisted {
        rows.push(row(format!("{}, {}", r.name, r.text), "pressure_drop_pa", 0, r.ln_dp.exp()));
    }
    rows
}

fn what(forward: &Forward<'_>, reading: &Counted) -> String {
    match reading.through {
        Through::Open => "open".to_owned(),
        Through::Zero => "clean air".to_owned(),
        Through::Blocked => "blocked".to_owned(),
        Through::Test(test) => forward.evidence.tests[test].name.clone(),
    }
}
