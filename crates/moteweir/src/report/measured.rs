//! What laboratories measured, beside what the model says of the same specimen.

use serde::Serialize;

/// One file of measurements beside the model.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuredReport {
    /// The file, as the scenario names it.
    pub file: String,
    /// Material or stack.
    pub specimen: String,
    /// How many times it lay on itself.
    pub layers: u32,
    /// Which side faced the particles, word for word; empty where it is not said.
    pub side: String,
    /// What was done to it, word for word.
    pub treatment: String,
    /// Of which particles, word for word.
    pub aerosol: Option<String>,
    /// Headline closure.
    pub closure: &'static str,
    /// Which diameter the file's sizes are; `None` for pressure drops.
    pub diameter: Option<&'static str>,
    /// What was taken for granted in the comparison, a sentence each.
    pub assumed: Vec<String>,
    /// Where the numbers come from, word for word.
    pub source: Option<String>,
    /// When they were measured, word for word.
    pub date: Option<String>,
    /// With what, word for word.
    pub instrument: Option<String>,
    /// How the specimen was treated before, word for word.
    pub conditioning: Option<String>,
    /// Penetrations, by face velocity, then by size.
    pub penetrations: Vec<ComparedPenetration>,
    /// Pressure drops, by face velocity.
    pub pressure_drops: Vec<ComparedPressureDrop>,
    /// The model at the face velocities measured.
    pub curves: Vec<ModelCurve>,
    /// How the two agree.
    pub agreement: Agreement,
}

/// A measured penetration beside the model's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ComparedPenetration {
    /// Line of the file, from 1.
    pub line: usize,
    /// Mobility diameter.
    pub diameter_m: f64,
    /// The diameter as the file states it.
    pub stated_diameter_m: f64,
    /// Face velocity.
    pub face_velocity_m_per_s: f64,
    /// Measured; the most that can have got through where it is a limit.
    pub measured: f64,
    /// Whether nothing was counted downstream, so that `measured` is a limit from above.
    pub is_limit: bool,
    /// Standard uncertainty of the measured penetration, where known.
    pub standard_uncertainty: Option<f64>,
    /// The model's.
    pub model: f64,
    /// Low end of the model, models and inputs together.
    pub model_low: f64,
    /// High end of it.
    pub model_high: f64,
    /// ln of measured over model: above 0 more got through than the model says. Of a limit 0 where the model stays
    /// below it.
    pub residual_ln: f64,
    /// Whether the measured value, two standard uncertainties either way, lies in the model's band; of a limit, whether
    /// the band reaches below it.
    pub is_hit: bool,
}

/// A measured pressure drop beside the model's.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ComparedPressureDrop {
    /// Line of the file, from 1.
    pub line: usize,
    /// Face velocity.
    pub face_velocity_m_per_s: f64,
    /// Measured.
    pub measured_pa: f64,
    /// Relative standard uncertainty of the reading, where known.
    pub relative_uncertainty: Option<f64>,
    /// The model's.
    pub model_pa: f64,
    /// Low end of the model, models and inputs together.
    pub model_low_pa: f64,
    /// High end of it.
    pub model_high_pa: f64,
    /// ln of measured over model.
    pub residual_ln: f64,
    /// Whether the measured value, two standard uncertainties either way, lies in the model's band.
    pub is_hit: bool,
}

/// The model over size at one face velocity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ModelCurve {
    /// Face velocity.
    pub face_velocity_m_per_s: f64,
    /// Mobility diameters, rising.
    pub diameter_m: Vec<f64>,
    /// Penetration.
    pub penetration: Vec<f64>,
    /// Low end, models and inputs together.
    pub penetration_low: Vec<f64>,
    /// High end of it.
    pub penetration_high: Vec<f64>,
}

/// How measurements and model agree.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Agreement {
    /// Measured values in the model's band.
    pub hits: usize,
    /// Measured values outside it.
    pub misses: usize,
    /// Median of model over measured, of -ln P or of the pressure drop: which way the model errs, and how far. Limits that
    /// the model stays below say nothing of it; none where there are no others.
    pub median_ratio: Option<f64>,
    /// Mean of the residuals, limits that the model stays below left out; 0 where there are no others.
    pub mean_residual_ln: f64,
    /// Root of the mean square of the residuals.
    pub root_mean_square_residual_ln: f64,
    /// Position of the largest residual among the penetrations, or else among the pressure drops.
    pub worst: usize,
}
