//! `[bench]`: counts of the room's particles without and with a specimen, and what they were counted with.

use moteweir_physics::aerosol::DiameterKind;
use moteweir_units::{Flow, Length, Pressure, Time, Velocity};

use super::{ReadingKind, Specimen};
use crate::bench::Readings;
use crate::doubt::Doubt;
use crate::problem::Span;

/// What was measured on a bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// The file of counts, where there is one.
    pub counts: Option<CountsFile>,
    /// What they were counted with.
    pub counter: Counter,
    /// What was counted.
    pub room: Room,
    /// Diameter of the hole that the pump sucks through.
    pub hole: Option<Length>,
    /// Flow of the pump.
    pub pump: Option<Flow>,
    /// Pressure drops and air permeabilities, in the order of the file.
    pub resistances: Vec<Resistance>,
}

/// A file of counts.
#[derive(Clone, Debug, PartialEq)]
pub struct CountsFile {
    /// The file, as the scenario names it.
    pub name: String,
    /// Where the scenario names it.
    pub place: Span,
    /// What was counted.
    pub readings: Readings,
    /// What each of its specimens is in the case, in the order of [`Readings::specimens`].
    pub specimens: Vec<Specimen>,
}

/// A particle counter.
#[derive(Clone, Debug, PartialEq)]
pub struct Counter {
    /// Which diameter its sizes are.
    pub diameter: DiameterKind,
    /// Edges of its channels, rising, in the kind of diameter above; empty where not stated.
    pub edges: Vec<Length>,
    /// Where its widest channel ends, likewise.
    pub largest: Length,
    /// Standard uncertainty of ln d that all edges share: the setting of the size scale.
    pub sizing: f64,
    /// Standard deviation of ln d of the response about an edge: how blurred an edge is.
    pub resolution: f64,
    /// Time that the counter is blind after a particle, where stated.
    pub dead_time: Option<Time>,
    /// Highest concentration that it counts well \[1/m3\], where stated.
    pub most_per_m3: Option<f64>,
}

/// The room's aerosol: numbers in equal steps of ln d fall as a power of the diameter, `dN/dln d ~ d^-slope`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// The slope.
    pub slope: f64,
    /// What is not known of it.
    pub doubt: Doubt,
}

impl Room {
    /// Standard uncertainty of the slope: half the width of the middle 68 % of what it may be; 0 where it is exact.
    pub fn slope_uncertainty(&self) -> f64 {
        // One standard deviation of a normal distribution either way.
        const BELOW: f64 = 0.158_655_253_931_457_05;
        0.5 * (self.doubt.quantile(self.slope, 1.0 - BELOW) - self.doubt.quantile(self.slope, BELOW))
    }
}

/// A pressure drop or an air permeability of a specimen.
#[derive(Clone, Debug, PartialEq)]
pub struct Resistance {
    /// What was measured.
    pub specimen: Specimen,
    /// How many times the specimen lay on itself, 1 or more.
    pub layers: u32,
    /// Whether the pressure was read at a velocity or the velocity at a pressure.
    pub kind: ReadingKind,
    /// Pressure drop across all layers together.
    pub pressure_drop: Pressure,
    /// Face velocity at it.
    pub face_velocity: Velocity,
    /// Relative standard uncertainty of the reading.
    pub relative_uncertainty: f64,
    /// As the scenario has it, such as `24 Pa at 10 cm/s`.
    pub text: String,
}

impl Bench {
    /// Face velocity in the hole, pump over hole, where both are stated.
    pub fn face_velocity(&self) -> Option<Velocity> {
        let (hole, pump) = (self.hole?, self.pump?);
        let area = 0.25 * std::f64::consts::PI * hole.to_m() * hole.to_m();
        Some(Velocity::from_m_per_s(pump.to_m3_per_s() / area))
    }
}
