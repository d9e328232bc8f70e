//! A material described by options instead of a file.

use std::fs;

use tempfile::tempdir;

use crate::program::{run, run_in};

const TISSUE: [&str; 15] = [
    "predict",
    "--class",
    "creped tissue",
    "--mass",
    "0.6 g",
    "--width",
    "20 cm",
    "--length",
    "11 cm",
    "--thickness",
    "0.2 mm",
    "--layers",
    "3",
    "--velocity",
    "10 cm/s",
];

#[test]
fn options_predict_what_the_same_scenario_does() {
    let folder = tempdir().expect("a folder");
    let scenario = r#"title = "3 x creped tissue"
[[material]]
name = "creped tissue"
class = "creped tissue"
swatch = { mass = "0.6 g", width = "20 cm", length = "11 cm" }
thickness = "0.2 mm"
[[stack]]
name = "3 x creped tissue"
layers = ["creped tissue", "creped tissue", "creped tissue"]
[use]
face_velocities = ["10 cm/s"]
"#;
    fs::write(folder.path().join("tissue.toml"), scenario).expect("it can be written");
    let by_file = run_in(folder.path(), ["predict", "tissue.toml", "--json"]).clean();
    let by_options = run(TISSUE.iter().chain(&["--json"])).clean();
    assert!(by_options == by_file, "the options say\n{by_options}\nand the file\n{by_file}");
}

#[test]
fn a_wrong_unit_in_an_option_is_shown_in_its_place() {
    let mut wrong = TISSUE;
    wrong[4] = "0.6 g/m2";
    assert_eq!(
        run(wrong).refused(),
        r#"error: `mass`: `g/m2` is a mass per area, a mass was expected, such as `1.8 g`
 --> the options:5:24
  |
5 | swatch = { mass = "0.6 g/m2", width = "20 cm", length = "11 cm" }
  |                        ^^^^ expected a mass

error: nothing was computed: 1 problem in the options
"#
    );
}

#[test]
fn an_unknown_class_in_an_option_names_the_nearest() {
    let said = run(["predict", "--class", "creeped tissue"]).refused();
    assert!(said.contains("did you mean `creped tissue`?"), "{said}");
}

#[test]
fn quotes_in_an_option_are_text_and_no_syntax() {
    let said = run(["predict", "--class", "tissue\"\nname = \"other"]).refused();
    assert!(said.starts_with("error: there is no class of the name `"), "{said}");
}

#[test]
fn options_that_do_not_go_together_are_refused() {
    for arguments in [
        &["predict"][..],
        &["predict", "scenarios/smallest.toml", "--class", "creped tissue"],
        &["predict", "scenarios/smallest.toml", "--velocity", "10 cm/s"],
        &["predict", "--class", "creped tissue", "--mass", "0.6 g"],
        &["predict", "scenarios/smallest.toml", "--json", "--csv"],
        &["predict", "--class", "creped tissue", "--layers", "0"],
        &["--threads", "0", "materials"],
        &["weave"],
    ] {
        let said = run(arguments).refused();
        assert!(said.starts_with("error: "), "{arguments:?}: {said}");
    }
}
