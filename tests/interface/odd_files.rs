//! Files that are no scenario, or are one in an unusual dress.

use std::fs;
use std::path::Path;

use tempfile::{TempDir, tempdir};

use crate::program::{run_in, smallest};

/// A folder with one file of these bytes, `file.toml`.
fn folder_with(bytes: &[u8]) -> TempDir {
    let folder = tempdir().expect("a folder");
    fs::write(folder.path().join("file.toml"), bytes).expect("it can be written");
    folder
}

fn refused_everywhere(folder: &Path, file: &str) -> String {
    let said = run_in(folder, ["check", file]).refused();
    for command in ["predict", "review"] {
        assert_eq!(run_in(folder, [command, file]).refused(), said, "{command}");
    }
    said
}

#[test]
fn bytes_that_are_no_text() {
    let folder = folder_with(b"title = \"\xff\"\n");
    assert_eq!(
        refused_everywhere(folder.path(), "file.toml"),
        "error: file.toml is not text in UTF-8 (byte 9 is not); save it as plain text\n"
    );
}

#[test]
fn a_file_that_is_not_there() {
    let folder = tempdir().expect("a folder");
    let said = refused_everywhere(folder.path(), "insert.toml");
    assert!(said.starts_with("error: insert.toml cannot be read: "), "{said}");
    assert_eq!(said.lines().count(), 1, "{said}");
}

#[test]
fn a_folder_instead_of_a_file() {
    let folder = tempdir().expect("a folder");
    fs::create_dir(folder.path().join("insert")).expect("it can be made");
    let said = refused_everywhere(folder.path(), "insert");
    assert!(said.starts_with("error: insert cannot be read: "), "{said}");
}

#[test]
fn an_empty_file_is_told_what_it_lacks() {
    let folder = folder_with(b"");
    assert_eq!(
        refused_everywhere(folder.path(), "file.toml"),
        r#"error: the scenario has no [[material]]
 --> file.toml:1:1
  |
1 |
  | ^ no [[material]]
  |
help: for example: [[material]] with `name`, `class = "needled felt"` and a weighed `swatch`

error: the scenario has no [[stack]]
 --> file.toml:1:1
  |
1 |
  | ^ no [[stack]]
  |
help: for example: [[stack]] with `layers = ["needled felt"]`

error: nothing was computed: 2 problems in file.toml
"#
    );
}

#[test]
fn a_spreadsheet_instead_of_a_scenario() {
    let folder = folder_with(b"material;mass;width\nfelt;2,4;10\n");
    let said = refused_everywhere(folder.path(), "file.toml");
    assert!(said.contains("file.toml:1:9"), "{said}");
}

#[test]
fn a_byte_order_mark_and_carriage_returns_change_nothing() {
    let plain = smallest();
    let folder = folder_with(plain.as_bytes());
    let expected = run_in(folder.path(), ["predict", "file.toml", "--json"]).clean();
    for text in [format!("\u{feff}{plain}"), plain.replace('\n', "\r\n")] {
        let folder = folder_with(text.as_bytes());
        assert!(run_in(folder.path(), ["predict", "file.toml", "--json"]).clean() == expected, "{text:?}");
    }
}
