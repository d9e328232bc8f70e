//! A value or what is known of it: between what, or about what, give or take how much.

use moteweir_units::text::Dimension;
use toml::de::{DeTable, DeValue};

use super::fields::Fields;
use super::key::{Key, Limits};
use super::keys::Unsure as K;
use super::reader::{Notes, Value};
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::doubt::{Doubt, Scale};
use crate::problem::{Fault, Span};

/// Whether a table says what is known of a value, rather than something else that its key takes.
pub(super) fn is_unsure(table: &DeTable<'_>) -> bool {
    table.iter().any(|(name, _)| K::SECTION.key(name.get_ref()).is_some())
}

/// A value of a key within its limits, or what is known of it.
pub(super) fn uncertain(
    key: &'static Key,
    limits: Limits,
    value: &Value<'_>,
    notes: &mut Notes<'_>,
) -> Entry<Quantity> {
    let DeValue::Table(table) = value.get_ref() else { return notes.quantity(key, limits, value) };
    let of_key = OfKey { key, limits };
    of_key.known(table, value.span(), &mut |value, notes| notes.quantity(key, limits, value), notes)
}

/// Two values joined by `at`, or what is known of the first; both ends of it have to be at one value of the second.
pub(super) fn uncertain_pair(
    key: &'static Key,
    (left, right): (Limits, Limits),
    value: &Value<'_>,
    notes: &mut Notes<'_>,
) -> Entry<QuantityPair> {
    let DeValue::Table(table) = value.get_ref() else { return notes.pair(key, (left, right), value) };
    let span = value.span();
    let mut pairs: Vec<QuantityPair> = Vec::new();
    let mut read = |value: &Value<'_>, notes: &mut Notes<'_>| {
        notes.pair(key, (left, right), value).map(|pair| {
            let first = Quantity { si: pair.first_si, text: pair.text.clone(), doubt: Doubt::None };
            pairs.push(pair);
            first
        })
    };
    let known = OfKey { key, limits: left }.known(table, span.clone(), &mut read, notes);
    let Some(second_si) = pairs.first().map(|pair| pair.second_si) else { return Entry::Broken(span) };
    if let [first, second] = pairs.as_slice()
        && (second.second_si / first.second_si - 1.0).abs() > ONE
    {
        let (key, noun) = (key.name, right.dimension.noun().trim_start_matches("a "));
        let [first, second] = [first, second].map(|pair| pair.text.clone());
        return notes.error(Fault::NotAtOne { key, first, second, noun }, span);
    }
    known.map(|Quantity { si, text, doubt }| QuantityPair { first_si: si, second_si, text, doubt })
}

/// Values that differ by less than this share are one.
const ONE: f64 = 1e-9;

/// Reads a value of the key as such.
type Reading<'r> = dyn FnMut(&Value<'_>, &mut Notes<'_>) -> Entry<Quantity> + 'r;

/// The key that something is known of.
#[derive(Clone, Copy)]
struct OfKey {
    key: &'static Key,
    limits: Limits,
}

impl OfKey {
    fn known(
        self,
        table: &DeTable<'_>,
        span: Span,
        read: &mut Reading<'_>,
        notes: &mut Notes<'_>,
    ) -> Entry<Quantity> {
        let fields = Fields::open(&K::SECTION, table, notes);
        let scale = fields.choice(&K::SCALE, notes);
        match (fields.get(&K::BETWEEN), fields.get(&K::ABOUT)) {
            (Some(_), Some(about)) => {
                notes.twice(K::BETWEEN.name, K::ABOUT.name, "the value", about.span());
                Entry::Broken(span)
            }
            (Some(ends), None) => {
                let is_alone = goes_with(&fields, &K::GIVE_OR_TAKE, &K::ABOUT, notes);
                let known = self.between(ends, &scale, read, notes);
                known
                    .filter(|_| is_alone && !scale.is_broken())
                    .map_or(Entry::Broken(span.clone()), |value| Entry::Stated(Written { value, span }))
            }
            (None, Some(centre)) => {
                let is_alone = goes_with(&fields, &K::SCALE, &K::BETWEEN, notes);
                let known = self.about((&fields, centre, &span), read, notes);
                known
                    .filter(|_| is_alone)
                    .map_or(Entry::Broken(span.clone()), |value| Entry::Stated(Written { value, span }))
            }
            (None, None) => {
                let missing = Fault::MissingKey {
                    section: K::SECTION.name,
                    key: K::BETWEEN.name,
                    example: K::BETWEEN.example,
                };
                notes.error(missing, span)
            }
        }
    }

    /// The middle between two ends, with the ends.
    fn between(
        self,
        ends: &Value<'_>,
        scale: &Entry<&'static str>,
        read: &mut Reading<'_>,
        notes: &mut Notes<'_>,
    ) -> Option<Quantity> {
        let Self { key, limits } = self;
        let entries = match ends.get_ref() {
            DeValue::Array(entries) if entries.len() == 2 => entries,
            _ => {
                let _: Entry<()> = notes.wrong_type(&K::BETWEEN, ends);
                return None;
            }
        };
        let first = read(&entries[0], notes);
        let second = read(&entries[1], notes);
        let (first, second) = (first.value()?, second.value()?);
        // Of cotton counts the higher one is the finer yarn, so the ends may come in either order.
        let (mut low, mut high) = (first.si, second.si);
        if limits.dimension == Dimension::LinearDensity && low > high {
            (low, high) = (high, low);
        }
        if low >= high {
            let fault =
                Fault::NotBetween { key: key.name, first: first.text.clone(), second: second.text.clone() };
            let _: Entry<()> = notes.error(fault, ends.span());
            return None;
        }
        let scale = if scale.value() == Some(&Scale::Linear.word()) { Scale::Linear } else { Scale::Log };
        if scale == Scale::Log && low <= 0.0 {
            let fault = Fault::LogarithmOfZero { key: key.name, low: first.text.clone() };
            let _: Entry<()> = notes.error(fault, ends.span());
            return None;
        }
        let text = format!("between {} and {}", first.text, second.text);
        Some(Quantity { si: scale.middle(low, high), text, doubt: Doubt::Between { low, high, scale } })
    }

    /// A value with a standard deviation that leaves it possible.
    fn about(
        self,
        (fields, centre, table): (&Fields<'_, '_>, &Value<'_>, &Span),
        read: &mut Reading<'_>,
        notes: &mut Notes<'_>,
    ) -> Option<Quantity> {
        let Self { key, limits } = self;
        let value = read(centre, notes);
        let Some(deviation) = fields.get(&K::GIVE_OR_TAKE) else {
            let (name, example) = (K::GIVE_OR_TAKE.name, K::GIVE_OR_TAKE.example);
            let fault = Fault::MissingKey { section: K::SECTION.name, key: name, example };
            let _: Entry<()> = notes.error(fault, table.clone());
            return None;
        };
        let give_or_take = notes.free_quantity(&K::GIVE_OR_TAKE, limits.dimension, deviation);
        let (value, give_or_take) = (value.stated()?, give_or_take.stated()?);
        let (si, spread) = (value.value.si, give_or_take.value.si);
        let text = &give_or_take.value.text;
        if spread <= 0.0 || !spread.is_finite() {
            let _: Entry<()> = notes
                .error(Fault::NoSpread { key: key.name, value: text.clone() }, give_or_take.span.clone());
            return None;
        }
        let (lowest, highest) = limits.ends().unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        if si - spread < lowest || si + spread > highest {
            let fault = Fault::SpreadLeavesPossible {
                key: key.name,
                about: value.value.text.clone(),
                give_or_take: text.clone(),
                lowest: limits.lowest,
                highest: limits.highest,
            };
            let _: Entry<()> = notes.error(fault, give_or_take.span.clone());
            return None;
        }
        let text = format!("about {}, give or take {text}", value.value.text);
        Some(Quantity { si, text, doubt: Doubt::About { give_or_take: spread, lowest, highest } })
    }
}

/// Notes a key that stands beside the wrong one; whether there is none.
fn goes_with(fields: &Fields<'_, '_>, key: &'static Key, with: &'static Key, notes: &mut Notes<'_>) -> bool {
    let Some(value) = fields.get(key) else { return true };
    notes.goes_with(key.name, with.name, value.span());
    false
}
