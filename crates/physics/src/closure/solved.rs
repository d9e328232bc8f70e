//! Capture by the solved cell.

use super::charge::{ChargeAction, SolvedForces};
use super::{Groups, PreparedFibre, SingleFibre, Uncharged};
use crate::estimate::Estimate;
use crate::particle::Particle;
use crate::range::Remarks;
use crate::single_fibre::electret_law::{ChargeNumbers, Parts, joined, joining_miss};
use crate::single_fibre::{electrostatic, gravity, interception, resolved};

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
        Uncharged { single, whole_cell, charge: ChargeAction::Solved(self.solved_forces(particle)) }
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

    /// What draws a particle of one elementary charge to the fibre.
    pub(super) fn solved_forces(&self, particle: &Particle) -> SolvedForces {
        let electret = &self.surroundings.electret;
        let df = self.surroundings.fibre_diameter;
        let (air, velocity) = (&self.air, self.velocity);
        let groups = self.groups(particle);
        let none = SolvedForces {
            coulomb_of_one: 0.0,
            polarisation: 0.0,
            image_of_one: 0.0,
            interception: groups.interception,
            stokes: groups.stokes,
        };
        if self.is_charged() {
            SolvedForces {
                coulomb_of_one: electrostatic::coulomb_parameter(air, particle, 1, electret, velocity),
                polarisation: electrostatic::polarisation_parameter(air, particle, electret, df, velocity),
                ..none
            }
        } else {
            let permittivity = electret.fibre_permittivity;
            let image = electrostatic::image_parameter(air, particle, 1, permittivity, df, velocity);
            SolvedForces { image_of_one: image, ..none }
        }
    }

    /// Interception with charge, and interception alone, where charge does anything.
    pub(super) fn by_solved_charge(&self, forces: &SolvedForces, charges: i32) -> Option<(f64, f64)> {
        let still = interception::exact(&self.cell, forces.interception);
        let n = f64::from(charges.abs());
        if let Some(law) = &self.electret_law {
            let numbers =
                ChargeNumbers { coulomb: n * forces.coulomb_of_one, polarisation: forces.polarisation };
            // Charge draws in: what fills the cell by itself is not let through by it.
            let joint = law.joint_with_slip(&self.cell, numbers, forces.interception);
            return Some((joint.max(still), still));
        }
        if charges == 0 {
            return None;
        }
        let image = electrostatic::image_in_cell(&self.cell, n * n * forces.image_of_one);
        Some((still.hypot(image), still))
    }

    /// All together, with the band of the rule that joins charge in proportion to what charge adds.
    pub(super) fn joined_with_solved_charge(
        &self,
        uncharged: &Uncharged,
        forces: &SolvedForces,
        charges: i32,
    ) -> Estimate {
        let without = uncharged.single.total;
        let Some((joint, still)) = self.by_solved_charge(forces, charges) else { return without };
        let parts = |mechanical: f64| Parts { mechanical, joint, interception: still, stokes: forces.stokes };
        let cap = |e: f64| e.max(0.0).min(uncharged.whole_cell);
        let together = without.map_rising(|e| joined(&self.cell, parts(e)));
        let miss = joining_miss(forces.stokes) * (together.value - without.value).abs();
        Estimate {
            low: cap(together.low - miss),
            value: cap(together.value),
            high: cap(together.high + miss),
        }
    }
}
