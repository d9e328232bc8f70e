//! Checked aerosols and counter channels: what an efficiency is averaged over.

use moteweir_units::Length;

/// Which diameter of a particle a number states.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiameterKind {
    /// Electrical mobility diameter, the volume-equivalent one of a sphere; the diameter of every curve.
    Mobility,
    /// Aerodynamic diameter: of the sphere of 1000 kg/m3 that settles alike.
    Aerodynamic,
    /// Optical diameter, as calibrated with latex; taken as the mobility diameter, with a warning.
    Optical,
}

/// What a distribution counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weighting {
    /// Each particle alike.
    Number,
    /// By surface, as the square of the diameter.
    Area,
    /// By mass, as the cube of the diameter.
    Mass,
}

/// A named aerosol.
#[derive(Clone, Debug, PartialEq)]
pub struct Aerosol {
    /// Name by which channels and outputs call it.
    pub name: String,
    /// What its medians and shares were stated of.
    pub stated_by: Weighting,
    /// What an efficiency against it is averaged over.
    pub weighted_by: Weighting,
    /// Which diameter its sizes are.
    pub diameter: DiameterKind,
    /// Its sizes.
    pub sizes: Sizes,
}

/// The size distribution of an aerosol.
#[derive(Clone, Debug, PartialEq)]
pub enum Sizes {
    /// A sum of lognormal modes.
    Modes(Vec<Mode>),
    /// Shares in bins, spread evenly over the logarithm of diameter within a bin.
    Bins(Vec<Bin>),
}

/// One lognormal mode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// Median diameter of the stated weighting.
    pub median: Length,
    /// Geometric standard deviation, above 1.
    pub gsd: f64,
    /// Share of the whole, in the stated weighting; the shares add to 1.
    pub share: f64,
}

/// One bin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bin {
    /// Lower edge.
    pub from: Length,
    /// Upper edge.
    pub to: Length,
    /// Share of the whole, in the stated weighting; the shares add to 1.
    pub share: f64,
}

/// A channel of a particle counter.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Name.
    pub name: String,
    /// Lower edge.
    pub from: Length,
    /// Upper edge; `None` counts everything above `from`.
    pub to: Option<Length>,
    /// Which diameter the edges are.
    pub diameter: DiameterKind,
    /// The aerosol that is counted, by position in the case's list; `None` takes equal numbers in equal steps of
    /// the logarithm of diameter.
    pub aerosol: Option<usize>,
}
