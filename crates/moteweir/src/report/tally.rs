//! One pair of counts and what it says, as data.

use serde::Serialize;

/// Format and version of a [`TallyReport`].
pub const FORMAT: &str = "moteweir.tally.1";

/// What one count of the room and one through a sample say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TallyReport {
    /// Format and version.
    pub format: &'static str,
    /// Level of the two-sided interval, 0 to 1.
    pub level: f64,
    /// Size of the particles counted, if it was stated.
    pub size_m: Option<f64>,
    /// Particles counted in the room.
    pub open_counts: u64,
    /// How long.
    pub open_seconds: f64,
    /// Particles counted through the sample.
    pub sample_counts: u64,
    /// How long.
    pub sample_seconds: f64,
    /// Share that gets through.
    pub penetration: f64,
    /// Lower end of its two-sided exact interval.
    pub penetration_low: f64,
    /// Upper end of its two-sided exact interval; none where nothing was counted open.
    pub penetration_high: Option<f64>,
    /// What makes the interval half as wide.
    pub halving: Option<MoreTime>,
    /// Whether the count shows what is claimed.
    pub claim: ClaimReport,
    /// How fast the air went through, with hole and pump.
    pub velocity: Option<VelocityReport>,
    /// What it says of the size that gets through most, with a class.
    pub worst: Option<WorstReport>,
    /// What to be careful about, each once.
    pub warnings: Vec<super::WarningReport>,
}

/// How much longer to count.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MoreTime {
    /// In the room.
    pub open_seconds: f64,
    /// Through the sample.
    pub sample_seconds: f64,
}

/// A claim of an efficiency, and what the count makes of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClaimReport {
    /// The efficiency claimed, 0 to 1.
    pub efficiency: f64,
    /// One-sided confidence that a claim needs.
    pub confidence: f64,
    /// Efficiency that the count shows with that confidence: at least this.
    pub at_least: f64,
    /// `shown`, `refuted` or `open`.
    pub verdict: &'static str,
    /// Where it is open and the count as it is would show it: what to count, four times of five enough.
    pub more: Option<MoreTime>,
}

/// The face velocity of a test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VelocityReport {
    /// In the hole.
    pub face_velocity_m_per_s: f64,
    /// The nearest velocity of use: its name.
    pub nearest_use: &'static str,
    /// The nearest velocity of use.
    pub nearest_use_m_per_s: f64,
    /// Area of the mask that velocities of use are for.
    pub mask_area_m2: f64,
    /// Hole that would give that velocity with the same pump.
    pub hole_for_use_m: f64,
}

/// A quantity before and after the count.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Quantiles {
    /// 2.5 % lie below.
    pub q025: f64,
    /// The median.
    pub q50: f64,
    /// 2.5 % lie above.
    pub q975: f64,
}

/// An unknown of a class before and after the count.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnknownReport {
    /// Key of a scenario.
    pub key: &'static str,
    /// In words.
    pub quantity: &'static str,
    /// What the class says, in SI.
    pub before: Quantiles,
    /// With the count.
    pub after: Quantiles,
    /// Both as text: before, after.
    #[serde(skip)]
    pub words: [String; 2],
}

/// What a count at one size says of the size that gets through most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorstReport {
    /// The material, in words.
    pub of: String,
    /// Face velocity.
    pub face_velocity_m_per_s: f64,
    /// The size that gets through most (mobility diameter).
    pub mpps_m: Quantiles,
    /// Penetration there, before the count.
    pub penetration_before: Quantiles,
    /// Penetration there, with the count.
    pub penetration: Quantiles,
    /// The unknowns that the count was held against.
    pub unknowns: Vec<UnknownReport>,
    /// Quantities of the class that are not known either but were kept at their central values.
    pub kept: Vec<&'static str>,
    /// Whether anything the class can be gives such counts.
    pub is_within_class: bool,
}
