//! Command lines as people read them in help and README, run in a folder with the scenarios.

use std::fs;
use std::path::Path;

use tempfile::{TempDir, tempdir};

use crate::program::{root, run_in};

/// A folder that looks, to an example, like the repository's root.
pub(crate) fn desk() -> TempDir {
    let folder = tempdir().expect("a folder");
    let inside = folder.path().join("scenarios");
    fs::create_dir(&inside).expect("it can be made");
    for entry in root().join("scenarios").read_dir().expect("scenarios/ is there") {
        let path = entry.expect("it can be listed").path();
        if path.is_file() {
            let name = path.file_name().expect("a file has a name");
            fs::copy(&path, inside.join(name)).expect("it can be copied");
        }
    }
    folder
}

/// The commands in a text: lines that start with the words given, with lines joined that a backslash continues.
pub(crate) fn commands<'t>(text: &'t str, start: &'t str) -> Vec<String> {
    let joined = text.replace("\\\n", " ");
    joined.lines().filter_map(|line| line.trim().strip_prefix(start)).map(str::to_owned).collect()
}

/// The words of a command line as a shell takes them: quotes, a redirection and a comment at the end.
fn words(line: &str) -> Vec<String> {
    let (mut all, mut word, mut quote, mut open) = (Vec::new(), String::new(), None, false);
    for c in line.chars() {
        match (c, quote) {
            ('#' | '>' | '|', None) if !open => break,
            ('"' | '\'', None) => (quote, open) = (Some(c), true),
            (c, Some(q)) if c == q => quote = None,
            (c, None) if c.is_whitespace() => {
                if open {
                    all.push(std::mem::take(&mut word));
                }
                open = false;
            }
            (c, _) => {
                word.push(c);
                open = true;
            }
        }
    }
    if open {
        all.push(word);
    }
    assert_eq!(quote, None, "a quote stays open in {line}");
    all
}

/// A scenario that the reader is to have written, beside the examples.
fn is_own_scenario(word: &str) -> bool {
    Path::new(word).extension().is_some_and(|e| e == "toml") && !word.contains('/')
}

/// Runs an example; a file of the reader's own that it names is written first.
pub(crate) fn works(folder: &Path, line: &str) {
    let words = words(line);
    for own in words.iter().filter(|w| is_own_scenario(w)) {
        let is_there = folder.join(own).exists();
        match words[0] == "new" {
            true if is_there => fs::remove_file(folder.join(own)).expect("it can be removed"),
            false if !is_there => drop(run_in(folder, ["new", own]).done()),
            _ => {}
        }
    }
    let run = run_in(folder, &words);
    assert_eq!(run.code, Some(0), "`{line}`, from {}:\n{}", root().display(), run.err);
}

#[test]
fn words_are_those_of_a_shell() {
    assert_eq!(
        words("predict --class \"creped tissue\" 'a b' x\"\"y > out.json"),
        ["predict", "--class", "creped tissue", "a b", "xy"]
    );
    assert_eq!(words("review a.toml   # draws"), ["review", "a.toml"]);
    assert_eq!(commands("see:\n  run a \\\n   b\n", "run "), ["a     b"]);
}
