//! Solves the impaction table anew, writes it, and prints how far it is from fresh trajectories.
//!
//! `cargo run --release -p moteweir-sim --example rebuild_impaction_table -- <out>`; the table that the program
//! compiles in is `crates/physics/src/single_fibre/impaction_table.bin`.
#![expect(clippy::print_stdout, reason = "it reports to whoever rebuilds the table")]

use std::error::Error;
use std::time::Instant;

use moteweir_physics::single_fibre::impaction::ImpactionTable;
use moteweir_sim::impaction_table::{Resolution, build, misses};

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args_os().nth(1).ok_or("say where to write the table")?;
    let start = Instant::now();
    let bytes = build(Resolution::COMPILED)?;
    println!("solved in {:.1} s", start.elapsed().as_secs_f64());
    std::fs::write(&path, &bytes)?;
    println!("wrote {} bytes to {}", bytes.len(), path.display());
    let misses = misses(&ImpactionTable::read(&bytes)?, 20_000, 7)?;
    println!("|E_table - E|/(E + 0.001) at 20000 fresh points, both releases:");
    for (name, rank) in [
        ("half of them within", 0.5),
        ("nine in ten", 0.9),
        ("99 in 100", 0.99),
        ("999 in 1000", 0.999),
        ("all", 1.0),
    ] {
        println!("  {name:>19} {:.2e}", misses.quantile(rank));
    }
    println!("worst: {:?}", misses.samples.last());
    println!("in {:.1} s", start.elapsed().as_secs_f64());
    Ok(())
}
