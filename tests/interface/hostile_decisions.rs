//! `vary` and `wear` under hostile questions: each gets an answer or a fault in its place.

use std::fs;
use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use crate::examples::desk;
use crate::program::{Run, run_in};

/// A felt beside a gap, with a part of it to be spoilt.
const SCENARIO: &str = r#"[particles]
points = 21
[[material]]
name = "felt"
class = "needled felt"
basis_weight = "250 g/m2"
thickness = "2 mm"
fibre_diameter = { between = ["6 um", "12 um"] }
[material.varies]
basis_weight = { lot = "5 %", sheet = "3 %" }
[[stack]]
layers = ["felt", "felt"]
[[target]]
efficiency_at_least = "40 %"
[question]
layers_of = "felt"
most = 3
[face]
area = "150 cm2"
slit = { length = "60 mm", gap = "0.5 mm", depth = "5 mm" }
"#;

const COMMANDS: [&str; 2] = ["vary", "wear"];

/// A folder with the scenario in which `what` stands as `instead`.
pub(crate) fn spoilt(what: &str, instead: &str) -> TempDir {
    let folder = desk();
    assert_eq!(SCENARIO.matches(what).count(), 1, "{what}");
    let text = SCENARIO.replace(what, instead);
    fs::write(folder.path().join("odd.toml"), text).expect("the folder takes a file");
    folder
}

fn run(command: &str, folder: &Path) -> Run {
    run_in(folder, [command, "odd.toml", "--draws", "20", "--json"])
}

/// Both commands refuse with a fault that says this, at this place, and print no result.
fn refused(what: &str, instead: &str, said: &str, place: &str) {
    let folder = spoilt(what, instead);
    for command in COMMANDS {
        let error = run(command, folder.path()).refused();
        assert!(error.contains(said), "{command}, {instead}: {error}");
        assert!(error.contains(&format!("--> odd.toml:{place}\n")), "{command}, {instead}: {error}");
    }
}

fn answered(command: &str, what: &str, instead: &str) -> Value {
    let folder = spoilt(what, instead);
    serde_json::from_str(&run(command, folder.path()).clean()).expect("JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

const FIBRE: &str = r#"{ between = ["6 um", "12 um"] }"#;
const PIECES: &str = r#"{ lot = "5 %", sheet = "3 %" }"#;
const GAP: &str = r#"slit = { length = "60 mm", gap = "0.5 mm", depth = "5 mm" }"#;

#[test]
fn spreads_that_are_none_or_leave_the_possible_are_refused_in_their_places() {
    let none = r#"{ about = "10 um", give_or_take = "0 um" }"#;
    refused(FIBRE, none, "give or take 0 um is no spread", "8:52");
    let negative = r#"{ about = "10 um", give_or_take = "-3 um" }"#;
    refused(FIBRE, negative, "give or take -3 um is no spread", "8:52");
    let wide = r#"{ about = "10 um", give_or_take = "40 um" }"#;
    refused(FIBRE, wide, "of about 10 um, give or take 40 um, leaves what is possible", "8:52");
    let turned = r#"{ between = ["12 um", "6 um"] }"#;
    refused(FIBRE, turned, "between 12 um and 6 um: the first is not below the second", "8:30");
    let beyond = r#"{ between = ["6 um", "12 m"] }"#;
    refused(FIBRE, beyond, "`fibre_diameter` = 12 m is outside what is possible", "8:39");
    refused(PIECES, r#"{ lot = "-5 %" }"#, "`lot` = -5 % is outside what is possible", "10:24");
    refused(PIECES, r#"{ sheet = "900 %" }"#, "`sheet` = 900 % is outside what is possible", "10:26");
}

#[test]
fn pieces_that_do_not_differ_are_an_answer() {
    let folder = spoilt(PIECES, r#"{ lot = "0 %", sheet = "0 %" }"#);
    for command in COMMANDS {
        run(command, folder.path()).clean();
    }
}

#[test]
fn pieces_that_differ_by_nearly_all_are_an_answer() {
    let report = answered("vary", PIECES, r#"{ lot = "90 %", sheet = "90 %" }"#);
    let drops = &report["stacks"][0]["pressure_drop_pa"];
    let rising = ["q025", "q50", "q975"].map(|rank| number(&drops[rank]));
    assert!(rising.is_sorted() && rising[0] > 0.0 && rising[2].is_finite(), "{rising:?}");
    let report = answered("wear", PIECES, r#"{ lot = "90 %", sheet = "90 %" }"#);
    let inhaled = &report["layers"][0]["total_inward_leakage"];
    let rising = ["q025", "q50", "q975"].map(|rank| number(&inhaled[rank]));
    assert!(rising.is_sorted() && rising[0] >= 0.0 && rising[2] <= 1.0, "{rising:?}");
}

#[test]
fn targets_that_cannot_be_judged_are_refused_in_their_places() {
    let goal = r#"efficiency_at_least = "40 %""#;
    let at = |size: &str| format!("{goal}\nat = \"{size}\"");
    refused(goal, &at("smok"), "`at` = `smok` is no size, aerosol or channel", "15:6");
    refused(goal, &at("3 m"), "`at` = 3 m is outside what is possible", "15:6");
    refused(goal, "at = \"worst\"", "[[target]] lacks `efficiency_at_least`", "13:1");
    refused(goal, "efficiency_at_least = \"140 %\"", "`efficiency_at_least` = 140 % is outside", "14:23");
    let on = format!("{goal}\nstack = \"three felts\"");
    refused(goal, &on, "there is no stack of the name `three felts`", "15:9");
}

#[test]
fn thirteen_layers_a_gap_of_nothing_and_a_face_without_area_are_refused_in_their_places() {
    refused("most = 3", "most = 13", "`most` = 13 is outside what is possible", "17:8");
    let gap = r#"slit = { length = "60 mm", gap = "0 mm", depth = "5 mm" }"#;
    refused(GAP, gap, "`gap` = 0 mm is outside what is possible", "20:34");
    refused(r#"area = "150 cm2""#, r#"area = "0 cm2""#, "`area` = 0 cm2 is outside what is possible", "19:8");
    let both = format!("{GAP}\nhole = \"2 mm\"");
    refused(GAP, &both, "the leak", "21:8");
}

#[test]
fn without_a_leak_only_what_the_filter_lets_through_is_inhaled_and_the_leak_is_missed() {
    let report = answered("wear", GAP, "");
    for worn in report["layers"].as_array().expect("layers") {
        assert_eq!(number(&worn["leak_share_of_flow"]).to_bits(), 0);
        let inhaled = number(&worn["total_inward_leakage"]["central"]);
        assert!((inhaled / number(&worn["without_leak_penetration"]) - 1.0).abs() < 1e-12, "{worn}");
    }
    assert!(report["warnings"].to_string().contains("no leak is stated"), "{}", report["warnings"]);
    assert_eq!(report["best"][0]["layers"], 3, "without a leak every layer helps");
    assert!(report["best"][0]["halving"].is_null());
}

#[test]
fn where_everything_leaks_everything_is_inhaled_without_effort() {
    let report = answered("wear", GAP, r#"fit_factor = { value = 1, flow = "30 L/min" }"#);
    for worn in report["layers"].as_array().expect("layers") {
        for (key, expected) in [("leak_share_of_flow", 1.0), ("peak_pressure_pa", 0.0), ("work_j_per_l", 0.0)]
        {
            assert!((number(&worn[key]) - expected).abs() < 1e-12, "{key}: {worn}");
        }
        assert!((number(&worn["total_inward_leakage"]["central"]) - 1.0).abs() < 1e-12, "{worn}");
    }
    let folder = spoilt(GAP, r#"fit_factor = { value = 1, flow = "30 L/min" }"#);
    let said = run_in(folder.path(), ["wear", "odd.toml", "--draws", "20"]).clean();
    assert!(said.replace('\n', " ").contains("more or fewer layers change nothing"), "{said}");
}

#[test]
fn draws_of_leaks_that_cannot_be_are_counted_and_left_out() {
    // A tenth gets in; in two draws of five the filter alone would let more through.
    let fit = r#"fit_factor = { value = 10, flow = "30 L/min", filter_penetration = { between = ["1 %", "16 %"], scale = "linear" } }"#;
    let folder = spoilt(GAP, fit);
    let text = run_in(folder.path(), ["wear", "odd.toml", "--draws", "100", "--json"]).clean();
    let report: Value = serde_json::from_str(&text).expect("JSON");
    let warnings = report["warnings"].as_array().expect("warnings");
    let left_out = warnings.iter().find(|w| w["kind"] == "left_out").expect("some cannot be");
    let words = left_out["text"].as_str().expect("words");
    let count: f64 = words.split(' ').next().and_then(|n| n.parse().ok()).expect("a number first");
    // 40 of 100, standard deviation 4.9; five of them, a chance of 6e-7.
    assert!((count - 40.0).abs() < 25.0, "{words}");
    let sum: f64 = report["best"][0]["probability"].as_array().expect("shares").iter().map(number).sum();
    assert!((sum - 1.0).abs() < 1e-9, "shares are of the draws that were judged: {sum}");
}
