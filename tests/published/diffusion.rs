//! Diffusion against the solved convective diffusion of point particles in Kuwabara's cell.

use moteweir_physics::cell::{KuwabaraCell, kuwabara_factor};
use moteweir_physics::single_fibre::diffusion;
use moteweir_tests::{Table, Tally, solidity};

#[test]
fn the_array_form_is_two_to_three_per_cent_above_the_solved_cell() {
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let mut tally = Tally::of("2.9 Ku^(-1/3) Pe^(-2/3) + 0.624/Pe");
    for row in Table::read("diffusion_solved.csv").rows() {
        let pe = row.number("peclet");
        tally.known_miss(
            format!("Pe {pe}"),
            diffusion::array(&cell, pe),
            row.number("efficiency"),
            0.020..=0.027,
            "it lacks the factor (1 - solidity)^(1/3) of the exact thin layer",
        );
    }
    tally.close_all();
}

#[test]
fn the_thin_layer_is_approached_from_above_as_the_peclet_number_grows() {
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let table = Table::read("diffusion_solved.csv");
    let mut tally = Tally::of("exact thin layer against the solved cell");
    for (row, size) in table.rows().iter().zip([-0.041..=-0.031, -0.020..=-0.015, -0.009..=-0.007]) {
        let pe = row.number("peclet");
        tally.known_miss(
            format!("Pe {pe}"),
            diffusion::thin_layer(&cell, pe),
            row.number("efficiency"),
            size,
            "the layer is not thin: the curvature of the fibre adds about 0.5/Pe",
        );
    }
    tally.close_all();
}

#[test]
fn the_form_of_stechkina_and_fuchs_as_a_textbook_prints_it() {
    // Tan 2014, p. 179: E = [3.65 Pe_m^(-2/3) + 0.624/Pe_m]/(2 Ku), Pe_m = Pe/(2 Ku); 3.65/2^(1/3) = 2.897 for 2.9.
    let mut tally = Tally::of("3.65 form against 2.9 form");
    for alpha in [0.01, 0.05, 0.2] {
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        let twice_ku = 2.0 * kuwabara_factor(alpha);
        for pe in [1e2_f64, 1e3, 1e5] {
            let reduced = pe / twice_ku;
            let printed = (3.65 * reduced.powf(-2.0 / 3.0) + 0.624 / reduced) / twice_ku;
            tally.relative(format!("{alpha} {pe}"), diffusion::array(&cell, pe), printed, 1.1e-3);
        }
    }
    tally.close_with_largest(1.1e-3);
}
