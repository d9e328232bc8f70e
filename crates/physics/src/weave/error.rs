//! What can be wrong with a woven or knitted construction.

use moteweir_units::{Length, LinearDensity, ThreadCount, Velocity};
use thiserror::Error;

/// A construction that cannot be, or a reading that it cannot have.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum WeaveError {
    /// A quantity that has to be above zero is not.
    #[error("the {quantity} of a woven or knitted layer is {value}, but has to be above zero and finite")]
    NotPositive {
        /// The quantity, as a reader would call it.
        quantity: &'static str,
        /// Its SI value.
        value: f64,
    },
    /// The hairs across the pores are no solidity that a nap can have.
    #[error(
        "a solidity of {value} for the hairs across the pores; nap lies between 0 (none) and {most}, for most spun yarns between 0.001 and 0.01"
    )]
    HairsOutside {
        /// Stated solidity.
        value: f64,
        /// Highest that is taken.
        most: f64,
    },
    /// The yarn is hardly more than one fibre.
    #[error(
        "a yarn of {:.2} tex holds only {fibres:.1} fibres of {:.1} um; yarns here are bundles of {least:.0} and more: check the fibre diameter and the linear density (a mesh of single filaments is not covered)",
        yarn.to_tex(), fibre_diameter.to_um()
    )]
    FewFibres {
        /// Mass over length of the yarn.
        yarn: LinearDensity,
        /// Diameter of its fibres.
        fibre_diameter: Length,
        /// How many it holds.
        fibres: f64,
        /// The least that is taken for a bundle.
        least: f64,
    },
    /// The yarns are too thick for their number, however hard they are packed.
    #[error(
        "the {set} threads do not fit: {:.1} /cm leave {:.0} um for each, but a yarn of {:.1} tex packed as hard as it goes needs {:.0} um; count the threads again, weigh a known length of yarn",
        count.to_per_cm(), room.to_um(), yarn.to_tex(), needed.to_um()
    )]
    ThreadsDoNotFit {
        /// `warp` or `weft`; for a knit `wale` or `course`.
        set: &'static str,
        /// Threads over length.
        count: ThreadCount,
        /// Length that each thread has.
        room: Length,
        /// Mass over length of the yarn.
        yarn: LinearDensity,
        /// Length that it needs.
        needed: Length,
    },
    /// The stated width is well above the spacing of the threads.
    #[error(
        "a yarn width of {:.0} um does not go with {:.1} {set} threads /cm, which are {:.0} um apart; measure the width of one thread in the cloth under a lens, or leave it out",
        width.to_um(), count.to_per_cm(), spacing.to_um()
    )]
    WiderThanSpacing {
        /// `warp` or `weft`.
        set: &'static str,
        /// Stated width.
        width: Length,
        /// Threads over length.
        count: ThreadCount,
        /// Their distance, centre to centre.
        spacing: Length,
    },
    /// More yarn than a sheet of the stated thickness holds.
    #[error(
        "more yarn than the sheet holds: {:.1} tex in a yarn section of {:.0} by {:.0} um would be {:.0} % fibre, and fibres in a yarn go to {:.0} % at most; measure the thickness as layered, the yarn's width and its linear density again",
        yarn.to_tex(), width.to_um(), height.to_um(), solidity * 100.0, most * 100.0
    )]
    YarnTooDense {
        /// Mass over length of the yarn.
        yarn: LinearDensity,
        /// Width of its section in the plane of the cloth.
        width: Length,
        /// Height of its section.
        height: Length,
        /// Solidity of the yarn that follows.
        solidity: f64,
        /// Highest solidity of a yarn.
        most: f64,
    },
    /// The measured flow is more than a sheet with hardly any yarn would pass.
    #[error(
        "a flow of {:.4} m/s at {pressure_drop_pa:.1} Pa is more than this cloth passes with {:.0} % of it open; check the units of the air permeability and its pressure",
        face_velocity.to_m_per_s(), most_open * 100.0
    )]
    ReadingTooOpen {
        /// Measured face velocity.
        face_velocity: Velocity,
        /// Pressure drop of the reading \[Pa\].
        pressure_drop_pa: f64,
        /// Largest open area that was tried.
        most_open: f64,
    },
}

impl WeaveError {
    /// Checks that a quantity is above zero and finite.
    pub(super) fn unless_positive(quantity: &'static str, value: f64) -> Result<(), Self> {
        if value > 0.0 && value.is_finite() { Ok(()) } else { Err(Self::NotPositive { quantity, value }) }
    }
}
