//! How often the stated 95 % intervals of a penetration hold it.
//!
//! `cargo run --release -p moteweir-sim --example coverage_of_intervals -- <runs a case>`; the table in the documentation of
//! `moteweir_sim::counting` comes from here.
#![expect(clippy::print_stdout, reason = "it reports to whoever asks")]

use std::error::Error;
use std::fmt::Write;

use moteweir_sim::counting::{Assumptions, CountingError, Fit, Nuisances, Reading, State, simulated};
use rayon::prelude::*;

const PENETRATIONS: [f64; 6] = [0.9, 0.5, 0.1, 0.01, 1e-3, 1e-4];
/// Readings open and through; they take turns.
const READINGS: [(usize, usize); 7] = [(1, 1), (1, 2), (2, 1), (2, 2), (3, 3), (4, 2), (5, 5)];
const DISPERSIONS: [f64; 3] = [0.0, 0.05, 0.15];
/// Drift, background as a share of the room, leak; with two readings of clean air and of the foil where there are any.
const TROUBLES: [(f64, f64, f64); 4] =
    [(0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.3, 1e-3, 0.0), (0.3, 1e-3, 3e-3)];
/// Counts of an open reading.
const ROOMS: [f64; 2] = [1000.0, 30_000.0];

fn main() -> Result<(), Box<dyn Error>> {
    let runs: u64 = std::env::args().nth(1).ok_or("say how many runs a case")?.parse()?;
    println!("stated 95 %, {runs} runs a case, 12 cases a cell: mean (lowest)");
    println!("open  through  varies   steady room  drift 0.3    and background  and leak");
    for readings in READINGS {
        for dispersion in DISPERSIONS {
            let mut line = format!("{:>4}  {:>7}  {:>4} %  ", readings.0, readings.1, 100.0 * dispersion);
            for trouble in TROUBLES {
                let cases: Vec<(f64, f64)> =
                    PENETRATIONS.into_iter().flat_map(|p| ROOMS.map(|room| (p, room))).collect();
                let covered: Result<Vec<f64>, CountingError> = cases
                    .into_par_iter()
                    .map(|(penetration, room)| {
                        coverage(readings, dispersion, trouble, (penetration, room), runs)
                    })
                    .collect();
                let covered = covered?;
                let mean = covered.iter().sum::<f64>() / covered.len() as f64;
                let lowest = covered.iter().copied().fold(1.0, f64::min);
                write!(line, " {:>5.1} ({:.1})", 100.0 * mean, 100.0 * lowest)?;
            }
            println!("{line}");
        }
    }
    Ok(())
}

/// Share of the runs whose interval holds the penetration.
fn coverage(
    (open, through): (usize, usize),
    dispersion: f64,
    (drift, background, leak): (f64, f64, f64),
    (penetration, room): (f64, f64),
    runs: u64,
) -> Result<f64, CountingError> {
    let mut states = Vec::new();
    for turn in 0..open.max(through) {
        states.extend((turn < open).then_some(State::Open));
        states.extend((turn < through).then_some(State::Sample(0)));
    }
    states.extend(vec![State::Zero; if background > 0.0 { 2 } else { 0 }]);
    states.extend(vec![State::Blocked; if leak > 0.0 { 2 } else { 0 }]);
    let timed = states.into_iter().enumerate();
    let plan: Vec<Reading> =
        timed.map(|(at, state)| Reading { state, exposure: 1.0, time: Some(at as f64), counts: 0 }).collect();
    let truth = Nuisances { ln_room: room.ln(), drift, dispersion, background: background * room, leak };
    let mut held = 0.0;
    for run in 0..runs {
        let readings = simulated(&plan, &[penetration], &truth, 1, run);
        let bounds = Fit::new(&readings, 1, Assumptions::STATED)?.penetration(0, 0.95)?.bounds;
        held += f64::from(u8::from(bounds.low <= penetration && penetration <= bounds.high));
    }
    Ok(held / runs as f64)
}
