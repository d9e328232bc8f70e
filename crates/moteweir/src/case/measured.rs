//! Curves and flows that a laboratory measured, of a material or a stack of the case.

use moteweir_physics::aerosol::DiameterKind;
use moteweir_units::{Length, Pressure, Velocity};

use super::Specimen;

/// One `[[measured]]`: what a laboratory's file says.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The file, as the scenario names it.
    pub file: String,
    /// What was measured.
    pub specimen: Specimen,
    /// How many times the specimen lay on itself, 1 or more.
    pub layers: u32,
    /// Which diameter the file's sizes are.
    pub diameter: DiameterKind,
    /// Where the numbers come from, word for word.
    pub source: Option<String>,
    /// When they were measured, word for word.
    pub date: Option<String>,
    /// With what, word for word.
    pub instrument: Option<String>,
    /// How the specimen was treated before, word for word.
    pub conditioning: Option<String>,
    /// Penetrations, in the order of the file; empty where the file has flows.
    pub penetrations: Vec<MeasuredPenetration>,
    /// Flows, in the order of the file; empty where the file has penetrations.
    pub flows: Vec<MeasuredFlow>,
}

/// A measured penetration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredPenetration {
    /// Line of the file, from 1.
    pub line: usize,
    /// Diameter as the file states it.
    pub stated_diameter: Length,
    /// The mobility diameter of the same particle: the axis of every curve.
    pub diameter: Length,
    /// Face velocity.
    pub face_velocity: Velocity,
    /// Share that got through, above 0.
    pub penetration: f64,
    /// Standard uncertainty of the penetration, where stated or counted.
    pub standard_uncertainty: Option<f64>,
    /// The counts it was made of, where the file has counts.
    pub counts: Option<CurveCounts>,
}

impl MeasuredPenetration {
    /// Standard uncertainty of ln P, where one is known: that of the penetration over the penetration.
    pub fn uncertainty_of_ln_p(&self) -> Option<f64> {
        self.standard_uncertainty.map(|u| u / self.penetration)
    }
}

/// Counts upstream and downstream of a specimen in one channel of a rig.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveCounts {
    /// Particles counted upstream.
    pub upstream: u64,
    /// Particles counted downstream.
    pub downstream: u64,
    /// Time counted upstream over time counted downstream; 1 where the file has no times.
    pub time_ratio: f64,
    /// Downstream over upstream of the empty rig.
    pub correlation_ratio: f64,
    /// Standard uncertainty of that ratio, 0 where not stated.
    pub correlation_uncertainty: f64,
}

impl CurveCounts {
    /// Penetration: downstream over upstream per time, over the same of the empty rig.
    pub fn penetration(&self) -> f64 {
        self.downstream as f64 / self.upstream as f64 * self.time_ratio / self.correlation_ratio
    }

    /// Standard uncertainty of ln P from counting (one over the counts) and from the ratio of the empty rig.
    pub fn uncertainty_of_ln_p(&self) -> f64 {
        let counting = (self.upstream as f64).recip() + (self.downstream as f64).recip();
        (counting + (self.correlation_uncertainty / self.correlation_ratio).powi(2)).sqrt()
    }
}

/// A measured pair of pressure drop and face velocity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredFlow {
    /// Line of the file, from 1.
    pub line: usize,
    /// Face velocity.
    pub face_velocity: Velocity,
    /// Pressure drop at it.
    pub pressure_drop: Pressure,
    /// Relative standard uncertainty of the one that was read at the other, where stated.
    pub relative_uncertainty: Option<f64>,
}
