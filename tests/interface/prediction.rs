//! A prediction as JSON and CSV: the keys that were promised, and numbers that read back to the same bits.

use std::fs;

use moteweir::report::Prediction;
use moteweir::{Case, Files, Shelf, predict};
use serde_json::Value;

use crate::program::{command, root, run};

const DEMO: &str = "scenarios/seaside-inserts.toml";
const COUNTS: &str = "scenarios/seaside-bench.csv";

fn demo_json() -> Value {
    let text = run(["predict", DEMO, "--json"]).clean();
    serde_json::from_str(&text).expect("it is JSON")
}

/// The same prediction by the library, in this process.
fn demo_prediction() -> Prediction {
    let text = fs::read_to_string(root().join(DEMO)).expect("the demo is there");
    let counts = fs::read_to_string(root().join(COUNTS)).expect("its counts are there");
    let mut files = Files::none();
    files.insert("seaside-bench.csv", Ok(counts));
    let case = Case::read_with(&text, Shelf::built_in(), &files).expect("the demo is fine");
    predict::predict(&case).expect("the demo can be predicted")
}

#[track_caller]
fn assert_keys(value: &Value, expected: &[&str]) {
    let mut found: Vec<&str> = value.as_object().expect("an object").keys().map(String::as_str).collect();
    let mut expected = expected.to_vec();
    found.sort_unstable();
    expected.sort_unstable();
    assert_eq!(found, expected);
}

#[test]
fn json_has_the_keys_of_the_format() {
    let json = demo_json();
    assert_eq!(json["format"], "moteweir.prediction.1");
    assert_keys(&json, &["format", "title", "air", "stacks", "warnings", "assumed", "sources"]);
    assert_keys(
        &json["air"],
        &["temperature_k", "pressure_pa", "viscosity_pa_s", "density_kg_per_m3", "mean_free_path_m"],
    );
    assert_keys(&json["warnings"][0], &["kind", "text"]);
    assert_keys(&json["assumed"][0], &["material", "key", "value", "from"]);
    assert!(json["sources"].as_array().is_some_and(|s| !s.is_empty() && s.iter().all(Value::is_string)));
}

#[test]
fn json_has_the_keys_of_stacks_layers_and_curves() {
    let json = demo_json();
    for stack in json["stacks"].as_array().expect("stacks are a list") {
        assert_keys(stack, &["name", "closure", "layers", "curves", "breathing"]);
        for layer in stack["layers"].as_array().expect("layers are a list") {
            let promised = ["material", "structure", "solidity", "thickness_m", "basis_weight_kg_per_m2"];
            let more = ["fibre_diameter_m", "fibre_diameter_is_effective", "cover_factor", "open_area"];
            let last = ["pore_diameter_m", "hazards", "note"];
            assert_keys(layer, &[&promised[..], &more[..], &last[..]].concat());
        }
        for curve in stack["curves"].as_array().expect("curves are a list") {
            assert_keys(curve, &[&CURVE[..], &CURVE_BEYOND[..]].concat());
            for fibre in curve["single_fibre"].as_array().expect("a list") {
                assert_keys(fibre, &[&SINGLE_FIBRE[..], &["charges_e", "diffusion_interception"]].concat());
            }
        }
    }
}

/// What a curve must have.
const CURVE: [&str; 11] = [
    "face_velocity_m_per_s",
    "pressure_drop_pa",
    "diameter_m",
    "penetration",
    "penetration_low",
    "penetration_high",
    "quality_factor_per_pa",
    "mpps_m",
    "mpps_penetration",
    "mpps_at",
    "single_fibre",
];
/// What a curve has beyond that.
const CURVE_BEYOND: [&str; 13] = [
    "label",
    "pressure_drop_low_pa",
    "pressure_drop_high_pa",
    "penetration_input_low",
    "penetration_input_high",
    "mpps_penetration_low",
    "mpps_penetration_high",
    "mpps_flat_from_m",
    "mpps_flat_to_m",
    "other_maxima_m",
    "mpps_doubts",
    "mpps_groups",
    "averages",
];
const SINGLE_FIBRE: [&str; 7] =
    ["material", "diffusion", "interception", "impaction", "gravity", "electrostatic", "total"];

#[test]
fn json_numbers_read_back_to_the_same_bits() {
    let (json, library) = (demo_json(), demo_prediction());
    let same = serde_json::to_value(&library).expect("a prediction is JSON");
    // Through values in memory, not through text: a digit lost in printing would show.
    assert_same_bits(&json, &same, "prediction");
    let (read, computed) =
        (&json["stacks"][0]["curves"][0]["penetration"], &library.stacks[0].curves[0].penetration);
    assert!(computed.len() > 100);
    for (read, computed) in read.as_array().expect("a list").iter().zip(computed) {
        assert_eq!(read.as_f64().map(f64::to_bits), Some(computed.to_bits()));
    }
}

fn assert_same_bits(read: &Value, computed: &Value, place: &str) {
    match (read, computed) {
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{place}");
            for (i, (a, b)) in a.iter().zip(b).enumerate() {
                assert_same_bits(a, b, &format!("{place}[{i}]"));
            }
        }
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.len(), b.len(), "{place}");
            for (key, a) in a {
                assert_same_bits(a, &b[key], &format!("{place}.{key}"));
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            assert_eq!(a.as_f64().map(f64::to_bits), b.as_f64().map(f64::to_bits), "{place}");
        }
        (a, b) => assert_eq!(a, b, "{place}"),
    }
}

#[test]
fn curves_are_physical() {
    for stack in demo_json()["stacks"].as_array().expect("a list") {
        for curve in stack["curves"].as_array().expect("a list") {
            let numbers = |key: &str| -> Vec<f64> {
                let list = curve[key].as_array().expect("a list").iter();
                list.map(|n| n.as_f64().expect("a finite number")).collect()
            };
            let (low, value, high) =
                (numbers("penetration_low"), numbers("penetration"), numbers("penetration_high"));
            assert_eq!(value.len(), 121);
            for i in 0..value.len() {
                assert!(
                    0.0 <= low[i] && low[i] <= value[i] && value[i] <= high[i] && high[i] <= 1.0,
                    "{}, size {i}: {} <= {} <= {}",
                    stack["name"],
                    low[i],
                    value[i],
                    high[i]
                );
            }
            let worst = curve["mpps_penetration"].as_f64().expect("a number");
            let most = value.iter().copied().fold(0.0, f64::max);
            assert!(worst >= most, "{}: {most} on the curve, {worst} at the worst size", stack["name"]);
            let place = curve["mpps_at"].as_str().expect("a word");
            assert!(["interior", "smallest", "largest"].contains(&place), "{place}");
        }
    }
}

#[test]
fn csv_is_the_curves_to_the_last_bit() {
    let text = run(["predict", DEMO, "--csv"]).clean();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().expect("it has a heading").clone();
    assert_eq!(&head[0], "stack");
    let column = |name: &str| head.iter().position(|h| h == name).expect("the column is there");
    let (size, penetration) = (column("diameter_m"), column("penetration"));
    let library = demo_prediction();
    let mut expected = library.stacks.iter().flat_map(|s| {
        s.curves.iter().flat_map(move |c| {
            c.diameter_m
                .iter()
                .zip(&c.penetration)
                .map(move |(d, p)| (s.name.as_str(), d.to_bits(), p.to_bits()))
        })
    });
    for row in reader.records() {
        let row = row.expect("a whole row");
        let bits = |i: usize| row[i].parse::<f64>().expect("a number").to_bits();
        assert_eq!(Some((&row[0], bits(size), bits(penetration))), expected.next());
    }
    assert_eq!(expected.next(), None, "rows are missing");
}

#[test]
fn output_that_nobody_reads_to_its_end_is_no_failure() {
    for format in ["--json", "--csv"] {
        let mut child = command(&root())
            .args(["predict", DEMO, format])
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .expect("the program starts");
        drop(child.stdout.take());
        let ended = child.wait_with_output().expect("it ends");
        assert_eq!((ended.status.code(), String::from_utf8_lossy(&ended.stderr).as_ref()), (Some(0), ""));
    }
}
