//! Charge states sum to 1, and the Boltzmann law has its mean square.

use std::f64::consts::PI;

use moteweir_physics::charging::{ParticleCharge, charge_states};
use moteweir_physics::single_fibre::electret_law::{ChargeNumbers, ElectretLaw};
use moteweir_tests::{Tally, air_with_mean_free_path, logarithmic, solidity};
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

/// A point is caught at most by what the fibre's surface takes in: N and pi N.
#[test]
fn the_joint_law_rises_and_keeps_its_exact_bounds() {
    let mut tally = Tally::of("joint law of charge");
    for alpha in [0.003, 0.05, 0.4] {
        let law = ElectretLaw::at(solidity(alpha));
        let point = |coulomb, polarisation| law.joint(ChargeNumbers { coulomb, polarisation }, 0.0);
        let (mut before_c, mut before_p) = (0.0, 0.0);
        // Within the table, whose own roughness is allowed for.
        for n in logarithmic(1e-12, 100.0, 400) {
            let [coulomb, polarisation] = [point(n, 0.0), point(0.0, n)];
            tally.within(format!("Coulomb, N {n}"), coulomb, 0.9995 * before_c..=1.001 * n);
            tally.within(format!("polarisation, N {n}"), polarisation, 0.9995 * before_p..=1.001 * PI * n);
            (before_c, before_p) = (coulomb, polarisation);
        }
        tally.close("nothing", point(0.0, 0.0), 0.0, 0.0);
    }
    tally.close_all();
}
