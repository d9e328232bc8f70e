//! Reading of single values out of a TOML table, with every fault noted at its place.

use moteweir_units::text::{self, Dimension};
use toml::Spanned;
use toml::de::DeValue;

use super::key::{Key, Limits};
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::doubt::Doubt;
use crate::near::nearest;
use crate::problem::{Fault, Problem, Span};

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

    /// Notes a key that means something only beside another.
    pub(super) fn goes_with(&mut self, key: &'static str, with: &'static str, span: Span) {
        self.problems.push(Problem::error(Fault::GoesWith { key, with }, span));
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
        match self.free_quantity(key, limits.dimension, value) {
            Entry::Stated(Written { value, span }) => self.within(key, limits, value, span),
            entry => entry,
        }
    }

    /// A quantity whatever its value.
    pub(super) fn free_quantity(
        &mut self,
        key: &'static Key,
        dimension: Dimension,
        value: &Value<'_>,
    ) -> Entry<Quantity> {
        let span = value.span();
        let exact = |si, text| Quantity { si, text, doubt: Doubt::None };
        let number = match value.get_ref() {
            DeValue::String(content) => {
                let si = match text::read(content, dimension) {
                    Ok(si) => si,
                    Err(error) => {
                        let place = self.inside(content, &span, error.span.clone());
                        return self.error(Fault::Unreadable { key: key.name, error }, place);
                    }
                };
                return Entry::Stated(Written { value: exact(si, content.trim().to_owned()), span });
            }
            DeValue::Integer(integer) => integer.to_string(),
            DeValue::Float(float) => float.to_string(),
            _ => return self.wrong_type(key, value),
        };
        match (dimension.is_number(), number.parse::<f64>()) {
            (true, Ok(si)) => Entry::Stated(Written { value: exact(si, number), span }),
            (true, Err(_)) => self.wrong_type(key, value),
            (false, _) => {
                let fault = Fault::BareNumber {
                    key: key.name,
                    number: shortened(&number),
                    noun: dimension.noun(),
                    example: key.example,
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
        if limits.holds(quantity.si) {
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
        if left.holds(first_si) && right.holds(second_si) {
            let text = content.trim().to_owned();
            let value = QuantityPair { first_si, second_si, text, doubt: Doubt::None };
            return Entry::Stated(Written { value, span });
        }
        let lowest = format!("{} at {}", left.lowest, right.lowest);
        let highest = format!("{} at {}", left.highest, right.highest);
        self.out_of_range(key, content, (lowest, highest), span)
    }

    /// A number between two; a text with a per cent sign will do.
    pub(super) fn number(
        &mut self,
        key: &'static Key,
        (lowest, highest): (f64, f64),
        value: &Value<'_>,
    ) -> Entry<f64> {
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

    pub(super) fn count(
        &mut self,
        key: &'static Key,
        (lowest, highest): (u32, u32),
        value: &Value<'_>,
    ) -> Entry<u32> {
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

    /// The entries of a list that is not empty, each read by `read`; a value that is no list is a list of one.
    pub(super) fn entries<T>(
        &mut self,
        key: &'static Key,
        value: &Value<'_>,
        mut read: impl FnMut(&mut Self, &Value<'_>) -> Entry<T>,
    ) -> Entry<Vec<Entry<T>>> {
        let entries: Vec<_> = match value.get_ref() {
            DeValue::Array(entries) => entries.iter().map(|entry| read(self, entry)).collect(),
            _ => vec![read(self, value)],
        };
        if entries.is_empty() {
            return self.error(Fault::Empty { key: key.name, example: key.example }, value.span());
        }
        Entry::Stated(Written { value: entries, span: value.span() })
    }

    /// As [`Self::entries`], where one broken entry breaks the list.
    pub(super) fn list<T>(
        &mut self,
        key: &'static Key,
        value: &Value<'_>,
        read: impl FnMut(&mut Self, &Value<'_>) -> Entry<T>,
    ) -> Entry<Vec<Written<T>>> {
        let Entry::Stated(Written { value: entries, span }) = self.entries(key, value, read) else {
            return Entry::Broken(value.span());
        };
        let stated = entries.into_iter().map(|entry| match entry {
            Entry::Stated(written) => Some(written),
            Entry::Absent | Entry::Broken(_) => None,
        });
        match stated.collect() {
            Some(value) => Entry::Stated(Written { value, span }),
            None => Entry::Broken(span),
        }
    }
}

/// A TOML type with its article.
const fn type_of(value: &DeValue<'_>) -> &'static str {
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

/// As much of a value as a message can bear.
pub(super) fn shortened(text: &str) -> String {
    if text.chars().count() <= LONGEST_ECHO {
        return text.to_owned();
    }
    text.chars().take(LONGEST_ECHO).chain("...".chars()).collect()
}
