//! One breath through a filter beside a leak.

use moteweir_physics::breathing::Inhalation;
use moteweir_physics::leak::{LeakError, LeakLaw, Split, split};
use moteweir_units::{Flow, Pressure};

use super::drops::PressureCurve;
use super::through::Through;
use crate::report::BreathCourse;

/// Times at which a breath is told.
const TIMES: usize = 61;

/// How the flow of a breath divides, moment by moment.
#[derive(Clone, Debug)]
pub(super) struct Divided<'a> {
    inhalation: &'a Inhalation,
    splits: Vec<Split>,
    /// Face velocity of each moment \[m/s\].
    velocities: Vec<f64>,
    peak: Split,
    /// Face velocity at the peak \[m/s\].
    pub(super) fastest: f64,
}

/// What a breath comes to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Breath {
    /// Inhaled share of each column of what gets through.
    pub(super) inhaled: Vec<f64>,
    /// Share through the filter of each, weighted with the filter's flow.
    pub(super) through_filter: Vec<f64>,
    /// Share of the inhaled air that goes past the edge.
    pub(super) leak_share: f64,
    pub(super) peak_pressure: Pressure,
    pub(super) mean_pressure: Pressure,
    pub(super) work_j_per_l: f64,
}

impl<'a> Divided<'a> {
    /// Divides the flow anew at each moment.
    pub(super) fn new(
        filter: &PressureCurve,
        law: &LeakLaw,
        inhalation: &'a Inhalation,
    ) -> Result<Self, LeakError> {
        let splits: Vec<Split> =
            inhalation.moments().iter().map(|m| divide(filter, law, m.flow)).collect::<Result<_, _>>()?;
        let peak = divide(filter, law, inhalation.peak_flow())?;
        let velocities = splits.iter().map(|split| filter.velocity(split.filter)).collect();
        Ok(Self { inhalation, splits, velocities, fastest: filter.velocity(peak.filter), peak })
    }

    /// The breath, its means by the moments of the inhalation, with what gets through at each face velocity in so many
    /// columns.
    pub(super) fn breath(&self, filter: &Through, columns: usize) -> Breath {
        let (mut inhaled, mut through_filter) = (vec![0.0; columns], vec![0.0; columns]);
        let mut through = vec![0.0; columns];
        let (mut filtered, mut leak_share, mut mean, mut work) = (0.0, 0.0, 0.0, 0.0);
        let moments = self.inhalation.moments().iter().zip(&self.splits).zip(&self.velocities);
        for ((moment, split), &velocity) in moments {
            let share = split.share();
            filter.at(velocity, &mut through);
            let by_filter = moment.of_volume * (1.0 - share);
            filtered += by_filter;
            for ((inhaled, filtered), p) in inhaled.iter_mut().zip(&mut through_filter).zip(&through) {
                *inhaled += by_filter * p + moment.of_volume * share;
                *filtered += by_filter * p;
            }
            leak_share += moment.of_volume * share;
            mean += moment.of_time * split.pressure_drop.to_pa();
            work += moment.of_volume * split.pressure_drop.to_kpa();
        }
        if filtered > 0.0 {
            for p in &mut through_filter {
                *p /= filtered;
            }
        }
        Breath {
            inhaled,
            through_filter,
            leak_share,
            peak_pressure: self.peak.pressure_drop,
            mean_pressure: Pressure::from_pa(mean),
            work_j_per_l: work,
        }
    }
}

/// Pressure and flows through a breath.
pub(super) fn course(
    filter: &PressureCurve,
    law: &LeakLaw,
    inhalation: &Inhalation,
) -> Result<BreathCourse, LeakError> {
    let mut course = BreathCourse { has_pace: inhalation.has_pace(), ..BreathCourse::default() };
    for (time, flow) in inhalation.course(TIMES) {
        let split = divide(filter, law, flow)?;
        course.time_s.push(time.to_s());
        course.pressure_pa.push(split.pressure_drop.to_pa());
        course.filter_flow_m3_per_s.push(split.filter.to_m3_per_s());
        course.leak_flow_m3_per_s.push(split.leak.to_m3_per_s());
    }
    Ok(course)
}

fn divide(filter: &PressureCurve, law: &LeakLaw, flow: Flow) -> Result<Split, LeakError> {
    split(flow, |q| filter.pressure(q), law, filter.air())
}
