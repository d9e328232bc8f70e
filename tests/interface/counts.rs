//! `counts`: files of counts as people have them, what is said of them, and what is refused where.

use std::fs;

use serde_json::Value;
use tempfile::{TempDir, tempdir};

use crate::program::{names_in, run, run_in};

fn folder_with(bytes: &[u8]) -> TempDir {
    let folder = tempdir().expect("a folder");
    fs::write(folder.path().join("bench.csv"), bytes).expect("it can be written");
    folder
}

fn json(text: &str) -> Value {
    let folder = folder_with(text.as_bytes());
    serde_json::from_str(&run_in(folder.path(), ["counts", "bench.csv", "--json"]).clean()).expect("JSON")
}

/// What is said, as one line.
fn said(text: &str, options: &[&str]) -> String {
    let folder = folder_with(text.as_bytes());
    let out = run_in(folder.path(), ["counts", "bench.csv"].iter().chain(options)).done();
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn refused(text: &str) -> String {
    let folder = folder_with(text.as_bytes());
    let err = run_in(folder.path(), ["counts", "bench.csv"]).refused();
    assert_eq!(names_in(folder.path()), ["bench.csv"]);
    err
}

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

const EXAMPLE: &str = "scenarios/bench-counts.csv";

/// Three tissues; invented counts that give 29, 49 and 63 % at 1 um, as common practice (no source) has it.
const TISSUE: &str = "state,specimen,layers,from_um,to_um,seconds,counts
open,,,1,2,60,2010
sample,tissue,1,1,2,60,1425
sample,tissue,2,1,2,60,1019
sample,tissue,3,1,2,60,742
open,,,1,2,60,1990
sample,tissue,1,1,2,60,1412
sample,tissue,2,1,2,60,1024
sample,tissue,3,1,2,60,737
open,,,1,2,60,2004
sample,tissue,1,1,2,60,1423
sample,tissue,2,1,2,60,1017
sample,tissue,3,1,2,60,741
open,,,1,2,60,1996
";

#[test]
fn the_json_has_the_keys_of_its_format() {
    let text = run(["counts", EXAMPLE, "--json"]).clean();
    let report: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(report["format"], "moteweir.counts.1");
    assert_eq!(keys(&report), ["comparisons", "format", "level", "results", "warnings"]);
    let results = report["results"].as_array().expect("results");
    assert_eq!(results.len(), 10);
    let expected = [
        "face_velocity_m_per_s",
        "from_m",
        "layers",
        "method",
        "notes",
        "open_counts",
        "open_seconds",
        "penetration",
        "penetration_high",
        "penetration_low",
        "sample_counts",
        "sample_seconds",
        "side",
        "specimen",
        "to_m",
        "treatment",
    ];
    for result in results {
        assert_eq!(keys(result), expected);
        let of = |key: &str| result[key].as_f64().expect("a number");
        assert!(of("penetration_low") < of("penetration") && of("penetration") < of("penetration_high"));
    }
    let comparisons = report["comparisons"].as_array().expect("comparisons");
    assert_eq!(comparisons.len(), 20, "ten pairs in each of two channels");
    for comparison in comparisons {
        assert_eq!(
            keys(comparison),
            ["a", "b", "from_m", "ratio", "ratio_high", "ratio_low", "to_m", "verdict"]
        );
    }
}

/// The example was drawn from these penetrations, which its comment does not repeat.
#[test]
fn the_example_holds_what_it_was_drawn_from() {
    let text = run(["counts", EXAMPLE, "--json", "--level", "0.99"]).clean();
    let report: Value = serde_json::from_str(&text).expect("JSON");
    let truth = [0.90, 0.81, 0.74, 0.060, 0.55, 0.71, 0.51, 0.37, 0.012, 0.30];
    for (result, truth) in report["results"].as_array().expect("results").iter().zip(truth) {
        let of = |key: &str| result[key].as_f64().expect("a number");
        assert!((of("penetration_low")..of("penetration_high")).contains(&truth), "{truth}: {result}");
    }
}

#[test]
fn layers_of_tissue_are_held_against_the_product() {
    let report = json(TISSUE);
    for (result, caught) in report["results"].as_array().expect("results").iter().zip([0.29, 0.49, 0.63]) {
        let through = result["penetration"].as_f64().expect("a share");
        assert!((1.0 - through - caught).abs() < 0.003, "{result}");
    }
    let text = said(TISSUE, &[]);
    for part in [
        "Layers of \"tissue\", 1 to 2 um: 2 catch 49 %, where the product of one is 50 %; 3 catch 63 %, where the product \
         of one is 64 %.",
        "Capture per layer over that of one: 0.98 (",
        "As good as the product of one",
    ] {
        assert!(text.contains(part), "\"{part}\" is missing in\n{text}");
    }
    // Alike particles make a product, and very unlike ones far less.
    let expected = |spread: &str| {
        let text = said(TISSUE, &["--spread", spread]);
        let from = text.find(" expected) with 3").expect("the expectation");
        text[..from].rsplit(' ').next().expect("a number").parse::<f64>().expect("a number")
    };
    assert!((expected("0 %") - 1.0).abs() < 1e-9);
    // Gamma distributed exponents: ln(1 + 3 v K)/(3 ln(1 + v K)), v = 1, K = 1/0.71 - 1, to two digits.
    assert!((expected("100 %") - 0.78).abs() < 0.011, "{}", expected("100 %"));
}

#[test]
fn a_class_says_what_layers_must_show() {
    let with_velocity = TISSUE.replace("counts\n", "counts,face_velocity_cm_per_s\n");
    let lines: Vec<String> = with_velocity
        .lines()
        .enumerate()
        .map(|(i, line)| match (i, line.starts_with("sample")) {
            (0, _) => line.to_owned(),
            (_, true) => format!("{line},10"),
            _ => format!("{line},"),
        })
        .collect();
    let class = ["--class", "creped tissue", "--mass", "27 g/m2", "--thickness", "0.2 mm"];
    let text = said(&lines.join("\n"), &class);
    assert!(text.contains("by the physics of creped tissue"), "{text}");
    let folder = folder_with(TISSUE.as_bytes());
    let err = run_in(folder.path(), ["counts", "bench.csv"].iter().chain(&class)).refused();
    assert!(err.contains("give the column face_velocity_cm_per_s"), "{err}");
}

#[test]
fn one_open_and_one_through_is_exact_and_covers_counting_only() {
    let text = "state,from_um,seconds,counts\nopen,1,10,1000\nsample,1,10,0\n";
    let report = json(text);
    let result = &report["results"][0];
    assert_eq!(result["method"], "exact conditional");
    assert_eq!(result["penetration_low"], 0.0);
    // 0 against 1000: 0.0036957.
    assert!((result["penetration_high"].as_f64().expect("a share") - 0.003_695_7).abs() < 1e-7, "{result}");
    let text = said(text, &[]);
    assert!(text.starts_with("\"sample\" catches at least 99.63 % (two-sided 95 %)"), "{text}");
    assert!(!text.contains("100 %"), "{text}");
}

#[test]
fn what_cannot_be_told_apart_says_what_could_have_been() {
    let text = "state,specimen,from_um,seconds,counts
open,,1,60,5000
sample,a,1,60,250
sample,b,1,60,260
open,,1,60,5050
sample,b,1,60,255
sample,a,1,60,262
open,,1,60,4980
";
    let said = said(text, &[]);
    assert!(said.contains("Not told from it: \""), "{said}");
    assert!(said.contains("no difference seen; ") && said.contains(" would have been"), "{said}");
}

#[test]
fn flags_name_the_cause_and_the_direction() {
    let bench = "state,specimen,from_um,seconds,litres_per_minute,counts
open,,1,60,2.83,60000
sample,dense,1,60,2.2,300
sample,damp,1,60,2.83,90000
blocked,,1,60,2.83,200
zero,,1,60,2.83,60
sample,dusty,1,60,2.83,9000
sample,dusty,1,60,2.83,6000
sample,dusty,1,60,2.83,4000
";
    let text = said(bench, &["--dead-time", "0.05 ms", "--maximum-concentration", "20 /cm3"]);
    for part in [
        "Coincidence: in the densest open reading about 11 % of the particles",
        "penetration is over-stated",
        "Throttled pump: it drew 22 % less through \"dense\"",
        "by time alone penetration would be under-stated",
        "Bypass: with a foil in the holder 0.33 % of the room",
        "False counts: in clean air the counter counted 60 in 60 s",
        "More than open: more was counted through \"damp\" than in the room",
        "Falling counts: through \"dusty\" fewer were counted from reading to reading",
        "No bracket: \"dense\", \"damp\" and \"dusty\" were not counted between two open readings",
    ] {
        assert!(text.contains(part), "\"{part}\" is missing in\n{text}");
    }
    let quiet = said(TISSUE, &["--dead-time", "0.01 ms"]);
    for flag in
        ["Coincidence", "Throttled", "Bypass", "False counts", "More than open", "Falling", "No bracket"]
    {
        assert!(!quiet.contains(flag), "{flag} in\n{quiet}");
    }
    let little = said("state,from_um,seconds,counts\nopen,1,60,9000\nsample,1,60,20\nopen,1,60,9100\n", &[]);
    assert!(little.contains("No blocked reading") && little.contains("No zero reading"), "{little}");
}

const FAULTY: &str = "state;specimen;from_um;seconds;counts
open;;0,3;60;10,5
sampel;felt;0,3;0;12
sample;felt;0,3;60;-4
sample;felt;;60;many
";

const SAID: &str = r"error: `counts` = 10,5 is not whole
 --> bench.csv:2:14
  |
2 | open;;0,3;60;10,5
  |              ^^^^ expected a whole number
  |
help: particles come whole: give what was counted, no rate and no mean

error: `sampel` is no state
 --> bench.csv:3:1
  |
3 | sampel;felt;0,3;0;12
  | ^^^^^^ not one of the states
  |
help: did you mean `sample`? The states: open (no sample), sample, zero (clean air), blocked (a foil instead)

error: `seconds` = 0 is outside what is possible
 --> bench.csv:3:17
  |
3 | sampel;felt;0,3;0;12
  |                 ^ possible: above 0, in seconds

error: `counts` = -4 is outside what is possible
 --> bench.csv:4:20
  |
4 | sample;felt;0,3;60;-4
  |                    ^^ possible: 0 or more

error: neither `from_um` nor `to_um` is given
 --> bench.csv:5:1
  |
5 | sample;felt;;60;many
  | ^^^^^^^^^^^^^^^^^^^^ no edge of a channel
  |
help: one edge is needed: `from_um` = 0.3 alone is everything above 0.3 um, as most counters count

error: `counts`: `many` is no number
 --> bench.csv:5:17
  |
5 | sample;felt;;60;many
  |                 ^^^^ expected a number

error: nothing was computed: 6 problems in bench.csv
";

#[test]
fn all_problems_at_once_in_their_places() {
    assert_eq!(refused(FAULTY), SAID);
}

#[test]
fn the_dress_of_a_file_changes_nothing() {
    let expected = json(TISSUE);
    let german = TISSUE.replace(',', ";");
    for text in [
        format!("\u{feff}{TISSUE}"),
        TISSUE.replace('\n', "\r\n"),
        german.clone(),
        format!("\u{feff}{}", german.replace(";60;", ";60,0;").replace('\n', "\r\n")),
        format!("# tissue\n\n{TISSUE}"),
    ] {
        assert!(json(&text) == expected, "{text}");
    }
}

#[test]
fn files_that_are_none() {
    for (text, says) in [
        ("", "error: there are no counts in it"),
        ("[[material]]\nname = \"felt\"\n", "error: the first row is no header"),
        ("state,from_um,seconds,counts\nsample,1,60,4\n", "error: there is no `open` reading"),
        ("state,from_um,seconds,counts\nopen,1,60,4\n", "error: there is no `sample` reading"),
    ] {
        let said = refused(text);
        assert!(said.starts_with(says), "{text:?}: {said}");
    }
    let folder = folder_with(b"state,from_um,seconds,counts\nopen,\xff,60,4\n");
    let said = run_in(folder.path(), ["counts", "bench.csv"]).refused();
    assert!(said.starts_with("error: bench.csv is not text in UTF-8 (byte 34 is not)"), "{said}");
    let said = run_in(folder.path(), ["counts", "none.csv"]).refused();
    assert!(said.starts_with("error: none.csv cannot be read: "), "{said}");
}

#[test]
fn a_room_without_particles_says_nothing() {
    let text = "state,specimen,from_um,seconds,counts
open,,1,60,100
sample,felt,1,60,10
open,,5,60,0
sample,felt,5,60,0
";
    let report = json(text);
    let results = report["results"].as_array().expect("results");
    assert_eq!(results[1]["penetration"], Value::Null);
    assert_eq!(results[1]["notes"][0], "nothing was counted open: nothing can be said");
}

#[test]
fn the_same_bits_on_any_number_of_threads() {
    let on = |threads: &str| run(["--threads", threads, "counts", EXAMPLE, "--json"]).clean();
    let one = on("1");
    for threads in ["2", "7"] {
        assert!(on(threads) == one, "{threads} threads");
    }
}
