//! What can be asked of counts on a bench.

use std::path::PathBuf;

use clap::Args;

/// Arguments of `tally`.
#[derive(Debug, Args)]
pub(crate) struct TallyArguments {
    /// Particles counted with nothing in the way.
    #[arg(long, value_name = "N")]
    pub(crate) open: u64,
    /// Particles counted through the sample.
    #[arg(long, value_name = "N")]
    pub(crate) through: u64,
    /// Seconds of each count.
    #[arg(long, value_name = "S")]
    pub(crate) seconds: f64,
    /// Seconds of the count through the sample, where they were others.
    #[arg(long, value_name = "S")]
    pub(crate) through_seconds: Option<f64>,
    /// Size of the particles, such as "1 um".
    #[arg(long)]
    pub(crate) size: Option<String>,
    /// Diameter of the hole that the sample covered, such as "20 mm".
    #[arg(long, requires = "pump")]
    pub(crate) hole: Option<String>,
    /// Flow of the counter's pump, such as "2.83 L/min".
    #[arg(long, requires = "hole")]
    pub(crate) pump: Option<String>,
    /// How long the counter is blind after a particle, such as "0.008 ms".
    #[arg(long)]
    pub(crate) dead_time: Option<String>,
    /// Highest concentration of the counter, in particles, such as "70 /cm3".
    #[arg(long, requires = "pump", conflicts_with = "dead_time")]
    pub(crate) maximum_concentration: Option<String>,
    /// Efficiency that somebody claims.
    #[arg(long, default_value = "95 %")]
    pub(crate) claim: String,
    /// Level of the interval, and confidence for the claim.
    #[arg(long, default_value = "0.95")]
    pub(crate) level: String,
    /// Print the result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// What was counted through: then also what it says of the worst size.
    #[command(flatten)]
    pub(crate) swatch: SwatchArguments,
}

/// A swatch of a class.
#[derive(Debug, Args)]
#[command(next_help_heading = "The material; for the size that gets through most")]
pub(crate) struct SwatchArguments {
    /// Class of the shelf, such as "creped tissue".
    #[arg(long)]
    pub(crate) class: Option<String>,
    /// Mass over area, "27 g/m2", or of a swatch of --width and --length, "0.6 g".
    #[arg(long, requires = "class")]
    pub(crate) mass: Option<String>,
    /// Width of the swatch, such as "20 cm".
    #[arg(long, requires = "mass", requires = "length")]
    pub(crate) width: Option<String>,
    /// Length of the swatch, such as "11 cm".
    #[arg(long, requires = "mass", requires = "width")]
    pub(crate) length: Option<String>,
    /// Thickness of one layer, such as "0.2 mm".
    #[arg(long, requires = "class")]
    pub(crate) thickness: Option<String>,
    /// Pressure drop of one layer, such as "24 Pa at 10 cm/s".
    #[arg(long, requires = "class")]
    pub(crate) pressure_drop: Option<String>,
    /// How many layers were counted through.
    #[arg(long, requires = "class", value_parser = clap::value_parser!(u32).range(1..=100))]
    pub(crate) layers: Option<u32>,
}

/// Arguments of `counts`.
#[derive(Debug, Args)]
pub(crate) struct CountsArguments {
    /// The readings of the counter.
    pub(crate) file: PathBuf,
    /// Print the result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
    /// Level of the intervals.
    #[arg(long, default_value = "0.95")]
    pub(crate) level: String,
    /// How long the counter is blind after a particle, such as "0.008 ms".
    #[arg(long)]
    pub(crate) dead_time: Option<String>,
    /// Highest concentration of the counter, in particles, such as "70 /cm3".
    #[arg(long)]
    pub(crate) maximum_concentration: Option<String>,
    /// Flow of the counter's pump, where the file does not give it.
    #[arg(long)]
    pub(crate) pump: Option<String>,
    /// How much the capture of particles differs in a channel, such as "50 %".
    #[arg(long, conflicts_with = "class")]
    pub(crate) spread: Option<String>,
    /// What was counted through: then layers are held against its physics.
    #[command(flatten)]
    pub(crate) swatch: SwatchArguments,
}

/// Arguments of `plan`.
#[derive(Debug, Args)]
pub(crate) struct PlanArguments {
    /// Particles counted with nothing in the way, on trial.
    #[arg(long, value_name = "N")]
    pub(crate) open: u64,
    /// Seconds of that count.
    #[arg(long, value_name = "S")]
    pub(crate) seconds: f64,
    /// Efficiency that is expected.
    #[arg(long)]
    pub(crate) efficiency: String,
    /// To know it to plus or minus so much.
    #[arg(long, default_value = "1 %")]
    pub(crate) within: String,
    /// To tell it from another that catches so much.
    #[arg(long)]
    pub(crate) other: Option<String>,
    /// To show that at least so much is caught.
    #[arg(long, default_value = "95 %")]
    pub(crate) claim: String,
    /// Time that there is in all.
    #[arg(long, default_value = "10 min")]
    pub(crate) total: String,
    /// How much readings differ beyond counting, such as "5 %".
    #[arg(long, default_value = "0 %")]
    pub(crate) dispersion: String,
    /// Readings that each time is split into.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(crate) readings: u32,
    /// Flow of the counter's pump, such as "2.83 L/min".
    #[arg(long)]
    pub(crate) pump: Option<String>,
    /// Face velocity of use, such as "5 cm/s"; else those of a mask.
    #[arg(long, requires = "pump")]
    pub(crate) velocity: Option<String>,
    /// Level of the interval, and confidence for the claim.
    #[arg(long, default_value = "0.95")]
    pub(crate) level: String,
    /// Print the result as JSON.
    #[arg(long)]
    pub(crate) json: bool,
}
