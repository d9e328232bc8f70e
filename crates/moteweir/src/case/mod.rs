//! The checked case: a scenario in which every value is known, typed and possible.
//!
//! [`Case::read`] goes from text to case in one step and returns every problem, not the first. Lookup by name is
//! over here: layers, channels and stacks hold positions.

mod aerosol;
mod at_inputs;
mod bench;
mod check;
mod conditions;
mod decision;
mod face;
mod facts;
mod input;
mod known;
mod laboratory;
mod ledger;
mod material;
mod measured;
mod mixtures;
mod specimen;
#[cfg(test)]
mod tests;
mod varies;
mod weave;
mod web;

use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_units::{Area, Density, Flow, Length, Pressure, Temperature, Velocity};

pub use aerosol::{Aerosol, Channel};
pub use at_inputs::Sheet;
pub use bench::{Bench, Counter, CountsFile, Resistance, Room};
pub use decision::{Among, Goal, Question, ResistanceLimit, Target, Vary};
pub use face::{Breathing, Face, Leak, LeakAt};
pub use input::{Input, Uncertain};
pub use known::{Derivation, Known, Origin};
pub use measured::{CurveCounts, Measured, MeasuredFlow, MeasuredPenetration};
pub use specimen::Specimen;
pub use varies::{Piece, Variation, factor_of_mean_one};

pub use material::{Binding, FibreFacts, FlowReading, Material, ReadingKind, Structure, Weave, Web};

use crate::problem::Problem;

/// A checked case.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// What it is about.
    pub title: String,
    /// The air around and in the filter.
    pub air: AirConditions,
    /// The particles that curves are computed for.
    pub particles: Particles,
    /// Which sets of expressions to use.
    pub model: ModelChoice,
    /// Materials, in the order of the file.
    pub materials: Vec<Material>,
    /// Stacks, in the order of the file.
    pub stacks: Vec<Stack>,
    /// Aerosols to average efficiency over.
    pub aerosols: Vec<Aerosol>,
    /// Counter channels to average efficiency over.
    pub channels: Vec<Channel>,
    /// Velocities, flow and area of use.
    pub usage: Usage,
    /// What stacks have to reach, in the order of the file.
    pub targets: Vec<Target>,
    /// How many layers of a material?
    pub question: Option<Question>,
    /// How the filter is worn.
    pub face: Option<Face>,
    /// How many draws are made.
    pub vary: Vary,
    /// What a bench counted.
    pub bench: Option<Bench>,
    /// What laboratories measured, in the order of the file.
    pub measured: Vec<Measured>,
    /// Every value that came from a default, a class or a table of polymers, and the central value of every one that the
    /// scenario states as not known.
    pub assumed: Vec<Assumed>,
    /// What is odd but usable, sorted by position.
    pub warnings: Vec<Problem>,
}

/// Condition of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirConditions {
    /// Temperature.
    pub temperature: Temperature,
    /// Absolute pressure.
    pub pressure: Pressure,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: f64,
}

/// The particles of the curves: spheres, sizes spaced evenly in the logarithm, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Particles {
    /// Smallest mobility diameter.
    pub smallest: Length,
    /// Largest mobility diameter.
    pub largest: Length,
    /// How many sizes, two or more.
    pub points: usize,
    /// Particle density.
    pub density: Density,
    /// Particle charge.
    pub charge: ParticleCharge,
    /// Relative permittivity of the particles.
    pub relative_permittivity: f64,
}

/// Which closures a prediction uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ModelChoice {
    /// The headline.
    pub closure: Closure,
    /// Those whose spread makes the band; the headline is always among them.
    pub compare: Vec<Closure>,
}

/// Layers one behind the other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stack {
    /// Name.
    pub name: String,
    /// Positions in [`Case::materials`], upstream first, one entry a sheet.
    pub layers: Vec<usize>,
}

/// How the stacks are used.
#[derive(Clone, Debug, PartialEq)]
pub struct Usage {
    /// Face velocities to predict at: at least one, each once.
    pub face_velocities: Vec<FaceVelocity>,
    /// Flow through the device.
    pub flow: Flow,
    /// Filtering area of the device.
    pub area: Area,
    /// Which way the air flows through it.
    pub direction: FlowDirection,
}

/// A face velocity with the reason it is there.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceVelocity {
    /// Flow over area.
    pub velocity: Velocity,
    /// For people: the text of the scenario, the name of an operating point, or flow through area.
    pub label: String,
    /// Source of a named operating point.
    pub source: Option<&'static str>,
}

/// A value that the scenario does not state, or not exactly.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// The material it belongs to, if to one.
    pub material: Option<String>,
    /// The key that would state it.
    pub key: &'static str,
    /// The value, as text with its unit.
    pub value: String,
    /// Where it came from: a default, a class, a polymer, or the scenario where it is a central value.
    pub from: Origin,
}
