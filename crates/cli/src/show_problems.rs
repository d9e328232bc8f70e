//! A scenario's text and where it came from, and its problems shown in place.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use moteweir::{Case, Problem, Severity, Shelf};

use crate::outcome::Failure;

/// A scenario as text, with the name that problems are shown under.
#[derive(Debug)]
pub(crate) struct Source {
    /// The file's path as given.
    pub(crate) name: String,
    /// Its text.
    pub(crate) text: String,
}

impl Source {
    /// Reads a file.
    pub(crate) fn read(path: &Path) -> Result<Self, Failure> {
        let bytes = fs::read(path).map_err(|source| Failure::Read { path: path.to_owned(), source })?;
        let text = String::from_utf8(bytes).map_err(|error| Failure::NotText {
            path: path.to_owned(),
            at: error.utf8_error().valid_up_to(),
        })?;
        Ok(Self { name: path.display().to_string(), text })
    }
}

/// The checked case of a scenario; shows every problem and every warning on the way.
pub(crate) fn case_of(source: &Source) -> Result<Case, Failure> {
    match Case::read(&source.text, Shelf::built_in()) {
        Ok(case) => {
            show(source, &case.warnings)?;
            Ok(case)
        }
        Err(problems) => {
            show(source, &problems.0)?;
            let count = problems.0.iter().filter(|p| p.severity == Severity::Error).count();
            Err(Failure::Problems { count, name: source.name.clone() })
        }
    }
}

fn show(source: &Source, problems: &[Problem]) -> Result<(), Failure> {
    let renderer = Renderer::plain();
    let mut err = io::stderr().lock();
    for problem in problems {
        let level = match problem.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
        };
        let (message, label) = (problem.message(), problem.label());
        let snippet = Snippet::source(&source.text)
            .path(&source.name)
            .annotation(AnnotationKind::Primary.span(problem.span.clone()).label(&label));
        let mut report = vec![level.primary_title(&message).element(snippet)];
        let help = problem.help();
        if let Some(help) = &help {
            report.push(Group::with_title(Level::HELP.secondary_title(help)));
        }
        writeln!(err, "{}\n", renderer.render(&report))?;
    }
    Ok(())
}
