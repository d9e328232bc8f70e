//! One layer of a stack, whatever it is made of.

use moteweir_units::Velocity;

use crate::air::Air;
use crate::closure::{Closure, Groups, SingleFibre, Slices};
use crate::estimate::Estimate;
use crate::particle::Particle;
use crate::range::Remarks;
use crate::single_fibre::gravity::FlowDirection;
use crate::weave::{PreparedWeave, Weave};
use crate::web::{PreparedWeb, Web};

/// A layer.
#[derive(Clone, Debug, PartialEq)]
pub enum Layer {
    /// A web of fibres.
    Web(Web),
    /// A fabric of yarns.
    Weave(Weave),
}

/// What a prediction is made with: the surroundings of the whole stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The closure of webs; yarns of weaves lie outside the fitted set and always take the cell.
    pub closure: Closure,
    /// The air.
    pub air: Air,
    /// Which way the air flows.
    pub direction: FlowDirection,
}

/// A layer made ready for one setting and face velocity.
#[derive(Clone, Debug)]
pub enum PreparedLayer {
    /// A web of fibres.
    Web(Box<PreparedWeb>),
    /// A fabric of yarns.
    Weave(Box<PreparedWeave>),
}

impl Layer {
    /// Makes the layer ready. The face velocity must be positive.
    pub fn prepare(&self, setting: &Setting, face_velocity: Velocity) -> PreparedLayer {
        self.prepare_with(setting, face_velocity, &Slices::default())
    }

    /// As [`Layer::prepare`], with slices of the tables that other layers share.
    pub fn prepare_with(&self, setting: &Setting, face_velocity: Velocity, slices: &Slices) -> PreparedLayer {
        let Setting { closure, air, direction } = setting;
        match self {
            Self::Web(web) => PreparedLayer::Web(Box::new(web.prepare_with(
                *closure,
                air,
                face_velocity,
                *direction,
                slices,
            ))),
            Self::Weave(weave) => PreparedLayer::Weave(Box::new(weave.prepare_with(
                *closure,
                air,
                face_velocity,
                *direction,
                slices,
            ))),
        }
    }

    /// Pressure drop \[Pa\] at a face velocity.
    pub fn pressure_drop(&self, setting: &Setting, face_velocity: Velocity) -> Estimate {
        match self {
            Self::Web(web) => web.pressure_drop(setting.closure, &setting.air, face_velocity),
            Self::Weave(weave) => weave.pressure_drop(&setting.air, face_velocity),
        }
    }

    /// Notes where the layer itself leaves the ranges of the relations.
    pub fn check(&self, setting: &Setting, face_velocity: Velocity, remarks: &mut Remarks) {
        match self {
            Self::Web(web) => web.check(setting.closure, &setting.air, face_velocity, remarks),
            Self::Weave(weave) => weave.check(setting.closure, &setting.air, face_velocity, remarks),
        }
    }
}

impl PreparedLayer {
    /// Pressure drop \[Pa\].
    pub fn pressure_drop(&self) -> Estimate {
        match self {
            Self::Web(web) => web.pressure_drop(),
            Self::Weave(weave) => weave.pressure_drop(),
        }
    }

    /// Penetration of a particle at each of a list of charge numbers.
    pub fn penetrations(&self, particle: &Particle, charges: &[i32]) -> Vec<Estimate> {
        match self {
            Self::Web(web) => web.penetrations(particle, charges),
            Self::Weave(weave) => weave.penetrations(particle, charges),
        }
    }

    /// Single-fibre efficiency by mechanism, at the median fibre.
    pub fn single_fibre(&self, particle: &Particle, charges: i32) -> SingleFibre {
        match self {
            Self::Web(web) => web.single_fibre(particle, charges),
            Self::Weave(weave) => weave.single_fibre(particle, charges),
        }
    }

    /// Notes where a particle leaves the ranges of the relations.
    pub fn check(&self, particle: &Particle, charges: i32, remarks: &mut Remarks) {
        match self {
            Self::Web(web) => web.check(particle, charges, remarks),
            Self::Weave(weave) => weave.check(particle, charges, remarks),
        }
    }

    /// Dimensionless groups of a particle at the median fibre; inside the yarns of a fabric.
    pub fn groups(&self, particle: &Particle) -> Groups {
        match self {
            Self::Web(web) => web.groups(particle),
            Self::Weave(weave) => weave.groups(particle),
        }
    }
}
