//! `calibrate`: what its result holds, when it is not to be trusted, and what is refused where.

use std::fs;

use serde_json::Value;
use tempfile::{TempDir, tempdir};

use crate::program::{Run, names_in, run_in};

/// A felt of unknown fibre behind a hole; invented.
const SCENARIO: &str = r#"format = 1
title = "Felt on a bench"
[particles]
points = 31
[[material]]
name = "felt"
structure = "web"
polymer = "polyester"
basis_weight = "160 g/m2"
thickness = "1.2 mm"
fibre_diameter = { between = ["12 um", "24 um"] }
[[stack]]
name = "one"
layers = ["felt"]
[use]
face_velocities = ["9 cm/s"]
[bench]
counts = "bench.csv"
hole = "25.8 mm"
pump = "2.83 L/min"
[[bench.resistance]]
specimen = "felt"
pressure_drop = "12 Pa at 10 cm/s"
uncertainty = "5 %"
"#;

/// Its counts; invented.
const COUNTS: &str = "state,specimen,from_um,to_um,seconds,counts
open,,0.5,1,60,4020
open,,1,2.5,60,910
sample,felt,0.5,1,60,3440
sample,felt,1,2.5,60,640
open,,0.5,1,60,3950
open,,1,2.5,60,880
";

fn desk(scenario: &str, counts: &str) -> TempDir {
    let folder = tempdir().expect("a folder");
    fs::write(folder.path().join("felt.toml"), scenario).expect("it can be written");
    fs::write(folder.path().join("bench.csv"), counts).expect("it can be written");
    folder
}

fn calibrate(folder: &TempDir, options: &[&str]) -> Run {
    run_in(folder.path(), ["--quiet", "calibrate", "felt.toml"].iter().chain(options))
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[test]
fn the_json_has_the_keys_of_its_format() {
    let folder = desk(SCENARIO, COUNTS);
    let report: Value = serde_json::from_str(&calibrate(&folder, &["--json"]).done()).expect("JSON");
    assert_eq!(report["format"], "moteweir.calibration.1");
    assert_eq!(report["converged"], true);
    for key in ["warnings", "cannot_tell", "misfits", "seed", "method", "closure"] {
        assert!(!report[key].is_null(), "{key} is missing");
    }
    let parameter = &report["parameters"][0];
    let named = keys(parameter);
    for key in ["specimen", "name", "unit", "prior", "mean", "sd", "q025", "q50", "q975", "rhat", "ess"] {
        assert!(named.contains(&key), "{key} is not in {named:?}");
    }
    assert!(["q025", "q50", "q975"].iter().all(|q| parameter["prior"][q].is_number()), "{parameter}");
    let curve = &report["curves"][0];
    assert!(curve["specimen"].is_string() && curve["face_velocity_m_per_s"].is_number());
    let sizes = curve["diameter_m"].as_array().expect("sizes").len();
    for q in ["q025", "q25", "q50", "q75", "q975"] {
        assert_eq!(curve["penetration"][q].as_array().map(Vec::len), Some(sizes), "{q}");
    }
    for key in ["mpps_m", "mpps_penetration"] {
        assert!(report[key]["q50"].is_number(), "{key}");
    }
    // Six counts and a pressure drop, each checked; something to do next.
    assert_eq!(report["predictive"].as_array().map(Vec::len), Some(7));
    assert!(report["next"][0]["variance_reduction"].is_number());
    // The readings say that the fibre is coarser than it might be, within what was thought possible.
    let fibre = parameter["q50"].as_f64().expect("a number");
    assert_eq!(parameter["name"], "fibre_diameter");
    assert!((12.0..24.0).contains(&fibre), "{fibre}");
}

#[test]
fn the_same_bits_on_one_and_two_threads() {
    let folder = desk(SCENARIO, COUNTS);
    let on = |threads: &str| {
        let arguments = ["--quiet", "--threads", threads, "calibrate", "felt.toml", "--json"];
        run_in(folder.path(), arguments).done()
    };
    assert!(on("1") == on("2"), "two threads differ from one");
    let other: Value =
        serde_json::from_str(&calibrate(&folder, &["--json", "--seed", "8"]).done()).expect("JSON");
    let first: Value = serde_json::from_str(&on("2")).expect("JSON");
    let middle = |report: &Value| report["parameters"][0]["q50"].as_f64().expect("a number");
    let sd = first["parameters"][0]["sd"].as_f64().expect("a number");
    assert!(middle(&first).to_bits() != middle(&other).to_bits(), "another seed gives other draws");
    assert!((middle(&first) - middle(&other)).abs() < 0.2 * sd, "and the same answer");
}

#[test]
fn what_has_not_converged_says_so_first_and_exits_with_3() {
    let folder = desk(SCENARIO, COUNTS);
    let run = calibrate(&folder, &["--most", "100", "--out", "result"]);
    assert_eq!(run.code, Some(3), "{}", run.err);
    let after_title = run.out.split("\n\n").nth(1).expect("a sentence");
    assert!(after_title.starts_with("This has not converged"), "{}", run.out);
    assert!(run.err.starts_with("error: the calibration has not converged (R-hat "), "{}", run.err);
    // The folder is whole all the same, and says so too.
    let text = fs::read_to_string(folder.path().join("result/calibration.json")).expect("it is there");
    let report: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(report["converged"], false);
    assert!(report["warnings"].to_string().contains("not converged"), "{}", report["warnings"]);
    let review = run_in(folder.path(), ["--quiet", "calibrate", "felt.toml", "--most", "100", "--json"]);
    assert_eq!(review.code, Some(3));
}

#[test]
fn a_folder_of_results_is_whole_and_nobody_else_s_is_touched() {
    let folder = desk(SCENARIO, COUNTS);
    calibrate(&folder, &["--out", "result"]).done();
    let names = names_in(&folder.path().join("result"));
    for name in ["calibration.json", "calibration.txt", "curves.csv", "parameters.csv", "readings.csv"] {
        assert!(names.iter().any(|n| n == name), "{name} is not in {names:?}");
    }
    for figure in ["calibrated-1-one", "before-and-after", "readings-and-model"] {
        for ending in ["svg", "png", "csv"] {
            assert!(names.contains(&format!("{figure}.{ending}")), "{figure}.{ending} is not in {names:?}");
        }
    }
    fs::create_dir(folder.path().join("mine")).expect("it can be made");
    fs::write(folder.path().join("mine/notes.txt"), "mine").expect("it can be written");
    let refused = calibrate(&folder, &["--out", "mine"]).refused();
    assert!(refused.contains("mine holds notes.txt"), "{refused}");
    assert_eq!(names_in(&folder.path().join("mine")), ["notes.txt"]);
}

#[test]
fn bad_counts_are_shown_in_their_place_and_nothing_is_written() {
    let cases = [
        (COUNTS.replace("3440", "many"), "bench.csv:4"),
        (COUNTS.replace("3440", "-3"), "bench.csv:4"),
        (COUNTS.replace("60,4020", "0,4020"), "bench.csv:2"),
        (COUNTS.replace("sample,felt,0.5,1", "sample,felt,1,0.5"), "bench.csv:4"),
        (COUNTS.replace("sample,felt,", "sample,fleece,"), "bench.csv:4"),
        (
            COUNTS.lines().filter(|l| !l.starts_with("open")).fold(String::new(), |a, l| a + l + "\n"),
            "bench.csv:",
        ),
        (String::new(), "bench.csv"),
    ];
    for (counts, place) in cases {
        let folder = desk(SCENARIO, &counts);
        let said = calibrate(&folder, &["--out", "result"]).refused();
        assert!(said.contains(place), "{place} is not in\n{said}");
        assert!(said.contains("nothing was computed"), "{said}");
        assert_eq!(names_in(folder.path()), ["bench.csv", "felt.toml"]);
    }
}

#[test]
fn a_bench_without_file_velocity_or_readings_is_told_what_it_lacks() {
    let no_file = desk(&SCENARIO.replace("bench.csv", "other.csv"), COUNTS);
    let said = calibrate(&no_file, &[]).refused();
    assert!(said.contains("felt.toml:18") && said.contains("other.csv"), "{said}");
    let no_velocity = SCENARIO.replace("hole = \"25.8 mm\"\npump = \"2.83 L/min\"\n", "");
    let no_velocity = desk(&no_velocity, COUNTS);
    let said = calibrate(&no_velocity, &[]).refused();
    assert!(said.contains("bench.csv, line 4: the face velocity is not known"), "{said}");
    let (before, _) = SCENARIO.split_once("[bench]").expect("it has a bench");
    let said = calibrate(&desk(before, COUNTS), &[]).refused();
    assert!(said.starts_with("error: there is nothing to calibrate to"), "{said}");
}
