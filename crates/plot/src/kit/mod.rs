//! The chart kit: a [`Chart`] is plain data, and writes itself as SVG, as PNG and as the CSV of what it draws.
//!
//! Nothing in here knows filters. All calls of the drawing library stand in `canvas` and `text`, all calls of the
//! renderer in `raster`, so that either can be replaced alone.
//!
//! **Invariant**: the same chart gives the same bytes, on every machine and in every run.

mod axis;
mod bars;
mod canvas;
mod chart;
mod clip;
mod draw;
mod frame;
mod key;
mod labels;
mod layout;
mod number;
mod palette;
mod place;
mod raster;
mod spans;
mod table;
mod text;
mod ticks;

pub use axis::{Axis, Scale, TickText};
pub use chart::{Arrangement, Band, Bar, Chart, Guide, Key, Line, Marker, Panel, Span};
pub use number::{efficiency_range_text, efficiency_text, number_text, significant_text};
pub use palette::Ink;
