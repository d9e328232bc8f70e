//! Capture by the solved cell, without charge.

use super::{Groups, PreparedFibre, SingleFibre, Uncharged};
use crate::particle::Particle;
use crate::range::Remarks;
use crate::single_fibre::{gravity, interception, resolved};

impl PreparedFibre {
    /// As [`PreparedFibre::mechanical`], from the solved cell: settling joins what interception and inertia carry.
    pub(super) fn solved(&self, cell: &resolved::Slice, groups: &Groups, particle: &Particle) -> Uncharged {
        let r = groups.interception;
        let asked = resolved::Mechanical { peclet: groups.peclet, stokes: groups.stokes, interception: r };
        let by_interception = interception::exact(&self.cell, r);
        let diffusive = cell.diffusion_interception(groups.peclet, r);
        let together = cell.composed(asked);
        let increment = cell.increment(groups.stokes, r).uniform;
        let settled =
            gravity::with_interception(by_interception, r, groups.settling, self.surroundings.direction)
                - by_interception;
        let most_carried = (1.0 + r) * gravity::crossing(groups.settling, self.surroundings.direction);
        let by_flow = (by_interception + increment).min(1.0 + r);
        let carried = (settled + by_flow).max(0.0).min(most_carried);
        let whole_cell = self.whole_cell(particle);
        let total = together.map_rising(|e| (carried + e - by_flow).max(0.0).min(whole_cell));
        let single = SingleFibre {
            diffusion: diffusive - by_interception,
            interception: by_interception,
            cross: 0.0,
            impaction: together.value - diffusive,
            gravity: settled,
            electrostatic: 0.0,
            total,
        };
        Uncharged { single, whole_cell, charge: self.charge(particle, groups) }
    }

    /// A particle that fills the cell is sieved, which is said elsewhere.
    pub(super) fn check_solved(&self, cell: &resolved::Slice, groups: &Groups, remarks: &mut Remarks) {
        let asked = resolved::Mechanical {
            peclet: groups.peclet,
            stokes: groups.stokes,
            interception: groups.interception.min(self.cell.largest_interception()),
        };
        for (range, value) in cell.ranges().into_iter().zip(cell.values(&asked)) {
            remarks.check(range, value);
        }
        remarks.check(interception::CELL_SLIP_RANGE, groups.fibre_knudsen);
    }
}
