//! The inputs that the benchmarks share: one fibre, one web, the particles of a curve, and the demo.
//!
//! A benchmark answers a question. Numbers hold for the machine they were measured on; ratios, taken side by side in
//! one run, hold a little further. None is a test.

use moteweir::{Case, Files, Shelf};
use moteweir_physics::air::Air;
use moteweir_physics::closure::{Closure, FibreSurroundings, PreparedFibre};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_units::{Density, Length, Solidity, SurfaceCharge, Velocity};

/// Sizes of a curve, as many as a scenario has by default.
pub const SIZES: usize = 121;

/// The demo of the repository.
pub const DEMO: &str = include_str!("../../scenarios/seaside-inserts.toml");

/// The case of the demo, with the counts that it names.
///
/// # Panics
/// Never: a test reads it.
pub fn demo() -> Case {
    let counts = include_str!("../../scenarios/seaside-bench.csv");
    let files = Files::from_iter([("seaside-bench.csv".to_owned(), counts.to_owned())]);
    Case::read_with(DEMO, Shelf::built_in(), &files).expect("the demo is fine")
}

/// Particles of a curve from 0.01 to 10 um, of unit density, in reference air.
pub fn particles() -> Vec<Particle> {
    let air = Air::reference();
    (0..SIZES)
        .map(|i| Length::from_um(10.0_f64.powf(-2.0 + 3.0 * i as f64 / (SIZES - 1) as f64)))
        .map(|diameter| Particle::new(&air, diameter, Density::from_kg_per_m3(1000.0)))
        .collect()
}

/// Uncharged fibres, or fibres with 50 uC/m2.
pub fn electret(charged: bool) -> Electret {
    Electret {
        surface_charge: SurfaceCharge::from_uc_per_m2(if charged { 50.0 } else { 0.0 }),
        fibre_permittivity: 2.2,
        particle_permittivity: 3.0,
    }
}

/// A melt-blown-like fibre: 3 um at solidity 0.08 and 10 cm/s.
///
/// # Panics
/// Never: the solidity is one.
pub fn fibre(closure: Closure, charged: bool) -> PreparedFibre {
    let surroundings = FibreSurroundings {
        solidity: Solidity::new(0.08).expect("0.08 lies between 0 and 1"),
        fibre_diameter: Length::from_um(3.0),
        face_velocity: Velocity::from_cm_per_s(10.0),
        direction: FlowDirection::Horizontal,
        electret: electret(charged),
    };
    PreparedFibre::new(closure, &Air::reference(), surroundings)
}
