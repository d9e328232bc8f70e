//! Breaths through the tables against a fine sum over the untabulated physics, and what wearing has to obey.

use std::f64::consts::PI;
use std::ops::ControlFlow;

use moteweir_physics::layer::Layer;
use moteweir_physics::leak::{LeakLaw, split};
use moteweir_physics::stack::Stack;
use moteweir_units::{Area, Flow, Length, Pressure};

use super::breath::{Breath, Divided};
use super::drawn::Drawn;
use super::drops::Drops;
use super::kernels::{Kernels, Room};
use super::open::Open;
use super::through::Ladder;
use super::worn::Sizes;
use super::{WearOptions, wear};
use crate::case::Input;
use crate::draws::{Realiser, Slot};
use crate::predict::Surroundings;
use crate::{Case, Shelf};

/// A felt behind a sheeting, and a face; invented.
const SCENARIO: &str = r#"
    [[material]]
    name = "felt"
    class = "needled felt"
    basis_weight = "200 g/m2"
    thickness = "1.5 mm"
    fibre_diameter = { median = "9 um", gsd = 1.1 }
    unevenness = 0
    [[material]]
    name = "sheeting"
    class = "sheeting high count"
    [[stack]]
    name = "felt behind sheeting"
    layers = ["sheeting", "felt"]
    [use]
    flow = "85 L/min"
    area = "150 cm2"
"#;

fn case(more: &str) -> Case {
    Case::read(&format!("{SCENARIO}\n{more}"), Shelf::built_in()).expect("a valid scenario")
}

const SLIT: &str = "[face]\nslit = { length = \"50 mm\", gap = \"0.3 mm\", depth = \"8 mm\" }\nbreathing = { minute_volume = \"40 L/min\" }\n";

/// Means over half a sine by 2000 midpoints, each with the physics at its own velocity: of sizes that diffuse and of one at
/// which inertia sets in, where the fewest come through, by the physics at the rungs and by the kernels of draws.
#[test]
fn a_breath_by_tables_is_the_fine_sum_over_the_physics() {
    let case = case(SLIT);
    let surroundings = Surroundings::of_case(&case, 11);
    let realiser = Realiser::new(&case, surroundings.closure(), surroundings.air());
    let layers: Vec<Layer> = realiser.stack(&[1, 0], &|_: Slot| 0.5).layers;
    let sizes = [0.05, 0.3, 1.0, 2.0].map(Length::from_um);
    let area = Area::from_cm2(150.0);
    let inhalation = &case.face.as_ref().expect("stated").breathing[0].inhalation;
    let peak = inhalation.peak_flow();
    let (kind, setting) = (surroundings.kind(), surroundings.headline());
    let counts = [1, 3];
    let drops = Drops::new(&layers, setting, area, [peak; 2]);
    let curve = drops.together(&counts);
    let fastest = (peak / area).to_m_per_s();
    let ladder = Ladder::from(fastest);
    let rungs = ladder.for_peaks(1, [fastest; 2]);
    let by_physics =
        Sizes::new(&sizes, kind, &setting).through(&layers, &[counts.to_vec()], &setting, (ladder, rungs));
    let slit = LeakLaw::slit(Length::from_mm(50.0), Length::from_mm(0.3), Length::from_mm(8.0));
    for law in [LeakLaw::Sealed, slit.expect("a slit")] {
        let divided = Divided::new(&curve, &law, inhalation).expect("it divides");
        let got = divided.breath(&by_physics[0], sizes.len());
        let stack = Stack::new(layers.iter().cloned().zip(counts));
        let (mut inhaled, mut work) = ([0.0; 4], 0.0);
        let steps = 2000;
        for step in 0..steps {
            let sine = (PI * (f64::from(step) + 0.5) / f64::from(steps)).sin();
            let weight = 0.5 * PI * sine / f64::from(steps);
            let flow = peak * sine;
            let divided =
                split(flow, |q| drops.untabulated(&counts, q), &law, &setting.air).expect("it divides");
            let ready = stack.prepare(&setting, divided.filter / area);
            for (sum, size) in inhaled.iter_mut().zip(sizes) {
                *sum += weight * divided.penetration(ready.penetration(size, kind).value, 1.0);
            }
            work += weight * divided.pressure_drop.to_kpa();
        }
        for ((got, exact), size) in got.inhaled.iter().zip(inhaled).zip(sizes) {
            assert!((got / exact - 1.0).abs() < 5e-3, "{law:?} {size:?}: {got}, fine sum {exact}");
        }
        assert!((got.work_j_per_l / work - 1.0).abs() < 2e-3, "{law:?}: {} J/L, {work}", got.work_j_per_l);
        for (size, exact) in sizes.into_iter().zip(inhaled) {
            let kernels = Kernels::new(ladder, setting, kind, &[(size, 1.0)]);
            let through = kernels.through(&layers, &[counts.to_vec()], rungs, &mut Room::default());
            let got = divided.breath(&through[0], 1).inhaled[0];
            assert!((got / exact - 1.0).abs() < 5e-3, "{law:?} {size:?}: drawn {got}, fine sum {exact}");
        }
    }
}

/// The rungs that are chosen for an average: against every rung, of draws far from the centre as well.
#[test]
fn draws_by_few_rungs_are_those_by_all() {
    let case = case(SLIT);
    let surroundings = Surroundings::of_case(&case, 11);
    let realiser = Realiser::new(&case, surroundings.closure(), surroundings.air());
    let area = Area::from_cm2(150.0);
    let inhalation = &case.face.as_ref().expect("stated").breathing[0].inhalation;
    let peak = inhalation.peak_flow();
    let fastest = (peak / area).to_m_per_s();
    let ladder = Ladder::from(fastest);
    let nodes: Vec<(Length, f64)> =
        [(0.1, 0.2), (0.2, 0.5), (0.4, 0.3)].map(|(um, weight)| (Length::from_um(um), weight)).to_vec();
    let kernels = Kernels::new(ladder, surroundings.headline(), surroundings.kind(), &nodes);
    for index in 0..20 {
        let layers = realiser.stack(&[1, 0], &|slot: Slot| slot.uniform(5, index)).layers;
        let curve = Drops::new(&layers, surroundings.headline(), area, [peak; 2]).together(&[1, 2]);
        let divided = Divided::new(&curve, &LeakLaw::Sealed, inhalation).expect("it divides");
        let by = |stride: usize| -> Breath {
            let rungs = ladder.for_peaks(stride, [fastest; 2]);
            let through = kernels.through(&layers, &[vec![1, 2]], rungs, &mut Room::default());
            divided.breath(&through[0], 1)
        };
        let ratio = by(6).inhaled[0] / by(1).inhaled[0];
        assert!((ratio - 1.0).abs() < 2e-3, "draw {index}: {ratio}");
    }
}

#[test]
fn tabulated_pressure_drops_are_those_of_the_physics() {
    let case = case(SLIT);
    let surroundings = Surroundings::of_case(&case, 11);
    let realiser = Realiser::new(&case, surroundings.closure(), surroundings.air());
    let layers = realiser.stack(&[1, 0], &|_: Slot| 0.5).layers;
    let (area, peak) = (Area::from_cm2(150.0), Flow::from_l_per_min(160.0));
    let drops = Drops::new(&layers, surroundings.headline(), area, [peak; 2]);
    let together = drops.together(&[2, 5]);
    assert_eq!(together.pressure(Flow::from_l_per_min(0.0)), Pressure::from_pa(0.0));
    for l_per_min in [0.05, 0.2, 1.0, 7.0, 30.0, 85.0, 160.0] {
        let flow = Flow::from_l_per_min(l_per_min);
        let ratio = together.pressure(flow).to_pa() / drops.untabulated(&[2, 5], flow).to_pa();
        assert!((ratio - 1.0).abs() < 2e-3, "{l_per_min} L/min: {ratio}");
    }
}

/// A fit factor of 50 at a steady 30 L/min is a leak of a fiftieth of that flow beside one layer, and less of more air.
#[test]
fn a_fit_factor_is_the_share_of_the_leak_at_the_flow_of_its_test() {
    let at = |flow: &str| {
        let face = format!(
            "[face]\nfit_factor = {{ value = 50, flow = \"30 L/min\" }}\nbreathing = {{ steady = \"{flow}\" }}\n"
        );
        let report = wear(&case(&face), WearOptions { seed: None, draws: Some(2) }).expect("it is worn");
        report.layers[0].leak_share_of_flow
    };
    assert!((at("30 L/min") / 0.02 - 1.0).abs() < 2e-3, "{}", at("30 L/min"));
    assert!(at("85 L/min") < 0.75 * at("30 L/min"), "{}", at("85 L/min"));
}

/// Sheets of their own average out: the spread of what n layers let through is that of like sheets over about root n.
#[test]
fn sheets_that_differ_average_out_over_the_layers_of_a_worn_stack() {
    let spread = |varies: &str| {
        let question =
            "[question]\nlayers_of = \"felt\"\nmost = 6\n[face]\nbreathing = { steady = \"85 L/min\" }\n";
        let text = SCENARIO.replacen("unevenness = 0", &format!("unevenness = 0\nvaries = {varies}"), 1);
        let text = format!("{text}\n{question}");
        let case = Case::read(&text, Shelf::built_in()).expect("a valid scenario");
        let report = wear(&case, WearOptions { seed: None, draws: Some(1000) }).expect("it is worn");
        let through = &report.layers[5].total_inward_leakage;
        through.q025.ln() - through.q975.ln()
    };
    let none = "fibre_diameter = { lot = \"0 %\" }";
    let lot = spread(&format!("{{ basis_weight = {{ lot = \"5 %\", sheet = \"0 %\" }}, {none} }}"));
    let sheet = spread(&format!("{{ basis_weight = {{ lot = \"0 %\", sheet = \"5 %\" }}, {none} }}"));
    // A distance between far quantiles of 1000 draws is known to 6 %, the ratio of two to 8 %; four of those.
    let ratio = lot / sheet;
    assert!((ratio / 6.0_f64.sqrt() - 1.0).abs() < 0.32, "lots spread {lot}, sheets {sheet}: {ratio}");
}

#[test]
fn draws_are_made_for_every_way_of_breathing_at_once() {
    let face = "[face]\nhole = \"3 mm\"\nbreathing = [\"rest\", \"heavy work\"]\n";
    let case = case(face);
    let both = wear(&case, WearOptions { seed: Some(3), draws: Some(5) }).expect("it is worn");
    assert_eq!(both.layers.len(), 2);
    let pressures: Vec<f64> = both.layers.iter().map(|l| l.peak_pressure_pa).collect();
    assert!(pressures[1] > 4.0 * pressures[0], "{pressures:?}");
    let course = &both.layers[1].breath;
    let highest = course.pressure_pa.iter().copied().fold(0.0, f64::max);
    assert!((highest / pressures[1] - 1.0).abs() < 1e-9 && !course.has_pace, "{highest} of {pressures:?}");
    assert_eq!(both.draws, 5);
}

/// Of a share that one quantity moves, that quantity makes all; of a worn mask, all together make no more than all.
#[test]
fn what_leaves_a_share_open_is_named() {
    let gap = "gap = { between = [\"0.3 mm\", \"1.5 mm\"] }";
    let face = format!(
        "[face]\nslit = {{ length = \"50 mm\", {gap}, depth = \"8 mm\" }}\nbreathing = \"light work\"\n"
    );
    let case = case(&face);
    let gap = Slot::Leak { input: Input::LeakGap };
    let draw = |index: u64, (): &mut ()| Some(vec![vec![gap.uniform(4, index)]]);
    let drawn = Drawn::make([1, 1], 300, draw, |_| ControlFlow::Continue(()));
    let by_gap = Open::new(&case, case.face.as_ref().expect("stated"), &[1, 0], 4).shares(&drawn, 0, 0);
    assert_eq!(by_gap[0].quantity, "gap of the leak");
    assert!((by_gap[0].rank_correlation_squared - 1.0).abs() < 1e-12, "{by_gap:?}");
    // Of the others chance makes some parts of 1/300: four standard errors of such a part.
    assert!(by_gap[1..].iter().all(|other| other.rank_correlation_squared < 0.06), "{by_gap:?}");
    let report = wear(&case, WearOptions { seed: None, draws: Some(300) }).expect("it is worn");
    let open = &report.layers[0].open;
    assert_eq!(open[0].kind, "leak", "{open:?}");
    assert!(open.iter().map(|o| o.rank_correlation_squared).sum::<f64>() < 1.1, "{open:?}");
}
