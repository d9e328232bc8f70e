//! What a key of a scenario is: its name, what it takes, its default, and a line about it.
//!
//! One table ([`super::keys`]) of these feeds the reader, its messages, the list of keys in the documentation and
//! any form that asks for the same values.

use moteweir_units::text::{self, Dimension};

/// How far beyond a limit rounding may carry a value that was written as the limit itself.
const LIMIT_SLACK: f64 = 1e-9;

/// A key of a section.
#[derive(Debug, PartialEq)]
pub struct Key {
    /// Name in the file.
    pub name: &'static str,
    /// What it takes.
    pub accepts: Accepts,
    /// The value taken where the file has none; `None` where there is no default for all.
    pub default: Option<&'static str>,
    /// A line for people.
    pub doc: &'static str,
    /// The key with a value, as TOML.
    pub example: &'static str,
}

/// What a key takes.
#[derive(Debug, PartialEq)]
pub enum Accepts {
    /// A text with a unit.
    Quantity(Limits),
    /// A text with a unit, or what is known of one: a table that says between what or about what it is.
    Uncertain(Limits),
    /// A text with a unit, or a list of such.
    Quantities(Limits),
    /// Two texts with units, joined by `at`.
    Pair(Limits, Limits),
    /// The same, or what is known of the first: the second is what it was measured at.
    UncertainPair(Limits, Limits),
    /// A bare number between two.
    Number {
        /// Lowest.
        lowest: f64,
        /// Highest.
        highest: f64,
    },
    /// A bare number between two, or what is known of one.
    UncertainNumber(Limits),
    /// A whole number between two.
    Count {
        /// Lowest.
        lowest: u32,
        /// Highest.
        highest: u32,
    },
    /// Any text.
    Text,
    /// A text, or a list of such.
    Texts,
    /// One of some words.
    Choice(&'static [&'static str]),
    /// One of some words, or a list of such.
    Choices(&'static [&'static str]),
    /// Several spellings, described in words; read by a rule of its own.
    Spellings(&'static str),
    /// A table, or a list of tables.
    Table(&'static Section),
}

/// The kind of a quantity and what is possible of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// The kind.
    pub dimension: Dimension,
    /// Lowest possible value, as text.
    pub lowest: &'static str,
    /// Highest possible value, as text.
    pub highest: &'static str,
}

/// A table of a scenario and its keys.
#[derive(Debug, PartialEq)]
pub struct Section {
    /// As people call it, with its brackets, such as `[[material]]`.
    pub name: &'static str,
    /// A line for people.
    pub doc: &'static str,
    /// Its keys, in the order of the documentation.
    pub keys: &'static [&'static Key],
}

impl Section {
    /// The key of this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().copied().find(|key| key.name == name)
    }
}

impl Limits {
    /// Limits of a dimension.
    pub(super) const fn new(dimension: Dimension, lowest: &'static str, highest: &'static str) -> Self {
        Self { dimension, lowest, highest }
    }

    /// Whether an SI value lies within, rounding apart. Limits that cannot be read hold nothing back; a test reads
    /// all of them.
    pub fn holds(&self, si: f64) -> bool {
        let Some((a, b)) = self.ends() else { return si.is_finite() };
        (a - LIMIT_SLACK * a.abs()..=b + LIMIT_SLACK * b.abs()).contains(&si)
    }
}

impl Limits {
    /// Lowest and highest possible value in SI; `None` where the limits cannot be read, which a test excludes.
    pub fn ends(&self) -> Option<(f64, f64)> {
        let end = |limit| text::read(limit, self.dimension).ok();
        end(self.lowest).zip(end(self.highest))
    }
}

impl Key {
    /// A key without default.
    pub(super) const fn new(
        name: &'static str,
        accepts: Accepts,
        doc: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, accepts, default: None, doc, example }
    }

    /// The same key with a default.
    pub(super) const fn or(self, default: &'static str) -> Self {
        let Self { name, accepts, doc, example, .. } = self;
        Self { name, accepts, default: Some(default), doc, example }
    }

    /// What the key takes, in words.
    pub fn wanted(&self) -> String {
        match &self.accepts {
            Accepts::Quantity(limits) => {
                format!("{} as a text with a unit", limits.dimension.noun())
            }
            Accepts::Uncertain(limits) => {
                format!("{} as a text with a unit, or what is known of it", limits.dimension.noun())
            }
            Accepts::Quantities(limits) => {
                format!("{} as a text with a unit, or a list of such", limits.dimension.noun())
            }
            Accepts::Pair(left, right) => {
                format!("a text of {} at {}", left.dimension.noun(), right.dimension.noun())
            }
            Accepts::UncertainPair(left, right) => {
                let [left, right] = [left, right].map(|limits| limits.dimension.noun());
                format!("a text of {left} at {right}, or what is known of it")
            }
            Accepts::Number { .. } => "a number".to_owned(),
            Accepts::UncertainNumber(_) => "a number, or what is known of it".to_owned(),
            Accepts::Count { .. } => "a whole number".to_owned(),
            Accepts::Text => "a text".to_owned(),
            Accepts::Texts => "a text, or a list of such".to_owned(),
            Accepts::Choice(_) => "a word in quotes".to_owned(),
            Accepts::Choices(_) => "a word in quotes, or a list of such".to_owned(),
            Accepts::Spellings(words) => (*words).to_owned(),
            Accepts::Table(section) => format!("a table like {}", section.name),
        }
    }
}
