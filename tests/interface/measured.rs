//! Files that a scenario names: found beside it, shown under their own name where something is wrong in them, drawn
//! over the model, and carried into a review.

use std::fs;
use std::path::Path;

use tempfile::tempdir;

use crate::program::{names_in, root, run, run_in};

/// Copies the scenario of the measured paper with its files into a folder.
fn paper_in(folder: &Path) {
    for name in ["measured-paper.toml", "measured-paper.csv", "measured-paper-drop.csv"] {
        fs::copy(root().join("scenarios").join(name), folder.join(name)).expect("it is there");
    }
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_prediction_says_how_many_measured_values_the_band_holds_and_names_the_worst() {
    let said = flat(&run(["predict", "scenarios/measured-paper.toml"]).clean());
    // The spoilt point of the example, 0.05 um at 10 cm/s, is the one that lies outside.
    assert!(
        said.contains("Penetrations measured on \"one sheet\" (measured-paper.csv): the model's band holds 19 of 20; outside it: 0.050 um at 10 cm/s."),
        "{said}"
    );
    assert!(said.contains("Largest residual: 1.6 um at 10 cm/s, 99.9 % caught"), "{said}");
    assert!(said.contains("Sizes are mobility diameters, the model's own."), "{said}");
    assert!(said.contains("Source: invented for this example"), "{said}");
    assert!(said.contains("Pressure drops measured on \"one sheet\" (measured-paper-drop.csv)"), "{said}");
    assert_eq!(said.matches(" miss ").count(), 1, "{said}");
}

#[test]
fn residuals_are_logarithms_of_measured_over_model() {
    let said = run(["predict", "scenarios/measured-paper.toml", "--json"]).clean();
    let result: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let measured = result["measured"].as_array().expect("two files");
    assert_eq!(measured.len(), 2);
    for (list, value, model) in [
        (&measured[0]["penetrations"], "measured", "model"),
        (&measured[1]["pressure_drops"], "measured_pa", "model_pa"),
    ] {
        let points = list.as_array().expect("points");
        assert!(!points.is_empty());
        for point in points {
            let number = |key: &str| point[key].as_f64().expect("a number");
            let expected = (number(value) / number(model)).ln();
            assert!((number("residual_ln") - expected).abs() < 1e-12, "{point}");
        }
    }
    assert_eq!(measured[0]["agreement"]["hits"], 19);
}

#[test]
fn a_review_draws_what_was_measured_and_carries_the_files() {
    let folder = tempdir().expect("a folder");
    paper_in(folder.path());
    run_in(folder.path(), ["--quiet", "review", "measured-paper.toml", "--out", "out"]).clean();
    let names = names_in(&folder.path().join("out"));
    for name in [
        "measured-1-one-sheet.svg",
        "measured-2-one-sheet.png",
        "measured-paper.csv",
        "measured-paper-drop.csv",
    ] {
        assert!(names.iter().any(|other| other == name), "{name} is not among {names:?}");
    }
    let summary = fs::read_to_string(folder.path().join("out/summary.md")).expect("written");
    assert!(summary.contains("## Against what was measured"), "{summary}");
    assert!(summary.contains("measured-1-one-sheet.svg"), "{summary}");
    let again = run_in(&folder.path().join("out"), ["check", "scenario.toml"]).clean();
    assert!(again.starts_with("scenario.toml is fine."), "{again}");
}

#[test]
fn what_is_wrong_in_a_file_is_shown_under_its_own_name() {
    let folder = tempdir().expect("a folder");
    paper_in(folder.path());
    fs::create_dir(folder.path().join("lab")).expect("a folder");
    for name in ["measured-paper.toml", "measured-paper.csv"] {
        fs::rename(folder.path().join(name), folder.path().join("lab").join(name)).expect("moved");
    }
    let curve = "diameter_um;face_velocity_cm_per_s;penetration\r\n0,3;5,3;0,59\r\n0,5;5,3;59,2\r\n";
    fs::write(folder.path().join("lab/measured-paper.csv"), curve).expect("written");
    let said = run_in(folder.path(), ["review", "lab/measured-paper.toml"]).refused();
    assert_eq!(
        said,
        r#"error: `measured-paper-drop.csv` is not there
  --> lab/measured-paper.toml:30:8
   |
30 | file = "measured-paper-drop.csv"
   |        ^^^^^^^^^^^^^^^^^^^^^^^^^ no such text
   |
help: the path is taken from the folder of the scenario

error: `penetration` = 59,2 is outside what is possible
 --> lab/measured-paper.csv:3:9
  |
3 | 0,5;5,3;59,2
  |         ^^^^ possible: above 0, to 1
  |
help: write 0.592: fractions run from 0 to 1, and 59,2 % is that

error: nothing was computed: 2 problems in lab/measured-paper.toml and its files
"#
    );
    assert_eq!(names_in(folder.path()), ["lab", "measured-paper-drop.csv"]);
}

#[test]
fn a_file_that_is_no_text_or_no_file_is_refused() {
    let folder = tempdir().expect("a folder");
    paper_in(folder.path());
    fs::write(folder.path().join("measured-paper.csv"), b"penetration\xff").expect("written");
    fs::remove_file(folder.path().join("measured-paper-drop.csv")).expect("removed");
    fs::create_dir(folder.path().join("measured-paper-drop.csv")).expect("a folder");
    let said = run_in(folder.path(), ["check", "measured-paper.toml"]).refused();
    assert!(said.contains("`measured-paper.csv` is not text in UTF-8 (byte 11 is not)"), "{said}");
    assert!(said.contains("`measured-paper-drop.csv` cannot be read: "), "{said}");
}

#[test]
fn nothing_downstream_is_at_least_and_a_treatment_is_said() {
    let folder = tempdir().expect("a folder");
    paper_in(folder.path());
    let scenario = fs::read_to_string(folder.path().join("measured-paper.toml")).expect("text");
    let file = "file = \"measured-paper.csv\"\n";
    assert!(scenario.contains(file), "{scenario}");
    let more = format!("{file}side = \"rough\"\ntreatment = \"washed twice\"\naerosol = \"salt\"\n");
    fs::write(folder.path().join("measured-paper.toml"), scenario.replace(file, &more)).expect("written");
    let heading = "diameter_um,face_velocity_cm_per_s,upstream_counts,downstream_counts\n";
    let curve = format!("{heading}0.3,5.3,1000,500\n5,5.3,1000,0\n");
    fs::write(folder.path().join("measured-paper.csv"), curve).expect("written");
    let said = flat(&run_in(folder.path(), ["predict", "measured-paper.toml"]).clean());
    for part in [
        "Penetrations measured on \"one sheet\", rough side, washed twice (measured-paper.csv)",
        // Of 1000 upstream and 0 downstream at most 0.0037 (two-sided 95 %).
        "One of them is a limit: nothing was counted downstream, so that at least 99.63 % is caught there (two-sided 95 %).",
        "Aerosol: salt",
        "The model is of the material as received: what \"washed twice\" did to it is not in it.",
    ] {
        assert!(said.contains(part), "\"{part}\" is missing in\n{said}");
    }
    let json = run_in(folder.path(), ["predict", "measured-paper.toml", "--json"]).clean();
    let report: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let measured = &report["measured"][0];
    assert_eq!((&measured["side"], &measured["treatment"]), (&"rough".into(), &"washed twice".into()));
    assert_eq!(measured["penetrations"][1]["is_limit"], true);
    assert_eq!(measured["penetrations"][1]["residual_ln"], 0.0);
}
