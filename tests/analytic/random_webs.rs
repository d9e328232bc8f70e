//! Random webs over the whole of what can be: penetration stays a finite fraction, and nothing panics.

use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::range::Remarks;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_tests::{logarithmic, web};
use moteweir_units::{Density, Length, Pressure, SurfaceCharge, Temperature, Velocity};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

fn log_uniform(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

prop_compose! {
    fn any_web()(
        fibre in log_uniform(20e-9, 200e-6),
        gsd in prop_oneof![Just(1.0), 1.0_f64..2.5],
        solidity in log_uniform(0.004, 0.6),
        thickness in log_uniform(1e-6, 0.05),
        charge in prop_oneof![Just(0.0), log_uniform(1e-7, 1e-3)],
        permittivity in 1.5_f64..10.0,
        unevenness in prop_oneof![Just(0.0), 0.0_f64..0.8],
        inhomogeneity in prop_oneof![Just(1.0), 1.0_f64..3.0],
        drag_factor in 0.3_f64..2.0,
    ) -> Web {
        let mut sheet = web(solidity, Length::from_m(thickness), Length::from_m(fibre));
        sheet.electret.surface_charge = SurfaceCharge::from_c_per_m2(charge);
        sheet.electret.fibre_permittivity = permittivity;
        sheet.electret.particle_permittivity = permittivity;
        let fibres = FibreDiameters::lognormal(Length::from_m(fibre), gsd);
        Web { fibres, unevenness, inhomogeneity, drag_factor: Some(drag_factor), ..sheet }
    }
}

fn any_charge() -> impl Strategy<Value = ParticleCharge> {
    prop_oneof![
        Just(ParticleCharge::Neutral),
        Just(ParticleCharge::Equilibrium),
        (-200_i32..200).prop_map(ParticleCharge::Each),
    ]
}

prop_compose! {
    fn any_setting()(
        closure in prop::sample::select(Closure::ALL.to_vec()),
        kelvin in 250.0_f64..330.0,
        pascal in 40_000.0_f64..110_000.0,
        humidity in 0.0_f64..1.0,
        direction in prop::sample::select(vec![FlowDirection::Horizontal, FlowDirection::Down, FlowDirection::Up]),
    ) -> Setting {
        let air = moteweir_physics::air::Air::new(
            Temperature::from_kelvin(kelvin), Pressure::from_pa(pascal), humidity);
        Setting { closure, air, direction }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, rng_seed: RngSeed::Fixed(20), ..ProptestConfig::default() })]

    #[test]
    fn penetration_is_a_finite_fraction_at_every_size(
        sheet in any_web(),
        setting in any_setting(),
        charge in any_charge(),
        velocity in log_uniform(1e-4, 3.0),
        density in 200.0_f64..8000.0,
        times in 1_u32..6,
    ) {
        let stack = Stack::new([(Layer::Web(sheet.clone()), times)]);
        let speed = Velocity::from_m_per_s(velocity);
        let ready = stack.prepare(&setting, speed);
        let dp = ready.pressure_drop();
        prop_assert!(dp.low > 0.0 && dp.low <= dp.value && dp.value <= dp.high && dp.high.is_finite(), "{dp:?}");
        let kind = ParticleKind { density: Density::from_kg_per_m3(density), charge };
        let mut remarks = Remarks::default();
        stack.check(&setting, speed, &mut remarks);
        for um in logarithmic(1e-3, 100.0, 26) {
            let d = Length::from_um(um);
            let p = ready.penetration(d, &kind);
            prop_assert!(
                (0.0..=1.0).contains(&p.low) && p.low <= p.value && p.value <= p.high && p.high <= 1.0,
                "{p:?} at {um} um"
            );
            ready.check(d, &kind, &mut remarks);
        }
        prop_assert!(remarks.warnings().iter().all(|w| !w.text.contains("NaN") && !w.text.contains("inf")));
    }

    #[test]
    fn more_of_the_same_web_lets_less_through_and_drags_more(
        sheet in any_web(),
        setting in any_setting(),
        velocity in log_uniform(1e-3, 1.0),
        um in log_uniform(0.005, 20.0),
    ) {
        let speed = Velocity::from_m_per_s(velocity);
        let thicker = Web { thickness: sheet.thickness * 1.5, ..sheet.clone() };
        let kind = ParticleKind { density: Density::from_kg_per_m3(1000.0), charge: ParticleCharge::Equilibrium };
        let through = |sheet: &Web| {
            let ready = Stack::new([(Layer::Web(sheet.clone()), 1)]).prepare(&setting, speed);
            (ready.penetration(Length::from_um(um), &kind).value, ready.pressure_drop().value)
        };
        let ((thin, easy), (thick, hard)) = (through(&sheet), through(&thicker));
        prop_assert!(thick <= thin, "{thick} after {thin}");
        prop_assert!(hard > easy);
    }
}
