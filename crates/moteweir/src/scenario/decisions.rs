//! What is to be decided, as written: targets, how many layers, how many draws.

use super::fields::Fields;
use super::keys;
use super::reader::Notes;
use super::sections::{LayerAsWritten, layers};
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::problem::Span;

/// One `[[target]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct TargetAsWritten {
    /// The table's header.
    pub span: Span,
    pub stack: Entry<Vec<Written<String>>>,
    pub efficiency_at_least: Entry<Quantity>,
    pub at: Entry<String>,
    pub pressure_drop_at_most: Entry<Quantity>,
    pub face_velocity: Entry<Quantity>,
    pub flow: Entry<Quantity>,
}

/// `[question]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct QuestionAsWritten {
    /// The table's header.
    pub span: Span,
    pub layers_of: Entry<String>,
    pub before: Entry<Vec<Entry<LayerAsWritten>>>,
    pub after: Entry<Vec<Entry<LayerAsWritten>>>,
    pub most: Entry<u32>,
    pub resistance_at_most: Entry<QuantityPair>,
    pub gain_at_least: Entry<Quantity>,
}

/// `[vary]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct VaryAsWritten {
    pub draws: Entry<u32>,
    pub seed: Entry<u32>,
    pub tolerance: Entry<Quantity>,
}

impl TargetAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        use keys::Target as K;
        Self {
            stack: fields.texts(&K::STACK, notes),
            efficiency_at_least: fields.quantity(&K::EFFICIENCY_AT_LEAST, notes),
            at: fields.name(&K::AT, notes),
            pressure_drop_at_most: fields.quantity(&K::PRESSURE_DROP_AT_MOST, notes),
            face_velocity: fields.quantity(&K::FACE_VELOCITY, notes),
            flow: fields.quantity(&K::FLOW, notes),
            span,
        }
    }
}

impl QuestionAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        use keys::Question as K;
        let layers_of = fields.name(&K::LAYERS_OF, notes);
        Self {
            layers_of: fields.require(layers_of, &K::LAYERS_OF, &span, notes),
            before: layers(fields, &K::BEFORE, notes),
            after: layers(fields, &K::AFTER, notes),
            most: fields.count(&K::MOST, notes),
            resistance_at_most: fields.pair(&K::RESISTANCE_AT_MOST, notes),
            gain_at_least: fields.quantity(&K::GAIN_AT_LEAST, notes),
            span,
        }
    }
}

impl VaryAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        use keys::Vary as K;
        Self {
            draws: fields.count(&K::DRAWS, notes),
            seed: fields.count(&K::SEED, notes),
            tolerance: fields.quantity(&K::TOLERANCE, notes),
        }
    }
}
