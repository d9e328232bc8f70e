//! One table of the file, read key by key against its section.

use toml::de::{DeTable, DeValue};

use super::key::{Accepts, Key, Section};
use super::reader::{Notes, Value, shortened};
use super::unsure::{uncertain, uncertain_pair};
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::near::nearest;
use crate::problem::{Fault, Problem, Span};

/// One table of the file with the section that says what its keys are.
#[derive(Debug)]
pub(super) struct Fields<'a, 't> {
    section: &'static Section,
    table: Option<&'a DeTable<'t>>,
}

impl<'a, 't> Fields<'a, 't> {
    /// A table as a section; keys that the section does not have are noted.
    pub(super) fn open(section: &'static Section, table: &'a DeTable<'t>, notes: &mut Notes<'_>) -> Self {
        for (name, _) in table {
            if section.key(name.get_ref()).is_none() {
                let known: Vec<_> = section.keys.iter().map(|key| key.name).collect();
                let near = nearest(name.get_ref(), known.iter().copied());
                let key = shortened(name.get_ref());
                let fault = Fault::UnknownKey { key, section: section.name, near, known };
                notes.problems.push(Problem::error(fault, name.span()));
            }
        }
        Self { section, table: Some(table) }
    }

    /// What stands under a key.
    pub(super) fn get(&self, key: &'static Key) -> Option<&'a Value<'t>> {
        self.table?.get(key.name)
    }

    /// Notes that a key without which the table means nothing is not there.
    pub(super) fn require<T>(
        &self,
        entry: Entry<T>,
        key: &'static Key,
        span: &Span,
        notes: &mut Notes<'_>,
    ) -> Entry<T> {
        if !entry.is_absent() {
            return entry;
        }
        let fault = Fault::MissingKey { section: self.section.name, key: key.name, example: key.example };
        notes.error(fault, span.clone())
    }

    fn read<T>(&self, key: &'static Key, read: impl FnOnce(&'a Value<'t>) -> Entry<T>) -> Entry<T> {
        self.get(key).map_or(Entry::Absent, read)
    }

    pub(super) fn quantity(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<Quantity> {
        self.read(key, |value| match key.accepts {
            Accepts::Quantity(limits) => notes.quantity(key, limits, value),
            _ => notes.wrong_type(key, value),
        })
    }

    /// A quantity, or what is known of it.
    pub(super) fn uncertain(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<Quantity> {
        self.read(key, |value| match key.accepts {
            Accepts::Uncertain(limits) | Accepts::UncertainNumber(limits) => {
                uncertain(key, limits, value, notes)
            }
            _ => notes.wrong_type(key, value),
        })
    }

    pub(super) fn quantities(
        &self,
        key: &'static Key,
        notes: &mut Notes<'_>,
    ) -> Entry<Vec<Written<Quantity>>> {
        self.read(key, |value| match key.accepts {
            Accepts::Quantities(limits) => {
                notes.list(key, value, |notes, entry| notes.quantity(key, limits, entry))
            }
            _ => notes.wrong_type(key, value),
        })
    }

    pub(super) fn pair(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<QuantityPair> {
        self.read(key, |value| match key.accepts {
            Accepts::Pair(left, right) => notes.pair(key, (left, right), value),
            Accepts::UncertainPair(left, right) => uncertain_pair(key, (left, right), value, notes),
            _ => notes.wrong_type(key, value),
        })
    }

    pub(super) fn number(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<f64> {
        self.read(key, |value| match key.accepts {
            Accepts::Number { lowest, highest } => notes.number(key, (lowest, highest), value),
            _ => notes.wrong_type(key, value),
        })
    }

    pub(super) fn count(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<u32> {
        self.read(key, |value| match key.accepts {
            Accepts::Count { lowest, highest } => notes.count(key, (lowest, highest), value),
            _ => notes.wrong_type(key, value),
        })
    }

    pub(super) fn text(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<String> {
        self.read(key, |value| notes.text(key, value))
    }

    /// A text without the blanks at its ends.
    pub(super) fn name(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<String> {
        self.text(key, notes).map(|name| name.trim().to_owned())
    }

    pub(super) fn texts(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<Vec<Written<String>>> {
        self.read(key, |value| notes.list(key, value, |notes, entry| notes.text(key, entry)))
    }

    pub(super) fn choice(&self, key: &'static Key, notes: &mut Notes<'_>) -> Entry<&'static str> {
        self.read(key, |value| match key.accepts {
            Accepts::Choice(choices) => notes.choice(key, choices, value),
            _ => notes.wrong_type(key, value),
        })
    }

    pub(super) fn choices(
        &self,
        key: &'static Key,
        notes: &mut Notes<'_>,
    ) -> Entry<Vec<Written<&'static str>>> {
        self.read(key, |value| match key.accepts {
            Accepts::Choices(choices) => {
                notes.list(key, value, |notes, entry| notes.choice(key, choices, entry))
            }
            _ => notes.wrong_type(key, value),
        })
    }
}

impl Fields<'_, '_> {
    /// The version of the format, which has its own message.
    pub(super) fn format(&self, notes: &mut Notes<'_>) -> Entry<u32> {
        let key = &super::keys::Root::FORMAT;
        self.read(key, |value| match value.get_ref() {
            DeValue::Integer(found) if found.to_string() != "1" => {
                notes.error(Fault::UnknownFormat { found: shortened(&found.to_string()) }, value.span())
            }
            _ => self.count(key, notes),
        })
    }

    /// A nested section; an absent one, or what is no table, is an empty one.
    pub(super) fn section(&self, key: &'static Key, notes: &mut Notes<'_>) -> Self {
        let Accepts::Table(section) = key.accepts else { return Self { section: self.section, table: None } };
        match self.get(key) {
            None => Self { section, table: None },
            Some(value) => {
                if let DeValue::Table(table) = value.get_ref() {
                    return Self::open(section, table, notes);
                }
                let _: Entry<()> = notes.wrong_type(key, value);
                Self { section, table: None }
            }
        }
    }

    /// A nested section that may be absent, with its place.
    pub(super) fn optional_section(&self, key: &'static Key, notes: &mut Notes<'_>) -> Option<(Self, Span)> {
        let span = self.get(key)?.span();
        let section = self.section(key, notes);
        section.table.is_some().then_some((section, span))
    }

    /// An inline table.
    pub(super) fn table<T>(
        &self,
        key: &'static Key,
        of: impl Fn(&Fields<'_, '_>, Span, &mut Notes<'_>) -> Entry<T>,
        notes: &mut Notes<'_>,
    ) -> Entry<T> {
        self.read(key, |value| match (&key.accepts, value.get_ref()) {
            (Accepts::Table(section), DeValue::Table(table)) => {
                of(&Fields::open(section, table, notes), value.span(), notes)
            }
            _ => notes.wrong_type(key, value),
        })
    }

    /// Every table of a list of sections, in the order of the file; one table will do for a list.
    pub(super) fn sections<T>(
        &self,
        key: &'static Key,
        mut of: impl FnMut(&Fields<'_, '_>, Span, &mut Notes<'_>) -> T,
        notes: &mut Notes<'_>,
    ) -> Vec<T> {
        let (Accepts::Table(section), Some(value)) = (&key.accepts, self.get(key)) else { return Vec::new() };
        let mut read = Vec::new();
        let mut read_one = |entry: &Value<'_>, notes: &mut Notes<'_>| match entry.get_ref() {
            DeValue::Table(table) => read.push(of(&Fields::open(section, table, notes), entry.span(), notes)),
            _ => drop(notes.wrong_type::<()>(key, entry)),
        };
        match value.get_ref() {
            DeValue::Array(entries) => entries.iter().for_each(|entry| read_one(entry, notes)),
            _ => read_one(value, notes),
        }
        read
    }

    /// A list of inline tables.
    pub(super) fn tables<T>(
        &self,
        key: &'static Key,
        of: impl Fn(&Fields<'_, '_>, Span, &mut Notes<'_>) -> Entry<T>,
        notes: &mut Notes<'_>,
    ) -> Entry<Vec<Written<T>>> {
        self.read(key, |value| match key.accepts {
            Accepts::Table(section) => notes.list(key, value, |notes, entry| match entry.get_ref() {
                DeValue::Table(table) => of(&Fields::open(section, table, notes), entry.span(), notes),
                _ => notes.wrong_type(key, entry),
            }),
            _ => notes.wrong_type(key, value),
        })
    }
}
