//! Charge: the joint law of electret fibres against paths solved elsewhere, fits in print, and charged webs.

use moteweir_physics::aerosol::{Aerosol, Weighting};
use moteweir_physics::air::Air;
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::charging::{ParticleCharge, charge_states};
use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::single_fibre::electret_law::{ChargeNumbers, ElectretLaw};
use moteweir_physics::single_fibre::electrostatic::image_in_cell;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_tests::{Table, Tally, air_with_mean_free_path, solidity, web};
use moteweir_units::{Density, Length, SurfaceCharge, Velocity};

/// The joint law of a point at a solidity.
fn point(alpha: f64, coulomb: f64, polarisation: f64) -> f64 {
    ElectretLaw::at(solidity(alpha)).joint(ChargeNumbers { coulomb, polarisation }, 0.0)
}

fn by_coulomb(n: f64) -> f64 {
    point(0.05, n, 0.0)
}

fn by_polarisation(n: f64) -> f64 {
    point(0.05, 0.0, n)
}

#[test]
fn the_joint_law_meets_points_solved_elsewhere() {
    let why = "solved to about 1 % there; at weak forces finite volumes with little diffusion give this project's value";
    let mut tally = Tally::of("joint law, one force");
    for row in Table::read("electret_solved.csv").rows() {
        let n = row.number("parameter");
        for (force, got) in [("polarisation", by_polarisation(n)), ("coulomb", by_coulomb(n))] {
            let (input, expected) = (format!("{force} {n}"), row.number(force));
            if n <= 0.01 || (n < 0.1 && force == "polarisation") {
                tally.known_miss(input, got, expected, -0.036..=-0.012, why);
            } else {
                tally.relative(input, got, expected, 0.01);
            }
        }
    }
    tally.close_all();
}

#[test]
fn fits_in_print_agree_where_they_hold_and_not_beyond() {
    // Otani, Emi and Mori 1993, from memory: Coulomb 0.78 N; polarisation 1.48 N^0.93, 0.51 N^0.73, 0.51 N^0.35.
    let mut tally = Tally::of("fits of electret capture against the joint law");
    for n in [0.001, 0.01, 0.03, 0.1, 0.3] {
        tally.relative(format!("Coulomb {n}"), by_coulomb(n), 0.78 * n, 0.12);
    }
    tally.known_miss("Coulomb 1", 0.78, by_coulomb(1.0), 0.28..=0.32, "the straight line does not bend");
    for (n, fit) in [
        (0.001_f64, 1.48 * 0.001_f64.powf(0.93)),
        (0.01, 0.51 * 0.01_f64.powf(0.73)),
        (0.1, 0.51 * 0.1_f64.powf(0.73)),
        (1.0, 0.51),
        (10.0, 0.51 * 10.0_f64.powf(0.35)),
    ] {
        tally.relative(format!("polarisation {n}"), by_polarisation(n), fit, 0.20);
    }
    // Fits that break the exact bounds: 0.59 N^0.83 > N below 0.045, 0.54 N^0.40 is 44 times the solved value at 1e-4.
    tally.holds("0.59 N^0.83 at 0.04", "it breaks E <= N", 0.59 * 0.04_f64.powf(0.83) > 0.04);
    let far = 0.54 * 1e-4_f64.powf(0.40) / by_polarisation(1e-4);
    tally.within("0.54 N^0.40 over the law at 1e-4", far, 40.0..=48.0);
    tally.close_all();
}

#[test]
fn the_joint_law_moves_with_solidity_as_solved_elsewhere() {
    let mut tally = Tally::of("joint law at other solidities");
    for row in Table::read("electret_solidity.csv").rows() {
        let (n, alpha) = (row.number("parameter"), row.number("solidity"));
        let (input, expected) =
            (format!("{} at solidity {alpha}", row.text("law")), row.number("efficiency"));
        match row.text("law") {
            "coulomb" => tally.relative(input, point(alpha, n, 0.0), expected, 0.01),
            _ if alpha > 0.1 => {
                let got = point(alpha, 0.0, n);
                tally.known_miss(input, got, expected, -0.014..=-0.01, "solved to about 1 % there");
            }
            _ => tally.relative(input, point(alpha, 0.0, n), expected, 0.01),
        }
    }
    tally.close_all();
}

#[test]
fn two_causes_at_once_are_met_and_are_no_sum() {
    let mut tally = Tally::of("two causes at once");
    for row in Table::read("electret_joint.csv").rows() {
        let first = row.number("polarisation_parameter");
        let with_interception = row.text("case").contains("interception");
        let law = if with_interception {
            ElectretLaw::at(solidity(0.05)).joint(ChargeNumbers { coulomb: 0.0, polarisation: first }, 0.3)
        } else {
            point(0.05, first, first)
        };
        let (first, second, joint) = (by_polarisation(first), row.number("other_term"), row.number("joint"));
        tally.within(row.text("case"), joint, first.max(second)..=first + second);
        tally.relative(row.text("case"), law, joint, 0.01);
    }
    tally.close_all();
}

#[test]
fn the_fitted_image_force_is_a_third_below_the_thin_layer() {
    // 1.5 sqrt N against 2 sqrt((1 - alpha) N/Ku) = 2.183 sqrt N at solidity 0.05: 31 % lower.
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let mut tally = Tally::of("image force");
    for n in [1e-6, 1e-4, 1e-2] {
        tally.close(format!("{n}"), 1.5 * f64::sqrt(n) / image_in_cell(&cell, n), 1.0 - 0.31, 0.005);
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
    // The rows add the fitted set's diffusion in full to joint paths; the model joins both by squares.
    let air = Air::reference();
    let speed = Velocity::from_cm_per_s(8.7);
    let sheet = web_of_reading(50.0, 4.08, 90.0, speed, &air);
    let kind = ParticleKind { density: Density::from_kg_per_m3(2165.0), charge: ParticleCharge::Equilibrium };
    let salt = Aerosol::lognormal(Length::from_nm(75.0), 1.86);
    let setting = Setting { closure: Closure::LeeLiu, air, direction: FlowDirection::Horizontal };
    let mut tally = Tally::of("charged web, ln P");
    let why = "the rows add diffusion in full, which solved points have 25 to 41 % too high where both catch alike; the \
               charges and permittivities that they were solved with may differ and are not known in full";
    // Of ln P: at the worst size, weighted by mass, and at the worst size with the high end of capture.
    let misses = [
        [-0.24..=-0.215, -0.19..=-0.165, -0.165..=-0.135],
        [-0.285..=-0.26, -0.165..=-0.14, -0.19..=-0.16],
        [-0.315..=-0.285, -0.16..=-0.135, -0.215..=-0.18],
    ];
    for (row, misses) in Table::read("electret_web.csv").rows().iter().zip(misses) {
        let mut charged = sheet.clone();
        charged.electret.surface_charge =
            SurfaceCharge::from_uc_per_m2(row.number("surface_charge_uc_per_m2"));
        let ready = Stack::new([(Layer::Web(charged), 1)]).prepare(&setting, speed);
        let worst = ready.worst_size(Length::from_nm(10.0), Length::from_um(3.0), &kind);
        let salt = salt.average(Weighting::Mass, &air, kind.density, |d| ready.penetration(d, &kind).value);
        let least = ready.penetration(worst.diameter, &kind).low;
        let solved = |column: &str| (row.number(column) / 100.0).ln();
        let [at_worst, by_mass, by_least] = misses;
        let input = |what: &str| format!("{what}, {}", row.place());
        tally.known_miss(input("worst"), worst.penetration.ln(), solved("worst_pct"), at_worst, why);
        tally.known_miss(input("salt"), salt.ln(), solved("salt_by_mass_pct"), by_mass, why);
        tally.known_miss(input("least"), least.ln(), solved("worst_pct"), by_least, why);
        tally.relative(input("size"), worst.diameter.to_nm(), row.number("worst_nm"), 0.5);
    }
    tally.close_all();
}
