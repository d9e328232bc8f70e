//! Judges every closed form of the literature against the solved cell and prints the table as Markdown.
//!
//! `cargo run --release -p moteweir-sim --example judge_closed_forms -- 400 > verdict.md`

use std::io::{self, Write};

use moteweir_physics::single_fibre::closed_forms::{ALL, Term};
use moteweir_sim::verdict::{Judged, judge};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let count = std::env::args().nth(1).map_or(Ok(400), |text| text.parse())?;
    let mut out = io::stdout().lock();
    writeln!(out, "| closed form | stands for | claimed | median miss | largest miss | within 10 % |")?;
    writeln!(out, "|---|---|---|---:|---:|---|")?;
    for form in &ALL {
        let judged = judge(form, count, 1)?;
        writeln!(out, "{}", row(form.term, &judged))?;
    }
    Ok(())
}

fn row(term: Term, judged: &Judged) -> String {
    let range = |[low, high]: [f64; 2]| format!("{} {low:.2e} to {high:.2e}", judged.main.symbol());
    let good = judged.good.map_or_else(|| "nowhere".to_owned(), range);
    format!(
        "| {} | {} | {} | {:+.1} % | {:+.0} % | {good} |",
        judged.name,
        term.words(),
        range(judged.claimed),
        100.0 * judged.median,
        100.0 * judged.largest
    )
}
