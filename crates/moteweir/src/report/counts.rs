//! What counts say, as data.

use serde::Serialize;

use super::WarningReport;

/// Format and version of a [`CountsReport`].
pub const FORMAT: &str = "moteweir.counts.1";

/// What a file of counts says of what was tested.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CountsReport {
    /// Format and version.
    pub format: &'static str,
    /// Share of repetitions in which an interval holds the true value, 0 to 1.
    pub level: f64,
    /// One entry for each thing tested, face velocity and channel.
    pub results: Vec<CountsResult>,
    /// Pairs in one channel, corrected for how many are compared.
    pub comparisons: Vec<CountsComparison>,
    /// What to be careful about, each once.
    pub warnings: Vec<WarningReport>,
    /// For each channel with more than one thing tested, best first; for words only.
    #[serde(skip)]
    pub rankings: Vec<CountsRanking>,
    /// Whether more layers are so many of one; for words only.
    #[serde(skip)]
    pub layers: Vec<LayersReport>,
}

/// How much gets through in a channel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CountsResult {
    /// Material or stack.
    pub specimen: String,
    /// Which side faces the room; empty where it is not said.
    pub side: String,
    /// How many layers.
    pub layers: u32,
    /// What was done to it.
    pub treatment: String,
    /// Lower edge of the channel; none where open.
    pub from_m: Option<f64>,
    /// Upper edge of the channel; none where open.
    pub to_m: Option<f64>,
    /// Face velocity; none where it was not given.
    pub face_velocity_m_per_s: Option<f64>,
    /// Particles counted in the room, by all open readings of the channel.
    pub open_counts: u64,
    /// How long.
    pub open_seconds: f64,
    /// Particles counted through the sample.
    pub sample_counts: u64,
    /// How long.
    pub sample_seconds: f64,
    /// Share that gets through; none where the room held nothing to count.
    pub penetration: Option<f64>,
    /// Lower end of its two-sided interval.
    pub penetration_low: Option<f64>,
    /// Upper end of its two-sided interval; none where nothing limits it.
    pub penetration_high: Option<f64>,
    /// How the interval was found.
    pub method: &'static str,
    /// What to be careful about in this one.
    pub notes: Vec<String>,
}

/// Two things tested, side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CountsComparison {
    /// One, in words.
    pub a: String,
    /// The other, in words.
    pub b: String,
    /// Lower edge of the channel; none where open.
    pub from_m: Option<f64>,
    /// Upper edge of the channel; none where open.
    pub to_m: Option<f64>,
    /// Penetration of `a` over that of `b`.
    pub ratio: f64,
    /// Lower end of its interval, corrected for the number of pairs.
    pub ratio_low: f64,
    /// Upper end of its interval, corrected for the number of pairs.
    pub ratio_high: f64,
    /// Which lets fewer through, or that no difference was seen and how large a one would have been.
    pub verdict: String,
    /// Whether a difference was seen; for words only.
    #[serde(skip)]
    pub is_told: bool,
    /// Whether the two follow one another in the ranking; for words only.
    #[serde(skip)]
    pub is_neighbours: bool,
}

/// All that was tested in a channel, best first, in groups that cannot be told apart.
#[derive(Clone, Debug, PartialEq)]
pub struct CountsRanking {
    /// The channel, in words.
    pub channel: String,
    /// Positions in [`CountsReport::results`], fewest through first.
    pub order: Vec<usize>,
    /// The same positions, those in one group not told apart; one may be in several.
    pub groups: Vec<Vec<usize>>,
    /// Those that cannot be told from the best.
    pub like_best: Vec<usize>,
    /// How many pairs were compared.
    pub pairs: usize,
}

/// Whether n layers let through what one lets through n times over.
#[derive(Clone, Debug, PartialEq)]
pub struct LayersReport {
    /// What it is, layers apart.
    pub what: String,
    /// The channel, in words.
    pub channel: String,
    /// How many layers the fewer are.
    pub fewer: u32,
    /// How many layers the more are.
    pub more: u32,
    /// What the more let through if layers were independent and all particles alike.
    pub product: f64,
    /// What they let through.
    pub found: f64,
    /// Exponent of the more over that of so many times the fewer: estimate, low, high.
    pub ratio: [f64; 3],
    /// The same ratio as a channel that holds easy and hard sizes must show.
    pub expected: Option<f64>,
    /// Where the expected ratio comes from, in words.
    pub expected_from: String,
    /// In words.
    pub verdict: String,
}
