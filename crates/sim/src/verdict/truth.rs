//! What the solved cell says.

use moteweir_physics::single_fibre::closed_forms::{CellGroups, Term};
use moteweir_physics::single_fibre::gravity::{self, FlowDirection};
use moteweir_physics::single_fibre::impaction::Release;

use super::VerdictFault;
use crate::convection::{Diffuser, Drift, EdgeCondition, Resolution, diffusive_efficiency};
use crate::trajectory::{Particle, Precision, limiting_efficiency};

/// A solved value, and what a miss is measured by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Truth {
    pub(super) value: f64,
    pub(super) measure: f64,
}

pub(super) fn truth(term: Term, groups: &CellGroups) -> Result<Truth, VerdictFault> {
    let (cell, r) = (*groups.cell(), groups.interception());
    let still = cell.stream_at_gap(r);
    let whole = |value: f64| Truth { value, measure: value };
    let increment = |value: f64| Truth { value, measure: still + value };
    match term {
        Term::Interception => Ok(whole(still)),
        Term::Diffusion | Term::DiffusionAndInterception => {
            let peclet = groups.peclet().ok_or(VerdictFault::Group { name: "Peclet number" })?;
            let size = if term == Term::Diffusion { 0.0 } else { r };
            let diffuser = Diffuser::new(cell, size, peclet, Drift::NONE)?;
            let solved = diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, Resolution::STANDARD);
            Ok(whole(solved.efficiency))
        }
        Term::Impaction | Term::InterceptionAndImpaction => {
            let stokes = groups.stokes().ok_or(VerdictFault::Group { name: "Stokes number" })?;
            let particle = Particle::new(stokes, r, &cell)?;
            let both = limiting_efficiency(cell, particle, Release::Uniform, Precision::QUICK, None)?;
            Ok(if term == Term::Impaction { increment(both - still) } else { whole(both) })
        }
        Term::Settling => {
            let settling = groups.settling().ok_or(VerdictFault::Group { name: "settling velocity" })?;
            let joint = gravity::with_interception(still, r, settling, FlowDirection::Horizontal);
            Ok(increment(joint - still))
        }
    }
}
