//! The folder of a review: complete, readable, whole or not there, and nothing of anybody else's touched.

use std::fs;
use std::path::Path;

use resvg::tiny_skia::Pixmap;
use resvg::usvg::roxmltree::Document;
use tempfile::{TempDir, tempdir};

use crate::program::{names_in, root, run_in, smallest};

/// A folder with the smallest scenario as `insert.toml`.
fn desk() -> TempDir {
    let folder = tempdir().expect("a folder");
    fs::write(folder.path().join("insert.toml"), smallest()).expect("it can be written");
    folder
}

/// What a folder holds, byte for byte.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let read = |name: &String| fs::read(folder.join(name)).expect("it can be read");
    names_in(folder).into_iter().map(|name| (name.clone(), read(&name))).collect()
}

/// The six figures that a review must have.
const FIGURES: [&str; 6] = ["efficiency", "mechanisms", "worst-size", "layers", "quality", "pressure"];
/// And those of the demo's bench.
const BENCH_FIGURES: [&str; 4] = ["calibrated-", "before-and-after", "readings-and-model", "ranked-"];

#[test]
fn the_demo_s_review_is_complete_and_every_file_reads() {
    let folder = tempdir().expect("a folder");
    let demo = root().join("scenarios/seaside-inserts.toml");
    let out = folder.path().join("review");
    let run = run_in(folder.path(), ["review".as_ref(), demo.as_os_str(), "--out".as_ref(), out.as_os_str()]);
    assert!(run.err.contains("begin with summary.md"), "{}", run.err);
    assert!(run.done().contains("A calculation, no certificate"));
    let names = names_in(&out);
    for name in ["curves.csv", "layers.csv", "review.json", "scenario.toml", "summary.md", "velocities.csv"] {
        assert!(names.iter().any(|n| n == name), "{name} is missing in {names:?}");
    }
    for figure in FIGURES.iter().chain(&BENCH_FIGURES) {
        assert!(names.iter().any(|n| n.starts_with(figure)), "no figure of {figure} in {names:?}");
    }
    let mut pictures = 0;
    for (name, bytes) in contents(&out) {
        pictures += usize::from(Path::new(&name).extension().is_some_and(|e| e == "png"));
        assert_reads(&name, &bytes, &names);
    }
    assert!(pictures >= FIGURES.len(), "{pictures} pictures");
    assert_eq!(
        fs::read(out.join("scenario.toml")).expect("it is there"),
        fs::read(demo).expect("it is there")
    );
}

/// A file of a review is what its name says.
fn assert_reads(name: &str, bytes: &[u8], beside: &[String]) {
    let text = || std::str::from_utf8(bytes).expect("it is UTF-8");
    let (stem, kind) = name.rsplit_once('.').expect("a name with an ending");
    match kind {
        "png" => {
            let picture = Pixmap::decode_png(bytes).expect("it is a picture");
            assert!(picture.width() == 1440 && picture.height() > 400, "{name}: {}", picture.height());
            let first = picture.pixels()[0];
            assert!(picture.pixels().iter().any(|p| *p != first), "{name} is blank");
            for other in ["svg", "csv"] {
                assert!(beside.contains(&format!("{stem}.{other}")), "{name} has no {other}");
            }
        }
        "svg" => {
            let document = Document::parse(text()).expect("it is well-formed");
            assert_eq!(document.root_element().tag_name().name(), "svg", "{name}");
        }
        "csv" => {
            let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(bytes);
            assert!(reader.headers().is_ok_and(|h| h.len() > 1), "{name}: a heading");
            let rows: Vec<_> = reader.records().collect::<Result<_, _>>().expect("whole rows");
            assert!(!rows.is_empty(), "{name} is empty");
        }
        "json" => {
            let json: serde_json::Value = serde_json::from_slice(bytes).expect("it is JSON");
            assert_eq!(json["format"], format!("moteweir.{stem}.1"), "{name}");
            if stem == "calibration" {
                assert_recovers(&json);
            }
            if stem != "review" {
                return;
            }
            let layers = json["layers"].as_array().expect("a list");
            let steps = layers.iter().map(|sweep| sweep["steps"].as_array().map_or(0, Vec::len));
            assert!(steps.into_iter().all(|n| n == 8) && !layers.is_empty(), "{name}: one to eight layers");
        }
        "md" => {
            assert_linked(text(), beside);
            let lead = text().split("\n\n").nth(1).expect("a paragraph below the title");
            assert!(lead.starts_with("After "), "what was measured leads: {lead}");
        }
        "txt" => assert!(text().contains("no certificate"), "{name}"),
        _ => assert!(["scenario.toml", ".moteweir-files"].contains(&name), "what is {name}?"),
    }
}

/// The calibration of the demo's bench finds what lies behind it: each true value of the comments in its 95 %.
fn assert_recovers(calibration: &serde_json::Value) {
    let bench = fs::read_to_string(root().join("scenarios/seaside-bench.csv")).expect("it is there");
    let hidden: Vec<&str> = bench.lines().filter_map(|line| line.strip_prefix("#= ")).collect();
    let parameters = calibration["parameters"].as_array().expect("a list");
    let (mut specimen, mut found) = ("", 0);
    for line in hidden {
        if let Some(name) = line.strip_prefix("[truth.\"") {
            specimen = name.trim_end_matches("\"]");
            continue;
        }
        let (key, value) = line.split_once(" = ").expect("a key and its value");
        let value: f64 = value.parse().expect("a number");
        let (of, name, value) = match (specimen, key) {
            ("", "slope") => ("room", "slope", value),
            ("", "sizing") => ("counter", "sizing", 100.0 * value),
            ("", _) => continue,
            (material, key) => (material, key, value),
        };
        let row = parameters.iter().find(|p| p["specimen"] == of && p["name"] == name);
        let row = row.unwrap_or_else(|| unreachable!("{name} of {of} is not among the parameters"));
        let (low, high) = (row["q025"].as_f64().expect("low"), row["q975"].as_f64().expect("high"));
        assert!((low..=high).contains(&value), "{name} of {of}: {value} hidden, {low} to {high} found");
        found += 1;
    }
    assert!(found >= 8 && calibration["converged"] == true, "{found} found");
}

/// Every picture that the summary shows is there.
fn assert_linked(summary: &str, beside: &[String]) {
    let links: Vec<&str> =
        summary.split("](").skip(1).filter_map(|rest| rest.split_once(')')).map(|(link, _)| link).collect();
    assert!(links.len() >= FIGURES.len(), "{links:?}");
    for link in links {
        assert!(beside.iter().any(|n| n == link), "the summary shows {link}, which is not there");
    }
}

#[test]
fn the_folder_stands_beside_the_file_and_is_the_same_on_any_number_of_threads() {
    let folder = desk();
    run_in(folder.path(), ["--quiet", "--threads", "1", "review", "insert.toml"]).clean();
    assert_eq!(names_in(folder.path()), ["insert-review", "insert.toml"]);
    let one = contents(&folder.path().join("insert-review"));
    for threads in ["2", "7"] {
        run_in(folder.path(), ["--quiet", "--threads", threads, "review", "insert.toml", "--out", threads])
            .clean();
        assert!(contents(&folder.path().join(threads)) == one, "{threads} threads differ from one");
    }
}

#[test]
fn an_earlier_review_is_replaced_whole() {
    let folder = desk();
    let path = folder.path();
    run_in(path, ["--quiet", "review", "insert.toml"]).clean();
    let first = contents(&path.join("insert-review"));
    let other = smallest().replace("2.40 g", "3.10 g");
    assert_ne!(other, smallest());
    fs::write(path.join("insert.toml"), other).expect("it can be written");
    run_in(path, ["--quiet", "review", "insert.toml"]).clean();
    let second = contents(&path.join("insert-review"));
    let names = |files: &[(String, Vec<u8>)]| files.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(&first), names(&second));
    assert!(first != second, "the second review is the first");
    assert_eq!(names_in(path), ["insert-review", "insert.toml"]);
}

#[test]
fn an_empty_folder_is_written_into() {
    let folder = desk();
    fs::create_dir(folder.path().join("out")).expect("it can be made");
    run_in(folder.path(), ["--quiet", "review", "insert.toml", "--out", "out"]).clean();
    assert!(names_in(&folder.path().join("out")).contains(&"summary.md".to_owned()));
}

#[test]
fn a_folder_with_other_things_is_not_touched() {
    let folder = desk();
    let out = folder.path().join("out");
    run_in(folder.path(), ["--quiet", "review", "insert.toml", "--out", "out"]).clean();
    fs::write(out.join("my notes.txt"), "mine").expect("it can be written");
    let before = contents(&out);
    assert_eq!(
        run_in(folder.path(), ["review", "insert.toml", "--out", "out"]).refused(),
        "error: out holds my notes.txt, which is not of an earlier review, so nothing in it was touched; \
         choose another folder with --out\n"
    );
    assert!(contents(&out) == before);
    assert_eq!(names_in(folder.path()), ["insert.toml", "out"]);
}

#[test]
fn a_folder_of_the_user_s_with_a_like_named_file_is_not_touched() {
    let folder = desk();
    let out = folder.path().join("out");
    fs::create_dir(&out).expect("it can be made");
    fs::write(out.join("summary.md"), "mine").expect("it can be written");
    run_in(folder.path(), ["review", "insert.toml", "--out", "out"]).refused();
    assert_eq!(contents(&out), [("summary.md".to_owned(), b"mine".to_vec())]);
}

#[test]
fn a_file_where_the_folder_should_be_is_not_touched() {
    let folder = desk();
    fs::write(folder.path().join("out"), "mine").expect("it can be written");
    assert_eq!(
        run_in(folder.path(), ["review", "insert.toml", "--out", "out"]).refused(),
        "error: out is there already and was not touched; choose another name\n"
    );
    assert_eq!(fs::read_to_string(folder.path().join("out")).expect("it is there"), "mine");
}

#[test]
fn a_place_that_cannot_be_written_leaves_nothing_behind() {
    let folder = desk();
    // A file for a parent: no folder can be made there, whoever asks.
    fs::write(folder.path().join("file"), "mine").expect("it can be written");
    let run = run_in(folder.path(), ["review", "insert.toml", "--out", "file/out"]);
    assert_ne!(run.code, Some(0), "{}", run.out);
    assert!(run.out.is_empty() && run.err.starts_with("error: file/out "), "{}{}", run.out, run.err);
    assert_eq!(names_in(folder.path()), ["file", "insert.toml"]);
    assert_eq!(fs::read_to_string(folder.path().join("file")).expect("it is there"), "mine");
}

#[cfg(unix)]
#[test]
fn a_parent_without_permission_leaves_nothing_behind() {
    use std::os::unix::fs::PermissionsExt;
    let folder = desk();
    let closed = folder.path().join("closed");
    fs::create_dir(&closed).expect("it can be made");
    fs::set_permissions(&closed, fs::Permissions::from_mode(0o555)).expect("it can be closed");
    if fs::write(closed.join("probe"), "").is_ok() {
        // The administrator may write everywhere; the test above says the same with a file in the way.
        fs::remove_file(closed.join("probe")).expect("it can be removed");
        return;
    }
    let run = run_in(folder.path(), ["review", "insert.toml", "--out", "closed/out"]);
    assert_eq!((run.code, run.out.as_str()), (Some(1), ""), "{}", run.err);
    assert!(run.err.starts_with("error: closed/out cannot be written: "), "{}", run.err);
    assert!(names_in(&closed).is_empty());
}
