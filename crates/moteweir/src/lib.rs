//! Moteweir: from what one can measure of a breathable filter layer to what it will stop.
//!
//! Text in, values out; nothing here reads files, clock or terminal. A [`Scenario`] is the file as written, a
//! [`Case`] the same thing checked: every value known, typed, possible, with its origin.

pub mod bench;
pub mod calibrate;
pub mod case;
pub mod curves;
mod doubt;
pub mod draws;
mod fault;
mod files;
mod near;
mod operating_points;
pub mod predict;
mod problem;
pub mod report;
pub mod resolve;
mod rows;
pub mod scenario;
pub mod shelf;
pub mod vary;
pub mod wear;
pub mod words;

pub use case::Case;
pub use doubt::{BAND, Doubt, Scale};
pub use files::{Files, Unread};
pub use operating_points::{OperatingPoint, PointBasis};
pub use problem::{Fault, Problem, Problems, Severity, Span};
pub use rows::RowFault;
pub use scenario::Scenario;
pub use shelf::Shelf;
