//! A checked material: a fibre web or a fabric of yarns.

use moteweir_physics::polymer::Polymer;
use moteweir_physics::weave::WeaveClass;
use moteweir_units::{
    BasisWeight, Density, Length, LinearDensity, Pressure, Solidity, SurfaceCharge, ThreadCount, Velocity,
};

use super::input::{Input, given};
use super::known::Known;
use super::varies::Variation;
use crate::doubt::Doubt;
use crate::problem::Span;

/// A material that layers are made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Name by which layers call it.
    pub name: String,
    /// Where the scenario names it, for what physics finds wrong with it later.
    pub place: Span,
    /// Class of the shelf that filled in what was not stated.
    pub class: Option<String>,
    /// The user's note, word for word.
    pub note: Option<String>,
    /// What the class warns of (shedding, moisture, coatings), in a line.
    pub hazards: Option<String>,
    /// How its pieces differ from one another, each quantity at most once.
    pub varies: Vec<Variation>,
    /// The facts of its structure.
    pub structure: Structure,
}

/// How the fibres of a material are arranged.
#[derive(Clone, Debug, PartialEq)]
pub enum Structure {
    /// Fibres laid at random in a sheet: felt, paper, tissue, spunbond, melt-blown.
    Web(Web),
    /// Yarns with pores between them: woven or knitted.
    Weave(Weave),
}

impl Structure {
    /// The word for it in files and outputs.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Web(_) => "web",
            Self::Weave(Weave { binding: Binding::Woven, .. }) => "weave",
            Self::Weave(Weave { binding: Binding::Knitted, .. }) => "knit",
        }
    }
}

/// A random web of fibres. Basis weight, thickness, solidity and fibre density agree with one another exactly: two of
/// the first three are independent, and their origins say which; the third follows. At other values of what is not
/// known it follows again: see [`Material::with_inputs`].
#[derive(Clone, Debug, PartialEq)]
pub struct Web {
    /// Mass over area of one sheet.
    pub basis_weight: Known<BasisWeight>,
    /// Thickness of one sheet as layered in use.
    pub thickness: Known<Length>,
    /// Share of the volume that is fibre.
    pub solidity: Known<Solidity>,
    /// Density of the solid fibre.
    pub fibre_density: Known<Density>,
    /// What the fibre is made of, where stated or given by the class.
    pub polymer: Option<Polymer>,
    /// What is known of the fibre diameter.
    pub fibre: FibreFacts,
    /// Mass over length of one fibre, where that states the diameter.
    pub fibre_linear_density: Option<Known<LinearDensity>>,
    /// Coefficient of variation of the local basis weight inside the sheet, 0 to below 1.
    pub unevenness: Known<f64>,
    /// What an ideal cell's capture and drag are divided by, 1 to 3; the fitted set does not take it.
    pub inhomogeneity: Known<f64>,
    /// Amplitude of the charge on the fibres' surface; 0 where there is none.
    pub surface_charge: Known<SurfaceCharge>,
    /// A measured flow through the material, where stated (also where the fibre diameter is stated as well).
    pub reading: Option<FlowReading>,
}

/// What is known of the diameter of a web's fibres.
#[derive(Clone, Debug, PartialEq)]
pub enum FibreFacts {
    /// Lognormal by length; a geometric standard deviation of 1 is one diameter.
    Diameter {
        /// Length-weighted median.
        median: Known<Length>,
        /// Geometric standard deviation, 1 or more.
        gsd: Known<f64>,
    },
    /// Not known, but a flow was measured: the effective diameter follows from it.
    FromReading {
        /// The measured flow.
        reading: FlowReading,
        /// Geometric standard deviation, 1 or more.
        gsd: Known<f64>,
    },
}

/// A measured pair of pressure drop and face velocity of one sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowReading {
    /// Which key of the scenario stated it.
    pub kind: ReadingKind,
    /// Pressure drop across one sheet.
    pub pressure_drop: Pressure,
    /// Face velocity at that pressure drop.
    pub face_velocity: Velocity,
    /// What is not known of what was measured, in SI: of the velocity with [`ReadingKind::AirPermeability`], else of the
    /// pressure drop.
    pub doubt: Doubt,
}

impl FlowReading {
    /// The quantity that was measured, and its value \[SI\].
    pub(super) const fn measured(&self) -> (Input, f64) {
        match self.kind {
            ReadingKind::AirPermeability => (Input::AirPermeability, self.face_velocity.si()),
            ReadingKind::PressureDrop => (Input::PressureDrop, self.pressure_drop.si()),
        }
    }

    /// The same measurement with another result, where one is among the inputs \[SI\].
    #[must_use]
    pub(super) fn with_inputs(self, inputs: &[(Input, f64)]) -> Self {
        let Some(value) = given(inputs, self.measured().0) else { return self };
        match self.kind {
            ReadingKind::AirPermeability => Self { face_velocity: Velocity::from_si(value), ..self },
            ReadingKind::PressureDrop => Self { pressure_drop: Pressure::from_si(value), ..self },
        }
    }
}

/// How a measured flow was stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingKind {
    /// `air_permeability`: velocity at a stated pressure.
    AirPermeability,
    /// `pressure_drop`: pressure at a stated velocity.
    PressureDrop,
}

/// How yarns are bound into a fabric.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Binding {
    /// Warp and weft.
    Woven,
    /// Loops; `warp` counts wales and `weft` courses.
    Knitted,
}

impl Binding {
    /// The class of the physics.
    pub const fn weave_class(self) -> WeaveClass {
        match self {
            Self::Woven => WeaveClass::Woven,
            Self::Knitted => WeaveClass::Knit,
        }
    }
}

/// A fabric of yarns.
#[derive(Clone, Debug, PartialEq)]
pub struct Weave {
    /// Woven or knitted.
    pub binding: Binding,
    /// Ends per length (wales of a knit).
    pub warp: Known<ThreadCount>,
    /// Picks per length (courses of a knit).
    pub weft: Known<ThreadCount>,
    /// Mass over length of the yarn.
    pub yarn_linear_density: Known<LinearDensity>,
    /// Mass over area of the fabric: as weighed or stated, else from the yarn and the counts.
    pub basis_weight: Known<BasisWeight>,
    /// Diameter of the fibres in the yarn, all alike; the length-weighted median where a spread is stated.
    pub fibre_diameter: Known<Length>,
    /// Mass over length of one fibre, where that states the diameter.
    pub fibre_linear_density: Option<Known<LinearDensity>>,
    /// Density of the solid fibre.
    pub fibre_density: Known<Density>,
    /// What the fibre is made of, where stated or given by the class.
    pub polymer: Option<Polymer>,
    /// Thickness of the fabric, where known.
    pub thickness: Option<Known<Length>>,
    /// Width of the flattened yarn, where known.
    pub yarn_width: Option<Known<Length>>,
    /// Solidity of the hairs and nap across the pores: an unknown that only a bench can tell.
    pub hairs: Known<f64>,
    /// A measured flow through the fabric, where stated: it fixes the pores.
    pub reading: Option<FlowReading>,
}
