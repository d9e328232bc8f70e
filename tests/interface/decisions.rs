//! `vary` and `wear`: the keys of their JSON, the same bits on any number of threads, what they refuse.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::examples::desk;
use crate::program::run_in;

/// Two webs, one of unknown fibre that varies from sheet to sheet, a target each way, a question and a leaking face.
const SCENARIO: &str = r#"
title = "Felt beside a gap"
[particles]
smallest = "0.02 um"
largest = "5 um"
[[material]]
name = "felt"
class = "needled felt"
basis_weight = "250 g/m2"
thickness = "2 mm"
fibre_diameter = { between = ["6 um", "12 um"] }
[material.varies]
basis_weight = { lot = "5 %", sheet = "3 %" }
[[stack]]
name = "two felts"
layers = [{ of = "felt", times = 2 }]
[[target]]
efficiency_at_least = "40 %"
at = "worst"
[[target]]
pressure_drop_at_most = "60 Pa"
[question]
layers_of = "felt"
most = 6
resistance_at_most = "120 Pa at 85 L/min"
[face]
slit = { length = "60 mm", gap = { between = ["0.8 mm", "1.2 mm"] }, depth = "5 mm" }
breathing = ["rest", "heavy work"]
"#;

fn scenario(folder: &Path) -> &'static str {
    fs::write(folder.join("decide.toml"), SCENARIO).expect("the folder takes a file");
    "decide.toml"
}

fn json(folder: &Path, command: &str, threads: &str) -> (String, Value) {
    let file = scenario(folder);
    let text =
        run_in(folder, [command, file, "--draws", "400", "--seed", "7", "--threads", threads, "--json"])
            .clean();
    let value = serde_json::from_str(&text).expect("JSON");
    (text, value)
}

fn has_keys(value: &Value, keys: &[&str]) {
    let object = value.as_object().expect("an object");
    for key in keys {
        assert!(object.contains_key(*key), "{key} is not among {:?}", object.keys().collect::<Vec<_>>());
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn draws_are_the_same_on_any_number_of_threads() {
    let folder = desk();
    for command in ["vary", "wear"] {
        let one = json(folder.path(), command, "1").0;
        for threads in ["2", "7"] {
            assert!(json(folder.path(), command, threads).0 == one, "{command} on {threads} threads");
        }
    }
}

#[test]
fn the_variation_has_its_keys_and_its_numbers_in_order() {
    let folder = desk();
    let (_, report) = json(folder.path(), "vary", "2");
    has_keys(&report, &["format", "seed", "stacks", "how_many", "warnings", "assumed"]);
    assert_eq!(report["format"], "moteweir.variation.1");
    assert_eq!(report["seed"], 7);
    let stack = &report["stacks"][0];
    has_keys(
        stack,
        &[
            "name",
            "face_velocity_m_per_s",
            "draws",
            "diameter_m",
            "penetration",
            "pressure_drop_pa",
            "mpps_m",
            "mpps_penetration",
            "targets",
            "sensitivity",
        ],
    );
    assert_eq!(stack["draws"], 400);
    let sizes = stack["diameter_m"].as_array().expect("sizes").len();
    for i in 0..sizes {
        let at = |key: &str| number(&stack["penetration"][key][i]);
        let rising = [at("q025"), at("q25"), at("q50"), at("q75"), at("q975")];
        assert!(rising.is_sorted() && rising[0] >= 0.0 && rising[4] <= 1.0, "{rising:?}");
    }
    for target in stack["targets"].as_array().expect("targets") {
        has_keys(target, &["text", "probability", "standard_error"]);
        assert!((0.0..=1.0).contains(&number(&target["probability"])));
    }
    let first = &stack["sensitivity"][0];
    has_keys(first, &["target", "quantity", "first", "total"]);
    assert_eq!(first["quantity"], "fibre diameter of felt", "what is known least by far");
    let steps = report["how_many"]["steps"].as_array().expect("steps");
    assert_eq!(steps.len(), 6);
    let through = |i: usize| number(&steps[i]["mpps_penetration"]["central"]);
    let costs = |i: usize| number(&steps[i]["pressure_drop_pa"]["central"]);
    for i in 1..steps.len() {
        assert!(through(i) < through(i - 1) && costs(i) > costs(i - 1), "layer {}", i + 1);
    }
}

#[test]
fn a_leak_is_inhaled_whatever_the_filter() {
    let folder = desk();
    let (_, report) = json(folder.path(), "wear", "2");
    has_keys(&report, &["format", "layers", "best", "warnings", "assumed"]);
    assert_eq!(report["format"], "moteweir.wear.1");
    let layers = report["layers"].as_array().expect("layers");
    assert_eq!(layers.len(), 12, "six numbers of layers, two ways of breathing");
    for worn in layers {
        has_keys(
            worn,
            &[
                "stack",
                "layers",
                "total_inward_leakage",
                "leak_share_of_flow",
                "peak_pressure_pa",
                "work_j_per_l",
            ],
        );
        let leak = number(&worn["leak_share_of_flow"]);
        let inhaled = &worn["total_inward_leakage"];
        assert!(number(&inhaled["central"]) >= leak, "{worn}");
        let band = [number(&inhaled["q025"]), number(&inhaled["q50"]), number(&inhaled["q975"])];
        assert!(band.is_sorted(), "{band:?}");
    }
    // The leak's share falls as the flow rises: its loss is partly turbulent, the filter's is not.
    for n in 0..6 {
        let share = |i: usize| number(&layers[i]["leak_share_of_flow"]);
        assert!(share(n + 6) < share(n), "{} layers: rest {}, heavy work {}", n + 1, share(n), share(n + 6));
    }
    for best in report["best"].as_array().expect("best") {
        let sum: f64 = best["probability"].as_array().expect("shares").iter().map(number).sum();
        assert!((sum - 1.0).abs() < 1e-9);
    }
}

#[test]
fn a_scenario_without_a_face_is_refused_with_one_to_copy() {
    let folder = desk();
    fs::write(folder.path().join("bare.toml"), "[[material]]\nclass = \"needled felt\"\nbasis_weight = \"200 g/m2\"\n[[stack]]\nlayers = [\"needled felt\"]\n")
        .expect("the folder takes a file");
    let said = run_in(folder.path(), ["wear", "bare.toml"]).refused();
    assert!(said.contains("has no [face]") && said.contains("slit = "), "{said}");
}
