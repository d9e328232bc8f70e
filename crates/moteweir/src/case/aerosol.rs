//! Checked aerosols and counter channels: what an efficiency is averaged over.

use moteweir_physics::aerosol::{self, DiameterKind, Shape, Weighting};
use moteweir_physics::air::Air;
use moteweir_units::{Density, Length};

use super::Case;

/// A named aerosol.
#[derive(Clone, Debug, PartialEq)]
pub struct Aerosol {
    /// Name by which channels and outputs call it.
    pub name: String,
    /// What an efficiency against it is averaged over.
    pub weighted_by: Weighting,
    /// Its size distribution by number, whatever it was stated by.
    pub aerosol: aerosol::Aerosol,
}

/// A channel of a particle counter.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Name.
    pub name: String,
    /// The edges as stated, such as `0.3 um to 0.5 um`.
    pub edges: String,
    /// Which diameter the stated edges are.
    pub diameter: DiameterKind,
    /// Lower edge, in the kind of diameter of the aerosol that is counted.
    pub from: Length,
    /// Upper edge, likewise; `None` counts everything above `from`.
    pub to: Option<Length>,
    /// The aerosol that is counted, by position in the case's list; `None` takes equal numbers in equal steps of
    /// the logarithm of diameter.
    pub aerosol: Option<usize>,
}

impl Channel {
    /// The channel for a reader: its name, what it counts, and of what.
    pub fn describe(&self, case: &Case) -> String {
        let Self { name, edges, .. } = self;
        let of = match self.aerosol.and_then(|position| case.aerosols.get(position)) {
            Some(aerosol) => aerosol.name.as_str(),
            None => "equal numbers in equal steps of ln d",
        };
        format!("{name} ({edges}, {} diameter, of {of})", self.diameter.name())
    }
}

impl Case {
    /// The aerosol that a channel counts.
    pub fn channel_aerosol(&self, channel: &Channel) -> aerosol::Aerosol {
        if let Some(named) = channel.aerosol.and_then(|position| self.aerosols.get(position)) {
            return named.aerosol.clone();
        }
        let to = channel.to.unwrap_or(self.particles.largest);
        aerosol::Aerosol {
            shape: Shape::PowerLaw { exponent: 0.0, from: channel.from, to },
            diameter: DiameterKind::Mobility,
        }
    }

    /// Sizes and weights over which an efficiency of a channel is averaged.
    pub fn channel_nodes(&self, channel: &Channel, air: &Air, density: Density) -> Vec<(Length, f64)> {
        self.channel_aerosol(channel).nodes_in_channel(channel.from, channel.to, air, density)
    }
}
