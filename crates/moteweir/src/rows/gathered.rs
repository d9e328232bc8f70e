//! Problems of a file: all of them at once, but no more than somebody reads.

use super::fault::RowFault;
use crate::fault::Fault;
use crate::problem::{Problem, Span, in_order};

/// Problems shown one by one.
const SHOWN: usize = 20;

/// What was found so far.
#[derive(Debug, Default)]
pub(crate) struct Gathered {
    shown: Vec<Problem>,
    errors: usize,
    warnings: usize,
    /// The first place of an error that is not shown.
    next: Option<Span>,
}

impl Gathered {
    pub(crate) fn error(&mut self, fault: impl Into<Fault>, span: Span) {
        self.errors += 1;
        if self.errors <= SHOWN {
            self.shown.push(Problem::error(fault.into(), span));
        } else {
            self.next.get_or_insert(span);
        }
    }

    pub(crate) fn warning(&mut self, fault: impl Into<Fault>, span: Span) {
        self.warnings += 1;
        if self.warnings <= SHOWN {
            self.shown.push(Problem::warning(fault.into(), span));
        }
    }

    pub(crate) const fn has_errors(&self) -> bool {
        self.errors > 0
    }

    /// All that is to be shown, in the order of the text; the last says how many more there are.
    pub(crate) fn into_problems(self) -> Vec<Problem> {
        let mut problems = in_order(self.shown);
        if let Some(span) = self.next {
            let count = self.errors - SHOWN;
            problems.push(Problem::error(RowFault::More { count }.into(), span));
        }
        problems
    }
}
