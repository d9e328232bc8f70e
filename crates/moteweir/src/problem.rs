//! A problem in a scenario: what is wrong, how badly, and where in the text.

use std::ops::Range;

pub use crate::fault::Fault;

/// Bytes of the scenario's text.
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
    /// The bytes of the scenario's text that the problem is about.
    pub span: Span,
}

/// Every problem of a scenario that is no case, warnings among them, sorted by position.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("the scenario has {} problem{}", .0.len(), if .0.len() == 1 { "" } else { "s" })]
pub struct Problems(pub Vec<Problem>);

impl Problem {
    pub(crate) const fn error(fault: Fault, span: Span) -> Self {
        Self { severity: Severity::Error, fault, span }
    }

    pub(crate) const fn warning(fault: Fault, span: Span) -> Self {
        Self { severity: Severity::Warning, fault, span }
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

    /// Line and column of the start, both from 1; a column counts characters.
    pub fn line_column(&self, text: &str) -> (usize, usize) {
        let before = text.get(..self.span.start).unwrap_or(text);
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        let column =
            before.get(line_start..).unwrap_or_default().trim_start_matches('\u{feff}').chars().count();
        (before.matches('\n').count() + 1, column + 1)
    }
}

/// Puts problems in the order of the text, errors before warnings at one place, and each once.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    problems.sort_by_key(|problem| (problem.span.start, problem.severity, problem.span.end));
    problems.dedup();
    problems
}
