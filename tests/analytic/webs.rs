//! Webs: spreads that shrink to one size, unevenness that goes to none, drag, and the effective fibre diameter.

use moteweir_physics::breathability::{Breathability, velocity_at};
use moteweir_physics::closure::Closure;
use moteweir_physics::drag::{FlowReading, effective_fibre_diameter, pressure_drop};
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::web::{Web, solidity as solidity_of, uneven_penetration};
use moteweir_tests::{Tally, air_with_mean_free_path, logarithmic, quadrature, solidity, still_air, web};
use moteweir_units::{BasisWeight, Density, Length, Pressure, Velocity};

#[test]
fn a_spread_of_fibres_that_shrinks_gives_the_single_diameter() {
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("GSD to 1");
    for closure in Closure::ALL {
        let one = web(0.05, Length::from_mm(0.4), Length::from_um(3.0));
        let speed = Velocity::from_cm_per_s(10.0);
        let single = one.prepare(closure, &air, speed, FlowDirection::Down);
        for (gsd, tolerance) in [(1.0 + 1e-7, 1e-12), (1.001, 3e-5), (1.01, 3e-3)] {
            let spread = Web { fibres: FibreDiameters::lognormal(Length::from_um(3.0), gsd), ..one.clone() };
            let spread = spread.prepare(closure, &air, speed, FlowDirection::Down);
            tally.relative(
                format!("drag, GSD {gsd}"),
                spread.pressure_drop().value,
                single.pressure_drop().value,
                tolerance,
            );
            for um in logarithmic(0.01, 8.0, 15) {
                let particle = Particle::new(&air, Length::from_um(um), Density::from_kg_per_m3(1000.0));
                let (a, b) = (spread.exponent(&particle, 0).value, single.exponent(&particle, 0).value);
                tally.relative(format!("{} GSD {gsd}, {um} um", closure.name()), a, b, tolerance);
            }
        }
    }
    tally.close_all();
}

#[test]
fn the_exponent_of_a_spread_is_the_integral_over_its_fibres() {
    // -ln P = 4 alpha t <E d>/(pi (1 - alpha) <d^2>), by a quadrature of its own.
    let air = air_with_mean_free_path(66.0);
    let mut tally = Tally::of("sum over fibres against quadrature");
    let (alpha, gsd) = (0.05, 1.8_f64);
    let speed = Velocity::from_cm_per_s(10.0);
    for closure in Closure::ALL {
        let base = web(alpha, Length::from_mm(0.4), Length::from_um(2.0));
        let spread = Web { fibres: FibreDiameters::lognormal(Length::from_um(2.0), gsd), ..base.clone() };
        let ready = spread.prepare(closure, &air, speed, FlowDirection::Horizontal);
        for um in [0.03, 0.1, 0.3] {
            let particle = Particle::new(&air, Length::from_um(um), Density::from_kg_per_m3(1000.0));
            let s = gsd.ln();
            let weight = |z: f64| (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
            let mut sum = 0.0;
            // 60 points a standard deviation: Simpson is not needed for a bell.
            for i in -480..=480 {
                let z = f64::from(i) / 80.0;
                let d = Length::from_um(2.0 * (s * z).exp());
                let one = Web { fibres: FibreDiameters::uniform(d), ..base.clone() };
                let e =
                    one.prepare(closure, &air, speed, FlowDirection::Horizontal).single_fibre(&particle, 0);
                sum += weight(z) / 80.0 * e.total.value * d.to_m();
            }
            let mean_square = (2e-6_f64 * (s * s).exp()).powi(2);
            let convention = if closure == Closure::LeeLiu { 1.0 / (1.0 - alpha) } else { 1.0 };
            let expected = 4.0 * alpha * 0.4e-3 / (std::f64::consts::PI * mean_square) * sum * convention;
            tally.relative(
                format!("{} {um} um", closure.name()),
                ready.exponent(&particle, 0).value,
                expected,
                2e-3,
            );
        }
    }
    tally.close_all();
}

#[test]
fn unevenness_goes_to_the_even_web_and_is_the_integral_over_spots() {
    let mut tally = Tally::of("uneven webs");
    for k in logarithmic(1e-3, 100.0, 20) {
        tally.relative(format!("c 0, K {k}"), uneven_penetration(k, 0.0), (-k).exp(), 1e-14);
        tally.relative(format!("c 1e-5, K {k}"), uneven_penetration(k, 1e-5), (-k).exp(), 1e-5);
        for c in [0.1_f64, 0.3, 0.6] {
            // P = <exp(-K w)/w>/<1/w> over a gamma distribution of w with mean 1 and variance c^2.
            let shape = 1.0 / (c * c);
            let peak = (shape - 2.0).max(0.05) / shape;
            let density =
                |w: f64, k: f64| ((shape - 2.0) * (w / peak).ln() - shape * (w - peak) - k * w).exp();
            let over = |k: f64| quadrature(0.0, 40.0, |w| density(w, k));
            let ratio = over(k) / over(0.0);
            tally.relative(format!("c {c}, K {k}"), uneven_penetration(k, c), ratio, 1e-6);
        }
    }
    tally.close_all();
}

#[test]
fn drag_is_linear_in_velocity_thickness_and_viscosity() {
    let air = air_with_mean_free_path(66.0);
    let fibres = FibreDiameters::lognormal(Length::from_um(1.0), 1.5);
    let mut tally = Tally::of("pressure drop of a web");
    for closure in Closure::ALL {
        let at = |u: f64, t: f64| {
            let (t, u) = (Length::from_mm(t), Velocity::from_m_per_s(u));
            pressure_drop(closure, &air, solidity(0.06), t, &fibres, u).value
        };
        for u in [1e-4, 0.01, 0.27, 3.0] {
            tally.relative(format!("velocity {u}"), at(u, 0.3), at(1.0, 0.3) * u, 1e-13);
            tally.relative(format!("thickness, {u}"), at(u, 0.9), 3.0 * at(u, 0.3), 1e-13);
        }
        let reading = Breathability::of(|u| Pressure::from_pa(at(u.to_m_per_s(), 0.3)));
        let resistance = reading.resistance.to_pa_s_per_m();
        tally.relative("resistance", resistance, at(1.0, 0.3), 1e-12);
        tally.relative("permeability", reading.permeability_200_pa.to_m_per_s(), 200.0 / resistance, 1e-12);
        tally.relative("Frazier", reading.permeability_125_pa.to_m_per_s(), 125.0 / resistance, 1e-12);
        let head = 8e-3 / 60.0 / 4.9e-4;
        tally.relative("medical head", reading.medical_pa_per_cm2, resistance * head / 4.9, 1e-12);
        let u = velocity_at(|u| Pressure::from_pa(at(u.to_m_per_s(), 0.3)), Pressure::from_pa(37.0));
        tally.relative("velocity at a pressure", at(u.to_m_per_s(), 0.3), 37.0, 1e-12);
    }
    tally.close_all();
}

#[test]
fn the_effective_diameter_goes_there_and_back() {
    let mut tally = Tally::of("effective fibre diameter");
    for closure in Closure::ALL {
        for air in [still_air(), air_with_mean_free_path(66.0)] {
            for (alpha, um, gsd) in [(0.006, 0.2, 1.0), (0.05, 2.0, 1.5), (0.15, 17.0, 1.2), (0.3, 60.0, 2.0)]
            {
                let fibres = FibreDiameters::lognormal(Length::from_um(um), gsd);
                let (t, u) = (Length::from_mm(0.7), Velocity::from_cm_per_s(9.0));
                let dp = pressure_drop(closure, &air, solidity(alpha), t, &fibres, u).value;
                let reading = FlowReading { pressure_drop: Pressure::from_pa(dp), face_velocity: u };
                let back = effective_fibre_diameter(closure, &air, solidity(alpha), t, gsd, reading).unwrap();
                tally.relative(format!("{} {um} um", closure.name()), back.median().to_um(), um, 1e-9);
            }
        }
    }
    tally.close_all();
}

#[test]
fn basis_weight_is_solidity_times_density_times_thickness() {
    let mut tally = Tally::of("solidity");
    let density = Density::from_kg_per_m3(910.0);
    for (gsm, mm) in [(25.0, 0.25), (120.0, 1.1), (40.0, 0.4)] {
        let thickness = Length::from_mm(mm);
        let found = solidity_of(BasisWeight::from_g_per_m2(gsm), density, thickness).unwrap();
        tally.relative(
            format!("{gsm} g/m2"),
            (density * thickness).to_g_per_m2() * found.fraction(),
            gsm,
            1e-13,
        );
    }
    let none = solidity_of(BasisWeight::from_g_per_m2(100.0), density, Length::from_um(10.0));
    tally.holds("more than solid", "no solidity of 1 or more", none.is_none());
    tally.close_all();
}
