//! The quantities that may be uncertain, under one name for draws, bands and sentences.

use crate::doubt::Doubt;

/// A quantity of a material or of a leak that a scenario may leave uncertain. Values are SI throughout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "`words` says what each is")]
pub enum Input {
    BasisWeight,
    Thickness,
    Solidity,
    FibreDensity,
    FibreDiameter,
    FibreLinearDensity,
    FibreGsd,
    SurfaceCharge,
    Unevenness,
    Inhomogeneity,
    Warp,
    Weft,
    YarnLinearDensity,
    YarnWidth,
    Hairs,
    LeakLength,
    LeakGap,
    LeakDepth,
    HoleDiameter,
    LeakFlow,
    LeakPressureDrop,
    LeakExponent,
    FitFactor,
    FilterPenetration,
    AirPermeability,
    PressureDrop,
}

impl Input {
    /// Every input.
    pub const ALL: [Self; 26] = [
        Self::BasisWeight,
        Self::Thickness,
        Self::Solidity,
        Self::FibreDensity,
        Self::FibreDiameter,
        Self::FibreLinearDensity,
        Self::FibreGsd,
        Self::SurfaceCharge,
        Self::Unevenness,
        Self::Inhomogeneity,
        Self::Warp,
        Self::Weft,
        Self::YarnLinearDensity,
        Self::YarnWidth,
        Self::Hairs,
        Self::LeakLength,
        Self::LeakGap,
        Self::LeakDepth,
        Self::HoleDiameter,
        Self::LeakFlow,
        Self::LeakPressureDrop,
        Self::LeakExponent,
        Self::FitFactor,
        Self::FilterPenetration,
        Self::AirPermeability,
        Self::PressureDrop,
    ];

    /// A number of its own, the same in every version: random numbers are keyed by it. A new input takes a new number.
    pub const fn number(self) -> u16 {
        match self {
            Self::BasisWeight => 1,
            Self::Thickness => 2,
            Self::Solidity => 3,
            Self::FibreDensity => 4,
            Self::FibreDiameter => 5,
            Self::FibreLinearDensity => 6,
            Self::FibreGsd => 7,
            Self::SurfaceCharge => 8,
            Self::Unevenness => 9,
            Self::Warp => 10,
            Self::Weft => 11,
            Self::YarnLinearDensity => 12,
            Self::YarnWidth => 13,
            Self::Hairs => 14,
            Self::LeakLength => 15,
            Self::LeakGap => 16,
            Self::LeakDepth => 17,
            Self::HoleDiameter => 18,
            Self::LeakFlow => 19,
            Self::LeakPressureDrop => 20,
            Self::LeakExponent => 21,
            Self::FitFactor => 22,
            Self::FilterPenetration => 23,
            Self::Inhomogeneity => 24,
            Self::AirPermeability => 25,
            Self::PressureDrop => 26,
        }
    }

    /// The key that states it.
    pub const fn key(self) -> &'static str {
        match self {
            Self::BasisWeight => "basis_weight",
            Self::Thickness => "thickness",
            Self::Solidity => "solidity",
            Self::FibreDensity => "fibre_density",
            Self::FibreDiameter => "fibre_diameter",
            Self::FibreLinearDensity => "fibre_linear_density",
            Self::FibreGsd => "fibre_gsd",
            Self::SurfaceCharge => "surface_charge",
            Self::Unevenness => "unevenness",
            Self::Inhomogeneity => "inhomogeneity",
            Self::Warp => "warp",
            Self::Weft => "weft",
            Self::YarnLinearDensity => "yarn_linear_density",
            Self::YarnWidth => "yarn_width",
            Self::Hairs => "hairs",
            Self::LeakLength => "slit.length",
            Self::LeakGap => "slit.gap",
            Self::LeakDepth => "slit.depth",
            Self::HoleDiameter => "hole",
            Self::LeakFlow => "power_law.flow",
            Self::LeakPressureDrop => "power_law.pressure_drop",
            Self::LeakExponent => "power_law.exponent",
            Self::FitFactor => "fit_factor.value",
            Self::FilterPenetration => "fit_factor.filter_penetration",
            Self::AirPermeability => "air_permeability",
            Self::PressureDrop => "pressure_drop",
        }
    }

    /// What it is, for a sentence: "most of what you do not know is the ...".
    pub const fn words(self) -> &'static str {
        match self {
            Self::BasisWeight => "basis weight",
            Self::Thickness => "thickness",
            Self::Solidity => "solidity",
            Self::FibreDensity => "fibre density",
            Self::FibreDiameter => "fibre diameter",
            Self::FibreLinearDensity => "fibre linear density",
            Self::FibreGsd => "spread of the fibre diameters",
            Self::SurfaceCharge => "charge on the fibres",
            Self::Unevenness => "unevenness",
            Self::Inhomogeneity => "inhomogeneity factor",
            Self::Warp => "count of warp threads",
            Self::Weft => "count of weft threads",
            Self::YarnLinearDensity => "yarn linear density",
            Self::YarnWidth => "yarn width",
            Self::Hairs => "hairs across the pores",
            Self::LeakLength => "length of the leak",
            Self::LeakGap => "gap of the leak",
            Self::LeakDepth => "depth of the leak",
            Self::HoleDiameter => "diameter of the hole",
            Self::LeakFlow => "flow through the leak",
            Self::LeakPressureDrop => "pressure drop of the leak",
            Self::LeakExponent => "exponent of the leak",
            Self::FitFactor => "fit factor",
            Self::FilterPenetration => "filter's penetration in the fit test",
            Self::AirPermeability => "air permeability",
            Self::PressureDrop => "pressure drop",
        }
    }

    /// What to do to know it better, as an order.
    pub const fn measure(self) -> &'static str {
        match self {
            Self::BasisWeight => "weigh a swatch",
            Self::Thickness | Self::Solidity => "measure the thickness of several sheets together",
            Self::FibreDensity => "find out what the fibre is made of",
            Self::FibreDiameter | Self::FibreLinearDensity => "measure air permeability or pressure drop",
            Self::AirPermeability | Self::PressureDrop => "measure it again, on several pieces",
            Self::FibreGsd => "measure fibres under a microscope",
            Self::SurfaceCharge => "measure one efficiency, before and after discharging",
            Self::Unevenness => "look through it against the light, weigh small pieces",
            Self::Inhomogeneity => {
                "measure air permeability or pressure drop, and the fibres under a microscope"
            }
            Self::Warp | Self::Weft => "count the threads over 1 cm or 1 in under a lens",
            Self::YarnLinearDensity => "weigh a swatch or a length of yarn",
            Self::YarnWidth => "measure the yarn under a lens",
            Self::Hairs => "measure one efficiency on a bench",
            Self::LeakLength | Self::LeakGap | Self::LeakDepth | Self::HoleDiameter => {
                "measure the gap or a fit factor"
            }
            Self::LeakFlow | Self::LeakPressureDrop | Self::LeakExponent => {
                "measure the leak's pressure drop at two flows"
            }
            Self::FitFactor => "repeat the fit test",
            Self::FilterPenetration => "measure what the filter lets through of the fit test's particles",
        }
    }
}

/// An uncertain quantity: its central value and what is not known about it, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertain {
    /// Which.
    pub input: Input,
    /// The central value.
    pub value: f64,
    /// What is not known; never nothing.
    pub doubt: Doubt,
}

impl Uncertain {
    /// The value below which the share `p` of its distribution lies, for 0 < p < 1.
    pub fn quantile(&self, p: f64) -> f64 {
        self.doubt.quantile(self.value, p)
    }

    /// The values between which 95 % of its distribution lies.
    pub fn ends(&self) -> (f64, f64) {
        self.doubt.ends(self.value).unwrap_or((self.value, self.value))
    }
}

/// The value given for an input, if there is one; the last where there are several.
pub(super) fn given(inputs: &[(Input, f64)], input: Input) -> Option<f64> {
    inputs.iter().rev().find(|(other, _)| *other == input).map(|(_, value)| *value)
}

/// The uncertain ones among quantities.
pub(super) fn uncertain_among(quantities: impl IntoIterator<Item = (Input, f64, Doubt)>) -> Vec<Uncertain> {
    quantities
        .into_iter()
        .filter(|(_, _, doubt)| !doubt.is_none())
        .map(|(input, value, doubt)| Uncertain { input, value, doubt })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_input_has_its_own_number_key_and_words() {
        for (index, input) in Input::ALL.into_iter().enumerate() {
            assert!(!input.measure().is_empty());
            for other in Input::ALL.into_iter().skip(index + 1) {
                assert!(
                    input.number() != other.number() && input.key() != other.key(),
                    "{input:?} {other:?}"
                );
                assert_ne!(input.words(), other.words());
            }
        }
    }
}
