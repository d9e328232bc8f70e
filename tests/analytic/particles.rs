//! Particles: diameters there and back, and the two ends of the slip correction.

use moteweir_physics::air::Air;
use moteweir_physics::particle::{Particle, aerodynamic_diameter, mobility_diameter};
use moteweir_physics::slip::SlipCoefficients;
use moteweir_tests::{Tally, logarithmic};
use moteweir_units::{Density, Length, Pressure, Temperature};

fn airs() -> [Air; 3] {
    [(253.15, 101_325.0, 0.0), (296.15, 101_325.0, 0.5), (313.15, 70_000.0, 0.9)]
        .map(|(t, p, rh)| Air::new(Temperature::from_kelvin(t), Pressure::from_pa(p), rh))
}

#[test]
fn aerodynamic_and_mobility_diameter_are_inverse_and_settle_alike() {
    let mut tally = Tally::of("diameters");
    let unit = Density::from_kg_per_m3(1000.0);
    for air in airs() {
        for rho in [300.0, 1000.0, 2165.0, 8000.0] {
            let rho = Density::from_kg_per_m3(rho);
            for um in logarithmic(0.001, 100.0, 26) {
                let d = Length::from_um(um);
                let aerodynamic = aerodynamic_diameter(&air, d, rho);
                let back = mobility_diameter(&air, aerodynamic, rho);
                tally.relative(format!("{um} um, {rho:?}"), back.to_um(), um, 1e-9);
                let settles = |d, rho| Particle::new(&air, d, rho).settling_velocity().to_m_per_s();
                tally.relative(
                    format!("settling {um} um"),
                    settles(aerodynamic, unit),
                    settles(d, rho),
                    1e-9,
                );
            }
        }
    }
    tally.close_all();
}

#[test]
fn slip_goes_to_one_for_large_and_to_a_plus_b_over_knudsen_for_small() {
    let mut tally = Tally::of("slip correction");
    for (set, a, b) in [
        (SlipCoefficients::KIM_2005, 1.165, 0.483),
        (SlipCoefficients::DAVIES_1945, 1.257, 0.400),
        (SlipCoefficients::HINDS_1999, 1.17, 0.525),
    ] {
        tally.close(format!("{set:?}"), set.at(1e-9), 1.0, 1e-8);
        tally.relative(format!("{set:?}"), (set.at(1e9) - 1.0) / 1e9, a + b, 1e-8);
        let mut before = 1.0;
        for kn in logarithmic(1e-6, 1e6, 200) {
            tally.holds(format!("Kn {kn}"), "slip rises with the Knudsen number", set.at(kn) > before);
            before = set.at(kn);
        }
    }
    tally.close_all();
}

#[test]
fn einstein_and_newton_agree_on_mobility() {
    // D = k T B and tau = m B with one mobility B: D/tau = k T/m.
    let mut tally = Tally::of("D/tau = k T/m");
    for air in airs() {
        for um in [0.005, 0.3, 20.0] {
            let particle = Particle::new(&air, Length::from_um(um), Density::from_kg_per_m3(1200.0));
            let mass = 1200.0 * std::f64::consts::PI / 6.0 * (um * 1e-6_f64).powi(3);
            let thermal = 1.380649e-23 * air.temperature().to_kelvin();
            let ratio = particle.diffusivity().to_m2_per_s() / particle.relaxation_time().to_s();
            tally.relative(format!("{um} um"), ratio, thermal / mass, 1e-12);
        }
    }
    tally.close_all();
}

#[test]
fn air_scales_as_a_gas_does() {
    let mut tally = Tally::of("air");
    let at = |t: f64, p: f64| Air::new(Temperature::from_kelvin(t), Pressure::from_pa(p), 0.0);
    let (low, high) = (at(300.0, 50_000.0), at(300.0, 100_000.0));
    tally.relative("viscosity and pressure", low.viscosity().to_pa_s(), high.viscosity().to_pa_s(), 1e-15);
    tally.relative("density", 2.0 * low.density().to_kg_per_m3(), high.density().to_kg_per_m3(), 1e-14);
    tally.relative(
        "mean free path",
        low.mean_free_path().to_nm(),
        2.0 * high.mean_free_path().to_nm(),
        1e-14,
    );
    // mean free path = constant x (mu/p) sqrt(T): both laws share one Sutherland term.
    for t in [250.0, 273.15, 350.0] {
        let air = at(t, 101_325.0);
        let ratio = air.mean_free_path().to_m() / (air.viscosity().to_pa_s() * t.sqrt());
        let reference = 67.3e-9 / (1.83245e-5 * 296.15_f64.sqrt());
        tally.relative(format!("{t} K"), ratio, reference, 1e-12);
    }
    tally.close_all();
}
