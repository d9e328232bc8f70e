//! The figures of the reports, one file each: results in plain numbers become a [`crate::kit::Chart`].
//!
//! Inputs carry SI values with the unit in the field's name; figures show micrometres, centimetres per second and
//! percent. A figure decides scales and words; how it looks is the kit's business.

mod axes;
mod breath;
mod calibrated;
mod cell_picture;
mod count_longer;
mod efficiency;
mod fan;
mod how_many;
mod layers;
mod measure_next;
mod measured;
mod mechanisms;
mod predictive;
mod pressure;
mod prior_posterior;
mod quality;
mod ranked_counts;
mod verdict;
mod worn_layers;
mod worn_stacks;
mod worst_size;

pub use axes::SizeEnd;
pub use breath::{BreathCurve, Breaths, pressure_through_breath};
pub use calibrated::{CalibratedEfficiency, CalibratedPoint, calibrated_efficiency};
pub use cell_picture::{CellScene, cell_picture};
pub use count_longer::{CountedLonger, half_width_against_time};
pub use efficiency::{EfficiencyCurve, EfficiencyCurves, efficiency_against_size};
pub use fan::{FanCurves, efficiency_fan};
pub use how_many::{LayersAlone, OverLayers, layers_alone};
pub use layers::{LayerSweep, SweptMaterial, layer_trade_off, layers_against_drop_and_efficiency};
pub use measure_next::{OpenQuantity, OpenShares, what_to_measure_next};
pub use measured::{
    MeasuredAtVelocity, MeasuredDrops, MeasuredPenetrations, MeasuredPoint, measured_drops_over_model,
    measured_over_model,
};
pub use mechanisms::{MechanismCurves, efficiency_by_mechanism};
pub use predictive::{CheckedGroup, CheckedReading, predictive_check};
pub use pressure::{PressureCurve, pressure_drop_against_velocity};
pub use prior_posterior::{UnknownRange, prior_and_posterior};
pub use quality::{QualityCurve, quality_against_size};
pub use ranked_counts::{RankedChannel, RankedTest, ranked_counts};
pub use verdict::{FormOverSolved, forms_over_solved};
pub use worn_layers::{
    PressureLimit, WornBreathing, WornSweep, inhaled_share_against_layers, peak_pressure_against_layers,
};
pub use worn_stacks::{BreathingStacks, StackOnFace, WornStacks, inhaled_share_by_stack};
pub use worst_size::{WorstSizeCurve, worst_size_against_velocity};
