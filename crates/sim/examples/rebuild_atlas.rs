//! Solves the atlas of the cell anew, writes it, and prints how far it is from fresh solutions.
//!
//! `cargo run --release -p moteweir-sim --example rebuild_atlas -- <out>`; the atlas that the program compiles in is
//! `crates/physics/src/single_fibre/resolved/atlas.bin`. With `--try <file>` a written atlas is tried and none solved.
#![expect(clippy::print_stdout, reason = "it reports to whoever rebuilds the atlas")]

use std::error::Error;
use std::time::Instant;

use moteweir_physics::single_fibre::resolved::Atlas;
use moteweir_sim::atlas::{Misses, Nodes, build, diffusive_misses, inertial_misses, spread_misses};

const POINTS: u32 = 500;
const SEED: u64 = 11;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<_> = std::env::args_os().skip(1).collect();
    let start = Instant::now();
    let bytes = match arguments.as_slice() {
        [option, path] if option == "--try" => std::fs::read(path)?,
        [path] => {
            let bytes = build(&Nodes::COMPILED)?;
            println!("solved in {:.1} s", start.elapsed().as_secs_f64());
            std::fs::write(path, &bytes)?;
            println!("wrote {} bytes to {}", bytes.len(), path.display());
            bytes
        }
        _ => return Err("say where to write the atlas".into()),
    };
    let atlas = Atlas::read(&bytes)?;
    report("diffusion and interception, |E_atlas/E - 1|", &diffusive_misses(&atlas, POINTS, SEED)?);
    report("interception and inertia, |E_atlas - E|/(E + 0.001)", &inertial_misses(&atlas, POINTS, SEED)?);
    report("spread by the edge to Pe 10, |difference of ln|", &spread_misses(&atlas, POINTS, SEED)?);
    println!("in {:.1} s", start.elapsed().as_secs_f64());
    Ok(())
}

fn report(what: &str, misses: &Misses) {
    println!("{what} at {POINTS} fresh points:");
    for (name, rank) in
        [("half of them within", 0.5), ("nine in ten", 0.9), ("99 in 100", 0.99), ("all", 1.0)]
    {
        println!("  {name:>19} {:.2e}", misses.quantile(rank));
    }
    if let Some(worst) = misses.samples.last() {
        println!("  worst: {worst:?}");
    }
}
