//! The closures as sums of their terms, and their bounds.

use moteweir_physics::closure::{Closure, FibreSurroundings, PreparedFibre};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_tests::{Tally, air_with_mean_free_path, logarithmic, solidity};
use moteweir_units::{Density, Length, SurfaceCharge, Velocity};

fn surroundings(alpha: f64, fibre_um: f64, velocity: f64, charge_uc: f64) -> FibreSurroundings {
    FibreSurroundings {
        solidity: solidity(alpha),
        fibre_diameter: Length::from_um(fibre_um),
        face_velocity: Velocity::from_m_per_s(velocity),
        direction: FlowDirection::Horizontal,
        electret: Electret {
            surface_charge: SurfaceCharge::from_uc_per_m2(charge_uc),
            fibre_permittivity: 2.2,
            particle_permittivity: 5.0,
        },
    }
}

#[test]
fn the_total_is_the_sum_of_the_terms_where_no_bound_is_met() {
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("total against the sum of the terms");
    for closure in Closure::ALL {
        for (alpha, fibre, velocity) in [(0.02, 20.0, 0.05), (0.05, 3.0, 0.1), (0.1, 15.0, 0.3)] {
            let fibre = PreparedFibre::new(closure, &air, surroundings(alpha, fibre, velocity, 0.0));
            for um in logarithmic(0.02, 3.0, 25) {
                let particle = Particle::new(&air, Length::from_um(um), Density::from_kg_per_m3(1000.0));
                let e = fibre.efficiency(&particle, 0);
                let r = fibre.groups(&particle).interception;
                if e.interception + e.impaction >= 0.999 * (1.0 + r) {
                    continue;
                }
                let sum = e.diffusion + e.interception + e.cross + e.impaction + e.gravity + e.electrostatic;
                tally.relative(format!("{} {alpha} {um} um", closure.name()), e.total.value, sum, 1e-12);
            }
        }
    }
    tally.close_all();
}

#[test]
fn the_band_holds_the_value_and_the_bounds_hold_the_band() {
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("bands and bounds");
    for closure in Closure::ALL {
        for charge in [0.0, 50.0] {
            for (alpha, fibre) in [(0.004, 0.05), (0.05, 2.0), (0.3, 100.0), (0.6, 10.0)] {
                for velocity in [1e-4, 0.05, 3.0] {
                    let prepared =
                        PreparedFibre::new(closure, &air, surroundings(alpha, fibre, velocity, charge));
                    for um in logarithmic(0.001, 100.0, 30) {
                        let particle =
                            Particle::new(&air, Length::from_um(um), Density::from_kg_per_m3(1000.0));
                        let e = prepared.efficiency(&particle, 3).total;
                        let whole = alpha.powf(-0.5) * (1.0 + 1e-12);
                        let input =
                            format!("{} {alpha} {fibre} um {velocity} m/s {charge} {um} um", closure.name());
                        tally.within(&input, e.value, e.low..=e.high);
                        tally.within(&input, e.low, 0.0..=whole);
                        tally.within(&input, e.high, 0.0..=whole);
                    }
                }
            }
        }
    }
    tally.close_all();
}

#[test]
fn each_closure_keeps_its_velocity_convention() {
    let air = air_with_mean_free_path(66.0);
    let particle = Particle::new(&air, Length::from_um(0.3), Density::from_kg_per_m3(1000.0));
    let mut tally = Tally::of("velocity convention");
    for alpha in [0.01, 0.1, 0.4] {
        let groups =
            |closure| PreparedFibre::new(closure, &air, surroundings(alpha, 5.0, 0.1, 0.0)).groups(&particle);
        let (fitted, cell) = (groups(Closure::LeeLiu), groups(Closure::KuwabaraCell));
        tally.relative(format!("Pe {alpha}"), fitted.peclet / cell.peclet, 1.0 / (1.0 - alpha), 1e-12);
        tally.relative(format!("Stk {alpha}"), fitted.stokes / cell.stokes, 1.0 / (1.0 - alpha), 1e-12);
        tally.relative(format!("G {alpha}"), fitted.settling / cell.settling, 1.0 - alpha, 1e-12);
        let pe = 0.1 * 5e-6 / particle.diffusivity().to_m2_per_s();
        tally.relative(format!("cell's Pe {alpha}"), cell.peclet, pe, 1e-12);
    }
    tally.close_all();
}
