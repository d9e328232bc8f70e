//! The prediction of a case.

use serde::Serialize;

use super::MeasuredReport;

/// Name of the format and its version.
pub const FORMAT: &str = "moteweir.prediction.1";

/// The whole prediction.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Prediction {
    /// Format and version.
    pub format: &'static str,
    /// Title of the case.
    pub title: String,
    /// The air.
    pub air: AirReport,
    /// Each stack.
    pub stacks: Vec<StackReport>,
    /// Each file of a laboratory's measurements beside the model.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub measured: Vec<MeasuredReport>,
    /// What to be careful about, each once.
    pub warnings: Vec<WarningReport>,
    /// Every value that the scenario did not state.
    pub assumed: Vec<AssumedReport>,
    /// Sources of what was used.
    pub sources: Vec<String>,
}

/// Air as used.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirReport {
    /// Temperature.
    pub temperature_k: f64,
    /// Absolute pressure.
    pub pressure_pa: f64,
    /// Dynamic viscosity.
    pub viscosity_pa_s: f64,
    /// Density.
    pub density_kg_per_m3: f64,
    /// Mean free path.
    pub mean_free_path_m: f64,
}

/// One stack.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StackReport {
    /// Name.
    pub name: String,
    /// Headline closure.
    pub closure: &'static str,
    /// One entry a sheet, upstream first.
    pub layers: Vec<LayerReport>,
    /// Resistance in the terms of the trade.
    pub breathing: Breathing,
    /// One curve a face velocity.
    pub curves: Vec<Curve>,
}

/// A layer as it went into the physics; `None` where a structure has no such number.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LayerReport {
    /// Material.
    pub material: String,
    /// `web`, `weave` or `knit`.
    pub structure: &'static str,
    /// Share of fibre in the volume; inside the yarns for a weave.
    pub solidity: Option<f64>,
    /// Thickness of the sheet.
    pub thickness_m: Option<f64>,
    /// Mass over area.
    pub basis_weight_kg_per_m2: Option<f64>,
    /// Median fibre diameter, or the effective one where a flow was measured instead.
    pub fibre_diameter_m: Option<f64>,
    /// Whether the diameter is the effective one.
    pub fibre_diameter_is_effective: bool,
    /// Share of the fabric's area that yarns cover.
    pub cover_factor: Option<f64>,
    /// Share of the area that is open.
    pub open_area: Option<f64>,
    /// Diameter of the pores between yarns.
    pub pore_diameter_m: Option<f64>,
    /// What the class warns of.
    pub hazards: Option<String>,
    /// The user's note, word for word.
    pub note: Option<String>,
}

/// Resistance of a stack in the terms of the trade.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Breathing {
    /// Flow of the device.
    pub flow_m3_per_s: f64,
    /// Its filtering area.
    pub area_m2: f64,
    /// Flow over area.
    pub face_velocity_m_per_s: f64,
    /// Pressure drop at that flow.
    pub pressure_drop_pa: f64,
    /// Low end, models and inputs.
    pub pressure_drop_low_pa: f64,
    /// High end, models and inputs.
    pub pressure_drop_high_pa: f64,
    /// The same in millimetres of water.
    pub pressure_drop_mm_h2o: f64,
    /// Pressure drop over face velocity at low velocity.
    pub resistance_pa_s_per_m: f64,
    /// Air permeability at 100 Pa.
    pub air_permeability_100_pa_mm_per_s: f64,
    /// Air permeability at 200 Pa.
    pub air_permeability_200_pa_mm_per_s: f64,
    /// Air permeability at 125 Pa in cubic feet a minute a square foot.
    pub air_permeability_125_pa_cfm_per_ft2: f64,
    /// Differential pressure of the medical-mask head: 8 L/min through 4.9 cm2, over 4.9 cm2.
    pub medical_head_pa_per_cm2: f64,
}

/// A stack at one face velocity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curve {
    /// Flow over area.
    pub face_velocity_m_per_s: f64,
    /// Why this velocity.
    pub label: String,
    /// Pressure drop.
    pub pressure_drop_pa: f64,
    /// Low end of the models.
    pub pressure_drop_low_pa: f64,
    /// High end of the models.
    pub pressure_drop_high_pa: f64,
    /// Mobility diameters, rising.
    pub diameter_m: Vec<f64>,
    /// Share that gets through, headline closure.
    pub penetration: Vec<f64>,
    /// Low end of the spread between and inside the closures compared.
    pub penetration_low: Vec<f64>,
    /// High end of it.
    pub penetration_high: Vec<f64>,
    /// Low end where the inputs that are not known lie at their ends, headline closure.
    pub penetration_input_low: Vec<f64>,
    /// High end of it.
    pub penetration_input_high: Vec<f64>,
    /// -ln P over pressure drop.
    pub quality_factor_per_pa: Vec<f64>,
    /// Most penetrating size.
    pub mpps_m: f64,
    /// Penetration there.
    pub mpps_penetration: f64,
    /// Low end of the penetration there, models and inputs together.
    pub mpps_penetration_low: f64,
    /// High end of it.
    pub mpps_penetration_high: f64,
    /// `interior`, or the end of the range where the highest penetration lies.
    pub mpps_at: &'static str,
    /// Sizes between which penetration stays within 1 % of the worst.
    pub mpps_flat_from_m: f64,
    /// See `mpps_flat_from_m`.
    pub mpps_flat_to_m: f64,
    /// Other local maxima of penetration.
    pub other_maxima_m: Vec<f64>,
    /// What each quantity that was not measured makes of the penetration there, the most doubtful first.
    pub mpps_doubts: Vec<Doubt>,
    /// Dimensionless groups at the most penetrating size, one entry a material with fibres.
    pub mpps_groups: Vec<Groups>,
    /// Penetration at single sizes and against aerosols and channels, each saying which it is.
    pub averages: Vec<Average>,
    /// Single-fibre efficiency by mechanism, one entry a material.
    pub single_fibre: Vec<SingleFibreCurves>,
}

/// What not knowing one quantity of one material does to a penetration, all else at its central value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Doubt {
    /// Material.
    pub material: String,
    /// The key that would state the quantity.
    pub key: &'static str,
    /// The quantity in words.
    pub quantity: &'static str,
    /// What to do to know it better.
    pub measure: &'static str,
    /// Penetration at the better end of its range.
    pub penetration_low: f64,
    /// Penetration at the worse end.
    pub penetration_high: f64,
}

impl Doubt {
    /// How far apart the ends are, in the logarithm of the penetration.
    pub fn width(&self) -> f64 {
        (self.penetration_high.max(f64::MIN_POSITIVE) / self.penetration_low.max(f64::MIN_POSITIVE)).ln()
    }
}

/// Dimensionless groups at the median fibre of a material.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Groups {
    /// Material.
    pub material: String,
    /// Peclet number.
    pub peclet: f64,
    /// Stokes number.
    pub stokes: f64,
    /// Interception parameter.
    pub interception: f64,
    /// Fibre Knudsen number.
    pub fibre_knudsen: f64,
    /// Fibre Reynolds number.
    pub fibre_reynolds: f64,
}

/// A penetration of one kind: at a size, against an aerosol, or in a counter's channel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Average {
    /// `size`, `aerosol` or `channel`.
    pub kind: &'static str,
    /// What it is, for a reader: `at 0.3 um (mobility)`, `>= 1 um (optical)`.
    pub name: String,
    /// Penetration, headline closure.
    pub penetration: f64,
    /// Low end, models and inputs together.
    pub penetration_low: f64,
    /// High end, models and inputs together.
    pub penetration_high: f64,
}

/// Single-fibre efficiency of one material by mechanism, over `diameter_m` of the curve.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SingleFibreCurves {
    /// Material.
    pub material: String,
    /// Elementary charges of the particles that these curves are for.
    pub charges_e: i32,
    /// Diffusion.
    pub diffusion: Vec<f64>,
    /// Interception.
    pub interception: Vec<f64>,
    /// Diffusion and interception together, beyond each alone.
    pub diffusion_interception: Vec<f64>,
    /// Inertial increment.
    pub impaction: Vec<f64>,
    /// What settling adds to interception.
    pub gravity: Vec<f64>,
    /// Charge alone.
    pub electrostatic: Vec<f64>,
    /// All together.
    pub total: Vec<f64>,
}

/// A remark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WarningReport {
    /// Short name.
    pub kind: String,
    /// A sentence.
    pub text: String,
}

/// A value that the scenario did not state.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AssumedReport {
    /// Material, where it belongs to one.
    pub material: Option<String>,
    /// The key that would state it.
    pub key: String,
    /// The value with its unit.
    pub value: String,
    /// Where it came from.
    pub from: String,
}
