//! One breath through a filter beside a leak.

use moteweir_physics::breathing::Inhalation;
use moteweir_physics::leak::{LeakError, LeakLaw, Split, split};
use moteweir_units::{Flow, Pressure};

use super::worn::Together;
use crate::report::BreathCourse;

/// Times at which a breath is told.
const TIMES: usize = 61;

/// What a breath comes to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Breath {
    /// Inhaled share at each size.
    pub(super) inhaled: Vec<f64>,
    /// Share through the filter at each size, weighted with the filter's flow.
    pub(super) through_filter: Vec<f64>,
    /// Share of the inhaled air that goes past the edge.
    pub(super) leak_share: f64,
    pub(super) peak_pressure: Pressure,
    pub(super) mean_pressure: Pressure,
    pub(super) work_j_per_l: f64,
}

/// A breath, its means by the moments of the inhalation: the flow divides anew at each.
pub(super) fn breath(
    filter: &Together<'_>,
    law: &LeakLaw,
    inhalation: &Inhalation,
) -> Result<Breath, LeakError> {
    let divided = |flow: Flow| divide(filter, law, flow);
    let (mut inhaled, mut through_filter) = (Vec::new(), Vec::new());
    let (mut filtered, mut leak_share, mut mean, mut work) = (0.0, 0.0, 0.0, 0.0);
    for moment in inhalation.moments() {
        let split = divided(moment.flow)?;
        let share = split.share();
        let through = filter.penetration((split.filter / filter.area()).to_m_per_s());
        let by_filter = moment.of_volume * (1.0 - share);
        filtered += by_filter;
        inhaled.resize(through.len(), 0.0);
        through_filter.resize(through.len(), 0.0);
        for ((inhaled, filtered), p) in inhaled.iter_mut().zip(&mut through_filter).zip(through) {
            *inhaled += by_filter * p + moment.of_volume * share;
            *filtered += by_filter * p;
        }
        leak_share += moment.of_volume * share;
        mean += moment.of_time * split.pressure_drop.to_pa();
        work += moment.of_volume * split.pressure_drop.to_kpa();
    }
    if filtered > 0.0 {
        through_filter.iter_mut().for_each(|p: &mut f64| *p /= filtered);
    }
    Ok(Breath {
        inhaled,
        through_filter,
        leak_share,
        peak_pressure: divided(inhalation.peak_flow())?.pressure_drop,
        mean_pressure: Pressure::from_pa(mean),
        work_j_per_l: work,
    })
}

/// Pressure and flows through a breath.
pub(super) fn course(
    filter: &Together<'_>,
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

fn divide(filter: &Together<'_>, law: &LeakLaw, flow: Flow) -> Result<Split, LeakError> {
    split(flow, |q| filter.pressure(q), law, filter.air())
}
