//! Charge states sum to 1, and the Boltzmann law has its mean square.

use moteweir_physics::charging::{ParticleCharge, charge_states};
use moteweir_physics::single_fibre::electrostatic::{coulomb, polarisation};
use moteweir_tests::{Tally, air_with_mean_free_path, logarithmic};
use moteweir_units::Length;

#[test]
fn charge_states_sum_to_one_without_negative_shares() {
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("charge states");
    for charge in [ParticleCharge::Neutral, ParticleCharge::Equilibrium, ParticleCharge::Each(-7)] {
        for um in logarithmic(0.001, 100.0, 121) {
            let states = charge_states(charge, &air, Length::from_um(um));
            let sum: f64 = states.iter().map(|(_, share)| share).sum();
            tally.close(format!("{charge:?} {um} um"), sum, 1.0, 1e-12);
            tally.holds(format!("{um} um"), "no share is negative", states.iter().all(|(_, s)| *s >= 0.0));
        }
    }
    tally.close_all();
}

#[test]
fn the_mean_square_of_the_boltzmann_law_is_half_its_width() {
    // <n^2> = 4 pi eps0 d k T/(2 e^2) for a wide distribution.
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("mean square charge");
    for um in [0.3, 1.0, 5.0, 20.0] {
        let states = charge_states(ParticleCharge::Equilibrium, &air, Length::from_um(um));
        let got: f64 = states.iter().map(|(n, share)| f64::from(n * n) * share).sum();
        let width = 4.0 * std::f64::consts::PI * 8.8541878e-12 * um * 1e-6 * 1.380649e-23 * 293.15
            / 1.602176634e-19_f64.powi(2);
        tally.relative(format!("{um} um"), got, 0.5 * width, 1e-3);
    }
    tally.close_all();
}

#[test]
fn electret_laws_rise_and_keep_their_exact_bounds() {
    let mut tally = Tally::of("electret laws");
    let (mut before_c, mut before_p) = (0.0, 0.0);
    for n in logarithmic(1e-12, 1e4, 400) {
        tally.within(format!("Coulomb, N {n}"), coulomb(n), before_c..=n);
        tally.within(format!("polarisation, N {n}"), polarisation(n), before_p..=std::f64::consts::PI * n);
        (before_c, before_p) = (coulomb(n), polarisation(n));
    }
    tally.close("nothing", coulomb(0.0) + polarisation(0.0), 0.0, 0.0);
    tally.close_all();
}
