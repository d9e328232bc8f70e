//! A scenario with several faults: all of them at once, each in its place, word for word, and nothing written.

use std::fs;

use tempfile::tempdir;

use crate::program::{names_in, run_in};

const FAULTY: &str = r#"format = 1
titel = "Insert"

[air]
temperature = "22 degC"
pressure = "101325"

[[material]]
name = "felt"
class = "needeled felt"
swatch = { mass = "2,40 g", width = "10 cm", length = "15 cm" }
thickness = "1.1 g"

[[material]]
name = "web"
structure = "web"
basis_weight = "120 g/m2"

[[stack]]
layers = ["felt", "fleece"]

[use]
face_velocities = ["2 cm/s", "-5 cm/s"]
"#;

const SAID: &str = r#"error: unknown key `titel` in the scenario
 --> insert.toml:2:1
  |
2 | titel = "Insert"
  | ^^^^^ not a key of the scenario
  |
help: did you mean `title`?

error: `pressure`: a pressure needs a unit, such as `24 Pa`
 --> insert.toml:6:13
  |
6 | pressure = "101325"
  |             ^^^^^^ no unit

error: there is no class of the name `needeled felt`
  --> insert.toml:10:9
   |
10 | class = "needeled felt"
   |         ^^^^^^^^^^^^^^^ no such class
   |
help: did you mean `needled felt`?

error: `mass`: write `2,40 g` as `2.40 g`
  --> insert.toml:11:20
   |
11 | swatch = { mass = "2,40 g", width = "10 cm", length = "15 cm" }
   |                    ^^^^ a comma

error: `thickness`: `g` is a mass, a length was expected, such as `18 um`
  --> insert.toml:12:18
   |
12 | thickness = "1.1 g"
   |                  ^ expected a length

error: material `web` lacks its fibre density
  --> insert.toml:15:8
   |
15 | name = "web"
   |        ^^^^^ no fibre density
   |
help: state `polymer` (such as "polypropylene") or `fibre_density`, or name a `class`

error: material `web` lacks its fibre diameter
  --> insert.toml:15:8
   |
15 | name = "web"
   |        ^^^^^ no fibre diameter
   |
help: state `fibre_diameter` or `fibre_linear_density`, measure a flow (`air_permeability` or `pressure_drop`), or name a `class`

error: material `web` lacks its thickness
  --> insert.toml:15:8
   |
15 | name = "web"
   |        ^^^^^ no thickness
   |
help: measure it as layered in use (`thickness = "1.1 mm"`, or several sheets together), state `solidity`, or name a `class`

error: there is no material of the name `fleece`
  --> insert.toml:20:19
   |
20 | layers = ["felt", "fleece"]
   |                   ^^^^^^^^ no such material
   |
help: there are: felt, web

error: `face_velocities` = -5 cm/s is outside what is possible
  --> insert.toml:23:30
   |
23 | face_velocities = ["2 cm/s", "-5 cm/s"]
   |                              ^^^^^^^^^ possible: 0.001 cm/s to 20 m/s

error: nothing was computed: 10 problems in insert.toml
"#;

#[test]
fn all_problems_at_once_in_their_places_and_nothing_written() {
    let folder = tempdir().expect("a folder");
    fs::write(folder.path().join("insert.toml"), FAULTY).expect("it can be written");
    for command in ["check", "predict", "review"] {
        assert_eq!(run_in(folder.path(), [command, "insert.toml"]).refused(), SAID, "{command}");
    }
    assert_eq!(names_in(folder.path()), ["insert.toml"]);
}

#[test]
fn the_places_are_the_same_after_a_byte_order_mark_and_with_carriage_returns() {
    let folder = tempdir().expect("a folder");
    for text in [format!("\u{feff}{FAULTY}"), FAULTY.replace('\n', "\r\n")] {
        fs::write(folder.path().join("insert.toml"), text).expect("it can be written");
        assert_eq!(run_in(folder.path(), ["check", "insert.toml"]).refused(), SAID);
    }
}

#[test]
fn an_earlier_review_survives_a_scenario_that_became_wrong() {
    let folder = tempdir().expect("a folder");
    let path = folder.path();
    fs::write(path.join("insert.toml"), crate::program::smallest()).expect("it can be written");
    run_in(path, ["--quiet", "review", "insert.toml"]).clean();
    let before = names_in(&path.join("insert-review"));
    fs::write(path.join("insert.toml"), FAULTY).expect("it can be written");
    run_in(path, ["review", "insert.toml"]).refused();
    assert_eq!(names_in(&path.join("insert-review")), before);
    assert_eq!(names_in(path), ["insert-review", "insert.toml"]);
}
