//! The README: every command line of it that runs the program works.

use std::fs;

use crate::examples::{commands, desk, works};
use crate::program::root;

#[test]
fn every_command_of_the_readme_works() {
    let text = fs::read_to_string(root().join("README.md")).expect("README.md is there");
    let lines = commands(&blocks(&text), "cargo run --release -- ");
    assert!(!lines.is_empty(), "the README shows no way to run the program");
    let folder = desk();
    for line in lines {
        works(folder.path(), &line);
    }
}

/// What stands in the code blocks of a Markdown text.
fn blocks(text: &str) -> String {
    let mut inside = false;
    let mut kept = String::new();
    for line in text.lines() {
        if line.trim_start().starts_with("```") {
            inside = !inside;
        } else if inside {
            kept.push_str(line.trim_start().trim_start_matches("$ "));
            kept.push('\n');
        }
    }
    kept
}
