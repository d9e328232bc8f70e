//! `[[measured]]` as written.

use super::fields::Fields;
use super::keys::Measured as K;
use super::reader::Notes;
use super::written::Entry;
use crate::problem::Span;

/// One `[[measured]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct MeasuredAsWritten {
    /// The table's header.
    pub span: Span,
    pub file: Entry<String>,
    pub specimen: Entry<String>,
    pub layers: Entry<u32>,
    pub side: Entry<String>,
    pub treatment: Entry<String>,
    pub aerosol: Entry<String>,
    pub diameter: Entry<&'static str>,
    pub source: Entry<String>,
    pub date: Entry<String>,
    pub instrument: Entry<String>,
    pub conditioning: Entry<String>,
}

impl MeasuredAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        let file = fields.text(&K::FILE, notes);
        let specimen = fields.name(&K::SPECIMEN, notes);
        Self {
            file: fields.require(file, &K::FILE, &span, notes),
            specimen: fields.require(specimen, &K::SPECIMEN, &span, notes),
            layers: fields.count(&K::LAYERS, notes),
            side: fields.text(&K::SIDE, notes),
            treatment: fields.text(&K::TREATMENT, notes),
            aerosol: fields.text(&K::AEROSOL, notes),
            diameter: fields.choice(&K::DIAMETER, notes),
            source: fields.text(&K::SOURCE, notes),
            date: fields.text(&K::DATE, notes),
            instrument: fields.text(&K::INSTRUMENT, notes),
            conditioning: fields.text(&K::CONDITIONING, notes),
            span,
        }
    }
}
