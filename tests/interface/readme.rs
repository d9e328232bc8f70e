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

/// Both are written by the gallery's example, in one run.
#[test]
fn the_verdict_in_the_readme_is_that_of_the_figures() {
    let page = |name: &str| fs::read_to_string(root().join(name)).expect("the page is there");
    let readme = page("README.md");
    let (_, brief) = readme.split_once("<!-- verdict -->").expect("the README has a verdict");
    let (brief, _) = brief.split_once("<!-- end of verdict -->").expect("the verdict ends");
    let cells =
        |line: &str| line.trim_matches('|').split(" | ").map(|c| c.trim().to_owned()).collect::<Vec<_>>();
    let rows = |text: &str| -> Vec<Vec<String>> {
        let lines = text.lines().filter(|line| line.starts_with('|') && !line.starts_with("| ---"));
        lines.map(cells).filter(|row| !row[0].starts_with("closed form") && row[0] != "law").collect()
    };
    let told: Vec<Vec<String>> = rows(&page("figures/VERDICT.md"))
        .into_iter()
        .map(|row| match row.as_slice() {
            [form, _, claimed, median, largest, good] => {
                [form, claimed, median, largest, good].map(Clone::clone).to_vec()
            }
            [law, source, asked, median, largest] => {
                vec![
                    format!("{law} ({source})"),
                    asked.clone(),
                    median.clone(),
                    largest.clone(),
                    String::new(),
                ]
            }
            _ => row,
        })
        .collect();
    assert!(told.len() > 20, "VERDICT.md has few rows: {}", told.len());
    assert_eq!(rows(brief), told);
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
