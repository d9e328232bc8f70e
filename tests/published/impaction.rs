//! Impaction: the compiled table and fresh trajectories against increments solved elsewhere, and the straight lines of
//! the literature against both.

use moteweir_physics::cell::{KuwabaraCell, kuwabara_factor};
use moteweir_physics::single_fibre::impaction::published::{Prefactor, stechkina};
use moteweir_physics::single_fibre::impaction::{ImpactionSlice, Release};
use moteweir_sim::trajectory::{Particle, Precision, critical_stokes, limiting_efficiency};
use moteweir_tests::{Table, Tally, solidity};

#[test]
fn the_compiled_table_gives_the_solved_increments() {
    let slice = ImpactionSlice::new(solidity(0.05));
    let mut tally = Tally::of("increments of the compiled table");
    for row in Table::read("impaction.csv").rows() {
        let (r, stokes) = (row.number("interception"), row.number("stokes"));
        let got = slice.increment(stokes, r);
        let still = row.number("still");
        // The table is good to 1e-3 of the efficiency; the rows to half a digit.
        for (what, got, printed) in
            [("uniform", got.uniform, row.printed("uniform")), ("fluid", got.fluid, row.printed("fluid"))]
        {
            let tolerance = printed.half_digit + 1e-3 * (still + printed.value);
            tally.close(format!("{what}, R {r}, Stk {stokes}"), got, printed.value, tolerance);
        }
    }
    tally.close_all();
}

#[test]
fn fresh_trajectories_give_the_solved_increments() {
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let mut tally = Tally::of("increments by fresh trajectories");
    for row in Table::read("impaction.csv").rows() {
        let (r, stokes) = (row.number("interception"), row.number("stokes"));
        let particle = Particle::new(stokes, r, &cell).unwrap();
        tally.printed(format!("E(0), R {r}"), cell.stream_at_gap(r), row.printed("still"));
        for (release, column) in [(Release::Uniform, "uniform"), (Release::Fluid, "fluid")] {
            let total = limiting_efficiency(cell, particle, release, Precision::FINE, None).unwrap();
            let increment = total - cell.stream_at_gap(r);
            tally.printed(format!("{column}, R {r}, Stk {stokes}"), increment, row.printed(column));
        }
    }
    tally.close_all();
}

#[test]
fn critical_stokes_numbers_and_initial_slopes() {
    let mut tally = Tally::of("critical Stokes number");
    for row in Table::read("impaction_critical.csv").rows() {
        let alpha = row.number("solidity");
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        let solved = critical_stokes(cell).unwrap();
        tally.printed(format!("fresh, solidity {alpha}"), solved, row.printed("critical_stokes"));
        let slice = ImpactionSlice::new(solidity(alpha));
        tally.relative(format!("table, solidity {alpha}"), slice.critical_stokes(), solved, 1e-4);
        if let Some(slope) = row.printed_if_any("initial_slope") {
            let (r, stokes) = (1e-4, 1e-4);
            let particle = Particle::new(stokes, r, &cell).unwrap();
            let still = cell.stream_at_gap(r);
            let total = limiting_efficiency(cell, particle, Release::Uniform, Precision::FINE, None).unwrap();
            tally.close(
                format!("slope {alpha}"),
                (total / still - 1.0) / stokes,
                slope.value,
                0.005 * slope.value.abs(),
            );
        }
    }
    tally.close_all();
}

#[test]
fn the_straight_lines_in_print_miss_the_solved_increment_by_far() {
    let mut tally = Tally::of("Stechkina, Kirsch and Fuchs");
    let ku = kuwabara_factor(0.05);
    for row in Table::read("impaction.csv").rows() {
        let (r, stokes) = (row.number("interception"), row.number("stokes"));
        let solved = row.number("uniform");
        for (prefactor, column) in [
            (Prefactor::SquareOfTwiceKu, "square_of_twice_ku"),
            (Prefactor::TwiceSquareOfKu, "twice_square_of_ku"),
        ] {
            let line = stechkina(0.05, ku, stokes, r, prefactor);
            let input = format!("{column}, R {r}, Stk {stokes}");
            tally.printed(&input, line, row.printed(column));
            if stokes < 0.2 {
                let nearer = solved.abs() < (line - solved).abs();
                tally.holds(&input, "leaving impaction out is nearer the truth", nearer);
            }
        }
    }
    tally.close_all();
}
