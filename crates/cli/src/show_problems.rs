//! A scenario's text, the files that it names, and its problems shown in place.

use std::fs::File;
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use moteweir::{Case, Files, Problem, Problems, Scenario, Severity, Shelf, Span, Unread};

use crate::outcome::Failure;

/// The longest file that a scenario may name: far more than a million rows of counts.
const LONGEST_FILE: u64 = 1 << 29;

/// A scenario as text, with the name that problems are shown under and the files that it names.
#[derive(Debug)]
pub(crate) struct Source {
    /// The file's path as given.
    pub(crate) name: String,
    /// Its text.
    pub(crate) text: String,
    /// The folder that paths in it are relative to.
    folder: PathBuf,
    /// The files that it names.
    pub(crate) files: Files,
}

impl Source {
    /// Reads a file and the files that it names.
    pub(crate) fn read(path: &Path) -> Result<Self, Failure> {
        let text = text_of(path)?;
        let folder = path.parent().map(Path::to_owned).unwrap_or_default();
        let mut files = Files::none();
        for file in Scenario::read(&text).0.files() {
            files.insert(&file.value, named_file(&folder.join(&file.value)));
        }
        Ok(Self { name: path.display().to_string(), text, folder, files })
    }

    /// Reads a file that names no others.
    pub(crate) fn plain(path: &Path) -> Result<Self, Failure> {
        let text = text_of(path)?;
        Ok(Self { name: path.display().to_string(), text, folder: PathBuf::new(), files: Files::none() })
    }

    /// A scenario made of the options of a command, which names no files.
    pub(crate) fn of_options(text: String) -> Self {
        Self { name: "the options".to_owned(), text, folder: PathBuf::new(), files: Files::none() }
    }

    /// The text that a problem is in, with the name to show it under.
    fn place<'a>(&'a self, problem: &Problem) -> (&'a str, String) {
        match &problem.file {
            None => (&self.text, self.name.clone()),
            Some(file) => {
                (self.files.text(file).unwrap_or_default(), self.folder.join(file).display().to_string())
            }
        }
    }
}

fn text_of(path: &Path) -> Result<String, Failure> {
    let bytes = std::fs::read(path).map_err(|source| Failure::Read { path: path.to_owned(), source })?;
    String::from_utf8(bytes)
        .map_err(|error| Failure::NotText { path: path.to_owned(), at: error.utf8_error().valid_up_to() })
}

/// The text of a file that a scenario names, or why there is none.
fn named_file(path: &Path) -> Result<String, Unread> {
    let refused = |error: io::Error| match error.kind() {
        ErrorKind::NotFound => Unread::Missing,
        _ => Unread::Refused { why: error.to_string() },
    };
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(refused)?;
    file.take(LONGEST_FILE + 1).read_to_end(&mut bytes).map_err(refused)?;
    if bytes.len() as u64 > LONGEST_FILE {
        return Err(Unread::Refused { why: format!("it is longer than {} MB", LONGEST_FILE >> 20) });
    }
    String::from_utf8(bytes).map_err(|error| Unread::NotText { at: error.utf8_error().valid_up_to() })
}

/// The checked case of a scenario; shows every problem and every warning on the way.
pub(crate) fn case_of(source: &Source) -> Result<Case, Failure> {
    accepted(source, Case::read_with(&source.text, Shelf::built_in(), &source.files), |case| &case.warnings)
}

/// What was read of a text; shows every problem and every warning on the way.
pub(crate) fn accepted<T>(
    source: &Source,
    read: Result<T, Problems>,
    warnings: impl Fn(&T) -> &[Problem],
) -> Result<T, Failure> {
    match read {
        Ok(value) => {
            show(source, warnings(&value))?;
            Ok(value)
        }
        Err(problems) => {
            show(source, &problems.0)?;
            let errors = problems.0.iter().filter(|p| p.severity == Severity::Error);
            let count = errors.map(Problem::stands_for).sum();
            let elsewhere = problems.0.iter().any(|p| p.file.is_some());
            let name = if elsewhere { format!("{} and its files", source.name) } else { source.name.clone() };
            Err(Failure::Problems { count, name })
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
        let (text, name) = source.place(problem);
        let (line, lines, span) = lines_of(text, &problem.span);
        let snippet = Snippet::source(lines)
            .path(&name)
            .line_start(line)
            .annotation(AnnotationKind::Primary.span(span).label(&label));
        let mut report = vec![level.primary_title(&message).element(snippet)];
        let help = problem.help();
        if let Some(help) = &help {
            report.push(Group::with_title(Level::HELP.secondary_title(help)));
        }
        writeln!(err, "{}\n", renderer.render(&report))?;
    }
    Ok(())
}

/// The lines of a text that a span is in, with the number of the first and the span in them: a long text is not drawn
/// for the sake of a few of its lines.
fn lines_of<'t>(text: &'t str, span: &Span) -> (usize, &'t str, Span) {
    let (before, rest) = text.split_at(span.start.min(text.len()));
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let length = span.end.saturating_sub(span.start);
    let end = rest
        .get(length..)
        .and_then(|after| after.find('\n'))
        .map_or(text.len(), |at| span.start + length + at);
    let line = before.matches('\n').count() + 1;
    let lines = text[start..end].strip_suffix('\r').unwrap_or(&text[start..end]);
    let at = |place: usize| (place - start).min(lines.len());
    (line, lines, at(span.start)..at(span.end))
}
