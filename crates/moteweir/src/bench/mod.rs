//! The bench: particle counts, first of the room, then through a sample, as one can read them off an optical counter.
//!
//! [`Readings::read`] takes the text of a file of counts.

mod channels;
mod columns;
mod fault;
mod fields;
pub(crate) mod number;
mod problems;
mod read;
mod reading;
mod repeats;
mod table;
#[cfg(test)]
mod tests;

pub use columns::Column;
pub use fault::CountsFault;
pub use reading::{Channel, ChannelCount, Reading, Readings, Sample, State};
