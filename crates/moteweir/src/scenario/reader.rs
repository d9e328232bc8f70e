//! Reading of single values out of a TOML table, with every fault noted at its place.

use moteweir_units::text::{self, Dimension};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::key::{Accepts, Key, Limits, Section};
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::near::nearest;
use crate::problem::{Fault, Problem, Span};

/// How far beyond a limit rounding may carry a value that was written as the limit itself.
const LIMIT_SLACK: f64 = 1e-9;
/// How much of a value is repeated in a message.
const LONGEST_ECHO: usize = 60;

/// A value with its place.
pub(super) type Value<'t> = Spanned<DeValue<'t>>;

/// The text being read and the problems found so far.
#[derive(Debug)]
pub(super) struct Notes<'t> {
    text: &'t str,
    pub(super) problems: Vec<Problem>,
}

/// One table of the file with the section that says what its keys are.
#[derive(Debug)]
pub(super) struct Fields<'a, 't> {
    section: &'static Section,
    table: Option<&'a DeTable<'t>>,
}

impl<'t> Notes<'t> {
    pub(super) const fn new(text: &'t str) -> Self {
        Self { text, problems: Vec::new() }
    }

    pub(super) fn error<T>(&mut self, fault: Fault, span: Span) -> Entry<T> {
        self.problems.push(Problem::error(fault, span.clone()));
        Entry::Broken(span)
    }

    /// The bytes of the file for a part of a string's content; the whole string where escapes hide the part.
    fn inside(&self, content: &str, span: &Span, part: Span) -> Span {
        let Some(raw) = self.text.get(span.clone()) else { return span.clone() };
        let quote = if raw.starts_with("\"\"\"") || raw.starts_with("'''") { 3 } else { 1 };
        let plain = raw.get(quote..raw.len().saturating_sub(quote)) == Some(content);
        if plain && part.start < part.end {
            span.start + quote + part.start..span.start + quote + part.end
        } else {
            span.clone()
        }
    }

    pub(super) fn wrong_type<T>(&mut self, key: &'static Key, value: &Value<'_>) -> Entry<T> {
        let fault = Fault::WrongType {
            key: key.name,
            found: type_of(value.get_ref()),
            wanted: key.wanted(),
            example: key.example,
        };
        self.error(fault, value.span())
    }

    /// Notes that two keys state the same.
    pub(super) fn twice(&mut self, one: &'static str, other: &'static str, what: &'static str, span: Span) {
        self.problems.push(Problem::error(Fault::Twice { one, other, what }, span));
    }

    fn out_of_range<T>(
        &mut self,
        key: &'static Key,
        value: &str,
        (lowest, highest): (String, String),
        span: Span,
    ) -> Entry<T> {
        self.error(Fault::OutOfRange { key: key.name, value: shortened(value), lowest, highest }, span)
    }

    /// A quantity within limits.
    pub(super) fn quantity(
        &mut self,
        key: &'static Key,
        limits: Limits,
        value: &Value<'_>,
    ) -> Entry<Quantity> {
        let span = value.span();
        let number = match value.get_ref() {
            DeValue::String(content) => {
                let si = match text::read(content, limits.dimension) {
                    Ok(si) => si,
                    Err(error) => {
                        let place = self.inside(content, &span, error.span.clone());
                        return self.error(Fault::Unreadable { key: key.name, error }, place);
                    }
                };
                return self.within(key, limits, Quantity { si, text: content.trim().to_owned() }, span);
            }
            DeValue::Integer(integer) => integer.to_string(),
            DeValue::Float(float) => float.to_string(),
            _ => return self.wrong_type(key, value),
        };
        match (limits.dimension.is_number(), number.parse::<f64>()) {
            (true, Ok(si)) => self.within(key, limits, Quantity { si, text: number }, span),
            (true, Err(_)) => self.wrong_type(key, value),
            (false, _) => {
                let fault = Fault::BareNumber {
                    key: key.name,
                    number: shortened(&number),
                    noun: limits.dimension.noun(),
                    example: limits.dimension.example(),
                };
                self.error(fault, span)
            }
        }
    }

    fn within(
        &mut self,
        key: &'static Key,
        limits: Limits,
        quantity: Quantity,
        span: Span,
    ) -> Entry<Quantity> {
        if is_within(quantity.si, limits) {
            Entry::Stated(Written { value: quantity, span })
        } else {
            let ends = (limits.lowest.to_owned(), limits.highest.to_owned());
            self.out_of_range(key, &quantity.text, ends, span)
        }
    }

    /// Two quantities joined by `at`, each within its limits.
    pub(super) fn pair(
        &mut self,
        key: &'static Key,
        (left, right): (Limits, Limits),
        value: &Value<'_>,
    ) -> Entry<QuantityPair> {
        let span = value.span();
        let Some(content) = value.get_ref().as_str() else { return self.wrong_type(key, value) };
        let (first_si, second_si) = match text::read_pair(content, left.dimension, right.dimension) {
            Ok(values) => values,
            Err(error) => {
                let place = self.inside(content, &span, error.span.clone());
                return self.error(Fault::Unreadable { key: key.name, error }, place);
            }
        };
        if is_within(first_si, left) && is_within(second_si, right) {
            let text = content.trim().to_owned();
            return Entry::Stated(Written { value: QuantityPair { first_si, second_si, text }, span });
        }
        let lowest = format!("{} at {}", left.lowest, right.lowest);
        let highest = format!("{} at {}", left.highest, right.highest);
        self.out_of_range(key, content, (lowest, highest), span)
    }

    /// A number between two; a text with a per cent sign will do.
    fn number(&mut self, key: &'static Key, (lowest, highest): (f64, f64), value: &Value<'_>) -> Entry<f64> {
        let span = value.span();
        let (number, written) = match value.get_ref() {
            DeValue::Integer(integer) => (integer.to_string().parse::<f64>().ok(), integer.to_string()),
            DeValue::Float(float) => (float.as_str().parse::<f64>().ok(), float.to_string()),
            DeValue::String(content) => match text::read(content, Dimension::Fraction) {
                Ok(number) => (Some(number), content.to_string()),
                Err(error) => {
                    let place = self.inside(content, &span, error.span.clone());
                    return self.error(Fault::Unreadable { key: key.name, error }, place);
                }
            },
            _ => return self.wrong_type(key, value),
        };
        match number {
            Some(number) if (lowest..=highest).contains(&number) => {
                Entry::Stated(Written { value: number, span })
            }
            Some(_) => self.out_of_range(key, &written, (lowest.to_string(), highest.to_string()), span),
            None => self.wrong_type(key, value),
        }
    }

    fn count(&mut self, key: &'static Key, (lowest, highest): (u32, u32), value: &Value<'_>) -> Entry<u32> {
        let span = value.span();
        let DeValue::Integer(integer) = value.get_ref() else { return self.wrong_type(key, value) };
        match u32::from_str_radix(integer.as_str(), integer.radix()) {
            Ok(count) if (lowest..=highest).contains(&count) => Entry::Stated(Written { value: count, span }),
            _ => {
                let ends = (lowest.to_string(), highest.to_string());
                self.out_of_range(key, &integer.to_string(), ends, span)
            }
        }
    }

    /// A text that is not blank.
    pub(super) fn text(&mut self, key: &'static Key, value: &Value<'_>) -> Entry<String> {
        let Some(content) = value.get_ref().as_str() else { return self.wrong_type(key, value) };
        if content.trim().is_empty() {
            return self.error(Fault::Empty { key: key.name, example: key.example }, value.span());
        }
        Entry::Stated(Written { value: content.to_owned(), span: value.span() })
    }

    /// One of some words.
    pub(super) fn choice(
        &mut self,
        key: &'static Key,
        choices: &'static [&'static str],
        value: &Value<'_>,
    ) -> Entry<&'static str> {
        let Some(word) = value.get_ref().as_str() else { return self.wrong_type(key, value) };
        if let Some(choice) = choices.iter().copied().find(|choice| *choice == word.trim()) {
            return Entry::Stated(Written { value: choice, span: value.span() });
        }
        let near = nearest(word, choices.iter().copied()).map(str::to_owned);
        let fault =
            Fault::UnknownChoice { key: key.name, value: shortened(word), near, choices: choices.to_vec() };
        self.error(fault, value.span())
    }

    /// The entries of a list that is not empty, each read by `read`; one bad entry breaks the list.
    pub(super) fn list<T>(
        &mut self,
        key: &'static Key,
        value: &Value<'_>,
        mut read: impl FnMut(&mut Self, &Value<'_>) -> Entry<T>,
    ) -> Entry<Vec<Written<T>>> {
        let Some(entries) = value.get_ref().as_array() else { return self.wrong_type(key, value) };
        if entries.is_empty() {
            return self.error(Fault::Empty { key: key.name, example: key.example }, value.span());
        }
        let mut read_entries = Vec::new();
        for entry in entries.iter() {
            if let Entry::Stated(written) = read(self, entry) {
                read_entries.push(written);
            }
        }
        if read_entries.len() == entries.len() {
            Entry::Stated(Written { value: read_entries, span: value.span() })
        } else {
            Entry::Broken(value.span())
        }
    }
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

impl<'a, 't> Fields<'a, 't> {
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
            Some(value) => match value.get_ref() {
                DeValue::Table(table) => Self::open(section, table, notes),
                _ => {
                    let _: Entry<()> = notes.wrong_type(key, value);
                    Self { section, table: None }
                }
            },
            None => Self { section, table: None },
        }
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

/// A TOML type with its article.
pub(super) const fn type_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// Whether an SI value lies within limits, rounding apart; limits that cannot be read hold nothing back.
fn is_within(si: f64, limits: Limits) -> bool {
    let end = |text| text::read(text, limits.dimension);
    let (Ok(a), Ok(b)) = (end(limits.lowest), end(limits.highest)) else { return si.is_finite() };
    (a - LIMIT_SLACK * a.abs()..=b + LIMIT_SLACK * b.abs()).contains(&si)
}

/// As much of a value as a message can bear.
fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST_ECHO {
        return text.to_owned();
    }
    text.chars().take(LONGEST_ECHO).chain("...".chars()).collect()
}
