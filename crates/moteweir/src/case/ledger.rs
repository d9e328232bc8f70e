//! What the check of a scenario finds and assumes on its way.

use moteweir_units::text;

use super::Assumed;
use super::known::Origin;
use crate::problem::{Fault, Problem, Span};
use crate::scenario::{Accepts, Entry, Key, Quantity};

/// Problems and assumptions so far.
#[derive(Debug)]
pub(super) struct Ledger<'t> {
    text: &'t str,
    pub(super) problems: Vec<Problem>,
    pub(super) assumed: Vec<Assumed>,
}

impl<'t> Ledger<'t> {
    pub(super) const fn new(text: &'t str, problems: Vec<Problem>) -> Self {
        Self { text, problems, assumed: Vec::new() }
    }

    pub(super) fn error(&mut self, fault: Fault, span: Span) {
        self.problems.push(Problem::error(fault, span));
    }

    pub(super) fn warning(&mut self, fault: Fault, span: Span) {
        self.problems.push(Problem::warning(fault, span));
    }

    /// Notes a value that the scenario does not state.
    pub(super) fn assume(&mut self, material: Option<&str>, key: &'static str, value: String, from: Origin) {
        self.assumed.push(Assumed { material: material.map(str::to_owned), key, value, from });
    }

    /// Notes that the default of a key is used, and gives its text.
    pub(super) fn assume_default(&mut self, key: &'static Key) -> &'static str {
        let default = key.default.unwrap_or_default();
        self.assume(None, key.name, default.to_owned(), Origin::Default);
        default
    }

    /// The SI value of a key: as stated, else its default. A broken value counts as its default, so that the
    /// check goes on; its problem is noted already.
    pub(super) fn quantity(&mut self, entry: &Entry<Quantity>, key: &'static Key) -> f64 {
        match entry {
            Entry::Stated(written) => written.value.si,
            Entry::Broken(_) => default_si(key),
            Entry::Absent => {
                self.assume_default(key);
                default_si(key)
            }
        }
    }

    /// As [`Self::quantity`], for a number without a unit.
    pub(super) fn number(&mut self, entry: &Entry<f64>, key: &'static Key) -> f64 {
        match entry {
            Entry::Stated(written) => written.value,
            Entry::Broken(_) => default_si(key),
            Entry::Absent => {
                self.assume_default(key);
                default_si(key)
            }
        }
    }

    /// As [`Self::quantity`], for the name of a choice.
    pub(super) fn choice(&mut self, entry: &Entry<&'static str>, key: &'static Key) -> &'static str {
        match entry {
            Entry::Stated(written) => written.value,
            Entry::Broken(_) => key.default.unwrap_or_default(),
            Entry::Absent => self.assume_default(key),
        }
    }

    /// Notes every name that stands a second time among `names`.
    pub(super) fn distinct(&mut self, kind: &'static str, names: &[Option<(&str, Span)>]) {
        for (index, entry) in names.iter().enumerate() {
            let Some((name, span)) = entry else { continue };
            let first = names[..index].iter().flatten().find(|(other, _)| other == name);
            if let Some((_, first_span)) = first {
                let before = self.text.get(..first_span.start).unwrap_or_default();
                let first_line = before.matches('\n').count() + 1;
                let fault = Fault::DuplicateName { kind, name: (*name).to_owned(), first_line };
                self.error(fault, span.clone());
            }
        }
    }
}

/// The SI value of a key's default.
pub(super) fn default_si(key: &'static Key) -> f64 {
    let default = key.default.expect("only keys with a default are asked for it");
    match key.accepts {
        Accepts::Quantity(limits) | Accepts::Uncertain(limits) => {
            text::read(default, limits.dimension).expect("a test reads every default")
        }
        _ => default.parse().expect("a test reads every default"),
    }
}

/// The default of a key that counts.
pub(super) fn default_count(key: &'static Key) -> u32 {
    let default = key.default.expect("only keys with a default are asked for it");
    default.parse().expect("a test reads every default")
}
