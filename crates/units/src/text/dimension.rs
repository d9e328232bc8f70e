//! What kind of quantity a text may hold, and how that is said to people.

use super::vector::{DIMENSIONLESS, Vector};

/// The kind of quantity that a text is expected to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// A length \[m\].
    Length,
    /// An area \[m2\].
    Area,
    /// A mass \[kg\].
    Mass,
    /// A duration \[s\].
    Time,
    /// An absolute temperature \[K\]; degrees Celsius and Fahrenheit are read with their zero.
    Temperature,
    /// A pressure or a pressure difference \[Pa\].
    Pressure,
    /// A velocity \[m/s\]; an air permeability in cfm/ft2 is one.
    Velocity,
    /// A volume flow \[m3/s\].
    Flow,
    /// A mass per area \[kg/m2\].
    BasisWeight,
    /// A mass per volume \[kg/m3\].
    Density,
    /// A mass per length of fibre or yarn \[kg/m\]; the cotton count Ne, its inverse, is read as well.
    LinearDensity,
    /// Threads per length \[1/m\].
    ThreadCount,
    /// A charge per area \[C/m2\].
    SurfaceCharge,
    /// A pressure drop per velocity \[Pa s/m\].
    Resistance,
    /// A number of particles per volume \[1/m3\].
    Concentration,
    /// A fraction of one \[-\], as a percentage or as a bare number.
    Fraction,
    /// A number of elementary charges \[-\], in `e`, as a bare number or as a charge.
    Charge,
}

impl Dimension {
    /// Every dimension, in the order of the declaration.
    pub const ALL: [Self; 17] = [
        Self::Length,
        Self::Area,
        Self::Mass,
        Self::Time,
        Self::Temperature,
        Self::Pressure,
        Self::Velocity,
        Self::Flow,
        Self::BasisWeight,
        Self::Density,
        Self::LinearDensity,
        Self::ThreadCount,
        Self::SurfaceCharge,
        Self::Resistance,
        Self::Concentration,
        Self::Fraction,
        Self::Charge,
    ];

    /// The kind of quantity with its article, as in "a length needs a unit".
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Mass => "a mass",
            Self::Time => "a time",
            Self::Temperature => "a temperature",
            Self::Pressure => "a pressure",
            Self::Velocity => "a velocity",
            Self::Flow => "a volume flow",
            Self::BasisWeight => "a mass per area",
            Self::Density => "a mass per volume",
            Self::LinearDensity => "a mass per length",
            Self::ThreadCount => "a count per length",
            Self::SurfaceCharge => "a charge per area",
            Self::Resistance => "a flow resistance",
            Self::Concentration => "a number per volume",
            Self::Fraction => "a fraction",
            Self::Charge => "a number of elementary charges",
        }
    }

    /// A text that reads as this dimension.
    pub const fn example(self) -> &'static str {
        match self {
            Self::Length => "18 um",
            Self::Area => "150 cm2",
            Self::Mass => "1.8 g",
            Self::Time => "30 min",
            Self::Temperature => "22 degC",
            Self::Pressure => "24 Pa",
            Self::Velocity => "5.3 cm/s",
            Self::Flow => "85 L/min",
            Self::BasisWeight => "120 g/m2",
            Self::Density => "910 kg/m3",
            Self::LinearDensity => "1.7 dtex",
            Self::ThreadCount => "30 /cm",
            Self::SurfaceCharge => "20 uC/m2",
            Self::Resistance => "480 Pa s/m",
            Self::Concentration => "70 /cm3",
            Self::Fraction => "45 %",
            Self::Charge => "3 e",
        }
    }

    /// Units that people use for it; the first is the one of [`Self::example`].
    pub const fn units(self) -> &'static [&'static str] {
        match self {
            Self::Length => &["um", "nm", "mm", "cm", "m", "in", "mil", "ft", "yd"],
            Self::Area => &["cm2", "mm2", "m2", "in2", "ft2", "yd2"],
            Self::Mass => &["g", "mg", "ug", "kg", "oz", "lb"],
            Self::Time => &["min", "s", "h", "ms", "us", "day"],
            Self::Temperature => &["degC", "degF", "K", "°C", "°F"],
            Self::Pressure => &["Pa", "kPa", "hPa", "mbar", "mmH2O", "inH2O", "bar", "mmHg", "psi", "atm"],
            Self::Velocity => &["cm/s", "m/s", "mm/s", "ft/min", "cfm/ft2", "cm3/cm2/s"],
            Self::Flow => &["L/min", "L/s", "m3/h", "m3/s", "cfm", "ft3/min", "mL/min"],
            Self::BasisWeight => &["g/m2", "gsm", "oz/yd2", "kg/m2", "mg/cm2"],
            Self::Density => &["kg/m3", "g/cm3"],
            Self::LinearDensity => &["dtex", "denier", "tex", "Ne", "g/km"],
            Self::ThreadCount => &["/cm", "/in", "/m", "1/cm", "1/in"],
            Self::SurfaceCharge => &["uC/m2", "C/m2", "nC/cm2", "e/um2"],
            Self::Resistance => &["Pa s/m"],
            Self::Concentration => &["/cm3", "/L", "/ft3", "/m3", "1/cm3"],
            Self::Fraction => &["%"],
            Self::Charge => &["e", "C"],
        }
    }

    /// Whether a bare number is a value of this dimension.
    pub const fn is_number(self) -> bool {
        matches!(self, Self::Fraction | Self::Charge)
    }

    /// Powers of the base units.
    pub(super) const fn vector(self) -> Vector {
        match self {
            Self::Length => Vector { length: 1, ..DIMENSIONLESS },
            Self::Area => Vector { length: 2, ..DIMENSIONLESS },
            Self::Mass => Vector { mass: 1, ..DIMENSIONLESS },
            Self::Time => Vector { time: 1, ..DIMENSIONLESS },
            Self::Temperature => Vector { temperature: 1, ..DIMENSIONLESS },
            Self::Pressure => Vector { length: -1, mass: 1, time: -2, ..DIMENSIONLESS },
            Self::Velocity => Vector { length: 1, time: -1, ..DIMENSIONLESS },
            Self::Flow => Vector { length: 3, time: -1, ..DIMENSIONLESS },
            Self::BasisWeight => Vector { length: -2, mass: 1, ..DIMENSIONLESS },
            Self::Density => Vector { length: -3, mass: 1, ..DIMENSIONLESS },
            Self::LinearDensity => Vector { length: -1, mass: 1, ..DIMENSIONLESS },
            Self::ThreadCount => Vector { length: -1, ..DIMENSIONLESS },
            Self::SurfaceCharge => Vector { length: -2, charge: 1, ..DIMENSIONLESS },
            Self::Resistance => Vector { length: -2, mass: 1, time: -1, ..DIMENSIONLESS },
            Self::Concentration => Vector { length: -3, ..DIMENSIONLESS },
            Self::Fraction => DIMENSIONLESS,
            Self::Charge => Vector { charge: 1, ..DIMENSIONLESS },
        }
    }
}
