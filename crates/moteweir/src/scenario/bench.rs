//! `[bench]` as written.

use super::fields::Fields;
use super::keys;
use super::reader::Notes;
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::problem::Span;

/// `[bench]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct BenchAsWritten {
    /// The table's header.
    pub span: Span,
    pub counts: Entry<String>,
    pub hole: Entry<Quantity>,
    pub pump: Entry<Quantity>,
    pub diameter: Entry<&'static str>,
    pub channels: Entry<Vec<Written<Quantity>>>,
    pub largest: Entry<Quantity>,
    pub sizing: Entry<Quantity>,
    pub resolution: Entry<Quantity>,
    pub dead_time: Entry<Quantity>,
    pub most: Entry<Quantity>,
    pub slope: Entry<Quantity>,
    /// `[[bench.resistance]]`, in the order of the file.
    pub resistances: Vec<ResistanceAsWritten>,
}

/// One `[[bench.resistance]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct ResistanceAsWritten {
    /// The table's header.
    pub span: Span,
    pub specimen: Entry<String>,
    pub layers: Entry<u32>,
    pub pressure_drop: Entry<QuantityPair>,
    pub air_permeability: Entry<QuantityPair>,
    pub uncertainty: Entry<Quantity>,
}

impl BenchAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        use keys::Bench as K;
        Self {
            counts: fields.text(&K::COUNTS, notes),
            hole: fields.quantity(&K::HOLE, notes),
            pump: fields.quantity(&K::PUMP, notes),
            diameter: fields.choice(&K::DIAMETER, notes),
            channels: fields.quantities(&K::CHANNELS, notes),
            largest: fields.quantity(&K::LARGEST, notes),
            sizing: fields.quantity(&K::SIZING, notes),
            resolution: fields.quantity(&K::RESOLUTION, notes),
            dead_time: fields.quantity(&K::DEAD_TIME, notes),
            most: fields.quantity(&K::MOST, notes),
            slope: fields.uncertain(&K::SLOPE, notes),
            resistances: fields.sections(&K::RESISTANCE, ResistanceAsWritten::of, notes),
            span,
        }
    }
}

impl ResistanceAsWritten {
    fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        use keys::Resistance as K;
        let specimen = fields.name(&K::SPECIMEN, notes);
        Self {
            specimen: fields.require(specimen, &K::SPECIMEN, &span, notes),
            layers: fields.count(&K::LAYERS, notes),
            pressure_drop: fields.pair(&K::PRESSURE_DROP, notes),
            air_permeability: fields.pair(&K::AIR_PERMEABILITY, notes),
            uncertainty: fields.quantity(&K::UNCERTAINTY, notes),
            span,
        }
    }
}
