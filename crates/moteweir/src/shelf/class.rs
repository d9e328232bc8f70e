//! A class of the shelf, and the reading of one.

use std::collections::BTreeMap;

use moteweir_units::text::{self, Dimension, TextError};
use serde::Deserialize;

use crate::doubt::Doubt;
use crate::scenario::{Accepts, keys};

/// The geometric standard deviation of fibre diameters, which a scenario states inside `fibre_diameter`.
const FIBRE_GSD: &str = "fibre_gsd";

/// A generic class of material.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// Name in a scenario.
    pub name: String,
    /// How its fibres are arranged.
    pub structure: ClassStructure,
    /// What it is, in a few words.
    pub kind: String,
    /// What to beware of, in a line.
    pub hazards: String,
    /// Typical values, sorted by key.
    pub values: Vec<ClassValue>,
    /// How pieces of it usually differ from one another, sorted by key.
    pub varies: Vec<ClassVariation>,
}

/// How a quantity of a class usually differs from piece to piece.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassVariation {
    /// Key of `[material.varies]`.
    pub key: &'static str,
    /// The same key in the list of what is assumed, such as `varies.basis_weight`.
    pub assumed_key: &'static str,
    /// Coefficient of variation from lot to lot, 0 to below 1.
    pub lot: f64,
    /// Coefficient of variation from sheet to sheet inside a lot, 0 to below 1.
    pub sheet: f64,
    /// Where the numbers come from.
    pub source: String,
}

impl ClassVariation {
    /// In words: `lot 10 %, sheet 3 %`.
    pub fn text(&self) -> String {
        let percent = |fraction: f64| (1e4 * fraction).round() / 1e2;
        format!("lot {} %, sheet {} %", percent(self.lot), percent(self.sheet))
    }
}

/// How the fibres of a class are arranged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClassStructure {
    /// A random web.
    Web,
    /// A woven fabric.
    Weave,
    /// A knitted fabric.
    Knit,
    /// Foam, film: no fibre filter.
    NotFibrous,
}

impl ClassStructure {
    /// The word for it in a scenario.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Web => "web",
            Self::Weave => "weave",
            Self::Knit => "knit",
            Self::NotFibrous => "none",
        }
    }
}

/// A typical value of a class.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassValue {
    /// Key of a material; `fibre_gsd` for the spread of the fibre diameters.
    pub key: &'static str,
    /// The typical value, as text with its unit.
    pub typical: String,
    /// Lowest and highest usual value, as text with units.
    pub range: Option<(String, String)>,
    /// The same in SI; `None` for a word such as a polymer.
    pub number: Option<ClassNumber>,
    /// Where the value comes from.
    pub source: String,
}

/// The SI numbers of a typical value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClassNumber {
    /// The typical value.
    pub typical_si: f64,
    /// Lowest and highest usual value.
    pub range_si: Option<(f64, f64)>,
}

/// Why a shelf cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ShelfError {
    /// No TOML of the right shape.
    #[error("the shelf is not of the right shape: {source}")]
    Shape {
        /// As the TOML reader says it.
        #[from]
        source: toml::de::Error,
    },
    /// A structure that is none.
    #[error("class `{class}`: `{structure}` is not a structure: web, weave, knit, none")]
    UnknownStructure {
        /// The class.
        class: String,
        /// The word.
        structure: String,
    },
    /// A key that no material has.
    #[error("class `{class}`: no material has a key `{key}`")]
    UnknownKey {
        /// The class.
        class: String,
        /// The key.
        key: String,
    },
    /// A value that the key does not take.
    #[error("class `{class}`, `{key}`: {source}")]
    Unreadable {
        /// The class.
        class: String,
        /// The key.
        key: String,
        /// What the unit reader says.
        source: Box<TextError>,
    },
    /// A typical value outside its own range.
    #[error("class `{class}`, `{key}`: {low} <= {typical} <= {high} does not hold")]
    Disordered {
        /// The class.
        class: String,
        /// The key.
        key: String,
        /// Lowest.
        low: String,
        /// Typical.
        typical: String,
        /// Highest.
        high: String,
    },
}

impl ClassNumber {
    /// The usual range as what is not known of a value that nobody measured.
    pub fn doubt(&self) -> Doubt {
        self.range_si.map_or(Doubt::None, |(low, high)| Doubt::between(low, high))
    }
}

impl Class {
    /// How the quantity of a key of `[material.varies]` differs from piece to piece, if the class says so.
    pub fn variation(&self, key: &str) -> Option<&ClassVariation> {
        self.varies.iter().find(|variation| variation.key == key)
    }

    /// The value under a key, if the class has one.
    pub fn value(&self, key: &str) -> Option<&ClassValue> {
        self.values.iter().find(|value| value.key == key)
    }

    /// The spread of the fibre diameters, if the class has one.
    pub fn fibre_gsd(&self) -> Option<&ClassValue> {
        self.value(FIBRE_GSD)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShelfAsWritten {
    class: Vec<ClassAsWritten>,
}

#[derive(Deserialize)]
struct ClassAsWritten {
    name: String,
    structure: String,
    kind: String,
    hazards: String,
    #[serde(default)]
    varies: BTreeMap<String, VariationAsWritten>,
    #[serde(flatten)]
    values: BTreeMap<String, ValueAsWritten>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ValueAsWritten {
    typical: Amount,
    low: Option<Amount>,
    high: Option<Amount>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VariationAsWritten {
    lot: Option<Amount>,
    sheet: Option<Amount>,
    source: String,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Amount {
    Text(String),
    Number(f64),
}

impl Amount {
    fn into_text(self) -> String {
        match self {
            Self::Text(text) => text,
            Self::Number(number) => number.to_string(),
        }
    }
}

/// Every class of a shelf's text.
pub(super) fn read_all(text: &str) -> Result<Vec<Class>, ShelfError> {
    let written: ShelfAsWritten = toml::from_str(text)?;
    written.class.into_iter().map(read_class).collect()
}

fn read_class(written: ClassAsWritten) -> Result<Class, ShelfError> {
    let structure = match written.structure.as_str() {
        "web" => ClassStructure::Web,
        "weave" => ClassStructure::Weave,
        "knit" => ClassStructure::Knit,
        "none" => ClassStructure::NotFibrous,
        _ => return Err(ShelfError::UnknownStructure { class: written.name, structure: written.structure }),
    };
    let ClassAsWritten { name, kind, hazards, .. } = written;
    let values = written
        .values
        .into_iter()
        .map(|(key, value)| read_value(&name, key, value))
        .collect::<Result<_, _>>()?;
    let varies = written
        .varies
        .into_iter()
        .map(|(key, variation)| read_variation(&name, key, variation))
        .collect::<Result<_, _>>()?;
    Ok(Class { name, structure, kind, hazards, values, varies })
}

/// Keys of `[material.varies]` with their names among what is assumed.
const VARIES: [(&str, &str); 4] = [
    ("basis_weight", "varies.basis_weight"),
    ("thickness", "varies.thickness"),
    ("fibre_diameter", "varies.fibre_diameter"),
    ("surface_charge", "varies.surface_charge"),
];

fn read_variation(
    class: &str,
    key: String,
    written: VariationAsWritten,
) -> Result<ClassVariation, ShelfError> {
    let Some((name, assumed_key)) = VARIES.into_iter().find(|(name, _)| *name == key) else {
        return Err(ShelfError::UnknownKey { class: class.to_owned(), key });
    };
    let part = |amount: Option<Amount>| {
        let Some(amount) = amount else { return Ok(0.0) };
        let text = amount.into_text();
        let part = text::read(&text, Dimension::Fraction).map_err(|source| ShelfError::Unreadable {
            class: class.to_owned(),
            key: assumed_key.to_owned(),
            source: Box::new(source),
        })?;
        if (0.0..1.0).contains(&part) {
            return Ok(part);
        }
        let (class, key) = (class.to_owned(), assumed_key.to_owned());
        Err(ShelfError::Disordered { class, key, low: "0".to_owned(), typical: text, high: "1".to_owned() })
    };
    let (lot, sheet) = (part(written.lot)?, part(written.sheet)?);
    Ok(ClassVariation { key: name, assumed_key, lot, sheet, source: written.source })
}

fn read_value(class: &str, key: String, written: ValueAsWritten) -> Result<ClassValue, ShelfError> {
    let Some((name, dimension)) = numeric_key(&key) else {
        return Err(ShelfError::UnknownKey { class: class.to_owned(), key });
    };
    let typical = written.typical.into_text();
    let range = written.low.zip(written.high).map(|(low, high)| (low.into_text(), high.into_text()));
    let number = match dimension {
        Some(dimension) => Some(read_number(class, &key, dimension, &typical, range.as_ref())?),
        None => None,
    };
    Ok(ClassValue { key: name, typical, range, number, source: written.source })
}

/// A material's key and the dimension of its number; `None` inside for a word.
fn numeric_key(key: &str) -> Option<(&'static str, Option<Dimension>)> {
    if key == FIBRE_GSD {
        return Some((FIBRE_GSD, Some(Dimension::Fraction)));
    }
    let key = keys::Material::SECTION.key(key)?;
    let length =
        key.name == keys::Material::THICKNESS.name || key.name == keys::Material::FIBRE_DIAMETER.name;
    match key.accepts {
        Accepts::Quantity(limits) | Accepts::Uncertain(limits) => Some((key.name, Some(limits.dimension))),
        Accepts::Number { .. } | Accepts::UncertainNumber(_) => Some((key.name, Some(Dimension::Fraction))),
        Accepts::Spellings(_) if length => Some((key.name, Some(Dimension::Length))),
        Accepts::Text => Some((key.name, None)),
        _ => None,
    }
}

fn read_number(
    class: &str,
    key: &str,
    dimension: Dimension,
    typical: &str,
    range: Option<&(String, String)>,
) -> Result<ClassNumber, ShelfError> {
    let read = |text: &str| {
        text::read(text, dimension).map_err(|source| ShelfError::Unreadable {
            class: class.to_owned(),
            key: key.to_owned(),
            source: Box::new(source),
        })
    };
    let typical_si = read(typical)?;
    let Some((low, high)) = range else { return Ok(ClassNumber { typical_si, range_si: None }) };
    let ends = (read(low)?, read(high)?);
    // Of cotton counts the higher one is the finer yarn, so the ends may come in either order.
    let range_si = (ends.0.min(ends.1), ends.0.max(ends.1));
    if (range_si.0..=range_si.1).contains(&typical_si) {
        return Ok(ClassNumber { typical_si, range_si: Some(range_si) });
    }
    Err(ShelfError::Disordered {
        class: class.to_owned(),
        key: key.to_owned(),
        low: low.clone(),
        typical: typical.to_owned(),
        high: high.clone(),
    })
}
