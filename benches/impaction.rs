//! What does a look-up in the impaction table cost, what does its slice at one solidity, and how many times more is
//! a fresh trajectory?

use divan::{Bencher, black_box};
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::{ImpactionSlice, Release};
use moteweir_sim::trajectory::{Particle, Precision, limiting_efficiency};
use moteweir_units::Solidity;

fn main() {
    divan::main();
}

fn solidity() -> Solidity {
    Solidity::new(0.08).expect("0.08 lies between 0 and 1")
}

/// A look-up within the table.
#[divan::bench(args = [(0.5, 0.1), (2.0, 0.3), (50.0, 1.0)])]
fn look_up(bencher: Bencher<'_, '_>, (stokes, interception): (f64, f64)) {
    let slice = ImpactionSlice::new(solidity());
    bencher.bench_local(|| slice.increment(black_box(stokes), black_box(interception)));
}

/// A slice of the table at one solidity, once a material.
#[divan::bench]
fn slice() -> ImpactionSlice {
    ImpactionSlice::new(black_box(solidity()))
}

/// The same from a limiting trajectory, quickly and as finely as for the table.
#[divan::bench(args = ["quick", "fine"], sample_count = 20)]
fn fresh_trajectory(bencher: Bencher<'_, '_>, precision: &str) {
    let cell = KuwabaraCell::new(solidity(), 0.0);
    let particle = Particle::new(2.0, 0.3, &cell).expect("it fits into the cell");
    let precision = if precision == "quick" { Precision::QUICK } else { Precision::FINE };
    bencher.bench_local(|| limiting_efficiency(cell, particle, Release::Uniform, black_box(precision), None));
}
