//! `[[material]]` as written.

use toml::de::DeValue;

use super::fields::Fields;
use super::keys::{self, FIBRE_LIMITS, THICKNESS_LIMITS};
use super::reader::{Notes, Value};
use super::unsure::{is_unsure, uncertain};
use super::varies::VariesAsWritten;
use super::written::{Entry, Quantity, QuantityPair, Written};
use crate::problem::Span;

/// One `[[material]]` as written.
#[derive(Clone, Debug, PartialEq)]
#[expect(missing_docs, reason = "the keys' own docs say what the fields are")]
pub struct MaterialAsWritten {
    /// The table's header.
    pub span: Span,
    pub name: Entry<String>,
    pub class: Entry<String>,
    pub structure: Entry<&'static str>,
    pub note: Entry<String>,
    pub swatch: Entry<SwatchAsWritten>,
    pub basis_weight: Entry<Quantity>,
    pub thickness: Entry<ThicknessAsWritten>,
    pub solidity: Entry<Quantity>,
    pub fibre_diameter: Entry<FibreDiameterAsWritten>,
    pub fibre_linear_density: Entry<Quantity>,
    pub fibre_density: Entry<Quantity>,
    pub polymer: Entry<String>,
    pub air_permeability: Entry<QuantityPair>,
    pub pressure_drop: Entry<QuantityPair>,
    pub surface_charge: Entry<Quantity>,
    pub unevenness: Entry<Quantity>,
    pub inhomogeneity: Entry<Quantity>,
    pub warp: Entry<Quantity>,
    pub weft: Entry<Quantity>,
    pub yarn_linear_density: Entry<Quantity>,
    pub yarn_width: Entry<Quantity>,
    pub hairs: Entry<Quantity>,
    pub varies: VariesAsWritten,
}

/// A weighed piece as written.
#[derive(Clone, Debug, PartialEq)]
pub struct SwatchAsWritten {
    /// Mass of all sheets.
    pub mass: Quantity,
    /// Area of one sheet, in square metres.
    pub area_m2: f64,
    /// Number of sheets.
    pub sheets: u32,
}

/// A thickness as written.
#[derive(Clone, Debug, PartialEq)]
pub struct ThicknessAsWritten {
    /// Thickness of all sheets together.
    pub value: Quantity,
    /// Number of sheets.
    pub sheets: u32,
}

/// A fibre diameter as written.
#[derive(Clone, Debug, PartialEq)]
pub struct FibreDiameterAsWritten {
    /// The diameter, or the median of the diameters.
    pub median: Quantity,
    /// Geometric standard deviation, where stated.
    pub gsd: Option<f64>,
}

impl MaterialAsWritten {
    pub(super) fn of(fields: &Fields<'_, '_>, span: Span, notes: &mut Notes<'_>) -> Self {
        use keys::Material as K;
        Self {
            name: fields.name(&K::NAME, notes),
            class: fields.name(&K::CLASS, notes),
            structure: fields.choice(&K::STRUCTURE, notes),
            note: fields.text(&K::NOTE, notes),
            swatch: fields.get(&K::SWATCH).map_or(Entry::Absent, |value| swatch(value, notes)),
            basis_weight: fields.uncertain(&K::BASIS_WEIGHT, notes),
            thickness: fields.get(&K::THICKNESS).map_or(Entry::Absent, |value| thickness(value, notes)),
            solidity: fields.uncertain(&K::SOLIDITY, notes),
            fibre_diameter: fields
                .get(&K::FIBRE_DIAMETER)
                .map_or(Entry::Absent, |value| fibre_diameter(value, notes)),
            fibre_linear_density: fields.uncertain(&K::FIBRE_LINEAR_DENSITY, notes),
            fibre_density: fields.uncertain(&K::FIBRE_DENSITY, notes),
            polymer: fields.name(&K::POLYMER, notes),
            air_permeability: fields.pair(&K::AIR_PERMEABILITY, notes),
            pressure_drop: fields.pair(&K::PRESSURE_DROP, notes),
            surface_charge: fields.uncertain(&K::SURFACE_CHARGE, notes),
            unevenness: fields.uncertain(&K::UNEVENNESS, notes),
            inhomogeneity: fields.uncertain(&K::INHOMOGENEITY, notes),
            warp: fields.uncertain(&K::WARP, notes),
            weft: fields.uncertain(&K::WEFT, notes),
            yarn_linear_density: fields.uncertain(&K::YARN_LINEAR_DENSITY, notes),
            yarn_width: fields.uncertain(&K::YARN_WIDTH, notes),
            hairs: fields.uncertain(&K::HAIRS, notes),
            varies: VariesAsWritten::of(&fields.section(&K::VARIES, notes), notes),
            span,
        }
    }
}

/// Mass, and width with length or a diameter.
fn swatch(value: &Value<'_>, notes: &mut Notes<'_>) -> Entry<SwatchAsWritten> {
    use keys::Swatch as K;
    let span = value.span();
    let DeValue::Table(table) = value.get_ref() else {
        return notes.wrong_type(&keys::Material::SWATCH, value);
    };
    let fields = Fields::open(&K::SECTION, table, notes);
    let mass = fields.uncertain(&K::MASS, notes);
    let mass = fields.require(mass, &K::MASS, &span, notes);
    let sheets = fields.count(&K::SHEETS, notes);
    let area = swatch_area(&fields, &span, notes);
    match (mass, area, sheets.is_broken()) {
        (Entry::Stated(mass), Some(area_m2), false) => {
            let sheets = sheets.value().copied().unwrap_or(1);
            Entry::Stated(Written { value: SwatchAsWritten { mass: mass.value, area_m2, sheets }, span })
        }
        _ => Entry::Broken(span),
    }
}

/// The area of a swatch \[m2\], rectangular or round.
fn swatch_area(fields: &Fields<'_, '_>, span: &Span, notes: &mut Notes<'_>) -> Option<f64> {
    use keys::Swatch as K;
    let diameter = fields.quantity(&K::DIAMETER, notes);
    let (mut width, mut length) = (fields.quantity(&K::WIDTH, notes), fields.quantity(&K::LENGTH, notes));
    if let Entry::Stated(diameter) = &diameter {
        if width.is_absent() && length.is_absent() {
            return Some(std::f64::consts::FRAC_PI_4 * diameter.value.si.powi(2));
        }
        notes.twice("diameter", "width", "the size of the swatch", diameter.span.clone());
        return None;
    }
    if diameter.is_absent() {
        width = fields.require(width, &K::WIDTH, span, notes);
        length = fields.require(length, &K::LENGTH, span, notes);
    }
    Some(width.value()?.si * length.value()?.si)
}

/// A length, or the length of several sheets together.
fn thickness(value: &Value<'_>, notes: &mut Notes<'_>) -> Entry<ThicknessAsWritten> {
    use keys::Thickness as K;
    let key = &keys::Material::THICKNESS;
    let span = value.span();
    match value.get_ref() {
        DeValue::Table(table) if is_unsure(table) => uncertain(key, THICKNESS_LIMITS, value, notes)
            .map(|value| ThicknessAsWritten { value, sheets: 1 }),
        DeValue::Table(table) => {
            let fields = Fields::open(&K::SECTION, table, notes);
            let thickness = fields.uncertain(&K::VALUE, notes);
            let thickness = fields.require(thickness, &K::VALUE, &span, notes);
            let sheets = fields.count(&K::SHEETS, notes);
            match (thickness, sheets.is_broken()) {
                (Entry::Stated(thickness), false) => {
                    let sheets = sheets.value().copied().unwrap_or(1);
                    Entry::Stated(Written {
                        value: ThicknessAsWritten { value: thickness.value, sheets },
                        span,
                    })
                }
                _ => Entry::Broken(span),
            }
        }
        DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) => {
            notes.quantity(key, THICKNESS_LIMITS, value).map(|value| ThicknessAsWritten { value, sheets: 1 })
        }
        _ => notes.wrong_type(key, value),
    }
}

/// A length, or the median and spread of lengths.
fn fibre_diameter(value: &Value<'_>, notes: &mut Notes<'_>) -> Entry<FibreDiameterAsWritten> {
    use keys::FibreDiameter as K;
    let key = &keys::Material::FIBRE_DIAMETER;
    let span = value.span();
    match value.get_ref() {
        DeValue::Table(table) if is_unsure(table) => uncertain(key, FIBRE_LIMITS, value, notes)
            .map(|median| FibreDiameterAsWritten { median, gsd: None }),
        DeValue::Table(table) => {
            let fields = Fields::open(&K::SECTION, table, notes);
            let median = fields.uncertain(&K::MEDIAN, notes);
            let median = fields.require(median, &K::MEDIAN, &span, notes);
            let gsd = fields.number(&K::GSD, notes);
            match (median, gsd.is_broken()) {
                (Entry::Stated(median), false) => {
                    let gsd = gsd.value().copied();
                    Entry::Stated(Written {
                        value: FibreDiameterAsWritten { median: median.value, gsd },
                        span,
                    })
                }
                _ => Entry::Broken(span),
            }
        }
        DeValue::String(_) | DeValue::Integer(_) | DeValue::Float(_) => notes
            .quantity(key, FIBRE_LIMITS, value)
            .map(|median| FibreDiameterAsWritten { median, gsd: None }),
        _ => notes.wrong_type(key, value),
    }
}
