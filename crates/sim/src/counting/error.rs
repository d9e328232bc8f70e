//! What is wrong with counts or with a question about them.

use thiserror::Error;

/// Readings that no model can be fitted to, or a question that they cannot answer.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum CountingError {
    /// Nothing was counted with the room open, so that nothing can be compared with it.
    #[error("no reading of the open room counted a particle: there is nothing to divide by")]
    NothingOpen,
    /// An exposure that is not above 0 and finite.
    #[error("reading {reading}: its exposure is {value}, and has to be above 0")]
    Exposure {
        /// Number of the reading, from 0.
        reading: usize,
        /// The exposure as given.
        value: f64,
    },
    /// A time that is not finite.
    #[error("reading {reading}: its time is {value}")]
    Time {
        /// Number of the reading, from 0.
        reading: usize,
        /// The time as given.
        value: f64,
    },
    /// A specimen that is not one of those announced.
    #[error("specimen {specimen} is not one of {specimens}")]
    UnknownSpecimen {
        /// The specimen asked for.
        specimen: usize,
        /// How many there are.
        specimens: usize,
    },
    /// A specimen without any reading.
    #[error("specimen {specimen} has no reading")]
    NoSample {
        /// The specimen.
        specimen: usize,
    },
    /// A level outside 0 to 1, or so near to 1 that no draws reach it.
    #[error("a level of {value} is not between 0 and 0.9999")]
    Level {
        /// The level as given.
        value: f64,
    },
    /// A scale of a prior that is negative or not finite.
    #[error("a prior scale of {value} is not a number from 0 up")]
    Scale {
        /// The scale as given.
        value: f64,
    },
    /// A plan with a rate, share, time or count of readings outside its range.
    #[error("a plan with {quantity} = {value}")]
    Plan {
        /// Which quantity.
        quantity: &'static str,
        /// Its value.
        value: f64,
    },
}
