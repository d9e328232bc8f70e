//! What leaks do to masks in print: how much of the efficiency goes, and how the leak's share falls with the flow.

use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::leak::{LeakLaw, Split, split};
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_tests::{Tally, air_with_mean_free_path, web};
use moteweir_units::{Area, Density, Flow, Length, Pressure};

/// A sheet of cotton-like batting between household cloth and mask medium: 50 to 60 Pa at 9.4 cm/s.
fn batting() -> Layer {
    Layer::Web(web(0.10, Length::from_mm(1.2), Length::from_um(9.0)))
}

/// A melt-blown like web without charge, about 60 Pa.
fn fine() -> Layer {
    Layer::Web(web(0.08, Length::from_mm(0.35), Length::from_um(4.5)))
}

const AREA: Area = Area::from_cm2(150.0);
const FLOW: Flow = Flow::from_l_per_min(85.0);

fn setting() -> Setting {
    let air = air_with_mean_free_path(66.0);
    Setting { closure: Closure::LeeLiu, air, direction: FlowDirection::Horizontal }
}

/// Efficiency at a size and a flow through the filter.
fn efficiency(layer: &Layer, flow: Flow, size: Length) -> f64 {
    let kind = ParticleKind { density: Density::from_kg_per_m3(1500.0), charge: ParticleCharge::Equilibrium };
    let stack = Stack::new([(layer.clone(), 1)]).prepare(&setting(), flow / AREA);
    1.0 - stack.penetration(size, &kind).value
}

/// The flow divided beside a hole of a share of the filter's area.
fn beside_a_hole(layer: &Layer, share: f64) -> Split {
    let setting = setting();
    let filter = |flow: Flow| {
        if flow.to_m3_per_s() > 0.0 { layer.pressure_drop(&setting, flow / AREA).value } else { 0.0 }
    };
    let hole = LeakLaw::hole(Area::from_m2(share * AREA.to_m2())).expect("a hole");
    split(FLOW, |flow| Pressure::from_pa(filter(flow)), &hole, &setting.air).expect("it divides")
}

/// Efficiency with a leak over that without, at a size.
fn left(layer: &Layer, share: f64, size: Length) -> f64 {
    let divided = beside_a_hole(layer, share);
    (1.0 - divided.share()) * efficiency(layer, divided.filter, size) / efficiency(layer, FLOW, size)
}

/// Drewnick et al. 2021, Aerosol Sci. Technol. 55:63 (abstract, from memory): leaks of 1 to 2 % of the sample's area take half of
/// the efficiency below 5 um, or more. Here a hole in the edge, in the direction of the flow, particles following the air.
///
/// Met from 1.5 % up for 1 and 2.5 um. Smaller particles keep more, and so do all at 1 %, because slower air lets
/// diffusion catch more of what still goes through the filter; filters that resist more than these 50 to 60 Pa lose more.
#[test]
fn a_leak_of_two_per_cent_of_the_area_takes_about_half_of_the_efficiency() {
    let mut tally = Tally::of("efficiency beside a leak over that without");
    let why = "slower flow through the filter lets diffusion catch more";
    for (name, layer) in [("batting", batting()), ("fine web", fine())] {
        let at = |um: f64, share: f64| left(&layer, share, Length::from_um(um));
        let input = |um: f64, share: f64| format!("{name}, {um} um, {} % of the area", 100.0 * share);
        for um in [1.0, 2.5] {
            for share in [0.015, 0.02] {
                tally.within(input(um, share), at(um, share), 0.0..=0.5);
            }
            tally.known_miss(input(um, 0.01), at(um, 0.01), 0.5, 0.01..=0.20, why);
        }
        tally.known_miss(input(0.3, 0.02), at(0.3, 0.02), 0.5, 0.02..=0.10, why);
        tally.known_miss(input(0.3, 0.01), at(0.3, 0.01), 0.5, 0.38..=0.48, why);
        tally.known_miss(input(0.05, 0.01), at(0.05, 0.01), 0.5, 0.36..=0.50, why);
    }
    tally.close_all();
}

/// Face-seal penetration of 1 um spheres past an N95 on a head: 0.96, 0.41 and 0.17 % at 15, 30 and 85 L/min (read, no source).
///
/// A small hole beside a linear filter takes a share that falls as the root of the flow. The direction is met, the measured fall is
/// steeper: a soft edge closes under suction, and fast air throws 1 um particles at the walls of the gap, neither of which
/// the model has.
#[test]
fn the_share_of_a_leak_falls_as_the_flow_rises_but_less_than_measured() {
    let air: Air = air_with_mean_free_path(66.0);
    let filter = |flow: Flow| Pressure::from_pa(100.0 * flow.to_l_per_min() / 85.0);
    let hole = LeakLaw::hole(Area::from_cm2(0.004)).expect("a hole");
    let share = |l_per_min: f64| {
        split(Flow::from_l_per_min(l_per_min), filter, &hole, &air).expect("it divides").share()
    };
    let mut tally = Tally::of("share of a leak over that at 85 L/min");
    for (l_per_min, measured) in [(15.0, 0.96 / 0.17), (30.0, 0.41 / 0.17)] {
        let got = share(l_per_min) / share(85.0);
        tally.relative(format!("root law at {l_per_min} L/min"), got, (85.0_f64 / l_per_min).sqrt(), 0.02);
        let miss = if l_per_min < 20.0 { -0.60..=-0.55 } else { -0.33..=-0.27 };
        tally.known_miss(format!("{l_per_min} L/min"), got, measured, miss, "the edge closes and catches");
    }
    tally.close_all();
}

/// Zangmeister et al. 2020, ACS Nano 14:9188 (abstract, from memory): stacks of mixed cloths let through the product of what the
/// layers let through. For neutral particles the model does so exactly; of a mixture of charges the first layers take the
/// more charged ones out, and up to 0.2 % more than the product comes through.
#[test]
fn mixed_cloths_follow_the_product_law() {
    let layers = [batting(), fine(), Layer::Web(web(0.2, Length::from_mm(0.3), Length::from_um(14.0)))];
    let setting = setting();
    let through = |layers: &[Layer], size: Length, charge: ParticleCharge| {
        let kind = ParticleKind { density: Density::from_kg_per_m3(2165.0), charge };
        Stack::new(layers.iter().map(|layer| (layer.clone(), 1)))
            .prepare(&setting, FLOW / AREA)
            .penetration(size, &kind)
            .value
    };
    let mut tally = Tally::of("stack over product of its layers");
    for um in [0.05, 0.1, 0.3, 0.8] {
        let size = Length::from_um(um);
        let ratio = |charge: ParticleCharge| {
            let alone = layers.iter().map(|layer| through(std::slice::from_ref(layer), size, charge));
            through(&layers, size, charge) / alone.product::<f64>()
        };
        tally.relative(format!("{um} um, neutral"), ratio(ParticleCharge::Neutral), 1.0, 1e-12);
        tally.within(format!("{um} um, at equilibrium"), ratio(ParticleCharge::Equilibrium), 1.0..=1.002);
    }
    tally.close_all();
}
