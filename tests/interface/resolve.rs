//! `resolve`: one particle at one fibre, by every method, and what it refuses; `closure = "resolved"` in every command.

use std::fs;

use serde_json::Value;

use crate::examples::desk;
use crate::program::{run, run_in};

const GROUPS: [&str; 5] = ["resolve", "--solidity", "0.05", "--interception", "0.1"];

fn json(more: &[&str]) -> Value {
    let arguments: Vec<&str> = GROUPS.iter().chain(more).copied().chain(["--json"]).collect();
    serde_json::from_str(&run(arguments).clean()).expect("JSON")
}

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or(f64::NAN)
}

#[test]
fn the_json_has_its_keys_and_the_methods_agree() {
    let exact = json(&[]);
    for key in [
        "format",
        "method",
        "single_fibre_efficiency",
        "low",
        "high",
        "standard_error",
        "grid_error",
        "closed_forms",
    ] {
        assert!(exact.get(key).is_some(), "{key} is missing: {exact}");
    }
    assert_eq!(exact["format"], "moteweir.resolved.1");
    for key in ["name", "value", "in_range"] {
        assert!(exact["closed_forms"][0].get(key).is_some(), "{key} is missing");
    }
    // Exact interception at solidity 0.05 and R 0.1, worked from the stream function.
    for method in ["cell", "trajectories", "atlas"] {
        let e = number(&json(&["--method", method]), "single_fibre_efficiency");
        assert!((e - 0.011145).abs() < 1e-6, "{method}: {e}");
    }
    // Solved independently, to the digits shown.
    let small = json(&["--peclet", "1e4"]);
    assert_eq!(small["method"], "cell");
    assert!((number(&small, "single_fibre_efficiency") - 0.0202714).abs() < 2e-7, "{small}");
    let read = number(&json(&["--peclet", "1e4", "--method", "atlas"]), "single_fibre_efficiency");
    assert!((read / 0.0202714 - 1.0).abs() < 1e-3, "{read}");
}

#[test]
fn random_histories_are_the_same_on_any_number_of_threads() {
    let of = |threads| {
        json(&["--stokes", "0.3", "--peclet", "1e3", "--histories", "1000", "--threads", threads]).to_string()
    };
    assert_eq!(of("1"), of("2"));
    assert_eq!(of("1"), of("7"));
}

#[test]
fn what_is_wrong_with_the_options_is_said_at_once() {
    let said = run(["resolve", "--solidity", "0.9", "--fibre-diameter", "2 g", "--stokes", "1"]).refused();
    for part in [
        "--solidity: 0.9 is not from 0.0001 to 0.7",
        "--fibre-diameter: `g` is a mass",
        "--particle-diameter: missing",
        "--stokes: a group, while sizes are given too",
    ] {
        assert!(said.contains(part), "{part:?} is not in:\n{said}");
    }
    let point = run(["resolve", "--solidity", "0.05", "--stokes", "0.5"]).refused();
    assert!(point.contains("a point that does not diffuse meets nothing"), "{point}");
}

#[test]
fn the_picture_is_drawn_once_and_nothing_is_overwritten() {
    let folder = tempfile::tempdir().expect("a folder");
    let arguments: Vec<&str> =
        GROUPS.iter().copied().chain(["--stokes", "0.5", "--picture", "cell.svg"]).collect();
    run_in(folder.path(), &arguments).clean();
    let first = fs::read_to_string(folder.path().join("cell.svg")).expect("the picture");
    assert!(first.starts_with("<svg") && first.contains("particles that touch"), "{}", &first[..200]);
    let said = run_in(folder.path(), &arguments).refused();
    assert!(said.contains("is there already"), "{said}");
    assert_eq!(fs::read_to_string(folder.path().join("cell.svg")).expect("still there"), first);
}

#[test]
fn the_solved_cell_is_a_closure_of_every_command() {
    let folder = desk();
    let text = fs::read_to_string(folder.path().join("scenarios/smallest.toml")).expect("a scenario");
    let resolved = format!("{text}\n[model]\nclosure = \"resolved\"\n");
    fs::write(folder.path().join("resolved.toml"), resolved).expect("it takes a file");
    let predicted = run_in(folder.path(), ["predict", "resolved.toml", "--json"]).clean();
    let value: Value = serde_json::from_str(&predicted).expect("JSON");
    assert!(value.to_string().contains("resolved"), "{value}");
    run_in(folder.path(), ["vary", "resolved.toml", "--draws", "50"]).clean();
}
