//! Woven and knitted cloth: pores between yarns beside fibres inside them, at one pressure drop.
//!
//! Most of the air goes through the pores, where only hairs across them catch much; the yarns catch nearly all of
//! what the rest brings. [`construction`] finds the pores from what a weaver states, [`pores`] and [`yarns`] how
//! hard they let air through, [`split`] how it divides, [`pore_capture`] and [`rebound`] what the pores stop. What
//! the construction leaves open is carried as two further readings of the cloth, an open and a tight one.

use moteweir_units::{Length, Velocity};

use crate::air::Air;
use crate::closure::{Closure, Slices};
use crate::drag::FlowReading;
use crate::estimate::Estimate;
use crate::layer::Setting;
use crate::range::{Notice, Remarks};
use crate::single_fibre::electrostatic::Electret;
use crate::single_fibre::gravity::FlowDirection;

pub mod class;
pub mod construction;
pub mod error;
pub mod fabric;
mod fit;
pub mod pore_capture;
pub mod pores;
pub mod prepared;
pub mod rebound;
mod section;
pub mod split;
pub mod yarns;

pub use class::WeaveClass;
pub use construction::{ClothGeometry, WeaveConstruction};
pub use error::WeaveError;
pub use fabric::{Fabric, PoreShape, Pores};
pub use prepared::{Paths, PorePath, PreparedWeave};
pub use split::Split;

/// Where the pores of a weave come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PoresFrom {
    /// Counts, yarn and a stated yarn width.
    Construction,
    /// Counts and yarn, with the class's flattening.
    Class,
    /// A measured flow.
    Reading,
    /// A measured flow below that of the yarns alone: no pores, and tighter yarns.
    ClosedByReading,
}

/// A woven or knitted cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Weave {
    /// Woven or knitted.
    pub class: WeaveClass,
    /// The cloth that the model stands by.
    pub fabric: Fabric,
    /// Other readings of the same statements: an open and a tight one.
    pub ends: [Fabric; 2],
    /// Diameter of the fibres in the yarns and of the hairs.
    pub fibre_diameter: Length,
    /// Solidity of hairs and nap across the pores; 0 for none.
    pub hairs: f64,
    /// Charge on the fibres and permittivities.
    pub electret: Electret,
    /// Where the pores come from.
    pub pores_from: PoresFrom,
}

impl Weave {
    /// The cloth of a construction.
    ///
    /// # Errors
    /// As [`WeaveConstruction::geometry`].
    pub fn from_construction(construction: &WeaveConstruction) -> Result<Self, WeaveError> {
        let (fabric, ends) = construction.fabrics()?;
        Ok(Self {
            class: construction.class,
            fabric,
            ends,
            fibre_diameter: construction.fibre_diameter,
            hairs: construction.hairs,
            electret: construction.electret,
            pores_from: if construction.is_flattening_assumed() {
                PoresFrom::Class
            } else {
                PoresFrom::Construction
            },
        })
    }

    /// The same cloth with pores of the width that a measured flow asks for; their number stays.
    ///
    /// A reading below what the yarns alone pass closes the pores and multiplies the yarns' drag until it fits; what
    /// the yarns catch stays as computed, which is then a low estimate.
    /// The open and the tight reading are fitted as well, so the pressure drop's band closes at the reading.
    ///
    /// # Errors
    /// A reading that is not positive, or more flow than the cloth passes with 90 % of it open.
    pub fn fitted_to_reading(self, reading: FlowReading, air: &Air) -> Result<Self, WeaveError> {
        let fitted = |fabric: &Fabric| fit::to_reading(fabric, self.fibre_diameter, reading, air);
        let fabric = fitted(&self.fabric)?;
        let ends = [fitted(&self.ends[0])?, fitted(&self.ends[1])?];
        let pores_from = if fabric.pores.is_some() { PoresFrom::Reading } else { PoresFrom::ClosedByReading };
        Ok(Self { fabric, ends, pores_from, ..self })
    }

    /// Makes the cloth ready. The face velocity must be positive. The closure is that of hairs across the pores:
    /// yarns lie outside the fitted set and always take the cell.
    pub fn prepare(
        &self,
        closure: Closure,
        air: &Air,
        face_velocity: Velocity,
        direction: FlowDirection,
    ) -> PreparedWeave {
        self.prepare_with(closure, air, face_velocity, direction, &Slices::default())
    }

    /// As [`Weave::prepare`], with slices of the tables that other layers share.
    pub fn prepare_with(
        &self,
        closure: Closure,
        air: &Air,
        face_velocity: Velocity,
        direction: FlowDirection,
        slices: &Slices,
    ) -> PreparedWeave {
        let setting = Setting { closure, air: *air, direction };
        PreparedWeave::new(self, &setting, face_velocity, slices)
    }

    /// Pressure drop \[Pa\] at a face velocity; the band is that of the open and the tight reading of the cloth.
    pub fn pressure_drop(&self, air: &Air, face_velocity: Velocity) -> Estimate {
        let of = |fabric: &Fabric| {
            Estimate::exact(Split::new(fabric, self.fibre_diameter, air, face_velocity).pressure_drop_pa)
        };
        self.ends.iter().fold(of(&self.fabric), |sum, end| sum.widened_by(of(end)))
    }

    /// Notes where the cloth leaves the ranges of the relations.
    pub fn check(&self, _: Closure, air: &Air, face_velocity: Velocity, remarks: &mut Remarks) {
        remarks.check(yarns::YARN_SOLIDITY_RANGE, self.fabric.yarn_solidity.fraction());
        if let Some(pores) = self.fabric.pores {
            let split = Split::new(&self.fabric, self.fibre_diameter, air, face_velocity);
            let kinematic = air.viscosity().to_pa_s() / air.density().to_kg_per_m3();
            let v = split.pore_velocity.to_m_per_s();
            remarks.check(pores::PORE_REYNOLDS_RANGE, v * pores.diameter.to_m() / kinematic);
            if self.hairs > 0.0 {
                remarks.check(prepared::HAIR_REYNOLDS_RANGE, v * self.fibre_diameter.to_m() / kinematic);
                remarks.say(Notice::HairsAcrossPores);
            }
        }
        match (self.pores_from, self.class) {
            (PoresFrom::ClosedByReading, _) => remarks.say(Notice::PoresClosed),
            (PoresFrom::Reading, _) | (PoresFrom::Construction, WeaveClass::Woven) => {}
            (PoresFrom::Class, WeaveClass::Woven) => remarks.say(Notice::PoresAssumed),
            (PoresFrom::Class | PoresFrom::Construction, WeaveClass::Knit) => {
                remarks.say(Notice::KnitGuessed);
            }
        }
    }
}

#[cfg(test)]
mod tests;
