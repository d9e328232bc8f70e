//! Powers of the base units, which say what kind of quantity a unit measures.

use super::Dimension;

/// Powers of length, mass, time, temperature and charge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Vector {
    pub(super) length: i32,
    pub(super) mass: i32,
    pub(super) time: i32,
    pub(super) temperature: i32,
    pub(super) charge: i32,
}

/// No base unit at all: a plain number.
pub(super) const DIMENSIONLESS: Vector = Vector { length: 0, mass: 0, time: 0, temperature: 0, charge: 0 };

impl Vector {
    /// The vector of this unit times `other` to the `power`.
    pub(super) const fn times(self, other: Self, power: i32) -> Self {
        Self {
            length: self.length.saturating_add(other.length.saturating_mul(power)),
            mass: self.mass.saturating_add(other.mass.saturating_mul(power)),
            time: self.time.saturating_add(other.time.saturating_mul(power)),
            temperature: self.temperature.saturating_add(other.temperature.saturating_mul(power)),
            charge: self.charge.saturating_add(other.charge.saturating_mul(power)),
        }
    }

    /// What people call a quantity with these powers, where there is a word for it.
    pub(super) fn noun(self) -> Option<&'static str> {
        const VOLUME: Vector = Vector { length: 3, ..DIMENSIONLESS };
        const MASS_FLOW: Vector = Vector { mass: 1, time: -1, ..DIMENSIONLESS };
        const VISCOSITY: Vector = Vector { length: -1, mass: 1, time: -1, ..DIMENSIONLESS };
        const FORCE: Vector = Vector { length: 1, mass: 1, time: -2, ..DIMENSIONLESS };
        const RATE: Vector = Vector { time: -1, ..DIMENSIONLESS };
        match self {
            DIMENSIONLESS => Some("a plain number"),
            VOLUME => Some("a volume"),
            MASS_FLOW => Some("a mass per time"),
            VISCOSITY => Some("a viscosity"),
            FORCE => Some("a force"),
            RATE => Some("a rate"),
            _ if self == Dimension::Charge.vector() => Some("a charge"),
            _ => Dimension::ALL.into_iter().find(|known| known.vector() == self).map(Dimension::noun),
        }
    }
}
