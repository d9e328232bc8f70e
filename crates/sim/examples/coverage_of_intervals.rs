//! How often the stated 95 % intervals of a penetration hold it.
//!
//! `cargo run --release -p moteweir-sim --example coverage_of_intervals -- <runs a case>` prints the table of the documentation
//! of `moteweir_sim::counting`; with `<runs a case> <open> <through> <varies, %>` the cases of one of its rows, each with the
//! shares of runs whose interval lay below and above the penetration, and the mean width of the interval.
//!
//! The lowest of many cases is low by chance. In the table a case that comes out at 90 to 95 % is therefore tried again,
//! with five times as many fresh runs, and the first ones are forgotten.
#![expect(clippy::print_stdout, reason = "it reports to whoever asks")]

use std::error::Error;
use std::fmt::Write;
use std::ops::Range;

use moteweir_sim::counting::{Assumptions, CountingError, Fit, Nuisances, Reading, State, simulated};
use rayon::prelude::*;

const PENETRATIONS: [f64; 6] = [0.9, 0.5, 0.1, 0.01, 1e-3, 1e-4];
/// Readings open and through; they take turns.
const READINGS: [(usize, usize); 7] = [(1, 1), (1, 2), (2, 1), (2, 2), (3, 3), (4, 2), (5, 5)];
const DISPERSIONS: [f64; 3] = [0.0, 0.05, 0.15];
/// What disturbs the readings; with two readings of clean air and of the foil where there are any.
const TROUBLES: [Trouble; 4] = [
    Trouble { drift: 0.0, background: 0.0, leak: 0.0 },
    Trouble { drift: 0.3, background: 0.0, leak: 0.0 },
    Trouble { drift: 0.3, background: 1e-3, leak: 0.0 },
    Trouble { drift: 0.3, background: 1e-3, leak: 3e-3 },
];
/// Counts of an open reading.
const ROOMS: [f64; 2] = [1000.0, 30_000.0];

/// Between these a case is tried again in the table, with so many times as many runs; below them it is missed for sure.
const TRIED_AGAIN: (f64, f64) = (0.9, 0.95);
const AGAIN: u64 = 5;

/// Drift over the session; background and leak as shares of the room.
#[derive(Clone, Copy)]
struct Trouble {
    drift: f64,
    background: f64,
    leak: f64,
}

/// What is true in a case.
#[derive(Clone, Copy)]
struct Case {
    readings: (usize, usize),
    dispersion: f64,
    trouble: Trouble,
    penetration: f64,
    room: f64,
}

/// How the intervals of a case came out: shares of the runs, and the mean of ln(high/low) of those with two ends.
#[derive(Clone, Copy)]
struct Outcome {
    below: f64,
    above: f64,
    width: f64,
}

impl Outcome {
    fn held(self) -> f64 {
        1.0 - self.below - self.above
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let given: Vec<usize> = std::env::args().skip(1).map(|text| text.parse()).collect::<Result<_, _>>()?;
    match given[..] {
        [runs] => table(runs as u64)?,
        [runs, open, through, varies] => one_row(runs as u64, (open, through), varies as f64 / 100.0)?,
        _ => return Err("say how many runs a case, and perhaps: open, through, varies in per cent".into()),
    }
    Ok(())
}

/// One row of cells for each set of readings and dispersion.
fn table(runs: u64) -> Result<(), Box<dyn Error>> {
    let error = |runs: u64| 100.0 * (0.95_f64 * 0.05 / runs as f64).sqrt();
    println!(
        "stated 95 %, 12 cases a cell: mean (lowest). {runs} runs a case, of a standard error of {:.1}; a case at 90 to 95 %: {} \
         fresh ones, {:.1}",
        error(runs),
        AGAIN * runs,
        error(AGAIN * runs)
    );
    println!("open  through  varies   steady room  drift 0.3    and background  and leak");
    for readings in READINGS {
        for dispersion in DISPERSIONS {
            let mut line = format!("{:>4}  {:>7}  {:>4} %  ", readings.0, readings.1, 100.0 * dispersion);
            for trouble in TROUBLES {
                let found = held_up(&cases(readings, dispersion, trouble), runs)?;
                let mean = found.iter().sum::<f64>() / found.len() as f64;
                let lowest = found.iter().copied().fold(1.0, f64::min);
                write!(line, " {:>5.1} ({:.1})", 100.0 * mean, 100.0 * lowest)?;
            }
            println!("{line}");
        }
    }
    Ok(())
}

/// One line for each case.
fn one_row(runs: u64, readings: (usize, usize), dispersion: f64) -> Result<(), Box<dyn Error>> {
    println!("drift background leak  penetration  room   held (error)  below  above   ln(high/low)");
    for trouble in TROUBLES {
        let cases = cases(readings, dispersion, trouble);
        for (case, outcome) in cases.iter().zip(outcomes(&cases, runs)?) {
            let held = outcome.held();
            let error = (held * (1.0 - held) / runs as f64).sqrt();
            println!(
                "{:>5} {:>10} {:>5} {:>11} {:>6}   {:>5.1} ({:.1})   {:>5.1}  {:>5.1}   {:.3}",
                trouble.drift,
                trouble.background,
                trouble.leak,
                case.penetration,
                case.room,
                100.0 * held,
                100.0 * error,
                100.0 * outcome.below,
                100.0 * outcome.above,
                outcome.width
            );
        }
    }
    Ok(())
}

fn cases(readings: (usize, usize), dispersion: f64, trouble: Trouble) -> Vec<Case> {
    let of = |penetration| ROOMS.map(|room| Case { readings, dispersion, trouble, penetration, room });
    PENETRATIONS.into_iter().flat_map(of).collect()
}

fn outcomes(cases: &[Case], runs: u64) -> Result<Vec<Outcome>, CountingError> {
    cases.par_iter().enumerate().map(|(number, case)| outcome(case, number as u64, 0..runs)).collect()
}

/// Shares of runs that held; of cases tried again those of the second try.
fn held_up(cases: &[Case], runs: u64) -> Result<Vec<f64>, CountingError> {
    let held = |(number, case): (usize, &Case)| {
        let first = outcome(case, number as u64, 0..runs)?.held();
        if first >= TRIED_AGAIN.1 || first < TRIED_AGAIN.0 {
            return Ok(first);
        }
        Ok(outcome(case, number as u64, runs..(1 + AGAIN) * runs)?.held())
    };
    cases.par_iter().enumerate().map(held).collect()
}

/// The readings of a case, without their counts.
fn plan(case: &Case) -> Vec<Reading> {
    let (open, through) = case.readings;
    let mut states = Vec::new();
    for turn in 0..open.max(through) {
        states.extend((turn < open).then_some(State::Open));
        states.extend((turn < through).then_some(State::Sample(0)));
    }
    states.extend(vec![State::Zero; if case.trouble.background > 0.0 { 2 } else { 0 }]);
    states.extend(vec![State::Blocked; if case.trouble.leak > 0.0 { 2 } else { 0 }]);
    let timed = states.into_iter().enumerate();
    timed.map(|(at, state)| Reading { state, exposure: 1.0, time: Some(at as f64), counts: 0 }).collect()
}

/// Each case has a seed of its own, or else the cases of a cell would go together and their mean be no better than one.
fn outcome(case: &Case, seed: u64, runs: Range<u64>) -> Result<Outcome, CountingError> {
    let plan = plan(case);
    let Trouble { drift, background, leak } = case.trouble;
    let truth = Nuisances {
        ln_room: case.room.ln(),
        drift,
        dispersion: case.dispersion,
        background: background * case.room,
        leak,
    };
    let (mut below, mut above, mut widths, mut two_ended) = (0.0, 0.0, 0.0, 0.0_f64);
    let number = (runs.end - runs.start) as f64;
    for run in runs {
        let readings = simulated(&plan, &[case.penetration], &truth, seed, run);
        let bounds = Fit::new(&readings, 1, Assumptions::STATED)?.penetration(0, 0.95)?.bounds;
        below += f64::from(u8::from(bounds.high < case.penetration));
        above += f64::from(u8::from(bounds.low > case.penetration));
        if bounds.low > 0.0 {
            widths += (bounds.high / bounds.low).ln();
            two_ended += 1.0;
        }
    }
    let share = |count: f64| count / number;
    Ok(Outcome { below: share(below), above: share(above), width: widths / two_ended.max(1.0) })
}
