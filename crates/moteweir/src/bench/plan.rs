//! How long to count: to know an efficiency, to tell two apart, to show a claim; and through how large a hole.

use moteweir_sim::counting as plan;
use moteweir_units::{Efficiency, Flow, Time, Velocity};

use super::velocity::{hole_for, in_use};
use crate::report::{PLAN_FORMAT, PlanGoal, PlanHole, PlanReport, PlanSplit};

/// Chance that the time asked for is enough.
const ASSURANCE: f64 = 0.8;
/// Times of the curve, as multiples of the time that is split.
const CURVE: [f64; 9] = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0];

/// What is to be known, of what, on which bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Particles counted in the room, on trial.
    pub open: u64,
    /// How long.
    pub open_time: Time,
    /// What is expected of the sample.
    pub efficiency: Efficiency,
    /// To be known to plus or minus this, 0 to 1.
    pub within: f64,
    /// What another sample may have that is to be told from it.
    pub other: Option<Efficiency>,
    /// To be shown.
    pub claim: Efficiency,
    /// Time to be split.
    pub total: Time,
    /// Coefficient of variation between readings beyond counting.
    pub dispersion: f64,
    /// Readings that each time is split into.
    pub readings: u32,
    /// Level of intervals, above 0 and below 1.
    pub level: f64,
    /// The pump.
    pub pump: Option<Flow>,
    /// A face velocity of use; those of a mask where none is given.
    pub velocity: Option<Velocity>,
}

/// Why nothing can be planned.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PlanFault {
    /// No rate.
    #[error("nothing was counted open, so no time can be planned: count the room for a minute first")]
    NothingOpen,
    /// A sample that stops all or nothing.
    #[error("an efficiency of {0} leaves nothing to plan: it lies above 0 and below 100 %")]
    Efficiency(&'static str),
}

/// Plans the counting.
///
/// # Errors
/// As [`PlanFault`].
pub fn plan_counts(asked: &Plan) -> Result<PlanReport, PlanFault> {
    if asked.open == 0 {
        return Err(PlanFault::NothingOpen);
    }
    let penetration = asked.efficiency.penetration().fraction();
    if penetration <= 0.0 {
        return Err(PlanFault::Efficiency("100 %"));
    }
    let bench = plan::Bench {
        open_rate: asked.open as f64 / asked.open_time.to_s(),
        dispersion: asked.dispersion,
        readings: asked.readings,
        level: asked.level,
        assurance: ASSURANCE,
    };
    let claimed = asked.claim.penetration().fraction();
    let split = |total: f64| {
        let times = plan::best_split(&bench, penetration, total);
        PlanSplit {
            total_seconds: total,
            open_seconds: times.open_seconds,
            through_seconds: times.through_seconds,
            half_width: plan::half_width(&bench, penetration, times),
            claim_power: plan::power_of_claim(&bench, penetration, times, claimed),
        }
    };
    let goal = |goal: f64, planned: Option<plan::Planned>| PlanGoal {
        goal,
        open_seconds: planned.map(|p| p.times.open_seconds),
        through_seconds: planned.map(|p| p.times.through_seconds),
        power: planned.map(|p| p.power),
    };
    let total = asked.total.to_s();
    Ok(PlanReport {
        format: PLAN_FORMAT,
        level: asked.level,
        assurance: ASSURANCE,
        open_per_second: bench.open_rate,
        efficiency: asked.efficiency.fraction(),
        dispersion: asked.dispersion,
        readings: asked.readings,
        width: goal(asked.within, plan::time_for_width(&bench, penetration, asked.within)),
        difference: asked.other.map(|other| {
            let planned = plan::time_for_difference(&bench, penetration, other.penetration().fraction());
            goal(other.fraction(), planned)
        }),
        claim: goal(
            asked.claim.fraction(),
            (penetration < claimed).then(|| plan::time_for_claim(&bench, penetration, claimed)).flatten(),
        ),
        split: split(total),
        curve: CURVE.into_iter().map(|factor| split(factor * total)).collect(),
        holes: asked.pump.map_or_else(Vec::new, |pump| holes(pump, asked.velocity)),
    })
}

fn holes(pump: Flow, velocity: Option<Velocity>) -> Vec<PlanHole> {
    let velocities: Vec<(String, Velocity)> = match velocity {
        Some(velocity) => vec![("the velocity asked for".to_owned(), velocity)],
        None => in_use().into_iter().map(|used| (used.name.to_owned(), used.velocity)).collect(),
    };
    velocities
        .into_iter()
        .map(|(used, velocity)| PlanHole {
            used,
            face_velocity_m_per_s: velocity.to_m_per_s(),
            diameter_m: hole_for(velocity, pump).to_m(),
        })
        .collect()
}
