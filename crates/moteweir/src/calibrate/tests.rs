//! An invented bench is recovered, and what cannot be trusted says so.

use std::ops::ControlFlow;

use moteweir_sim::inference::{Grid, Model, Move, Plan, integrate, sample};
use moteweir_sim::random::{Purpose, Stream};

use super::evidence::Evidence;
use super::forward::Forward;
use super::layout::MisfitOf;
use super::outlook::Outlook;
use super::{CalibrationFault, CalibrationOptions, calibrate, invent};
use crate::case::Case;
use crate::files::Files;
use crate::predict::Surroundings;
use crate::report::{CalibratedBands, CalibrationReport};
use crate::shelf::Shelf;

const TOML: &str = include_str!("../../../../scenarios/tested-felt.toml");
const COUNTS: &str = include_str!("../../../../scenarios/tested-felt.csv");

fn case(toml: &str, counts: &str) -> Case {
    let files = Files::from_iter([("tested-felt.csv", counts)]);
    Case::read_with(toml, Shelf::built_in(), &files).expect("the scenario is sound")
}

fn run(case: &Case, options: CalibrationOptions) -> CalibrationReport {
    calibrate(case, options, |_| ControlFlow::Continue(())).expect("there is something to calibrate to")
}

/// The demo's bench: run by `review`, made here.
#[test]
fn the_demo_s_bench_is_made_by_its_own_parameters() {
    const DEMO: &str = include_str!("../../../../scenarios/seaside-inserts.toml");
    const BENCH: &str = include_str!("../../../../scenarios/seaside-bench.csv");
    let files = Files::from_iter([("seaside-bench.csv", BENCH)]);
    let case = Case::read_with(DEMO, Shelf::built_in(), &files).expect("the scenario is sound");
    let made = invent(&case, BENCH).expect("its parameters fit");
    assert_eq!(made.trim_end(), BENCH.trim_end(), "scenarios/seaside-bench.csv is out of date:\n{made}");
}

#[test]
fn the_invented_bench_is_made_by_its_own_parameters_and_recovered() {
    let case = case(TOML, COUNTS);
    let made = invent(&case, COUNTS).expect("its parameters fit");
    assert_eq!(made.trim_end(), COUNTS.trim_end(), "scenarios/tested-felt.csv is out of date:\n{made}");
    let report = run(&case, CalibrationOptions::default());
    assert!(report.converged, "{:?}", report.warnings);
    let truths = [
        ("craft felt", "basis_weight", 163.0),
        ("craft felt", "thickness", 1.25),
        ("craft felt", "fibre_diameter", 15.5),
        ("facial tissue", "basis_weight", 29.5),
        ("facial tissue", "thickness", 0.21),
        ("facial tissue", "fibre_diameter", 14.0),
        ("facial tissue", "unevenness", 0.15),
        ("room", "slope", 3.3),
    ];
    for (specimen, name, truth) in truths {
        let p = report
            .parameters
            .iter()
            .find(|p| p.specimen == specimen && p.name == name)
            .expect("it is among the unknowns");
        assert!((p.q025..=p.q975).contains(&truth), "{specimen} {name}: {truth} outside {p:?}");
        assert!(p.rhat < 1.01 && p.ess >= 1000.0, "{p:?}");
    }
    // A miss by the chance of this seed. Its misfits, drawn at 0.7 of what the calibration takes them for, are rare: chi-squared
    // is 23 for the felt's nine numbers (6 seeds in 1000). And they lean one way: at 0.3 to 0.5 um what the felt catches
    // without charge is 1.2 of the calibration's standard deviations up, what charge adds 1.6, the level of the file 0.6, and
    // the first falls to -2.2 at 2.5 to 5 um, as it would with more charge. So 4 uC/m2 lies at 0.004 of what is known after
    // the counts; invented with half of the misfits at 0.03, without them at 0.19. Ranks of charge and of both misfits are
    // even (rank_tests.rs), and 35 other seeds of 35 hold the truth within their 95 %, at 0.03 to 0.82. Fails when it goes
    // away.
    let charge =
        report.parameters.iter().find(|p| p.name == "surface_charge").expect("the felt may be charged");
    assert!(charge.q025 > 4.0 && charge.q025 < 7.0, "{charge:?}");
    let odd = report.predictive.iter().filter(|p| p.odd).count();
    assert!(odd <= 2, "{odd} odd readings of {}", report.predictive.len());
    assert!(!report.next.is_empty() && report.next[0].variance_reduction < 1.0, "{:?}", report.next);
    let text = crate::words::calibration(&report);
    assert!(text.contains("it would narrow what"), "{text}");
}

const MEASURED: &str = r#"
[[material]]
name = "paper"
structure = "web"
basis_weight = "40 g/m2"
thickness = "0.3 mm"
polymer = "polyester"
fibre_diameter = { between = ["3 um", "12 um"] }
[[stack]]
name = "paper"
layers = "paper"
[[measured]]
file = "curve.csv"
specimen = "paper"
diameter = "mobility"
[use]
face_velocities = ["5 cm/s"]
"#;
const CURVE: &str = "diameter_um,face_velocity_cm_per_s,penetration,standard_uncertainty
0.3,5,0.88,0.004
0.5,5,0.88,0.004
1.0,5,0.80,0.004
";

/// A curve known to 3 % of ln P: the bands are as narrow there as laboratories agree, and open again a factor ten away.
#[test]
fn bands_are_narrow_where_it_was_measured_and_open_away_from_there() {
    let files = Files::from_iter([("curve.csv", CURVE)]);
    let case = Case::read_with(MEASURED, Shelf::built_in(), &files).expect("the scenario is sound");
    let report = run(&case, CalibrationOptions { most_sweeps: Some(2000), ..Default::default() });
    let curve = report
        .curves
        .iter()
        .find(|c| (c.face_velocity_m_per_s - 0.05).abs() < 1e-6)
        .expect("the paper at its velocity");
    let width = |d: f64| {
        let i = curve.diameter_m.partition_point(|x| *x < d);
        let log = |p: f64| (-p.ln()).ln();
        log(curve.penetration.q025[i]) - log(curve.penetration.q975[i])
    };
    // Laboratories differ by 0.13: 95 % of that are 0.51 wide, and the readings add little.
    assert!((0.45..0.6).contains(&width(0.5e-6)), "{}", width(0.5e-6));
    let beyond = |d: f64| (width(d).powi(2) - width(0.5e-6).powi(2)).sqrt();
    assert!(beyond(0.05e-6) > 0.2, "{} {}", width(0.05e-6), width(0.5e-6));
    let paper = &report.misfits[0];
    assert!(paper.amplitude > 0.05 && paper.knots.len() == 3, "{paper:?}");
    assert!(report.predictive.iter().all(|p| !p.odd), "{:?}", report.predictive);
}

const COUNTED: &str = r#"
[particles]
smallest = "0.1 um"
largest = "5 um"
charge = "none"
[[material]]
name = "paper"
structure = "web"
basis_weight = { between = ["20 g/m2", "120 g/m2"] }
thickness = "0.4 mm"
polymer = "polyester"
fibre_diameter = { between = ["3 um", "12 um"] }
[[stack]]
name = "paper"
layers = "paper"
[bench]
counts = "tested-felt.csv"
hole = "20 mm"
pump = "2.83 L/min"
sizing = "0.1 %"
"#;

const MANY: &str = "reading,state,specimen,from_um,to_um,seconds,counts
1,open,,0.5,0.6,600,90000
2,sample,paper,0.5,0.6,600,45000
3,sample,paper,0.5,0.6,600,45000
4,open,,0.5,0.6,600,90000
5,open,,0.5,0.6,600,90000
6,sample,paper,0.5,0.6,600,45000
7,sample,paper,0.5,0.6,600,45000
8,open,,0.5,0.6,600,90000
";

/// A hundred thousand counts by a counter that is sure of its sizes: what the bench would read again is known to a
/// fraction of what laboratories differ by, and what the material catches is not. With a prior of sd V of ln(-ln P) the
/// rest is 0.13 V/sqrt(V^2 + 0.13^2), and V is over 0.7 here: 0.128, and by chains of 8000 sweeps 0.140 at a size beside
/// the channel's own.
#[test]
fn no_number_of_counts_is_surer_than_another_laboratory() {
    let case = case(COUNTED, MANY);
    let report = run(&case, CalibrationOptions::default());
    assert!(report.converged, "{:?}", report.warnings);
    let curve = report.curves.iter().find(|c| !c.measured.is_empty()).expect("the velocity of the bench");
    let i = curve.diameter_m.partition_point(|d| *d < 0.55e-6);
    let sd = |bands: &CalibratedBands| {
        let log = |p: f64| (-p.ln()).ln();
        (log(bands.q025[i]) - log(bands.q975[i])) / (2.0 * 1.96)
    };
    assert!(sd(&curve.prior_penetration) > 0.7, "{}", sd(&curve.prior_penetration));
    let after = sd(&curve.penetration);
    assert!((0.115..0.16).contains(&after), "{after}");
    // d ln(-ln P) = d ln N/(-ln P), P = 1/2.
    let through = report.predictive.iter().filter(|p| p.reading.starts_with("paper"));
    for p in through {
        let again = (p.q975 / p.q025).ln() / (2.0 * 1.96) / std::f64::consts::LN_2;
        assert!(again < 0.5 * after, "{again} {after}: {p:?}");
    }
    let level = report.parameters.iter().find(|p| p.name == "level").expect("the bench has a level");
    assert!(level.width_left > 0.9 && level.shift.abs() < 0.4, "{level:?}");
}

#[test]
fn what_has_not_converged_says_so() {
    let case = case(TOML, COUNTS);
    let report = run(&case, CalibrationOptions { most_sweeps: Some(100), ..Default::default() });
    assert!(!report.converged && report.warnings.iter().any(|w| w.kind == "not_converged"));
    assert!(crate::words::calibration(&report).contains("has not converged"));
}

#[test]
fn the_number_of_threads_moves_no_bit() {
    let case = case(TOML, COUNTS);
    let on = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| run(&case, CalibrationOptions { most_sweeps: Some(100), ..Default::default() }))
    };
    // JSON, for numbers that are none are equal there.
    let json = |report: &CalibrationReport| serde_json::to_string(report).expect("it is data");
    assert_eq!(json(&on(1)), json(&on(3)));
}

#[test]
fn treatments_that_take_the_charge_are_used_and_others_left_out() {
    let washed = COUNTS.replacen("craft felt,,1,as received", "craft felt,,1,washed 5 times", 4);
    let found =
        Evidence::of(&case(TOML, &washed), &moteweir_physics::air::Air::reference()).expect("readings");
    assert!(found.remarks.iter().any(|r| r.contains("washed 5 times")), "{:?}", found.remarks);
    let wet = COUNTS.replacen("craft felt,,1,as received", "craft felt,,1,discharged in alcohol", 4);
    let found = Evidence::of(&case(TOML, &wet), &moteweir_physics::air::Air::reference()).expect("readings");
    assert_eq!(found.tests.iter().filter(|t| t.discharged).count(), 1);
    assert_eq!(found.tests.len(), 3);
}

/// Some of the felt's readings as if its charge had been taken away.
fn partly_discharged() -> Case {
    case(TOML, &COUNTS.replacen("craft felt,,1,as received", "craft felt,,1,discharged in alcohol", 4))
}

#[test]
fn what_is_not_known_of_charge_leaves_discharged_readings_alone() {
    let case = partly_discharged();
    let surroundings = Surroundings::of_case(&case, Outlook::SIZES);
    let evidence = Evidence::of(&case, surroundings.air()).expect("readings");
    let forward = Forward::new(&case, &surroundings, evidence).expect("counts");
    let charge = forward.misfits.iter().find(|m| m.of == MisfitOf::Charge).expect("felt may be charged");
    let (mut at, mut work) = (vec![0.0; forward.dimension()], forward.room());
    forward.log_likelihood(&at, None, &mut work);
    let before = work.penetrations.clone();
    let numbers: Vec<usize> = charge.numbers.clone().collect();
    for number in &numbers {
        at[*number] = 1.0;
    }
    forward.log_likelihood(&at, Some(&numbers), &mut work);
    for (number, test) in forward.evidence.tests.iter().enumerate() {
        let felt = test.sheets.iter().any(|(m, _)| case.materials[*m].name == "craft felt");
        let same = before[number] == work.penetrations[number];
        assert_eq!(same, test.discharged || !felt, "{}", test.name);
    }
}

/// After a step in any block, alone or along, what is kept is what would be worked out anew; and what files give away, the
/// misfits take up: the counts are as likely as before.
#[test]
fn steps_keep_what_would_be_worked_out_anew() {
    for case in [partly_discharged(), case(TOML, COUNTS)] {
        let surroundings = Surroundings::of_case(&case, Outlook::SIZES);
        let evidence = Evidence::of(&case, surroundings.air()).expect("readings");
        let forward = Forward::new(&case, &surroundings, evidence).expect("counts");
        let mut stream = Stream::new(4, Purpose::named("positions"), 0);
        let mut at: Vec<f64> = (0..forward.dimension()).map(|_| 0.5 * stream.normal()).collect();
        let mut work = forward.room();
        let mut before = forward.log_likelihood(&at, None, &mut work);
        for moving in forward.moves() {
            let block = moving.block();
            for number in block {
                at[*number] += 0.05 * stream.normal();
            }
            let after = match moving {
                Move::Along(_) | Move::Leap(_) => forward.log_likelihood_along(&mut at, block, &mut work),
                _ => forward.log_likelihood(&at, Some(block), &mut work),
            };
            let anew = forward.log_likelihood(&at, None, &mut forward.room());
            assert!((after - anew).abs() < 1e-7 * anew.abs(), "{moving:?}: {after} {anew}");
            if block == forward.numbers.files.clone().collect::<Vec<_>>() {
                assert!((after - before).abs() < 0.05 + 1e-3 * before.abs(), "{after} {before}");
            }
            before = after;
        }
    }
}

const ONE_UNKNOWN: &str = r#"
[[material]]
name = "paper"
structure = "web"
basis_weight = "40 g/m2"
thickness = "0.3 mm"
polymer = "polyester"
fibre_diameter = { between = ["3 um", "12 um"] }
[[stack]]
layers = "paper"
[bench]
[[bench.resistance]]
specimen = "paper"
pressure_drop = "60 Pa at 10 cm/s"
"#;

/// One unknown and the drag: quadrature. Its posterior beside chains of 40 000 effective draws.
#[test]
fn one_unknown_goes_by_quadrature_and_agrees_with_chains() {
    let case = Case::read(ONE_UNKNOWN, Shelf::built_in()).expect("it is sound");
    let report = run(&case, CalibrationOptions::default());
    assert_eq!(report.method, "quadrature");
    assert!(report.converged && report.parameters[0].moved, "{:?}", report.parameters);
    let surroundings = Surroundings::of_case(&case, Outlook::SIZES);
    let evidence = Evidence::of(&case, surroundings.air()).expect("a resistance");
    let forward = Forward::new(&case, &surroundings, evidence).expect("no counts");
    let grid = integrate(&forward, &Grid::usual()).expect("two numbers");
    let plan = Plan { ess_at_least: 40_000.0, round: 40_000, most: 200_000, ..Plan::usual(3) };
    let chains = sample(&forward, &plan, |_| ControlFlow::Continue(()));
    assert!(chains.converged, "{:?}", chains.diagnoses);
    let moments = |values: Vec<f64>| {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        (mean, (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt())
    };
    for number in 0..forward.dimension() {
        let ((m, s), (n, t)) = (moments(grid.number(number)), moments(chains.number(number)));
        // Three standard errors of 40 000 draws are 1.5 % of a standard deviation.
        assert!((m - n).abs() < 0.015 * t && (s / t - 1.0).abs() < 0.015, "{number}: {m} {s}, {n} {t}");
    }
}

#[test]
fn nothing_measured_is_a_fault() {
    let bare = ONE_UNKNOWN.split("[bench]").next().expect("a text");
    let case = Case::read(bare, Shelf::built_in()).expect("it is sound");
    let fault = calibrate(&case, CalibrationOptions::default(), |_| ControlFlow::Continue(())).unwrap_err();
    assert_eq!(fault, CalibrationFault::NothingMeasured);
}
