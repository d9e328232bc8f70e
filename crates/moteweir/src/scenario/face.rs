//! `[face]` as written: the leak at the edge of the filter, and the breathing.

use toml::de::DeValue;

use super::fields::Fields;
use super::keys;
use super::reader::{Notes, Value};
use super::written::{Entry, Quantity, Written};
use crate::problem::Span;

/// The levels of work, by name.
pub(super) const WORK_LEVELS: &[&str] = &[
    "rest",
    "light work",
    "moderate work",
    "heavy work",
    "very heavy work",
    "hard effort",
    "very hard effort",
    "utmost effort",
];

/// `[face]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct FaceAsWritten {
    /// The table's header.
    pub span: Span,
    pub area: Entry<Quantity>,
    pub slit: Entry<SlitAsWritten>,
    pub hole: Entry<Quantity>,
    pub power_law: Entry<PowerLawAsWritten>,
    pub fit_factor: Entry<FitFactorAsWritten>,
    pub breathing: Entry<Vec<Written<BreathingAsWritten>>>,
}

/// A slit as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct SlitAsWritten {
    pub length: Quantity,
    pub gap: Written<Quantity>,
    pub depth: Quantity,
}

/// A power law as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct PowerLawAsWritten {
    pub flow: Quantity,
    pub pressure_drop: Quantity,
    pub exponent: Quantity,
}

/// The outcome of a fit test as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct FitFactorAsWritten {
    pub value: Written<Quantity>,
    pub flow: Quantity,
    pub filter_penetration: Entry<Quantity>,
    pub like: Entry<&'static str>,
    pub length: Entry<Quantity>,
    pub depth: Entry<Quantity>,
}

/// One way of breathing as written.
#[derive(Clone, Debug, PartialEq)]
pub enum BreathingAsWritten {
    /// The name of a level of work.
    Level(&'static str),
    /// Half a sine at a minute volume.
    MinuteVolume(Quantity),
    /// A steady flow.
    Steady(Quantity),
    /// Times and flows, as many of one as of the other.
    Table {
        /// Times.
        times: Vec<Written<Quantity>>,
        /// Flows, inhaling above zero.
        flows: Vec<Written<Quantity>>,
    },
}

impl FaceAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        use keys::Face as K;
        Self {
            area: fields.quantity(&K::AREA, notes),
            slit: fields.table(&K::SLIT, slit, notes),
            hole: fields.uncertain(&K::HOLE, notes),
            power_law: fields.table(&K::POWER_LAW, power_law, notes),
            fit_factor: fields.table(&K::FIT_FACTOR, fit_factor, notes),
            breathing: fields
                .get(&K::BREATHING)
                .map_or(Entry::Absent, |value| notes.list(&K::BREATHING, value, breathing)),
            span,
        }
    }
}

fn slit(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Entry<SlitAsWritten> {
    use keys::Slit as K;
    let length = fields.uncertain(&K::LENGTH, notes);
    let length = fields.require(length, &K::LENGTH, &span, notes);
    let gap = fields.uncertain(&K::GAP, notes);
    let gap = fields.require(gap, &K::GAP, &span, notes);
    let depth = fields.uncertain(&K::DEPTH, notes);
    let depth = fields.require(depth, &K::DEPTH, &span, notes);
    match (length, gap, depth) {
        (Entry::Stated(length), Entry::Stated(gap), Entry::Stated(depth)) => {
            let value = SlitAsWritten { length: length.value, gap, depth: depth.value };
            Entry::Stated(Written { value, span })
        }
        _ => Entry::Broken(span),
    }
}

fn power_law(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Entry<PowerLawAsWritten> {
    use keys::PowerLaw as K;
    let flow = fields.uncertain(&K::FLOW, notes);
    let flow = fields.require(flow, &K::FLOW, &span, notes);
    let pressure_drop = fields.uncertain(&K::PRESSURE_DROP, notes);
    let pressure_drop = fields.require(pressure_drop, &K::PRESSURE_DROP, &span, notes);
    let exponent = fields.uncertain(&K::EXPONENT, notes);
    let exponent = fields.require(exponent, &K::EXPONENT, &span, notes);
    match (flow, pressure_drop, exponent) {
        (Entry::Stated(flow), Entry::Stated(pressure_drop), Entry::Stated(exponent)) => {
            let value = PowerLawAsWritten {
                flow: flow.value,
                pressure_drop: pressure_drop.value,
                exponent: exponent.value,
            };
            Entry::Stated(Written { value, span })
        }
        _ => Entry::Broken(span),
    }
}

fn fit_factor(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Entry<FitFactorAsWritten> {
    use keys::FitFactor as K;
    let value = fields.uncertain(&K::VALUE, notes);
    let value = fields.require(value, &K::VALUE, &span, notes);
    let flow = fields.quantity(&K::FLOW, notes);
    let flow = fields.require(flow, &K::FLOW, &span, notes);
    let filter_penetration = fields.uncertain(&K::FILTER_PENETRATION, notes);
    let like = fields.choice(&K::LIKE, notes);
    let length = fields.quantity(&K::LENGTH, notes);
    let depth = fields.quantity(&K::DEPTH, notes);
    if like.value() != Some(&"slit") {
        for (entry, key) in [(&length, &K::LENGTH), (&depth, &K::DEPTH)] {
            if let Some(place) = entry.span() {
                notes.goes_with(key.name, "like = \"slit\"", place);
            }
        }
    }
    match (value, flow) {
        (Entry::Stated(value), Entry::Stated(flow)) => {
            let flow = flow.value;
            let value = FitFactorAsWritten { value, flow, filter_penetration, like, length, depth };
            Entry::Stated(Written { value, span })
        }
        _ => Entry::Broken(span),
    }
}

/// The name of a level of work, or a table of one of three kinds.
fn breathing(notes: &mut Notes<'_>, value: &Value<'_>) -> Entry<BreathingAsWritten> {
    let key = &keys::Face::BREATHING;
    let span = value.span();
    match value.get_ref() {
        DeValue::String(_) => notes.choice(key, WORK_LEVELS, value).map(BreathingAsWritten::Level),
        DeValue::Table(table) => {
            let fields = Fields::open(&keys::Breathing::SECTION, table, notes);
            breath(&fields, &span, notes)
                .map_or(Entry::Broken(span.clone()), |value| Entry::Stated(Written { value, span }))
        }
        _ => notes.wrong_type(key, value),
    }
}

fn breath(fields: &Fields<'_, '_>, span: &Span, notes: &mut Notes<'_>) -> Option<BreathingAsWritten> {
    use keys::Breathing as K;
    let volume = fields.quantity(&K::MINUTE_VOLUME, notes);
    let steady = fields.quantity(&K::STEADY, notes);
    let mut times = fields.quantities(&K::TIMES, notes);
    let mut flows = fields.quantities(&K::FLOWS, notes);
    if !(times.is_absent() && flows.is_absent()) {
        times = fields.require(times, &K::TIMES, span, notes);
        flows = fields.require(flows, &K::FLOWS, span, notes);
    }
    let stated = [(&K::MINUTE_VOLUME, volume.span()), (&K::STEADY, steady.span()), (&K::TIMES, times.span())];
    let mut stated = stated.into_iter().filter_map(|(key, place)| Some((key, place?)));
    let Some((first, _)) = stated.next() else {
        fields.require(volume, &K::MINUTE_VOLUME, span, notes);
        return None;
    };
    if let Some((second, place)) = stated.next() {
        notes.twice(first.name, second.name, "the breathing", place);
        return None;
    }
    if let Entry::Stated(volume) = volume {
        return Some(BreathingAsWritten::MinuteVolume(volume.value));
    }
    if let Entry::Stated(steady) = steady {
        return Some(BreathingAsWritten::Steady(steady.value));
    }
    let (Entry::Stated(times), Entry::Stated(flows)) = (times, flows) else { return None };
    Some(BreathingAsWritten::Table { times: times.value, flows: flows.value })
}
