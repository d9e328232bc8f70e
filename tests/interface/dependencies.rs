//! The direction of dependencies: units <- physics <- sim <- moteweir <- plot <- cli.

use std::process::Command;

use serde_json::Value;

use crate::program::root;

/// The packages of the program, each may use those before it.
const ORDER: [&str; 6] =
    ["moteweir-units", "moteweir-physics", "moteweir-sim", "moteweir", "moteweir-plot", "moteweir-cli"];

fn packages() -> Vec<Value> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps", "--offline"])
        .current_dir(root())
        .output()
        .expect("cargo starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("it is JSON");
    metadata["packages"].as_array().expect("a list").clone()
}

/// What a package needs, tests apart.
fn needs(package: &Value) -> Vec<String> {
    let all = package["dependencies"].as_array().expect("a list").iter();
    let normal = all.filter(|d| d["kind"].is_null());
    normal.map(|d| d["name"].as_str().expect("a name").to_owned()).collect()
}

fn named(name: &str) -> Value {
    packages().into_iter().find(|p| p["name"] == name).expect("the package is there")
}

#[test]
fn packages_use_only_packages_below_them() {
    let on_top = ["moteweir-tests", "moteweir-benches", "moteweir-figures"];
    for package in packages() {
        let name = package["name"].as_str().expect("a name");
        let ours = needs(&package).into_iter().filter(|d| d.starts_with("moteweir"));
        let Some(place) = ORDER.iter().position(|p| *p == name) else {
            assert!(on_top.contains(&name), "where does {name} belong?");
            continue;
        };
        for need in ours {
            let below = ORDER[..place].contains(&need.as_str());
            assert!(below, "{name} depends on {need}, which is not below it");
        }
    }
}

#[test]
fn units_stand_on_libm_alone() {
    assert_eq!(needs(&named("moteweir-units")), ["libm"]);
}

#[test]
fn physics_is_pure() {
    let allowed = ["libm", "moteweir-units", "ndarray", "thiserror"];
    for need in needs(&named("moteweir-physics")) {
        assert!(
            allowed.contains(&need.as_str()),
            "physics depends on {need}: no randomness, files, serde or threads"
        );
    }
}

#[test]
fn the_library_draws_nothing_and_talks_to_no_terminal() {
    for name in &ORDER[..4] {
        for need in needs(&named(name)) {
            assert!(
                !["clap", "indicatif", "plotters", "resvg", "tempfile"].contains(&need.as_str()),
                "{name}: {need}"
            );
        }
    }
}
