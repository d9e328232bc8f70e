//! Solves the table of the joint electret law anew, writes it, and prints how far it is from fresh paths.
//!
//! `cargo run --release -p moteweir-sim --example rebuild_electret_table -- <out>`; the table that the program compiles in
//! is `crates/physics/src/single_fibre/electret_table.bin`.
#![expect(clippy::print_stdout, reason = "it reports to whoever rebuilds the table")]

use std::error::Error;
use std::time::Instant;

use moteweir_physics::single_fibre::electret_law::ElectretTable;
use moteweir_sim::charge_table::{Resolution, Sample, build, samples};

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args_os().nth(1).ok_or("say where to write the table")?;
    let start = Instant::now();
    let bytes = build(Resolution::COMPILED)?;
    println!("solved in {:.1} s", start.elapsed().as_secs_f64());
    std::fs::write(&path, &bytes)?;
    println!("wrote {} bytes to {}", bytes.len(), path.display());
    let samples = samples(&ElectretTable::read(&bytes)?, 4000, 7)?;
    println!("|E_table/E - 1| at {} fresh points:", samples.len());
    for (name, rank) in
        [("half of them within", 0.5), ("nine in ten", 0.9), ("99 in 100", 0.99), ("all", 1.0)]
    {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank between 0 and 1")]
        let index = (rank * (samples.len() - 1) as f64) as usize;
        println!("  {name:>19} {:.2e}", samples.get(index).map_or(f64::NAN, Sample::miss));
    }
    for sample in samples.iter().rev().take(12) {
        println!("{:.2e} {sample:?}", sample.miss());
    }
    println!("in {:.1} s", start.elapsed().as_secs_f64());
    Ok(())
}
