//! How long does a closure take for the 121 sizes of a curve (aim: under 20 us), what do the sets cost beside each
//! other, and what do charge, a spread of fibres and a charge distribution cost on top?

use divan::{Bencher, black_box};
use moteweir_benches::{electret, fibre, particles};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_units::{Density, Length, Solidity, Velocity};

fn main() {
    divan::main();
}

/// One fibre, uncharged.
#[divan::bench(args = [Closure::LeeLiu, Closure::KuwabaraCell])]
fn fibre_121_sizes(bencher: Bencher<'_, '_>, closure: Closure) {
    let (fibre, particles) = (fibre(closure, false), particles());
    bencher.bench_local(|| {
        black_box(&particles).iter().map(|p| fibre.efficiency(p, 0).total.value).sum::<f64>()
    });
}

/// One charged fibre, particles with one charge.
#[divan::bench(args = [Closure::LeeLiu, Closure::KuwabaraCell])]
fn charged_fibre_121_sizes(bencher: Bencher<'_, '_>, closure: Closure) {
    let (fibre, particles) = (fibre(closure, true), particles());
    bencher.bench_local(|| {
        black_box(&particles).iter().map(|p| fibre.efficiency(p, 1).total.value).sum::<f64>()
    });
}

/// Slip, diffusivity, settling and relaxation of the particles themselves.
#[divan::bench]
fn particles_121_sizes() -> f64 {
    particles().iter().map(Particle::slip).sum()
}

/// A web's penetration at 121 sizes, by the spread of its fibres and the charge of the particles.
#[divan::bench(args = [
    ("one diameter", "neutral"),
    ("lognormal 1.6", "neutral"),
    ("one diameter", "boltzmann"),
    ("lognormal 1.6", "boltzmann"),
])]
fn web_121_sizes(bencher: Bencher<'_, '_>, (spread, charge): (&str, &str)) {
    let median = Length::from_um(3.0);
    let gsd = if spread == "one diameter" { 1.0 } else { 1.6 };
    let web = Web {
        solidity: Solidity::new(0.08).expect("0.08 lies between 0 and 1"),
        thickness: Length::from_mm(0.3),
        fibres: FibreDiameters::lognormal(median, gsd),
        electret: electret(false),
        unevenness: 0.0,
        inhomogeneity: 1.0,
        drag_factor: None,
    };
    let air = Air::reference();
    let setting = Setting { closure: Closure::LeeLiu, air, direction: FlowDirection::Horizontal };
    let ready = Stack::new([(Layer::Web(web), 1)]).prepare(&setting, Velocity::from_cm_per_s(10.0));
    let kind = ParticleKind {
        density: Density::from_kg_per_m3(1000.0),
        charge: if charge == "neutral" { ParticleCharge::Neutral } else { ParticleCharge::Equilibrium },
    };
    let sizes: Vec<Length> = particles().iter().map(Particle::diameter).collect();
    bencher.bench_local(|| black_box(&sizes).iter().map(|&d| ready.penetration(d, &kind).value).sum::<f64>());
}
