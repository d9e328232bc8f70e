//! The figures of a review, one file each: results in plain numbers become a [`crate::kit::Chart`].
//!
//! Inputs carry SI values with the unit in the field's name; figures show micrometres, centimetres per second and
//! percent. A figure decides scales and words; how it looks is the kit's business.

mod axes;
mod efficiency;
mod layers;
mod mechanisms;
mod pressure;
mod quality;
mod worst_size;

pub use axes::SizeEnd;
pub use efficiency::{EfficiencyCurve, EfficiencyCurves, efficiency_against_size};
pub use layers::{LayerSweep, SweptMaterial, layer_trade_off, layers_against_drop_and_efficiency};
pub use mechanisms::{MechanismCurves, efficiency_by_mechanism};
pub use pressure::{PressureCurve, pressure_drop_against_velocity};
pub use quality::{QualityCurve, quality_against_size};
pub use worst_size::{WorstSizeCurve, worst_size_against_velocity};
