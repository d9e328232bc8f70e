//! `[material.varies]` as written.

use super::fields::Fields;
use super::key::Key;
use super::keys;
use super::reader::Notes;
use super::written::{Entry, Quantity};
use crate::problem::Span;

/// `[material.varies]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct VariesAsWritten {
    pub basis_weight: Option<VariationAsWritten>,
    pub thickness: Option<VariationAsWritten>,
    pub fibre_diameter: Option<VariationAsWritten>,
    pub surface_charge: Option<VariationAsWritten>,
}

/// How one quantity varies, as written: coefficients of variation.
#[derive(Clone, Debug, PartialEq)]
pub struct VariationAsWritten {
    /// Where it stands.
    pub span: Span,
    /// From lot to lot.
    pub lot: Entry<Quantity>,
    /// From sheet to sheet in a lot.
    pub sheet: Entry<Quantity>,
}

impl VariesAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        use keys::Varies as K;
        let mut of = |key: &'static Key| {
            let span = fields.get(key)?.span();
            let parts = fields.section(key, notes);
            let lot = parts.quantity(&keys::Variation::LOT, notes);
            let sheet = parts.quantity(&keys::Variation::SHEET, notes);
            Some(VariationAsWritten { span, lot, sheet })
        };
        Self {
            basis_weight: of(&K::BASIS_WEIGHT),
            thickness: of(&K::THICKNESS),
            fibre_diameter: of(&K::FIBRE_DIAMETER),
            surface_charge: of(&K::SURFACE_CHARGE),
        }
    }
}
