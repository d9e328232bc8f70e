//! A problem in a scenario: what is wrong, how badly, and where in the text.

use std::ops::Range;

pub use crate::fault::Fault;

/// Bytes of a text: of the scenario, or of a file that it names.
pub type Span = Range<usize>;

/// How badly something is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The case cannot be computed.
    Error,
    /// The case can be computed, on a choice that the message names.
    Warning,
}

/// Something wrong in a scenario.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong; it knows its words.
    pub fault: Fault,
    /// The file that it is in, as the scenario names it; `None` for the scenario itself.
    pub file: Option<String>,
    /// The bytes of that text that the problem is about.
    pub span: Span,
}

/// Every problem of a scenario that is no case, warnings among them, sorted by position.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("the scenario has {} problem{}", .0.len(), if .0.len() == 1 { "" } else { "s" })]
pub struct Problems(pub Vec<Problem>);

impl Problem {
    pub(crate) const fn error(fault: Fault, span: Span) -> Self {
        Self { severity: Severity::Error, fault, file: None, span }
    }

    pub(crate) const fn warning(fault: Fault, span: Span) -> Self {
        Self { severity: Severity::Warning, fault, file: None, span }
    }

    /// The same problem, in a file that the scenario names.
    #[must_use]
    pub(crate) fn in_file(self, name: &str) -> Self {
        Self { file: Some(name.to_owned()), ..self }
    }

    /// What is wrong, in one sentence.
    pub fn message(&self) -> String {
        self.fault.to_string()
    }

    /// A few words to stand under the place.
    pub fn label(&self) -> String {
        self.fault.label()
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        self.fault.help()
    }

    /// How many problems it stands for: more than one where only the first of many are shown.
    pub fn stands_for(&self) -> usize {
        match &self.fault {
            Fault::Row(fault) => fault.stands_for(),
            _ => 1,
        }
    }

    /// Line and column of the start in the text of its file, both from 1; a column counts characters.
    pub fn line_column(&self, text: &str) -> (usize, usize) {
        let before = text.get(..self.span.start).unwrap_or(text);
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        let column =
            before.get(line_start..).unwrap_or_default().trim_start_matches('\u{feff}').chars().count();
        (before.matches('\n').count() + 1, column + 1)
    }
}

/// Puts problems in the order of the text, the scenario before its files, errors before warnings at one place, and each once.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    problems.sort_by(|a, b| {
        let key = |problem: &Problem| (problem.span.start, problem.severity, problem.span.end);
        a.file.cmp(&b.file).then_with(|| key(a).cmp(&key(b)))
    });
    problems.dedup();
    problems
}
