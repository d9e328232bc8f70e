//! The bench: particle counts, first of the room, then through a sample, as one can read them off an optical counter.
//!
//! [`Readings::read`] takes the text of a file of counts; [`counts`] says how much gets through and how sure that is,
//! [`tally`] the same of one pair of counts, and [`plan_counts`] how long to count.

mod by_channel;
mod channels;
mod coincidence;
mod columns;
mod fault;
mod fields;
mod flag;
mod flags;
mod in_layers;
mod model;
mod plan;
mod read;
mod reading;
mod repeats;
mod results;
mod subjects;
mod table;
mod tally;
#[cfg(test)]
mod tests;
pub(crate) mod treatment;
pub(crate) mod velocity;
mod worst;

pub use coincidence::Instrument;
pub use columns::Column;
pub use fault::CountsFault;
pub use in_layers::Expected;
pub use model::LayerModel;
pub use plan::{Plan, PlanFault, plan_counts};
pub use reading::{Channel, ChannelCount, Reading, Readings, Sample, State};
pub use results::{CountsError, CountsOptions, counts};
pub use tally::{Tally, TallyFault, tally};
