//! Follows particles with inertia that diffuse at points all over the atlas, writes what every solver says there, and
//! prints how far the rule that joins diffusion and inertia is from it.
//!
//! `cargo run --release -p moteweir-sim --example measure_composing -- <out>`; the record that tests compare with is
//! `crates/sim/src/atlas/together.csv`. Without `<out>` the record is compared and nothing solved.
#![expect(clippy::print_stdout, reason = "it reports to whoever measures")]

use std::error::Error;

use moteweir_physics::single_fibre::resolved::Atlas;
use moteweir_sim::atlas::{Comparison, Joint, Origin, design, solve, together};
use moteweir_sim::langevin::Plan;

const POINTS: usize = 60;
const SEED: u64 = 7;
const HISTORIES: u64 = 120_000;

fn main() -> Result<(), Box<dyn Error>> {
    let joints = match std::env::args_os().nth(1) {
        Some(path) => {
            let joints = measured()?;
            let mut record = format!(
                "# Diffusion, interception and inertia at once: convective diffusion, limiting trajectories and Langevin\n\
                 # histories ({HISTORIES} a point), uniform release, at {POINTS} particles as they occur and {POINTS} points\n\
                 # whose groups were drawn each for itself, seed {SEED}.\n\
                 # cargo run --release -p moteweir-sim --example measure_composing -- crates/sim/src/atlas/together.csv\n\
                 {}\n",
                together::COLUMNS
            );
            for joint in &joints {
                record.push_str(&together::line(joint));
                record.push('\n');
            }
            std::fs::write(path, record)?;
            joints
        }
        None => together::read(together::RECORDED, HISTORIES),
    };
    let atlas = Atlas::compiled();
    let all: Vec<Comparison> = joints.into_iter().map(|joint| Comparison::new(joint, &atlas)).collect();
    report("particles as they occur", &all, Origin::Particle);
    report("groups drawn each for itself", &all, Origin::Groups);
    Ok(())
}

fn measured() -> Result<Vec<Joint>, Box<dyn Error>> {
    let mut joints = Vec::new();
    for (index, point) in (0_u64..).zip(design(POINTS, SEED)) {
        joints.push(solve(point, Plan { seed: 100 + index, histories: HISTORIES, fineness: 1.0 })?);
    }
    Ok(joints)
}

fn report(what: &str, all: &[Comparison], origin: Origin) {
    let of_origin: Vec<&Comparison> = all.iter().filter(|c| c.joint.point.origin == origin).collect();
    let held = of_origin.iter().filter(|c| c.is_held()).count();
    println!("{what}: {} points, {held} within the band; |E/E_Langevin - 1|:", of_origin.len());
    let noise = of_origin.iter().map(|c| c.joint.joint.standard_error / c.joint.joint.efficiency);
    let lines: [(&str, Vec<f64>); 3] = [
        ("rule", of_origin.iter().map(|c| c.miss().abs()).collect()),
        ("plain sum", of_origin.iter().map(|c| c.miss_of_sum().abs()).collect()),
        ("standard error", noise.collect()),
    ];
    for (name, mut misses) in lines {
        misses.sort_by(f64::total_cmp);
        let at =
            |rank: usize| misses.get((misses.len().max(1) - 1) * rank / 100).copied().unwrap_or(f64::NAN);
        println!("  {name:>15}: half within {:.3}, nine in ten {:.3}, all {:.3}", at(50), at(90), at(100));
    }
    let mut worst = of_origin;
    worst.sort_by(|one, other| other.miss().abs().total_cmp(&one.miss().abs()));
    for comparison in worst.iter().take(3) {
        println!("  {:+.3} at {:?}", comparison.miss(), comparison.joint.point);
    }
}
