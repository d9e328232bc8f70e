//! Results as data: what the program writes as JSON and CSV and draws from.
//!
//! Bare numbers here carry their unit in the key. Curves are arrays over `diameter_m`, mobility diameters.

mod assumed;
mod calibration;
mod counts;
pub mod csv;
mod measured;
mod plan;
mod prediction;
mod resolved;
mod review;
mod tally;
mod variation;
mod verdict;
mod wear;

pub use assumed::assumed;
pub use calibration::FORMAT as CALIBRATION_FORMAT;
pub use calibration::{
    CalibratedBands, CalibratedCurve, CalibratedQuantiles, CalibrationReport, MeasuredPoint, MisfitKnot,
    MisfitReport, NextReport, ParameterReport, PredictiveReport, PriorReport,
};
pub use counts::FORMAT as COUNTS_FORMAT;
pub use counts::{CountsComparison, CountsRanking, CountsReport, CountsResult, LayersReport};
pub use measured::{Agreement, ComparedPenetration, ComparedPressureDrop, MeasuredReport, ModelCurve};
pub use plan::FORMAT as PLAN_FORMAT;
pub use plan::{PlanGoal, PlanHole, PlanReport, PlanSplit};
pub use prediction::FORMAT as PREDICTION_FORMAT;
pub use prediction::{
    AirReport, AssumedReport, Average, Breathing, Curve, Doubt, Groups, LayerReport, Prediction,
    SingleFibreCurves, StackReport, WarningReport,
};
pub use resolved::FORMAT as RESOLVED_FORMAT;
pub use resolved::{CellGroupsReport, ClosedFormReport, ResolvedReport};
pub use review::FORMAT as REVIEW_FORMAT;
pub use review::{LayerStep, LayerSweep, Review, VelocityPoint, VelocitySweep};
pub use tally::FORMAT as TALLY_FORMAT;
pub use tally::Quantiles as TallyQuantiles;
pub use tally::{ClaimReport, MoreTime, TallyReport, UnknownReport, VelocityReport, WorstReport};
pub use variation::FORMAT as VARIATION_FORMAT;
pub use variation::{
    Band, HowMany, HowManyStep, IfTouching, QuantileCurves, Quantiles, SensitivityReport, TargetReport,
    VariationReport, VariedStack,
};
pub use verdict::{JudgedForm, JudgedLaw, RatioCurve, StatedRange, VerdictReport};
pub use wear::FORMAT as WEAR_FORMAT;
pub use wear::{BestLayers, BreathCourse, InwardLeakage, OpenShare, PressureLimit, WearReport, WornLayers};
