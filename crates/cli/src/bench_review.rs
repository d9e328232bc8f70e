//! What a review adds where the scenario has a bench: the calibration, the counts' ranking, their figures and files.

use std::ops::ControlFlow;

use moteweir::bench::{CountsOptions, Expected, Instrument, counts};
use moteweir::calibrate::{CalibrationFault, CalibrationOptions, calibrate};
use moteweir::case::Bench;
use moteweir::report::{self, CalibrationReport, CountsReport};
use moteweir::{Case, words};
use moteweir_plot::{Figure, calibration_figures, counts_figures};

use crate::drawing::File;
use crate::outcome::{Failure, remark};

/// Level of the intervals of the counts.
const LEVEL: f64 = 0.95;

/// The bench of a review.
pub(crate) struct BenchReview {
    /// The model after what was measured; none where nothing of it can be calibrated.
    pub(crate) calibrated: Option<CalibrationReport>,
    counted: Option<CountsReport>,
}

impl BenchReview {
    /// Calibrates the case and judges its counts; `None` where it has no bench.
    pub(crate) fn of(case: &Case, quiet: bool) -> Result<Option<Self>, Failure> {
        let Some(bench) = &case.bench else { return Ok(None) };
        let calibrated = match calibrate(case, CalibrationOptions::default(), |_| ControlFlow::Continue(())) {
            Ok(report) => Some(report),
            Err(fault @ CalibrationFault::NothingUsable { .. }) => {
                remark(&format!("The bench calibrates nothing: {fault}."), quiet)?;
                None
            }
            Err(fault) => return Err(fault.into()),
        };
        Ok(Some(Self { calibrated, counted: counted(bench)? }))
    }

    pub(crate) fn figures(&self) -> Vec<Figure> {
        let mut figures: Vec<Figure> = self.calibrated.iter().flat_map(calibration_figures).collect();
        figures.extend(self.counted.iter().flat_map(counts_figures));
        figures
    }

    pub(crate) fn files(&self) -> Result<Vec<File>, Failure> {
        let mut files = Vec::new();
        if let Some(report) = &self.calibrated {
            files.extend([
                ("calibration.json".to_owned(), serde_json::to_vec_pretty(report)?),
                ("calibration.txt".to_owned(), words::calibration(report).into_bytes()),
                ("calibrated-curves.csv".to_owned(), report::csv::calibrated_curves(report)?.into_bytes()),
                (
                    "calibrated-parameters.csv".to_owned(),
                    report::csv::calibrated_parameters(report)?.into_bytes(),
                ),
                ("readings.csv".to_owned(), report::csv::predictive(report)?.into_bytes()),
            ]);
        }
        if let Some(report) = &self.counted {
            files.push(("counts.json".to_owned(), serde_json::to_vec_pretty(report)?));
            files.push(("counts.txt".to_owned(), words::counts(report).into_bytes()));
        }
        Ok(files)
    }

    /// Whether the numbers can be trusted.
    pub(crate) fn verdict(&self) -> Result<(), Failure> {
        match &self.calibrated {
            Some(report) if !report.converged => {
                Err(Failure::NotConverged { rhat: report.largest_rhat, ess: report.fewest_effective_draws })
            }
            _ => Ok(()),
        }
    }
}

fn counted(bench: &Bench) -> Result<Option<CountsReport>, Failure> {
    let Some(file) = &bench.counts else { return Ok(None) };
    let instrument = Instrument {
        dead_time_s: bench.counter.dead_time.map(moteweir_units::Time::to_s),
        maximum_per_m3: bench.counter.most_per_m3,
        flow_m3_per_s: bench.pump.map(moteweir_units::Flow::to_m3_per_s),
    };
    let options = CountsOptions { level: LEVEL, instrument, expected: Expected::Usual };
    Ok(Some(counts(&file.readings, &options)?))
}
