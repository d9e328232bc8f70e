//! How stacks vary: quantiles over draws, targets, and what leaves most open.

use serde::Serialize;

use super::prediction::{AssumedReport, WarningReport};

/// Name of the format and its version.
pub const FORMAT: &str = "moteweir.variation.1";

/// The variation of a case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VariationReport {
    /// Format and version.
    pub format: &'static str,
    /// Title of the case.
    pub title: String,
    /// Where the random numbers began.
    pub seed: u64,
    /// One entry a stack and face velocity.
    pub stacks: Vec<VariedStack>,
    /// How many layers, where the scenario asks.
    pub how_many: Option<HowMany>,
    /// What to be careful about, each once.
    pub warnings: Vec<WarningReport>,
    /// Every value that the scenario did not state.
    pub assumed: Vec<AssumedReport>,
}

/// A stack at one face velocity over all draws.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VariedStack {
    /// Name.
    pub name: String,
    /// Headline closure.
    pub closure: &'static str,
    /// Flow over area.
    pub face_velocity_m_per_s: f64,
    /// How many draws.
    pub draws: u64,
    /// `counted`, `reached` (the tolerance), `exhausted` (it was not) or `interrupted`.
    pub ending: &'static str,
    /// Mobility diameters, rising.
    pub diameter_m: Vec<f64>,
    /// Quantiles of the penetration at each.
    pub penetration: QuantileCurves,
    /// Quantiles of the pressure drop.
    pub pressure_drop_pa: Quantiles,
    /// Quantiles of the most penetrating size.
    pub mpps_m: Quantiles,
    /// Quantiles of the penetration there.
    pub mpps_penetration: Quantiles,
    /// Quantiles of the quality factor there.
    pub mpps_quality_factor_per_pa: Quantiles,
    /// How likely each target holds.
    pub targets: Vec<TargetReport>,
    /// Where two layers or more are uneven: what changes if they touch; all else is of layers apart, between which the
    /// flow evens out.
    pub if_touching: Option<IfTouching>,
    /// Which quantity leaves how much open.
    pub sensitivity: Vec<SensitivityReport>,
}

/// Medians of uneven layers that touch, their thick spots meeting by chance, beside those of the same draws apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct IfTouching {
    /// How many draws of each.
    pub draws: u64,
    /// Penetration at the worst size, apart.
    pub mpps_penetration_apart: f64,
    /// Penetration at the worst size, touching.
    pub mpps_penetration: f64,
    /// Pressure drop apart.
    pub pressure_drop_apart_pa: f64,
    /// Pressure drop touching.
    pub pressure_drop_pa: f64,
}

/// Quantiles of a number, with the Monte Carlo standard error of the median.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Quantiles {
    /// 2.5 % of draws lie below.
    pub q025: f64,
    /// A quarter lies below.
    pub q25: f64,
    /// The median.
    pub q50: f64,
    /// A quarter lies above.
    pub q75: f64,
    /// 2.5 % lie above.
    pub q975: f64,
    /// The mean.
    pub mean: f64,
    /// Monte Carlo standard error of the median.
    pub q50_standard_error: f64,
}

/// Quantiles over sizes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct QuantileCurves {
    /// 2.5 % of draws lie below.
    pub q025: Vec<f64>,
    /// A quarter lies below.
    pub q25: Vec<f64>,
    /// The median.
    pub q50: Vec<f64>,
    /// A quarter lies above.
    pub q75: Vec<f64>,
    /// 2.5 % lie above.
    pub q975: Vec<f64>,
    /// The mean.
    pub mean: Vec<f64>,
}

/// How likely a target holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TargetReport {
    /// The target in words.
    pub text: String,
    /// `efficiency` or `pressure_drop`.
    pub about: &'static str,
    /// Share of draws in which it holds.
    pub probability: f64,
    /// Monte Carlo standard error of the share.
    pub standard_error: f64,
}

/// How much of the variance of a target's number comes from one quantity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SensitivityReport {
    /// The target, or the number, in words.
    pub target: String,
    /// The quantity in words: `fibre diameter of felt`.
    pub quantity: String,
    /// `unknown`, or `varies` from piece to piece.
    pub kind: &'static str,
    /// Key or measurement that would settle it, where one would.
    pub measure: Option<&'static str>,
    /// Share of the variance by this quantity alone; held between 0 and `total`, as the true share is.
    pub first: f64,
    /// Share with all that it does together with others.
    pub total: f64,
    /// Standard error of `total`.
    pub total_standard_error: f64,
}

/// What one to so many layers of a material buy and cost.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HowMany {
    /// The material.
    pub material: String,
    /// The fixed layers round it, each named once.
    pub between: Vec<String>,
    /// Draws behind the bands.
    pub draws: u64,
    /// The aerosol of interest, where there is one.
    pub aerosol: Option<String>,
    /// The resistance that must not be passed, as written.
    pub resistance_limit: Option<String>,
    /// What a layer more has to add, as a share of all particles of the worst size.
    pub gain_at_least: f64,
    /// Most layers that stay under the limit in at least half of the draws.
    pub most_breathable: Option<u32>,
    /// Share of draws in which that many stay under it.
    pub most_breathable_probability: Option<f64>,
    /// The number after which a layer more buys less than asked, by the medians of the worst size's penetration.
    pub last_worthwhile: u32,
    /// The smaller of the two, and at least one: what to sew if nothing leaked.
    pub advised: u32,
    /// One entry a number of layers.
    pub steps: Vec<HowManyStep>,
    /// Which quantity leaves how much open at the advised number.
    pub sensitivity: Vec<SensitivityReport>,
}

/// A number of layers inside the fixed ones.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HowManyStep {
    /// How many.
    pub layers: u32,
    /// Penetration at the worst size, at the velocity of use.
    pub mpps_penetration: Band,
    /// At 0.3 um (mobility).
    pub penetration_300_nm: Band,
    /// At 1 um (mobility).
    pub penetration_1_um: Band,
    /// Of the aerosol of interest.
    pub aerosol_penetration: Option<Band>,
    /// Pressure drop at the flow of use.
    pub pressure_drop_pa: Band,
    /// At the mean flow of inhaling at rest.
    pub pressure_at_rest_pa: Band,
    /// At light work.
    pub pressure_at_light_work_pa: Band,
    /// At heavy work.
    pub pressure_at_heavy_work_pa: Band,
    /// Share of draws that stay under the resistance limit, where one is stated.
    pub under_limit_probability: Option<f64>,
    /// How likely each target holds that names no stack.
    pub targets: Vec<TargetReport>,
}

/// A number at the central values, and between which values 95 % of draws lie.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// At the central values of all inputs.
    pub central: f64,
    /// 2.5 % of draws lie below.
    pub q025: f64,
    /// The median.
    pub q50: f64,
    /// 2.5 % lie above.
    pub q975: f64,
}
