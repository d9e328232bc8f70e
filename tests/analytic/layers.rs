//! Stacks: log-penetrations and pressure drops add, in any order, and a charge goes with its particle.

use moteweir_physics::breathability::quality_factor;
use moteweir_physics::charging::{ParticleCharge, charge_states};
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_tests::{Tally, air_with_mean_free_path, logarithmic, web};
use moteweir_units::{Density, Length, Pressure, SurfaceCharge, Velocity};

fn settings() -> impl Iterator<Item = Setting> {
    let air = air_with_mean_free_path(66.0);
    Closure::ALL.into_iter().flat_map(move |closure| {
        [FlowDirection::Horizontal, FlowDirection::Down, FlowDirection::Up].map(|direction| Setting {
            closure,
            air,
            direction,
        })
    })
}

fn kind(charge: ParticleCharge) -> ParticleKind {
    ParticleKind { density: Density::from_kg_per_m3(1500.0), charge }
}

fn electret(sheet: Web) -> Web {
    let mut charged = sheet.electret;
    charged.surface_charge = SurfaceCharge::from_uc_per_m2(40.0);
    Web { electret: charged, ..sheet }
}

/// Three unlike webs: one with a spread of fibres, one charged, one uneven.
fn three() -> [Layer; 3] {
    let spread = Web {
        fibres: FibreDiameters::lognormal(Length::from_um(4.0), 1.6),
        ..web(0.06, Length::from_mm(0.3), Length::from_um(4.0))
    };
    let charged = electret(web(0.08, Length::from_mm(0.2), Length::from_um(3.0)));
    let uneven = Web { unevenness: 0.3, ..web(0.12, Length::from_mm(0.5), Length::from_um(18.0)) };
    [spread, charged, uneven].map(Layer::Web)
}

const SPEED: Velocity = Velocity::from_cm_per_s(8.0);

#[test]
fn stacks_commute_and_pressure_drops_add() {
    let [a, b, c] = three();
    let mut tally = Tally::of("order of layers");
    for setting in settings() {
        let stack = |layers: Vec<&Layer>| {
            Stack::new(layers.into_iter().map(|l| (l.clone(), 1))).prepare(&setting, SPEED)
        };
        let (one, other) = (stack(vec![&a, &b, &c, &b]), stack(vec![&c, &b, &b, &a]));
        let alone: f64 = [&a, &b, &b, &c].iter().map(|l| l.pressure_drop(&setting, SPEED).value).sum();
        tally.relative("pressure drop", one.pressure_drop().value, alone, 1e-13);
        tally.relative("its order", other.pressure_drop().value, alone, 1e-13);
        for um in logarithmic(0.01, 10.0, 13) {
            let d = Length::from_um(um);
            for charge in [ParticleCharge::Neutral, ParticleCharge::Equilibrium, ParticleCharge::Each(-2)] {
                let (p, q) = (one.penetration(d, &kind(charge)), other.penetration(d, &kind(charge)));
                let input = format!("{} {:?} {um} um {charge:?}", setting.closure.name(), setting.direction);
                tally.relative(&input, p.value, q.value, 1e-11);
                tally.relative(&input, p.low, q.low, 1e-11);
                tally.relative(&input, p.high, q.high, 1e-11);
            }
        }
    }
    tally.close_all();
}

#[test]
fn an_even_layer_twice_as_thick_is_two_layers_and_keeps_its_quality() {
    let mut tally = Tally::of("twice as thick against two layers");
    let thin = Web {
        fibres: FibreDiameters::lognormal(Length::from_um(3.0), 1.4),
        ..electret(web(0.07, Length::from_mm(0.25), Length::from_um(3.0)))
    };
    let thick = Web { thickness: Length::from_mm(0.5), ..thin.clone() };
    for setting in settings() {
        let two = Stack::new([(Layer::Web(thin.clone()), 2)]).prepare(&setting, SPEED);
        let one = Stack::new([(Layer::Web(thin.clone()), 1)]).prepare(&setting, SPEED);
        let thick = Stack::new([(Layer::Web(thick.clone()), 1)]).prepare(&setting, SPEED);
        tally.relative("pressure drop", thick.pressure_drop().value, two.pressure_drop().value, 1e-13);
        for um in logarithmic(0.01, 10.0, 13) {
            let d = Length::from_um(um);
            for charge in [ParticleCharge::Neutral, ParticleCharge::Equilibrium] {
                let k = kind(charge);
                let (p, q) = (thick.penetration(d, &k), two.penetration(d, &k));
                tally.relative(format!("{um} um {charge:?}"), p.value, q.value, 1e-11);
            }
            let k = kind(ParticleCharge::Neutral);
            let quality = |stack: &moteweir_physics::stack::PreparedStack| {
                let p = stack.penetration(d, &k).value;
                quality_factor(p, Pressure::from_pa(stack.pressure_drop().value))
            };
            if one.penetration(d, &k).value < 1.0 - 1e-6 && thick.penetration(d, &k).value > 0.0 {
                tally.relative(format!("quality at {um} um"), quality(&thick), quality(&one), 1e-6);
            }
        }
    }
    tally.close_all();
}

#[test]
fn charge_states_are_summed_after_stacking() {
    let setting = settings().next().unwrap();
    let layer = Layer::Web(electret(web(0.08, Length::from_mm(0.5), Length::from_um(3.0))));
    let stack = Stack::new([(layer.clone(), 4)]).prepare(&setting, SPEED);
    let single = layer.prepare(&setting, SPEED);
    let mut tally = Tally::of("sum over charge states");
    for um in [0.03, 0.1, 0.5] {
        let d = Length::from_um(um);
        let particle = Particle::new(&setting.air, d, Density::from_kg_per_m3(1500.0));
        let states = charge_states(ParticleCharge::Equilibrium, &setting.air, d);
        let through = |n: i32| single.penetrations(&particle, &[n])[0].value;
        let after: f64 = states.iter().map(|(n, share)| share * through(*n).powi(4)).sum();
        let layer_by_layer: f64 = states.iter().map(|(n, share)| share * through(*n)).sum::<f64>().powi(4);
        let got = stack.penetration(d, &kind(ParticleCharge::Equilibrium)).value;
        // High charges are taken in groups, which moves a sum by less than a thousandth.
        tally.relative(format!("{um} um"), got, after, 1e-3);
        // By Jensen's inequality what gets through is more, since the uncharged stay uncharged.
        tally.holds(format!("{um} um"), "more than layer by layer", got > layer_by_layer);
    }
    tally.close_all();
}

#[test]
fn no_layer_lets_everything_through() {
    let setting = settings().next().unwrap();
    let nothing = Stack::new([]).prepare(&setting, SPEED);
    let mut tally = Tally::of("an empty stack");
    let p = nothing.penetration(Length::from_um(0.3), &kind(ParticleCharge::Equilibrium));
    tally.close("penetration", p.value, 1.0, 1e-12);
    tally.close("pressure drop", nothing.pressure_drop().value, 0.0, 0.0);
    tally.close_all();
}
