//! How long to count, as data.

use serde::Serialize;

/// Format and version of a [`PlanReport`].
pub const FORMAT: &str = "moteweir.plan.1";

/// How long to count in the room and through a sample.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanReport {
    /// Format and version.
    pub format: &'static str,
    /// Level of intervals, and confidence of a claim, 0 to 1.
    pub level: f64,
    /// Chance that the times given are enough.
    pub assurance: f64,
    /// Particles that the counter counts in the room each second.
    pub open_per_second: f64,
    /// Efficiency that is expected.
    pub efficiency: f64,
    /// Coefficient of variation between readings beyond counting.
    pub dispersion: f64,
    /// How many readings each time is split into.
    pub readings: u32,
    /// To know the efficiency to plus or minus so much.
    pub width: PlanGoal,
    /// To tell the sample from another.
    pub difference: Option<PlanGoal>,
    /// To show that the efficiency is at least so much.
    pub claim: PlanGoal,
    /// The best split of a fixed time.
    pub split: PlanSplit,
    /// What longer counting buys.
    pub curve: Vec<PlanSplit>,
    /// Holes in which the pump makes velocities of use.
    pub holes: Vec<PlanHole>,
}

/// Something to be known, and how long that takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanGoal {
    /// Half-width, other efficiency or claimed efficiency, 0 to 1.
    pub goal: f64,
    /// Seconds in the room; none where no time is enough.
    pub open_seconds: Option<f64>,
    /// Seconds through the sample (through each of two); none where no time is enough.
    pub through_seconds: Option<f64>,
    /// Chance that it is enough.
    pub power: Option<f64>,
}

/// A time split in two.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlanSplit {
    /// In all.
    pub total_seconds: f64,
    /// In the room.
    pub open_seconds: f64,
    /// Through the sample.
    pub through_seconds: f64,
    /// Half-width of the interval of the efficiency, the wider side, at the counts that are expected.
    pub half_width: f64,
    /// Chance that the claim is shown.
    pub claim_power: f64,
}

/// A hole for a velocity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlanHole {
    /// Where the velocity is used.
    pub used: String,
    /// Face velocity.
    pub face_velocity_m_per_s: f64,
    /// Diameter of a round hole.
    pub diameter_m: f64,
}
