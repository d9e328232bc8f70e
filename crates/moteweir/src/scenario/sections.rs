//! The sections of a scenario other than its materials, as written.

use toml::de::DeValue;

use super::fields::Fields;
use super::key::Key;
use super::keys::{self, CHARGE_LIMITS};
use super::reader::{Notes, Value};
use super::written::{Entry, Quantity, Written};
use crate::problem::Span;

/// `[air]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct AirAsWritten {
    pub temperature: Entry<Quantity>,
    pub pressure: Entry<Quantity>,
    pub relative_humidity: Entry<Quantity>,
}

/// `[particles]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct ParticlesAsWritten {
    pub smallest: Entry<Quantity>,
    pub largest: Entry<Quantity>,
    pub points: Entry<u32>,
    pub density: Entry<Quantity>,
    pub charge: Entry<ChargeAsWritten>,
    pub relative_permittivity: Entry<f64>,
}

/// The charge on the particles as written.
#[derive(Clone, Debug, PartialEq)]
pub enum ChargeAsWritten {
    /// The word `none` or `boltzmann`.
    Word(&'static str),
    /// A number of elementary charges.
    Number(f64),
}

/// `[model]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct ModelAsWritten {
    pub closure: Entry<&'static str>,
    pub compare: Entry<Vec<Written<&'static str>>>,
}

/// One `[[stack]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct StackAsWritten {
    /// The table's header.
    pub span: Span,
    pub name: Entry<String>,
    pub layers: Entry<Vec<Entry<LayerAsWritten>>>,
}

/// One entry of a stack's layers as written.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerAsWritten {
    /// Name of the material, with its place.
    pub of: Written<String>,
    /// How many sheets.
    pub times: u32,
}

/// `[use]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct UseAsWritten {
    pub face_velocities: Entry<Vec<Written<Quantity>>>,
    pub points: Entry<Vec<Written<String>>>,
    pub flow: Entry<Quantity>,
    pub area: Entry<Quantity>,
    pub direction: Entry<&'static str>,
}

/// One `[[aerosol]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct AerosolAsWritten {
    /// The table's header.
    pub span: Span,
    pub name: Entry<String>,
    pub kind: Entry<&'static str>,
    pub weighted_by: Entry<&'static str>,
    pub diameter: Entry<&'static str>,
    pub modes: Entry<Vec<Written<ModeAsWritten>>>,
    pub bins: Entry<Vec<Written<BinAsWritten>>>,
}

/// One mode of an aerosol as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct ModeAsWritten {
    pub median: Quantity,
    pub gsd: f64,
    pub share: Option<f64>,
}

/// One bin of an aerosol as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct BinAsWritten {
    pub from: Written<Quantity>,
    pub to: Written<Quantity>,
    pub share: f64,
}

/// One `[[channel]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct ChannelAsWritten {
    /// The table's header.
    pub span: Span,
    pub name: Entry<String>,
    pub from: Entry<Quantity>,
    pub to: Entry<Quantity>,
    pub diameter: Entry<&'static str>,
    pub aerosol: Entry<String>,
}

impl AirAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        Self {
            temperature: fields.quantity(&keys::Air::TEMPERATURE, notes),
            pressure: fields.quantity(&keys::Air::PRESSURE, notes),
            relative_humidity: fields.quantity(&keys::Air::RELATIVE_HUMIDITY, notes),
        }
    }
}

impl ParticlesAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        Self {
            smallest: fields.quantity(&keys::Particles::SMALLEST, notes),
            largest: fields.quantity(&keys::Particles::LARGEST, notes),
            points: fields.count(&keys::Particles::POINTS, notes),
            density: fields.quantity(&keys::Particles::DENSITY, notes),
            charge: fields.get(&keys::Particles::CHARGE).map_or(Entry::Absent, |value| charge(value, notes)),
            relative_permittivity: fields.number(&keys::Particles::RELATIVE_PERMITTIVITY, notes),
        }
    }
}

/// `none`, `boltzmann` or a whole number of elementary charges, with or without its unit.
fn charge(value: &Value<'_>, notes: &mut Notes<'_>) -> Entry<ChargeAsWritten> {
    const WORDS: &[&str] = &["none", "boltzmann"];
    let key = &keys::Particles::CHARGE;
    let word = value.get_ref().as_str().map(str::trim);
    if word.is_some_and(|word| word.starts_with(|first: char| first.is_alphabetic())) {
        return notes.choice(key, WORDS, value).map(ChargeAsWritten::Word);
    }
    match value.get_ref() {
        DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) => {
            notes.quantity(key, CHARGE_LIMITS, value).map(|quantity| ChargeAsWritten::Number(quantity.si))
        }
        _ => notes.wrong_type(key, value),
    }
}

impl ModelAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        Self {
            closure: fields.choice(&keys::Model::CLOSURE, notes),
            compare: fields.choices(&keys::Model::COMPARE, notes),
        }
    }
}

impl StackAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        let layers = layers(fields, &keys::Stack::LAYERS, notes);
        Self {
            name: fields.name(&keys::Stack::NAME, notes),
            layers: fields.require(layers, &keys::Stack::LAYERS, &span, notes),
            span,
        }
    }
}

/// The layers under a key.
pub(super) fn layers(
    fields: &Fields<'_, '_>,
    key: &'static Key,
    notes: &mut Notes<'_>,
) -> Entry<Vec<Entry<LayerAsWritten>>> {
    match fields.get(key) {
        None => Entry::Absent,
        Some(value) => notes.entries(key, value, |notes, entry| layer(key, notes, entry)),
    }
}

/// A material's name, or a table of a name and a number of sheets.
fn layer(key: &'static Key, notes: &mut Notes<'_>, value: &Value<'_>) -> Entry<LayerAsWritten> {
    let span = value.span();
    match value.get_ref() {
        DeValue::String(_) => notes.text(key, value).map(|name| {
            let of = Written { value: name.trim().to_owned(), span: span.clone() };
            LayerAsWritten { of, times: 1 }
        }),
        DeValue::Table(table) => {
            let fields = Fields::open(&keys::Layer::SECTION, table, notes);
            let of = fields.name(&keys::Layer::OF, notes);
            let of = fields.require(of, &keys::Layer::OF, &span, notes);
            let times = fields.count(&keys::Layer::TIMES, notes);
            match (of, &times) {
                (Entry::Stated(of), Entry::Absent | Entry::Stated(_)) => {
                    let times = times.value().copied().unwrap_or(1);
                    Entry::Stated(Written { value: LayerAsWritten { of, times }, span })
                }
                _ => Entry::Broken(span),
            }
        }
        _ => notes.wrong_type(key, value),
    }
}

impl UseAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        Self {
            face_velocities: fields.quantities(&keys::Use::FACE_VELOCITIES, notes),
            points: fields.texts(&keys::Use::POINTS, notes),
            flow: fields.quantity(&keys::Use::FLOW, notes),
            area: fields.quantity(&keys::Use::AREA, notes),
            direction: fields.choice(&keys::Use::DIRECTION, notes),
        }
    }
}

impl AerosolAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        let name = fields.name(&keys::Aerosol::NAME, notes);
        Self {
            name: fields.require(name, &keys::Aerosol::NAME, &span, notes),
            kind: fields.choice(&keys::Aerosol::KIND, notes),
            weighted_by: fields.choice(&keys::Aerosol::WEIGHTED_BY, notes),
            diameter: fields.choice(&keys::Aerosol::DIAMETER, notes),
            modes: fields.tables(&keys::Aerosol::MODES, ModeAsWritten::of, notes),
            bins: fields.tables(&keys::Aerosol::BINS, BinAsWritten::of, notes),
            span,
        }
    }
}

impl ModeAsWritten {
    fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Entry<Self> {
        let median = fields.quantity(&keys::Mode::MEDIAN, notes);
        let median = fields.require(median, &keys::Mode::MEDIAN, &span, notes);
        let gsd = fields.number(&keys::Mode::GSD, notes);
        let gsd = fields.require(gsd, &keys::Mode::GSD, &span, notes);
        let share = fields.number(&keys::Mode::SHARE, notes);
        match (median, gsd, share.is_broken()) {
            (Entry::Stated(median), Entry::Stated(gsd), false) => {
                let mode = Self { median: median.value, gsd: gsd.value, share: share.value().copied() };
                Entry::Stated(Written { value: mode, span })
            }
            _ => Entry::Broken(span),
        }
    }
}

impl BinAsWritten {
    fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Entry<Self> {
        let from = fields.quantity(&keys::Bin::FROM, notes);
        let from = fields.require(from, &keys::Bin::FROM, &span, notes);
        let to = fields.quantity(&keys::Bin::TO, notes);
        let to = fields.require(to, &keys::Bin::TO, &span, notes);
        let share = fields.number(&keys::Bin::SHARE, notes);
        let share = fields.require(share, &keys::Bin::SHARE, &span, notes);
        match (from, to, share) {
            (Entry::Stated(from), Entry::Stated(to), Entry::Stated(share)) => {
                Entry::Stated(Written { value: Self { from, to, share: share.value }, span })
            }
            _ => Entry::Broken(span),
        }
    }
}

impl ChannelAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        let name = fields.name(&keys::Channel::NAME, notes);
        let from = fields.quantity(&keys::Channel::FROM, notes);
        Self {
            name: fields.require(name, &keys::Channel::NAME, &span, notes),
            from: fields.require(from, &keys::Channel::FROM, &span, notes),
            to: fields.quantity(&keys::Channel::TO, notes),
            diameter: fields.choice(&keys::Channel::DIAMETER, notes),
            aerosol: fields.name(&keys::Channel::AEROSOL, notes),
            span,
        }
    }
}
