//! Files of rows as people write them, whatever the rows are of: their numbers, and what is wrong with them.

mod fault;
mod gathered;
mod number;

pub use fault::RowFault;
pub(crate) use gathered::Gathered;
pub(crate) use number::{Field, number};
