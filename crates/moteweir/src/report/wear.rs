//! A filter on a face: what is inhaled when air also goes past the edge.

use serde::Serialize;

use super::prediction::{AssumedReport, WarningReport};

/// Name of the format and its version.
pub const FORMAT: &str = "moteweir.wear.1";

/// Everything that wearing shows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WearReport {
    /// Format and version.
    pub format: &'static str,
    /// Title of the case.
    pub title: String,
    /// Where the random numbers began.
    pub seed: u64,
    /// Draws behind the quantiles.
    pub draws: u64,
    /// `counted`, or `interrupted`: the last stack then has as many draws as there are, and later ones are missing.
    pub ending: &'static str,
    /// What an inhaled share is of: `0.3 um (mobility)`, or an aerosol.
    pub particles: String,
    /// The leak in words.
    pub leak: String,
    /// The resistance that must not be passed, where the scenario's question states one.
    pub pressure_limit: Option<PressureLimit>,
    /// One entry a way of breathing, stack and number of layers.
    pub layers: Vec<WornLayers>,
    /// For each way of breathing, what protects most.
    pub best: Vec<BestLayers>,
    /// What to be careful about, each once.
    pub warnings: Vec<WarningReport>,
    /// Every value that the scenario did not state.
    pub assumed: Vec<AssumedReport>,
}

/// A pressure drop that must not be passed at a flow.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PressureLimit {
    /// As written.
    pub text: String,
    /// The pressure drop.
    pub pressure_pa: f64,
    /// The flow.
    pub flow_m3_per_s: f64,
}

/// A stack of a number of layers, worn.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WornLayers {
    /// The stack, or the material that is layered.
    pub stack: String,
    /// The way of breathing.
    pub breathing: String,
    /// How many layers.
    pub layers: u32,
    /// Share of the particles outside that is inhaled, mean over the inhaled air.
    pub total_inward_leakage: InwardLeakage,
    /// Share of what reaches the filter that gets through it, at the same flows.
    pub filter_penetration: f64,
    /// Share of the inhaled air that goes past the edge.
    pub leak_share_of_flow: f64,
    /// Highest flow of a breath.
    pub peak_flow_m3_per_s: f64,
    /// Highest pressure drop of a breath.
    pub peak_pressure_pa: f64,
    /// Mean pressure drop while inhaling.
    pub mean_pressure_pa: f64,
    /// Work against the filter for each litre inhaled.
    pub work_j_per_l: f64,
    /// Inhaled share of the same filter were there no leak.
    pub without_leak_penetration: f64,
    /// Highest pressure drop of a breath were there no leak.
    pub without_leak_peak_pressure_pa: f64,
    /// What leaves the inhaled share open, the largest part first.
    pub open: Vec<OpenShare>,
    /// Mobility diameters of the curve.
    pub diameter_m: Vec<f64>,
    /// Total inward leakage at each, central values.
    pub total_inward_leakage_by_size: Vec<f64>,
    /// Pressure and flows through the breath, central values.
    pub breath: BreathCourse,
}

/// How much of what is open about an inhaled share one quantity makes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OpenShare {
    /// The quantity, and what it is of.
    pub quantity: String,
    /// `leak` or `unknown` for what is not known of the leak or a material, `varies` for what differs from piece to piece.
    pub kind: &'static str,
    /// How to know it better.
    pub measure: Option<&'static str>,
    /// Squared rank correlation of the quantity and the share over the draws, less what chance alone would make of it.
    pub rank_correlation_squared: f64,
}

/// Pressure and flows through a breath.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct BreathCourse {
    /// Whether the times were measured; a sine or a steady flow is told over 1.5 s, on which no pressure depends.
    pub has_pace: bool,
    /// Times from the start of inhaling, rising.
    pub time_s: Vec<f64>,
    /// Pressure drop across filter and leak.
    pub pressure_pa: Vec<f64>,
    /// Flow through the filter.
    pub filter_flow_m3_per_s: Vec<f64>,
    /// Flow past the edge.
    pub leak_flow_m3_per_s: Vec<f64>,
}

/// Quantiles of the inhaled share.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct InwardLeakage {
    /// 2.5 % of draws lie below.
    pub q025: f64,
    /// The median.
    pub q50: f64,
    /// 2.5 % lie above.
    pub q975: f64,
    /// At the central values of all inputs.
    pub central: f64,
}

/// The number of layers that protects most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BestLayers {
    /// The stack, or the material that is layered.
    pub stack: String,
    /// The way of breathing.
    pub breathing: String,
    /// At the central values.
    pub layers: u32,
    /// In 2.5 % of the draws fewer layers protect most.
    pub layers_low: u32,
    /// In 2.5 % of the draws more do.
    pub layers_high: u32,
    /// Share of draws in which each number of layers, from 1, protects most.
    pub probability: Vec<f64>,
    /// Inhaled share at the central values.
    pub total_inward_leakage: f64,
    /// What half the leak means: `halving the gap`.
    pub halving: Option<&'static str>,
    /// Inhaled share with half the leak, the same layers.
    pub with_half_the_leak: f64,
    /// Inhaled share with two layers more, the same leak.
    pub with_two_layers_more: f64,
}
