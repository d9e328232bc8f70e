//! A model calibrated to a bench: what is known of each unknown, of efficiency everywhere, and what to measure next.

use serde::Serialize;

use super::prediction::WarningReport;

/// Name of the format and its version.
pub const FORMAT: &str = "moteweir.calibration.1";

/// The calibration of a case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CalibrationReport {
    /// Format and version.
    pub format: &'static str,
    /// Title of the case.
    pub title: String,
    /// Where the random numbers began.
    pub seed: u64,
    /// `chains` or `quadrature`.
    pub method: &'static str,
    /// Draws of the posterior.
    pub draws: usize,
    /// Whether the draws can be trusted: R-hat below 1.01 and 1000 effective draws of every number, no chain stuck.
    pub converged: bool,
    /// The largest R-hat of all numbers that were sampled.
    pub largest_rhat: f64,
    /// The fewest effective draws of all numbers that were sampled.
    pub fewest_effective_draws: f64,
    /// Headline closure.
    pub closure: &'static str,
    /// Every unknown of the materials that were measured, then those of counter and room.
    pub parameters: Vec<ParameterReport>,
    /// How far the model itself may be off, by material.
    pub misfits: Vec<MisfitReport>,
    /// Penetration after the data, a curve for each specimen and velocity.
    pub curves: Vec<CalibratedCurve>,
    /// Most penetrating size of the first curve.
    pub mpps_m: Option<CalibratedQuantiles>,
    /// Penetration there.
    pub mpps_penetration: Option<CalibratedQuantiles>,
    /// Every reading beside what the calibrated model would read.
    pub predictive: Vec<PredictiveReport>,
    /// What to measure next, the most telling first.
    pub next: Vec<NextReport>,
    /// What these readings cannot tell, each in a sentence.
    pub cannot_tell: Vec<String>,
    /// What to be careful about, each once.
    pub warnings: Vec<WarningReport>,
}

/// 95 % and 50 % of a distribution.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CalibratedQuantiles {
    /// 2.5 % lie below.
    pub q025: f64,
    /// A quarter lies below.
    pub q25: f64,
    /// The median.
    pub q50: f64,
    /// A quarter lies above.
    pub q75: f64,
    /// 2.5 % lie above.
    pub q975: f64,
}

/// What was known before.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PriorReport {
    /// 2.5 % lie below.
    pub q025: f64,
    /// The median.
    pub q50: f64,
    /// 2.5 % lie above.
    pub q975: f64,
    /// Quantiles at 1/40, 3/40 .. 39/40, for a drawing.
    pub quantiles: Vec<f64>,
}

/// An unknown before and after the data.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ParameterReport {
    /// The material, `counter`, `room`, or a file of readings.
    pub specimen: String,
    /// The key of the scenario that states it.
    pub name: String,
    /// What it is.
    pub words: String,
    /// The unit of all its values; empty for a plain number.
    pub unit: &'static str,
    /// Before the data.
    pub prior: PriorReport,
    /// Mean after the data.
    pub mean: f64,
    /// Standard deviation after the data.
    pub sd: f64,
    /// 2.5 % lie below.
    pub q025: f64,
    /// The median.
    pub q50: f64,
    /// 2.5 % lie above.
    pub q975: f64,
    /// Split R-hat.
    pub rhat: f64,
    /// Effective draws.
    pub ess: f64,
    /// Width after over width before, on the scale on which it is normal before.
    pub width_left: f64,
    /// How far the middle moved, in standard deviations before.
    pub shift: f64,
    /// Whether the data moved it.
    pub moved: bool,
    /// Quantiles at 1/40, 3/40 .. 39/40, for a drawing.
    pub quantiles: Vec<f64>,
}

/// How far the model of a material may be off.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MisfitReport {
    /// The material.
    pub specimen: String,
    /// `mechanics`: what a sheet catches without charge; `charge`: what charge adds.
    pub of: &'static str,
    /// Standard deviation of the logarithm of that exponent of a sheet before the data.
    pub amplitude: f64,
    /// ln d and ln U over which it forgets itself.
    pub lengths: [f64; 2],
    /// Where it was measured.
    pub knots: Vec<MisfitKnot>,
}

/// The misfit at a point.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MisfitKnot {
    /// Mobility diameter.
    pub diameter_m: f64,
    /// Flow over area.
    pub face_velocity_m_per_s: f64,
    /// Mean after the data: above 0 where the material catches more than the physics.
    pub mean: f64,
    /// Standard deviation after the data.
    pub sd: f64,
}

/// Quantiles of penetration over sizes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CalibratedBands {
    /// 2.5 % lie below.
    pub q025: Vec<f64>,
    /// A quarter lies below.
    pub q25: Vec<f64>,
    /// The median.
    pub q50: Vec<f64>,
    /// A quarter lies above.
    pub q75: Vec<f64>,
    /// 2.5 % lie above.
    pub q975: Vec<f64>,
}

/// A specimen at one velocity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CalibratedCurve {
    /// Stack, or layers of a material.
    pub specimen: String,
    /// Flow over area.
    pub face_velocity_m_per_s: f64,
    /// Whether it is the velocity of use.
    pub in_use: bool,
    /// Mobility diameters, rising.
    pub diameter_m: Vec<f64>,
    /// After the data.
    pub penetration: CalibratedBands,
    /// Before the data, misfit included.
    pub prior_penetration: CalibratedBands,
    /// Most penetrating size.
    pub mpps_m: CalibratedQuantiles,
    /// Penetration there.
    pub mpps_penetration: CalibratedQuantiles,
    /// Pressure drop.
    pub pressure_drop_pa: CalibratedQuantiles,
    /// Penetrations measured of this specimen at this velocity.
    pub measured: Vec<MeasuredPoint>,
}

/// A measured penetration beside the curve, by counting alone: each channel or point by itself.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeasuredPoint {
    /// Middle of the channel, or the size.
    pub diameter_m: f64,
    /// Ends of the channel; the size twice for a point.
    pub from_m: f64,
    /// See `from_m`.
    pub to_m: f64,
    /// Share that got through.
    pub penetration: f64,
    /// 95 % by counting alone.
    pub penetration_low: f64,
    /// 95 % by counting alone.
    pub penetration_high: f64,
}

/// A reading beside what the calibrated model would read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PredictiveReport {
    /// What was read of what.
    pub reading: String,
    /// `counts`, `ln_penetration` or `pressure_drop_pa`.
    pub kind: &'static str,
    /// Line of its file, from 1; 0 where it stands in the scenario.
    pub line: usize,
    /// What was read.
    pub observed: f64,
    /// 2.5 % of readings of the calibrated model lie below.
    pub q025: f64,
    /// Their median.
    pub q50: f64,
    /// 2.5 % lie above.
    pub q975: f64,
    /// Share of them below the reading.
    pub share_below: f64,
    /// Whether it lies in the outer 1 %.
    pub odd: bool,
}

/// A measurement that might come next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NextReport {
    /// What to measure.
    pub measurement: String,
    /// What it is to tell.
    pub target: String,
    /// Seconds of counting through the specimen; `None` for a reading that takes none.
    pub seconds: Option<f64>,
    /// Share of the variance of the target that it takes away.
    pub variance_reduction: f64,
    /// 95 % of the penetration of the target now.
    pub penetration_now: [f64; 2],
    /// And about after it.
    pub penetration_after: [f64; 2],
    /// Standard deviation of the target's ln(-ln P) now.
    pub sd_now: f64,
    /// And after it.
    pub sd_after: f64,
}
