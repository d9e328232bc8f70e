//! Reading of text with units: `18 um`, `120 g/m2`, `350 mm/s at 200 Pa`.
//!
//! The reader knows which kind of quantity is wanted and gives SI; what is wrong is said with its place in the
//! text, with what was expected and with the unit that was probably meant. Whether a value is possible (a negative
//! thickness, a solidity of two) is for the caller to say.

mod dimension;
mod error;
mod expression;
mod near;
mod number;
mod read;
mod symbol;
mod vector;

pub use dimension::Dimension;
pub use error::{TextError, TextErrorKind};
pub use read::{FromText, read, read_pair};
