//! What is known of one material: as stated, else from its class, else by default.

use moteweir_physics::polymer::Polymer;
use moteweir_units::{LinearDensity, Pressure, Velocity};

use super::known::{Derivation, Known, Origin};
use super::ledger::{Ledger, default_si};
use super::material::{FlowReading, ReadingKind};
use crate::near::nearest;
use crate::problem::{Fault, Span};
use crate::scenario::{Entry, Key, MaterialAsWritten, Quantity, QuantityPair, keys};
use crate::shelf::{Class, ClassValue};

/// How many times beyond its class's range a stated value is worth a warning.
const FAR: f64 = 3.0;
/// Disagreement that is rounding and goes unsaid.
const UNSAID: f64 = 0.01;
/// Disagreement beyond which one of two statements is wrong.
const FATAL: f64 = 0.15;

/// One material being checked: its file entries, its class, and where findings go. Values are SI throughout.
#[derive(Debug)]
pub(super) struct Facts<'a, 't> {
    pub(super) written: &'a MaterialAsWritten,
    pub(super) class: Option<&'a Class>,
    pub(super) name: &'a str,
    pub(super) ledger: &'a mut Ledger<'t>,
}

/// A fact, nothing, or nothing with the reason already noted.
pub(super) enum Found<T> {
    /// The fact.
    Known(Known<T>),
    /// Neither the scenario nor the class has it.
    Unknown,
    /// The scenario has it, but broken.
    Broken,
}

impl<T> Found<T> {
    /// The fact, or another source of it where the scenario has none.
    pub(super) fn or_else(self, other: impl FnOnce() -> Self) -> Self {
        match self {
            Self::Unknown => other(),
            found => found,
        }
    }

    /// The fact, if there is one.
    pub(super) fn ok(self) -> Option<Known<T>> {
        match self {
            Self::Known(known) => Some(known),
            Self::Unknown | Self::Broken => None,
        }
    }
}

impl Facts<'_, '_> {
    /// Where problems of the material as a whole point: at its name, else at its header.
    pub(super) fn place(&self) -> Span {
        self.written.name.span().unwrap_or_else(|| self.written.span.clone())
    }

    /// Notes what is lacking and what to do about it; gives `None` to return.
    pub(super) fn lacks<T>(&mut self, what: &'static str, measure: &'static str) -> Option<T> {
        let fault = Fault::Lacks { material: self.name.to_owned(), what, measure };
        let place = self.place();
        self.ledger.error(fault, place);
        None
    }

    /// A fact that has to be there.
    pub(super) fn need(
        &mut self,
        found: Found<f64>,
        what: &'static str,
        measure: &'static str,
    ) -> Option<Known<f64>> {
        match found {
            Found::Known(known) => Some(known),
            Found::Broken => None,
            Found::Unknown => self.lacks(what, measure),
        }
    }

    /// The class's typical number under a key, noted as assumed.
    pub(super) fn of_class(&mut self, key: &str) -> Found<f64> {
        let value = self.class.and_then(|class| class.value(key));
        value.map_or(Found::Unknown, |value| self.take(value))
    }

    fn take(&mut self, value: &ClassValue) -> Found<f64> {
        let (Some(number), Some(class)) = (value.number, self.class) else { return Found::Unknown };
        let origin = Origin::Class { class: class.name.clone(), source: value.source.clone() };
        self.ledger.assume(Some(self.name), value.key, value.typical.clone(), origin.clone());
        Found::Known(Known { value: number.typical_si, doubt: number.doubt(), origin })
    }

    /// A quantity as stated, else from the class.
    pub(super) fn quantity(&mut self, entry: &Entry<Quantity>, key: &'static Key) -> Found<f64> {
        stated(entry).or_else(|| self.of_class(key.name))
    }

    /// A fact, else the default of its key.
    pub(super) fn or_default(&mut self, found: Found<f64>, key: &'static Key) -> Option<Known<f64>> {
        match found {
            Found::Known(known) => Some(known),
            Found::Broken => None,
            Found::Unknown => {
                let default = key.default.unwrap_or_default().to_owned();
                self.ledger.assume(Some(self.name), key.name, default, Origin::Default);
                Some(Known::default_of(default_si(key)))
            }
        }
    }

    /// Notes keys that another structure has.
    pub(super) fn refuse(
        &mut self,
        entries: &[(Option<Span>, &'static Key)],
        structure: &'static str,
        owners: &'static str,
    ) {
        for (span, key) in entries {
            if let Some(span) = span {
                let fault = Fault::KeyOfOtherStructure { key: key.name, structure, owners };
                self.ledger.error(fault, span.clone());
            }
        }
    }

    /// Compares two statements of one thing; `false` where they are too far apart to go on.
    pub(super) fn agree(&mut self, stated: (f64, String), measured: (f64, String), span: Span) -> bool {
        let apart = (stated.0 / measured.0 - 1.0).abs();
        if apart <= UNSAID {
            return true;
        }
        let fatal = apart >= FATAL;
        let fault = Fault::Disagreement {
            material: self.name.to_owned(),
            stated: stated.1,
            measured: measured.1,
            percent: 100.0 * apart,
            fatal,
        };
        if fatal {
            self.ledger.error(fault, span);
        } else {
            self.ledger.warning(fault, span);
        }
        !fatal
    }

    /// Warns of a value, stated at `span` if at all, that is far from what its class is: the usual slip is a unit.
    pub(super) fn compare_with_class(
        &mut self,
        known: &Known<f64>,
        key: &'static Key,
        (factor, unit): (f64, &str),
        span: Option<Span>,
    ) {
        let (Some(span), Some(class)) = (span, self.class) else { return };
        let Some(value) = class.value(key.name) else { return };
        let (Some((low, high)), Some((low_text, high_text))) =
            (value.number.and_then(|number| number.range_si), &value.range)
        else {
            return;
        };
        if (low / FAR..=high * FAR).contains(&known.value) {
            return;
        }
        let fault = Fault::UnlikeClass {
            material: self.name.to_owned(),
            key: key.name,
            value: format!("{}{unit}", significant(known.value * factor)),
            class: class.name.clone(),
            low: low_text.clone(),
            high: high_text.clone(),
        };
        self.ledger.warning(fault, span);
    }

    /// Basis weight as the scenario states it, from a swatch or as such [kg/m2].
    pub(super) fn stated_weight(&mut self) -> Found<f64> {
        let written = self.written;
        if let (Some(_), Some(span)) = (written.basis_weight.span(), written.swatch.span()) {
            let fault = Fault::Twice { one: "basis_weight", other: "swatch", what: "the weight" };
            self.ledger.error(fault, span);
            return Found::Broken;
        }
        match &written.swatch {
            Entry::Absent => stated(&written.basis_weight),
            Entry::Broken(_) => Found::Broken,
            Entry::Stated(swatch) => {
                let piece = &swatch.value;
                let area = piece.area_m2 * f64::from(piece.sheets);
                let weight = piece.mass.si / area;
                let limits = keys::BASIS_WEIGHT_LIMITS;
                if limits.holds(weight) {
                    let doubt = piece.mass.doubt.scaled(area.recip());
                    return Found::Known(Known::derived(weight, Derivation::Swatch).with_doubt(doubt));
                }
                let fault = Fault::OutOfRange {
                    key: "swatch",
                    value: format!("{} g/m2", significant(weight * 1e3)),
                    lowest: limits.lowest.to_owned(),
                    highest: limits.highest.to_owned(),
                };
                self.ledger.error(fault, swatch.span.clone());
                Found::Broken
            }
        }
    }

    /// Thickness of one sheet as the scenario states it \[m\].
    pub(super) fn stated_thickness(&self) -> Found<f64> {
        match &self.written.thickness {
            Entry::Absent => Found::Unknown,
            Entry::Broken(_) => Found::Broken,
            Entry::Stated(written) => {
                let sheets = f64::from(written.value.sheets);
                let one = written.value.value.si / sheets;
                let known = if written.value.sheets == 1 {
                    Known::given(one)
                } else {
                    Known::derived(one, Derivation::SeveralSheets)
                };
                Found::Known(known.with_doubt(written.value.value.doubt.scaled(sheets.recip())))
            }
        }
    }

    /// The polymer, and the density of the fibre \[kg/m3\].
    pub(super) fn fibre(&mut self) -> (Option<Polymer>, Option<Known<f64>>) {
        let stated_density = stated(&self.written.fibre_density);
        let polymer = match &self.written.polymer {
            Entry::Stated(name) => {
                let polymer = Polymer::from_name(&name.value);
                if polymer.is_none() {
                    self.unknown_polymer(&name.value, name.span.clone());
                    return (None, stated_density.ok());
                }
                polymer
            }
            Entry::Broken(_) => return (None, stated_density.ok()),
            Entry::Absent => None,
        };
        match (stated_density, polymer) {
            (Found::Known(density), polymer) => (polymer, Some(density)),
            (Found::Broken, polymer) => (polymer, None),
            (Found::Unknown, Some(polymer)) => (Some(polymer), Some(self.density_of(polymer))),
            (Found::Unknown, None) => self.class_fibre(),
        }
    }

    fn class_fibre(&mut self) -> (Option<Polymer>, Option<Known<f64>>) {
        let named = self.class.and_then(|class| Some((class, class.value(keys::Material::POLYMER.name)?)));
        let polymer = named.and_then(|(class, value)| {
            let polymer = Polymer::from_name(&value.typical)?;
            let origin = Origin::Class { class: class.name.clone(), source: value.source.clone() };
            self.ledger.assume(Some(self.name), value.key, value.typical.clone(), origin);
            Some(polymer)
        });
        match (self.of_class(keys::Material::FIBRE_DENSITY.name), polymer) {
            (Found::Known(density), polymer) => (polymer, Some(density)),
            (_, Some(polymer)) => (Some(polymer), Some(self.density_of(polymer))),
            (_, None) => {
                let measure =
                    "state `polymer` (such as \"polypropylene\") or `fibre_density`, or name a `class`";
                (None, self.lacks("its fibre density", measure))
            }
        }
    }

    fn density_of(&mut self, polymer: Polymer) -> Known<f64> {
        let key = keys::Material::FIBRE_DENSITY.name;
        let value = format!("{} kg/m3", polymer.density().to_kg_per_m3());
        self.ledger.assume(Some(self.name), key, value, Origin::Derived(Derivation::Polymer));
        Known::derived(polymer.density().si(), Derivation::Polymer)
    }

    fn unknown_polymer(&mut self, name: &str, span: Span) {
        let names = || Polymer::all().map(Polymer::name);
        let aliases = Polymer::all().flat_map(|polymer| polymer.aliases().iter().copied());
        let fault = Fault::UnknownName {
            kind: "polymer",
            name: name.to_owned(),
            near: nearest(name, names().chain(aliases)).map(str::to_owned),
            known: names().map(str::to_owned).collect(),
        };
        self.ledger.error(fault, span);
    }

    /// Fibre diameter as the scenario states it, in either way \[m\].
    pub(super) fn stated_fibre_diameter(&mut self, density: Option<&Known<f64>>) -> Found<f64> {
        let written = self.written;
        if let (Some(_), Some(span)) = (written.fibre_diameter.span(), written.fibre_linear_density.span()) {
            let (one, other) = ("fibre_diameter", "fibre_linear_density");
            self.ledger.error(Fault::Twice { one, other, what: "the fibre diameter" }, span);
            return Found::Broken;
        }
        match (&written.fibre_diameter, &written.fibre_linear_density, density) {
            (Entry::Stated(diameter), ..) => Found::Known(of(&diameter.value.median)),
            (Entry::Absent, Entry::Stated(linear), Some(density)) => {
                let diameter = (4.0 * linear.value.si / (std::f64::consts::PI * density.value)).sqrt();
                Found::Known(Known::derived(diameter, Derivation::FibreLinearDensity))
            }
            (Entry::Absent, Entry::Absent, _) => Found::Unknown,
            _ => Found::Broken,
        }
    }

    /// Mass over length of one fibre, where the scenario states the diameter by it.
    pub(super) fn fibre_linear_density(&self) -> Option<Known<LinearDensity>> {
        let written = self.written.fibre_linear_density.value()?;
        Some(of(written).map(LinearDensity::from_si))
    }

    /// Geometric standard deviation of the fibre diameters: as stated, else from the class, else 1.
    pub(super) fn fibre_gsd(&mut self) -> Known<f64> {
        let stated = self.written.fibre_diameter.value().and_then(|diameter| diameter.gsd);
        if let Some(gsd) = stated {
            return Known::given(gsd);
        }
        let value = self.class.and_then(Class::fibre_gsd);
        if let Some(known) = value.and_then(|value| self.take(value).ok()) {
            return known;
        }
        self.ledger.assume(Some(self.name), "fibre_gsd", "1".to_owned(), Origin::Default);
        Known::default_of(1.0)
    }

    /// Notes the central value of what the scenario states as not known: single predictions use it.
    pub(super) fn note_doubts(&mut self) {
        use keys::Material as K;
        let written = self.written;
        let stated = [
            (K::SWATCH.name, written.swatch.value().map(|swatch| &swatch.mass)),
            (K::BASIS_WEIGHT.name, written.basis_weight.value()),
            (K::THICKNESS.name, written.thickness.value().map(|thickness| &thickness.value)),
            (K::SOLIDITY.name, written.solidity.value()),
            (K::FIBRE_DIAMETER.name, written.fibre_diameter.value().map(|diameter| &diameter.median)),
            (K::FIBRE_LINEAR_DENSITY.name, written.fibre_linear_density.value()),
            (K::FIBRE_DENSITY.name, written.fibre_density.value()),
            (K::SURFACE_CHARGE.name, written.surface_charge.value()),
            (K::UNEVENNESS.name, written.unevenness.value()),
            (K::INHOMOGENEITY.name, written.inhomogeneity.value()),
            (K::WARP.name, written.warp.value()),
            (K::WEFT.name, written.weft.value()),
            (K::YARN_LINEAR_DENSITY.name, written.yarn_linear_density.value()),
            (K::YARN_WIDTH.name, written.yarn_width.value()),
            (K::HAIRS.name, written.hairs.value()),
        ];
        let measured = [
            (K::AIR_PERMEABILITY.name, written.air_permeability.value()),
            (K::PRESSURE_DROP.name, written.pressure_drop.value()),
        ];
        let stated = stated.map(|(key, quantity)| (key, quantity.and_then(Quantity::central_text)));
        let measured = measured.map(|(key, pair)| (key, pair.and_then(QuantityPair::central_text)));
        for (key, central) in stated.into_iter().chain(measured) {
            if let Some(central) = central {
                self.ledger.assume(Some(self.name), key, central, Origin::Given);
            }
        }
    }

    /// The measured flow, where one is stated; a pressure drop goes before an air permeability. The flag is
    /// whether pressure drop is proportional to velocity, so that the two can be compared.
    pub(super) fn reading(&mut self, proportional: bool) -> Option<FlowReading> {
        let drop = self.written.pressure_drop.value().map(|pair| FlowReading {
            kind: ReadingKind::PressureDrop,
            pressure_drop: Pressure::from_si(pair.first_si),
            face_velocity: Velocity::from_si(pair.second_si),
            doubt: pair.doubt,
        });
        let permeability = self.written.air_permeability.value().map(|pair| FlowReading {
            kind: ReadingKind::AirPermeability,
            pressure_drop: Pressure::from_si(pair.second_si),
            face_velocity: Velocity::from_si(pair.first_si),
            doubt: pair.doubt,
        });
        let (Some(first), Some(second)) = (drop, permeability) else { return drop.or(permeability) };
        let span = self.written.air_permeability.span().unwrap_or_else(|| self.place());
        if proportional {
            let resistance = |reading: FlowReading| (reading.pressure_drop / reading.face_velocity).si();
            let say = |key, reading| format!("`{key}` ({} Pa s/m)", significant(resistance(reading)));
            self.agree(
                (resistance(second), say("air_permeability", second)),
                (resistance(first), say("pressure_drop", first)),
                span,
            );
        } else {
            let (key, instead) = ("air_permeability", "pressure_drop");
            self.ledger.warning(Fault::NotUsed { material: self.name.to_owned(), key, instead }, span);
        }
        Some(first)
    }
}

/// A quantity as the scenario states it.
pub(super) fn stated(entry: &Entry<Quantity>) -> Found<f64> {
    match entry {
        Entry::Absent => Found::Unknown,
        Entry::Broken(_) => Found::Broken,
        Entry::Stated(written) => Found::Known(of(&written.value)),
    }
}

/// A quantity as the scenario states it, with what it says is not known.
pub(super) fn of(quantity: &Quantity) -> Known<f64> {
    Known::given(quantity.si).with_doubt(quantity.doubt)
}

/// Three significant digits or more, for a message.
pub(super) fn significant(value: f64) -> String {
    if value != 0.0 && !(1e-6..1e6).contains(&value.abs()) {
        return format!("{value:.2e}");
    }
    let mut scaled = value.abs();
    let mut decimals = 0;
    while scaled < 99.95 && decimals < 8 && value != 0.0 {
        scaled *= 10.0;
        decimals += 1;
    }
    format!("{value:.decimals$}")
}
