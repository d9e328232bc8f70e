//! Charge: the solved electret laws, how far they hold from the solidity they were solved at, and joint capture.

use moteweir_physics::aerosol::{Aerosol, Weighting};
use moteweir_physics::air::Air;
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::charging::{ParticleCharge, charge_states};
use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::single_fibre::electrostatic::{coulomb, image_fitted, image_in_cell, polarisation};
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_tests::{Table, Tally, air_with_mean_free_path, solidity, web};
use moteweir_units::{Density, Length, SurfaceCharge, Velocity};

#[test]
fn the_solved_points_are_met() {
    let table = Table::read("electret_solved.csv");
    assert_eq!(table.heading("used_for"), "fit", "the laws interpolate these very points");
    let mut tally = Tally::of("electret laws at their nodes");
    for row in table.rows() {
        let n = row.number("parameter");
        tally.printed(format!("polarisation {n}"), polarisation(n), row.printed("polarisation"));
        tally.printed(format!("Coulomb {n}"), coulomb(n), row.printed("coulomb"));
    }
    tally.close_all();
}

#[test]
fn fits_in_print_agree_where_they_hold_and_not_beyond() {
    // Otani, Emi and Mori 1993, from memory: Coulomb 0.78 N; polarisation 1.48 N^0.93, 0.51 N^0.73, 0.51 N^0.35.
    let mut tally = Tally::of("electret laws against Otani, Emi and Mori");
    for n in [0.001, 0.01, 0.03, 0.1, 0.3] {
        tally.relative(format!("Coulomb {n}"), coulomb(n), 0.78 * n, 0.12);
    }
    tally.known_miss("Coulomb 1", 0.78, coulomb(1.0), 0.28..=0.32, "the straight line does not bend");
    for (n, fit) in [
        (0.001_f64, 1.48 * 0.001_f64.powf(0.93)),
        (0.01, 0.51 * 0.01_f64.powf(0.73)),
        (0.1, 0.51 * 0.1_f64.powf(0.73)),
        (1.0, 0.51),
        (10.0, 0.51 * 10.0_f64.powf(0.35)),
    ] {
        tally.relative(format!("polarisation {n}"), polarisation(n), fit, 0.20);
    }
    // Fits that break the exact bounds: 0.59 N^0.83 > N below 0.045, 0.54 N^0.40 is 44 times the solved value at 1e-4.
    tally.holds("0.59 N^0.83 at 0.04", "it breaks E <= N", 0.59 * 0.04_f64.powf(0.83) > 0.04);
    let far = 0.54 * 1e-4_f64.powf(0.40) / polarisation(1e-4);
    tally.within("0.54 N^0.40 over the law at 1e-4", far, 40.0..=48.0);
    tally.close_all();
}

#[test]
fn away_from_solidity_0_05_the_laws_miss() {
    let mut tally = Tally::of("electret laws at other solidities");
    let sizes = [0.14..=0.16, -0.27..=-0.25, 0.06..=0.08, -0.13..=-0.11];
    for (row, size) in Table::read("electret_solidity.csv").rows().iter().zip(sizes) {
        let n = row.number("parameter");
        let law = if row.text("law") == "coulomb" { coulomb(n) } else { polarisation(n) };
        let input = format!("{} at solidity {}", row.text("law"), row.text("solidity"));
        tally.known_miss(input, law, row.number("efficiency"), size, "solved at solidity 0.05 alone");
    }
    tally.close_all();
}

#[test]
fn the_joint_value_lies_between_the_larger_term_and_the_sum() {
    let mut tally = Tally::of("two causes at once");
    for row in Table::read("electret_joint.csv").rows() {
        let first = polarisation(row.number("polarisation_parameter"));
        let second = row.number("other_term");
        let joint = row.number("joint");
        tally.within(row.text("case"), joint, first.max(second)..=first + second);
        // How closures join charge with interception and inertia. The power was chosen with these two rows in view.
        let value = (first.powf(2.5) + second.powf(2.5)).powf(1.0 / 2.5);
        tally.relative(format!("joined, {}", row.text("case")), value, joint, 0.03);
    }
    tally.close_with_largest(0.03);
}

#[test]
fn the_fitted_image_force_is_a_third_below_the_thin_layer() {
    // 1.5 sqrt N against 2 sqrt((1 - alpha) N/Ku) = 2.183 sqrt N at solidity 0.05: 31 % lower.
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let mut tally = Tally::of("image force");
    for n in [1e-6, 1e-4, 1e-2] {
        tally.close(format!("{n}"), image_fitted(n) / image_in_cell(&cell, n), 1.0 - 0.31, 0.005);
    }
    tally.close_all();
}

#[test]
fn neutral_shares_follow_both_laws_at_the_ends_and_lie_between_them_inside() {
    let air = air_with_mean_free_path(66.4);
    let mut tally = Tally::of("neutral share");
    for row in Table::read("neutral_share.csv").rows() {
        let nm = row.number("diameter_nm");
        let states = charge_states(ParticleCharge::Equilibrium, &air, Length::from_nm(nm));
        let neutral = states[0].1;
        if nm <= 30.0 {
            tally.known_miss(
                format!("{nm} nm"),
                neutral,
                row.number("small_particle"),
                0.012..=0.025,
                "the fits of all charges sum to 0.985; here the shares sum to 1",
            );
        } else {
            tally.within(format!("{nm} nm"), neutral, 0.575..=0.605);
        }
    }
    tally.close_all();
}

/// A web of a weight and fibre diameter, as solid as a measured pressure drop asks for.
fn web_of_reading(gsm: f64, fibre_um: f64, pascal: f64, speed: Velocity, air: &Air) -> Web {
    let sheet =
        |alpha: f64| web(alpha, Length::from_m(gsm * 1e-3 / (910.0 * alpha)), Length::from_um(fibre_um));
    let drop = |alpha: f64| {
        sheet(alpha).prepare(Closure::LeeLiu, air, speed, FlowDirection::Horizontal).pressure_drop().value
    };
    let (mut low, mut high) = (0.004_f64, 0.3_f64);
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if drop(middle) < pascal { low = middle } else { high = middle }
    }
    sheet(low)
}

#[test]
fn a_charged_web_against_joint_trajectories() {
    // The model joins charge with interception and inertia by a power; the rows were solved jointly.
    let air = Air::reference();
    let speed = Velocity::from_cm_per_s(8.7);
    let sheet = web_of_reading(50.0, 4.08, 90.0, speed, &air);
    let kind = ParticleKind { density: Density::from_kg_per_m3(2165.0), charge: ParticleCharge::Equilibrium };
    let salt = Aerosol::lognormal(Length::from_nm(75.0), 1.86);
    let setting = Setting { closure: Closure::LeeLiu, air, direction: FlowDirection::Horizontal };
    let mut tally = Tally::of("charged web, ln P");
    let why = "even the sum of all terms misses by 3 to 9 %, so the joining makes up only the rest; the charges and \
               permittivities that the rows were solved with may differ and are not known in full";
    // Of ln P: at the worst size, weighted by mass, and at the worst size with the sum of all terms.
    let misses = [
        [-0.09..=-0.06, -0.15..=-0.12, -0.06..=-0.03],
        [-0.10..=-0.075, -0.135..=-0.10, -0.075..=-0.045],
        [-0.125..=-0.095, -0.135..=-0.10, -0.095..=-0.06],
    ];
    for (row, misses) in Table::read("electret_web.csv").rows().iter().zip(misses) {
        let mut charged = sheet.clone();
        charged.electret.surface_charge =
            SurfaceCharge::from_uc_per_m2(row.number("surface_charge_uc_per_m2"));
        let ready = Stack::new([(Layer::Web(charged), 1)]).prepare(&setting, speed);
        let worst = ready.worst_size(Length::from_nm(10.0), Length::from_um(3.0), &kind);
        let salt = salt.average(Weighting::Mass, &air, kind.density, |d| ready.penetration(d, &kind).value);
        let sum = ready.penetration(worst.diameter, &kind).low;
        let solved = |column: &str| (row.number(column) / 100.0).ln();
        let [at_worst, by_mass, by_sum] = misses;
        let input = |what: &str| format!("{what}, {}", row.place());
        tally.known_miss(input("worst"), worst.penetration.ln(), solved("worst_pct"), at_worst, why);
        tally.known_miss(input("salt"), salt.ln(), solved("salt_by_mass_pct"), by_mass, why);
        tally.known_miss(input("sum"), sum.ln(), solved("worst_pct"), by_sum, why);
        tally.relative(input("size"), worst.diameter.to_nm(), row.number("worst_nm"), 0.5);
    }
    tally.close_all();
}
