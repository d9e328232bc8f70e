//! The methods at work.

use moteweir_physics::range::Range;
use moteweir_physics::single_fibre::closed_forms::CellGroups;
use moteweir_physics::single_fibre::impaction::Release;
use moteweir_physics::single_fibre::interception;
use moteweir_physics::single_fibre::resolved::{Mechanical, Slice};
use moteweir_sim::convection::{Diffuser, Drift, Resolution, edge_spread};
use moteweir_sim::langevin::{BrownianParticle, Groups, Plan, langevin_efficiency};
use moteweir_sim::trajectory::{Particle, Precision, limiting_efficiency};

use super::{CellQuestion, Effort, Method, ResolveFault};

/// 95 % of a normal distribution, in standard deviations on either side.
const COVERAGE: f64 = 1.96;

/// An efficiency with everything that is known of its error.
pub(super) struct Solved {
    pub(super) efficiency: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) standard_error: Option<f64>,
    pub(super) grid_error: Option<f64>,
    pub(super) notes: Vec<&'static str>,
}

pub(super) fn solve(question: &CellQuestion, method: Method, effort: Effort) -> Result<Solved, ResolveFault> {
    let groups = question.groups();
    let mut solved = if interception::is_sieved(groups.cell(), groups.interception()) {
        sieved(groups)
    } else {
        match method {
            Method::Cell => cell(groups)?,
            Method::Trajectories => trajectories(groups)?,
            Method::Langevin => langevin(groups, effort)?,
            Method::Atlas => atlas(groups),
        }
    };
    if method == Method::Cell && groups.stokes().is_some_and(|s| s > 0.0) {
        solved.notes.push("inertia is left out by this method; langevin has both");
    }
    if method == Method::Trajectories && groups.peclet().is_some() {
        solved.notes.push("diffusion is left out by this method; langevin has both");
    }
    if groups.fibre_reynolds().is_some_and(|re| re > 1.0) {
        solved.notes.push(
            "the fibre Reynolds number is above 1: the air's own inertia, left out here, begins to count",
        );
    }
    if groups.fibre_knudsen() > interception::CELL_SLIP_RANGE.high {
        solved
            .notes
            .push("the fibre Knudsen number is above 0.25: slip on the fibre is no longer all there is");
    }
    Ok(solved)
}

fn exact(efficiency: f64) -> Solved {
    Solved {
        efficiency,
        low: efficiency,
        high: efficiency,
        standard_error: None,
        grid_error: None,
        notes: Vec::new(),
    }
}

fn sieved(groups: &CellGroups) -> Solved {
    let mut solved = exact(interception::exact(groups.cell(), groups.interception()));
    solved.notes.push(
        "the particle is wider than the gap that the cell leaves it: it is sieved, and nothing was solved",
    );
    solved
}

/// The concentration under the condition of this project; the ends are those of the other conditions on the cell's edge.
fn cell(groups: &CellGroups) -> Result<Solved, ResolveFault> {
    let Some(peclet) = groups.peclet() else {
        return Ok(exact(groups.cell().stream_at_gap(groups.interception())));
    };
    let diffuser = Diffuser::new(*groups.cell(), groups.interception(), peclet, Drift::NONE)?;
    let found = edge_spread(&diffuser, Resolution::STANDARD);
    let mut solved = Solved {
        low: found.low,
        high: found.high,
        grid_error: Some(found.estimate.grid_error),
        ..exact(found.estimate.efficiency)
    };
    if found.high - found.low > 0.02 * found.estimate.efficiency {
        solved.notes.push("so slow that what is taken to hold on the cell's edge decides: the ends are those of the possible conditions");
    }
    Ok(solved)
}

/// The uniform entry is the value, entry with the velocity of the air the other end.
fn trajectories(groups: &CellGroups) -> Result<Solved, ResolveFault> {
    let cell = *groups.cell();
    let Some(stokes) = groups.stokes() else {
        return Ok(exact(cell.stream_at_gap(groups.interception())));
    };
    let particle = Particle::new(stokes, groups.interception(), &cell)?;
    let by = |release| limiting_efficiency(cell, particle, release, Precision::QUICK, None);
    let (uniform, fluid) = (by(Release::Uniform)?, by(Release::Fluid)?);
    Ok(Solved { low: uniform.min(fluid), high: uniform.max(fluid), ..exact(uniform) })
}

/// Read from the atlas, with the band of the rule that joins diffusion and inertia and of what is open in the model.
fn atlas(groups: &CellGroups) -> Solved {
    let asked = Mechanical {
        peclet: groups.peclet().unwrap_or(f64::INFINITY),
        stokes: groups.stokes().unwrap_or(0.0),
        interception: groups.interception(),
    };
    let slice = Slice::new(groups.solidity(), groups.fibre_knudsen());
    let found = slice.composed(asked);
    let mut solved = Solved { low: found.low, high: found.high, ..exact(found.value) };
    // No diffusion is within the atlas, as its limit.
    let outside = |(range, value): (Range, f64)| value.is_finite() && !range.contains(value);
    if slice.ranges().into_iter().zip(slice.values(&asked)).any(outside) {
        solved
            .notes
            .push("a group lies outside what the atlas was solved for; the other methods still solve it");
    }
    solved
}

/// The mean of random histories; the ends hold 95 % of its standard error.
fn langevin(groups: &CellGroups, effort: Effort) -> Result<Solved, ResolveFault> {
    let particle = BrownianParticle::new(
        *groups.cell(),
        Groups {
            interception: groups.interception(),
            stokes: groups.stokes().unwrap_or(0.0),
            peclet: groups.peclet().unwrap_or(f64::INFINITY),
            settling: 0.0,
        },
        Release::Uniform,
    )?;
    let plan = Plan { seed: effort.seed, histories: effort.histories, fineness: 1.0 };
    let found = langevin_efficiency(particle, plan)?;
    let half = COVERAGE * found.standard_error;
    Ok(Solved {
        low: (found.efficiency - half).max(0.0),
        high: found.efficiency + half,
        standard_error: Some(found.standard_error),
        ..exact(found.efficiency)
    })
}
