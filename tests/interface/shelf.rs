//! The shelf of classes, and the scenario to start from.

use std::fs;

use moteweir::Shelf;
use tempfile::tempdir;

use crate::program::{run, run_in};

#[test]
fn the_shelf_is_listed_and_every_class_can_be_looked_at() {
    let list = run(["materials"]).clean();
    let classes = Shelf::built_in().classes();
    assert!(classes.len() >= 20, "{} classes", classes.len());
    for class in classes {
        assert!(list.lines().any(|line| line.starts_with(&class.name)), "{} is not in\n{list}", class.name);
        let shown = run(["materials", &class.name]).clean();
        assert!(shown.starts_with(&format!("{}: ", class.name)), "{shown}");
        assert!(shown.contains("Beware: "), "{shown}");
        for value in &class.values {
            let row = shown.lines().find(|line| line.starts_with(value.key)).expect("a row a key");
            assert!(row.contains(&value.typical) && !value.source.is_empty(), "{row}");
        }
    }
}

#[test]
fn every_class_predicts_or_says_why_not() {
    for class in Shelf::built_in().classes() {
        let run = run(["predict", "--class", &class.name, "--json"]);
        match run.code {
            Some(0) => assert!(run.out.starts_with("{\n  \"format\""), "{}: {}", class.name, run.out),
            Some(2) => assert!(
                run.err.contains("no fibre filter") || run.err.contains("not a fibre filter"),
                "{}: {}",
                class.name,
                run.err
            ),
            other => assert_eq!(other, Some(0), "{}: {}", class.name, run.err),
        }
    }
}

#[test]
fn a_class_that_is_not_there_names_the_nearest() {
    assert_eq!(
        run(["materials", "needeld felt"]).refused(),
        "error: the shelf has no class \"needeld felt\"; did you mean \"needled felt\"?\n"
    );
    assert_eq!(
        run(["materials", "zzzzzzzzzz"]).refused(),
        "error: the shelf has no class \"zzzzzzzzzz\"; `moteweir materials` lists them\n"
    );
}

#[test]
fn new_writes_a_scenario_that_is_fine_and_never_over_a_file() {
    let folder = tempdir().expect("a folder");
    let path = folder.path();
    let file = path.join("insert.toml");
    assert_eq!(run_in(path, ["new", "insert.toml", "--quiet"]).clean(), "");
    assert!(run_in(path, ["check", "insert.toml"]).clean().starts_with("insert.toml is fine.\n"));
    fs::write(&file, "mine").expect("it can be written");
    assert_eq!(
        run_in(path, ["new", "insert.toml"]).refused(),
        "error: insert.toml is there already and was not touched; choose another name\n"
    );
    assert_eq!(fs::read_to_string(&file).expect("it is there"), "mine");
}

#[test]
fn new_in_a_folder_that_is_not_there() {
    let folder = tempdir().expect("a folder");
    let run = run_in(folder.path(), ["new", "nowhere/insert.toml"]);
    assert_eq!((run.code, run.out.as_str()), (Some(1), ""), "{}", run.err);
    assert!(run.err.starts_with("error: nowhere/insert.toml cannot be written: "), "{}", run.err);
}
