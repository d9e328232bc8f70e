//! Tests of the way from text to case.

mod decisions;
mod doubts;
mod faults;
mod hostile;
mod laboratory;
mod values;

use crate::Shelf;

/// Every problem of a text as `line:column severity: message [label] (help)`.
fn said(text: &str) -> Vec<String> {
    let problems = match super::Case::read(text, Shelf::built_in()) {
        Ok(case) => case.warnings,
        Err(problems) => problems.0,
    };
    problems
        .iter()
        .map(|problem| {
            let (line, column) = problem.line_column(text);
            let severity = match problem.severity {
                crate::Severity::Error => "error",
                crate::Severity::Warning => "warning",
            };
            let help = problem.help().map(|help| format!(" ({help})")).unwrap_or_default();
            format!("{line}:{column} {severity}: {} [{}]{help}", problem.message(), problem.label())
        })
        .collect()
}
