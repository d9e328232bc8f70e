//! How long does one particle at one fibre take: the concentration to 0.1 % (aim: under 50 ms), a limiting trajectory to
//! 1e-4 (under 5 ms), random histories to 1 % at an efficiency of 0.05 (under 2 s on two cores)?
//!
//! `--plain` prints values and times of the concentration for `compare/cell.py`, which solves the same in SciPy.

use std::time::Instant;

use divan::{Bencher, black_box};
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;
use moteweir_sim::convection::{Diffuser, Drift, EdgeCondition, Resolution, diffusive_efficiency};
use moteweir_sim::langevin::{BrownianParticle, Groups, Plan, langevin_efficiency};
use moteweir_sim::trajectory::{Particle, Precision, limiting_efficiency};
use moteweir_units::Solidity;

/// Solidity, fibre Knudsen number, R, Pe.
const PARTICLES: [(f64, f64, f64, f64); 4] =
    [(0.05, 0.0, 0.0, 1e3), (0.05, 0.1, 0.1, 1e4), (0.01, 0.0, 0.05, 1e6), (0.2, 0.5, 0.3, 1e2)];
/// The finest of three grids that give an efficiency to 0.1 % by extrapolation.
const GRID: Resolution = Resolution { rings: 64, sectors: 48 };
/// Of how many runs the best counts.
const RUNS: u32 = 7;

fn main() {
    if std::env::args().any(|argument| argument == "--plain") {
        plain();
    } else {
        divan::main();
    }
}

fn diffuser((alpha, knudsen, interception, peclet): (f64, f64, f64, f64)) -> Diffuser {
    let cell = KuwabaraCell::new(Solidity::new(alpha).expect("a solidity"), knudsen);
    Diffuser::new(cell, interception, peclet, Drift::NONE).expect("a particle that fits")
}

#[divan::bench(args = PARTICLES)]
fn concentration(bencher: Bencher<'_, '_>, particle: (f64, f64, f64, f64)) {
    let diffuser = diffuser(particle);
    bencher.bench_local(|| diffusive_efficiency(black_box(&diffuser), EdgeCondition::InflowFlux, GRID));
}

#[divan::bench(args = [(0.05, 0.1, 0.5), (0.01, 0.3, 2.0), (0.2, 0.05, 0.1)])]
fn limiting_trajectory(bencher: Bencher<'_, '_>, (alpha, interception, stokes): (f64, f64, f64)) {
    let cell = KuwabaraCell::new(Solidity::new(alpha).expect("a solidity"), 0.0);
    let particle = Particle::new(stokes, interception, &cell).expect("a particle that fits");
    bencher.bench_local(|| {
        limiting_efficiency(cell, black_box(particle), Release::Uniform, Precision::QUICK, None)
    });
}

/// 20 000 histories on all cores; the standard error is printed by `moteweir resolve` (about 1 % here).
#[divan::bench(sample_count = 5, sample_size = 1)]
fn histories(bencher: Bencher<'_, '_>) {
    let cell = KuwabaraCell::new(Solidity::new(0.05).expect("a solidity"), 0.0);
    let groups = Groups { interception: 0.1, stokes: 0.2, peclet: 1e3, settling: 0.0 };
    let particle = BrownianParticle::new(cell, groups, Release::Uniform).expect("a particle that fits");
    let plan = Plan { seed: 1, histories: 20_000, fineness: 1.0 };
    bencher.bench_local(|| langevin_efficiency(black_box(particle), plan));
}

/// One line a particle: its numbers, the efficiency, the best time in milliseconds.
#[expect(clippy::print_stdout, reason = "read by the comparison")]
fn plain() {
    for particle in PARTICLES {
        let diffuser = diffuser(particle);
        let (mut best, mut efficiency) = (f64::INFINITY, 0.0);
        for _ in 0..RUNS {
            let start = Instant::now();
            efficiency = diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, GRID).efficiency;
            best = best.min(start.elapsed().as_secs_f64());
        }
        let (alpha, knudsen, interception, peclet) = particle;
        println!("{alpha} {knudsen} {interception} {peclet} {efficiency} {}", 1e3 * best);
    }
}
