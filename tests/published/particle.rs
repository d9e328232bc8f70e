//! Slip, diffusivity, settling velocity and relaxation time of spheres, by four slip corrections.

use moteweir_physics::constants::STANDARD_GRAVITY;
use moteweir_physics::particle::Particle;
use moteweir_physics::slip::SlipCoefficients;
use moteweir_tests::{Table, Tally, air_with_mean_free_path};
use moteweir_units::{Density, Length};

/// Gravity that the table was computed with [m/s2].
const GRAVITY_OF_THE_TABLE: f64 = 9.81;

fn slip(set: SlipCoefficients, mean_free_path_nm: f64, diameter_um: f64) -> f64 {
    set.at(2.0 * mean_free_path_nm / (1000.0 * diameter_um))
}

#[test]
fn slip_corrections_of_three_authors() {
    let mut tally = Tally::of("slip correction");
    for row in Table::read("particle_in_air.csv").rows() {
        let d = row.number("diameter_um");
        for (column, set, path) in [
            ("slip_hinds_66", SlipCoefficients::HINDS_1999, 66.0),
            ("slip_davies_66_4", SlipCoefficients::DAVIES_1945, 66.4),
            ("slip_kim_66_4", SlipCoefficients::KIM_2005, 66.4),
            ("slip_kim_67_3", SlipCoefficients::KIM_2005, 67.3),
        ] {
            tally.printed(format!("{column} {d} um"), slip(set, path, d), row.printed(column));
        }
    }
    tally.close_all();
}

#[test]
fn the_slip_in_use_is_within_three_per_cent_of_every_other_author() {
    let mut tally = Tally::of("Kim et al. 2005 against other authors at 66.4 nm");
    for row in Table::read("particle_in_air.csv").rows() {
        let d = row.number("diameter_um");
        let ours = slip(SlipCoefficients::KIM_2005, 66.4, d);
        for column in ["slip_davies_66_4", "slip_allen_raabe_66_4", "slip_hinds_66"] {
            tally.relative(format!("{column} {d} um"), ours, row.number(column), 0.029);
        }
    }
    tally.close_with_largest(0.029);
}

#[test]
fn a_particle_carries_slip_into_diffusivity_settling_and_relaxation() {
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("particle properties with Hinds' slip");
    for row in Table::read("particle_in_air.csv").rows() {
        let d = row.number("diameter_um");
        let particle = Particle::new(&air, Length::from_um(d), Density::from_kg_per_m3(1000.0));
        // The particle has the slip of Kim et al.; the table that of Hinds.
        let exchange = slip(SlipCoefficients::HINDS_1999, 66.0, d) / particle.slip();
        let settling =
            particle.settling_velocity().to_m_per_s() * exchange * GRAVITY_OF_THE_TABLE / STANDARD_GRAVITY;
        let diffusivity = particle.diffusivity().to_m2_per_s() * exchange;
        tally.printed(format!("D {d} um"), diffusivity, row.printed("diffusivity_m2_per_s"));
        tally.printed(format!("V {d} um"), settling, row.printed("settling_m_per_s"));
        let relaxation = particle.relaxation_time().to_s() * exchange;
        tally.printed(format!("tau {d} um"), relaxation, row.printed("relaxation_s"));
    }
    tally.close_all();
}
