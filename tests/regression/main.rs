//! Exact goldens: ten significant digits of a few curves, so that no number moves unseen.
//!
//! A golden that moves is no error by itself, and one that stands is no validation. Renew them with
//! `MOTEWEIR_RENEW=1 cargo test -p moteweir-tests --test regression` in a commit of its own, and say there what moved
//! and why.

use std::path::Path;

use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::weave::{Weave, WeaveClass, WeaveConstruction};
use moteweir_physics::web::Web;
use moteweir_tests::web;
use moteweir_units::{
    Density, Length, LinearDensity, Pressure, SurfaceCharge, Temperature, ThreadCount, Velocity,
};

const SIZES_UM: [f64; 6] = [0.02, 0.075, 0.2, 0.5, 1.0, 5.0];

struct Case {
    name: &'static str,
    closure: Closure,
    direction: FlowDirection,
    charge: ParticleCharge,
    layers: Vec<(Layer, u32)>,
    velocity: Velocity,
}

fn fine_web() -> Web {
    web(0.08, Length::from_mm(0.25), Length::from_um(3.0))
}

fn sheeting() -> Layer {
    let construction = WeaveConstruction {
        class: WeaveClass::Woven,
        warp: ThreadCount::from_per_cm(30.0),
        weft: ThreadCount::from_per_cm(28.0),
        yarn_linear_density: LinearDensity::from_tex(20.0),
        fibre_diameter: Length::from_um(14.0),
        fibre_density: Density::from_g_per_cm3(1.52),
        thickness: None,
        yarn_width: None,
        hairs: 0.003,
        electret: fine_web().electret,
    };
    Layer::Weave(Weave::from_construction(&construction).expect("sheeting can be woven"))
}

fn cases() -> Vec<Case> {
    let spread = Web {
        fibres: FibreDiameters::lognormal(Length::from_um(15.0), 1.4),
        unevenness: 0.2,
        ..web(0.12, Length::from_mm(1.1), Length::from_um(15.0))
    };
    let mut charged = fine_web();
    charged.electret.surface_charge = SurfaceCharge::from_uc_per_m2(40.0);
    let even = |name, closure| Case {
        name,
        closure,
        direction: FlowDirection::Horizontal,
        charge: ParticleCharge::Neutral,
        layers: vec![(Layer::Web(fine_web()), 1)],
        velocity: Velocity::from_cm_per_s(5.3),
    };
    vec![
        even("fine web, fitted set", Closure::LeeLiu),
        even("fine web, cell", Closure::KuwabaraCell),
        Case {
            name: "charged web in neutralised salt",
            charge: ParticleCharge::Equilibrium,
            layers: vec![(Layer::Web(charged), 1)],
            ..even("", Closure::LeeLiu)
        },
        Case {
            name: "felt with a spread, uneven, flow down",
            direction: FlowDirection::Down,
            layers: vec![(Layer::Web(spread.clone()), 1)],
            ..even("", Closure::LeeLiu)
        },
        Case {
            name: "felt between sheeting",
            layers: vec![(sheeting(), 2), (Layer::Web(spread), 1)],
            velocity: Velocity::from_cm_per_s(10.0),
            ..even("", Closure::LeeLiu)
        },
    ]
}

/// The curves as text: ten significant digits.
fn curves() -> String {
    let air = Air::new(Temperature::from_celsius(22.0), Pressure::from_pa(101_325.0), 0.45);
    let mut lines = vec!["case,quantity,low,value,high".to_owned()];
    for case in cases() {
        let setting = Setting { closure: case.closure, air, direction: case.direction };
        let stack = Stack::new(case.layers).prepare(&setting, case.velocity);
        let kind = ParticleKind { density: Density::from_kg_per_m3(2165.0), charge: case.charge };
        let mut add = |quantity: String, e: moteweir_physics::estimate::Estimate| {
            lines.push(format!("\"{}\",{quantity},{:.9e},{:.9e},{:.9e}", case.name, e.low, e.value, e.high));
        };
        add("pressure drop Pa".to_owned(), stack.pressure_drop());
        for um in SIZES_UM {
            add(format!("penetration at {um} um"), stack.penetration(Length::from_um(um), &kind));
        }
    }
    lines.join("\n") + "\n"
}

#[test]
fn no_curve_moves_unseen() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("regression/curves.csv");
    let fresh = curves();
    if std::env::var_os("MOTEWEIR_RENEW").is_some() {
        std::fs::write(&path, &fresh).expect("the goldens can be written");
        return;
    }
    let had = std::fs::read_to_string(&path).expect("the goldens lie beside the test");
    let moved: Vec<String> = had
        .lines()
        .zip(fresh.lines())
        .filter(|(had, fresh)| had != fresh)
        .map(|(had, fresh)| format!("  had {had}\n  now {fresh}"))
        .collect();
    assert!(moved.is_empty(), "{} lines moved:\n{}", moved.len(), moved.join("\n"));
    assert_eq!(had.lines().count(), fresh.lines().count(), "lines came or went");
}
