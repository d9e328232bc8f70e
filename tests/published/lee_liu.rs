//! The fitted set of Lee and Liu beside the exact thin layer and beside the other prefactors in print.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::{diffusion, interception};
use moteweir_tests::{Tally, solidity};

#[test]
fn the_fitted_diffusion_is_0_553_of_the_exact_thin_layer() {
    let mut tally = Tally::of("1.6 form without its bound against the thin layer");
    for alpha in [0.01, 0.05, 0.2] {
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        for pe in [1e3, 1e5, 1e7] {
            let bounded = diffusion::fitted(&cell, 0.0, pe);
            let unbounded = bounded / (1.0 - bounded);
            tally.close(format!("{alpha} {pe}"), unbounded / diffusion::thin_layer(&cell, pe), 0.553, 5e-4);
        }
    }
    tally.close_all();
}

#[test]
fn the_bound_takes_nine_per_cent_off_at_a_tenth() {
    // E/(1 + E) at E = 0.1 is 0.0909.
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let mut pe = 1.0;
    while diffusion::fitted(&cell, 0.0, pe) > 0.1 / 1.1 {
        pe *= 1.0001;
    }
    let x = 0.95 / cell.kuwabara_factor();
    let unbounded = 1.6 * x.cbrt() * pe.powf(-2.0 / 3.0);
    let mut tally = Tally::of("bound of Payet et al.");
    tally.close("E0 where E is 0.0909", unbounded, 0.1, 2e-5);
    tally.close("share taken off", 1.0 - diffusion::fitted(&cell, 0.0, pe) / unbounded, 0.0909, 1e-4);
    tally.close_all();
}

#[test]
fn the_fitted_interception_is_0_6_of_the_small_particle_theory() {
    let mut tally = Tally::of("0.6 form");
    for alpha in [0.01, 0.05, 0.2] {
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        for r in [0.001, 0.1, 0.5] {
            let ratio = interception::fitted(&cell, 0.0, r) / interception::small_particle(&cell, r);
            tally.close(format!("{alpha} {r}"), ratio, 0.6, 1e-12);
        }
    }
    tally.close_all();
}
