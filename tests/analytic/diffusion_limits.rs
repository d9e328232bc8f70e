//! Diffusion at high and low Peclet numbers, and without slip.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::diffusion;
use moteweir_tests::{Tally, logarithmic, solidity};

const SOLIDITIES: [f64; 4] = [0.004, 0.05, 0.2, 0.6];

fn cell(alpha: f64) -> KuwabaraCell {
    KuwabaraCell::new(solidity(alpha), 0.0)
}

#[test]
fn at_high_peclet_numbers_every_form_falls_with_the_power_two_thirds() {
    let mut tally = Tally::of("d ln E/d ln Pe");
    for alpha in SOLIDITIES {
        let cell = cell(alpha);
        let slope = |f: &dyn Fn(f64) -> f64| (f(2e12) / f(1e12)).ln() / 2.0_f64.ln();
        for (name, slope) in [
            ("fitted", slope(&|pe| diffusion::fitted(&cell, 0.0, pe))),
            ("array", slope(&|pe| diffusion::array(&cell, pe))),
            ("thin layer", slope(&|pe| diffusion::thin_layer(&cell, pe))),
        ] {
            tally.close(format!("{name}, {alpha}"), slope, -2.0 / 3.0, 1e-4);
        }
        // The array's prefactor over the exact one: 2.9/2.8922 (1 - alpha)^(-1/3).
        let ratio = diffusion::array(&cell, 1e14) / diffusion::thin_layer(&cell, 1e14);
        let expected = 2.9 / diffusion::THIN_LAYER_CONSTANT / (1.0 - alpha).cbrt();
        tally.relative(format!("prefactor, {alpha}"), ratio, expected, 1e-4);
    }
    tally.close_all();
}

#[test]
fn at_low_peclet_numbers_the_fitted_form_goes_to_one_and_the_array_to_its_second_term() {
    let mut tally = Tally::of("low Peclet number");
    for alpha in SOLIDITIES {
        let cell = cell(alpha);
        tally.close(format!("fitted, {alpha}"), diffusion::fitted(&cell, 0.0, 1e-9), 1.0, 1e-5);
        tally.relative(format!("array, {alpha}"), diffusion::array(&cell, 1e-12) * 1e-12, 0.624, 1e-2);
        for kn in [0.0, 0.1, 1.0] {
            let mut before = 1.0;
            for pe in logarithmic(1e-6, 1e12, 100) {
                let e = diffusion::fitted(&cell, kn, pe);
                tally.within(format!("fitted, {alpha}, Kn {kn}, Pe {pe}"), e, 0.0..=before);
                before = e;
            }
        }
    }
    tally.close_all();
}

#[test]
fn slip_on_the_fibre_adds_a_term_that_falls_with_one_third() {
    // E0 with slip less E0 without is 1.6 x 0.388 Kn (x Pe)^(2/3)/Pe.
    let mut tally = Tally::of("slip in diffusion");
    let unbounded = |e: f64| e / (1.0 - e);
    for alpha in SOLIDITIES {
        let cell = cell(alpha);
        let x = (1.0 - alpha) / cell.kuwabara_factor();
        for pe in [1e3, 1e6] {
            let gain =
                unbounded(diffusion::fitted(&cell, 0.05, pe)) - unbounded(diffusion::fitted(&cell, 0.0, pe));
            let expected = 1.6 * 0.388 * 0.05 * (x * pe).powf(2.0 / 3.0) / pe;
            tally.relative(format!("{alpha}, Pe {pe}"), gain, expected, 1e-9);
        }
    }
    tally.close_all();
}

#[test]
fn the_cross_term_vanishes_for_points_and_for_large_peclet_numbers() {
    let cell = cell(0.05);
    let mut tally = Tally::of("cross term");
    tally.within("a point", diffusion::cross_term(&cell, 1e4, 1e-15), 0.0..=1e-9);
    tally.within("no diffusion", diffusion::cross_term(&cell, 1e18, 0.1), 0.0..=1e-9);
    tally.close_all();
}
