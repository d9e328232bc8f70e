//! What does a look-up in the atlas of the cell cost (aim: under 60 ns), all mechanical capture of a particle beside the
//! closed forms (aim: under three times), and a slice at one solidity and fibre Knudsen number?

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use moteweir_physics::single_fibre::impaction::ImpactionSlice;
use moteweir_physics::single_fibre::resolved::{Mechanical, Slice};
use moteweir_physics::single_fibre::{diffusion, interception};
use moteweir_units::Solidity;

fn main() {
    divan::main();
}

fn solidity() -> Solidity {
    Solidity::new(0.08).expect("0.08 lies between 0 and 1")
}

/// 121 sizes from 10 nm to 10 um at a fibre of 3 um, air of 10 cm/s.
fn particles() -> Vec<Mechanical> {
    (0..121)
        .map(|i| {
            let interception = 10_f64.powf(-2.5 + 3.0 * f64::from(i) / 120.0);
            Mechanical {
                peclet: 1.1e4 * interception / (1.0 + 0.05 / interception),
                stokes: 0.93 * interception * (interception + 0.05),
                interception,
            }
        })
        .collect()
}

/// Diffusion and interception at 121 sizes.
#[divan::bench]
fn diffusion_interception_121_sizes(bencher: Bencher<'_, '_>) {
    let (slice, particles) = (Slice::new(solidity(), 0.05), particles());
    bencher.counter(ItemsCount::new(121_usize)).bench_local(|| {
        let efficiencies =
            black_box(&particles).iter().map(|p| slice.diffusion_interception(p.peclet, p.interception));
        efficiencies.sum::<f64>()
    });
}

/// Diffusion, interception and inertia with their band at 121 sizes.
#[divan::bench]
fn composed_121_sizes(bencher: Bencher<'_, '_>) {
    let (slice, particles) = (Slice::new(solidity(), 0.05), particles());
    bencher
        .counter(ItemsCount::new(121_usize))
        .bench_local(|| black_box(&particles).iter().map(|p| slice.composed(*p).value).sum::<f64>());
}

/// The closed forms of the ideal cell with the impaction table at 121 sizes.
#[divan::bench]
fn closed_forms_121_sizes(bencher: Bencher<'_, '_>) {
    let (cell, impaction) = (*Slice::new(solidity(), 0.05).cell(), ImpactionSlice::new(solidity()));
    let particles = particles();
    bencher.counter(ItemsCount::new(121_usize)).bench_local(|| {
        let one = |p: &Mechanical| {
            diffusion::array(&cell, p.peclet)
                + diffusion::cross_term(&cell, p.peclet, p.interception)
                + interception::exact(&cell, p.interception)
                + impaction.increment(p.stokes, p.interception).uniform
        };
        black_box(&particles).iter().map(one).sum::<f64>()
    });
}

/// A slice, once a fibre diameter; without slip none of the inertial increment is bent.
#[divan::bench(args = [0.0, 0.05])]
fn slice(fibre_knudsen: f64) -> Slice {
    Slice::new(black_box(solidity()), fibre_knudsen)
}
