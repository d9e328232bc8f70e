//! The design review: the prediction, and what more layers and other velocities do.

use serde::Serialize;

use super::prediction::Prediction;

/// Name of the format and its version.
pub const FORMAT: &str = "moteweir.review.1";

/// Everything that a review shows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Review {
    /// Format and version.
    pub format: &'static str,
    /// The prediction of the case.
    pub prediction: Prediction,
    /// One to eight layers of each material.
    pub layers: Vec<LayerSweep>,
    /// Each stack over a range of face velocities.
    pub velocities: Vec<VelocitySweep>,
}

/// One to eight layers of one material at one face velocity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LayerSweep {
    /// Material.
    pub material: String,
    /// Face velocity of the device.
    pub face_velocity_m_per_s: f64,
    /// One entry a number of layers.
    pub steps: Vec<LayerStep>,
}

/// A number of like layers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LayerStep {
    /// How many.
    pub layers: u32,
    /// Penetration at 0.3 um (mobility).
    pub penetration_300_nm: f64,
    /// Penetration at 1 um (mobility).
    pub penetration_1_um: f64,
    /// Most penetrating size.
    pub mpps_m: f64,
    /// Penetration there.
    pub mpps_penetration: f64,
    /// Low end there, models and inputs.
    pub mpps_penetration_low: f64,
    /// High end there, models and inputs.
    pub mpps_penetration_high: f64,
    /// Pressure drop at the flow and area of use.
    pub pressure_drop_pa: f64,
    /// Low end, models and inputs.
    pub pressure_drop_low_pa: f64,
    /// High end, models and inputs.
    pub pressure_drop_high_pa: f64,
    /// Pressure drop over velocity at that flow.
    pub resistance_pa_s_per_m: f64,
    /// Quality factor at the most penetrating size.
    pub mpps_quality_factor_per_pa: f64,
}

/// A stack over a range of face velocities.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VelocitySweep {
    /// Stack.
    pub stack: String,
    /// Rising velocities.
    pub points: Vec<VelocityPoint>,
}

/// A stack at one velocity.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct VelocityPoint {
    /// Face velocity.
    pub face_velocity_m_per_s: f64,
    /// Pressure drop.
    pub pressure_drop_pa: f64,
    /// Low end of the models.
    pub pressure_drop_low_pa: f64,
    /// High end of the models.
    pub pressure_drop_high_pa: f64,
    /// Most penetrating size.
    pub mpps_m: f64,
    /// Penetration there.
    pub mpps_penetration: f64,
    /// `interior`, or the end of the range where the highest penetration lies.
    pub mpps_at: &'static str,
}
