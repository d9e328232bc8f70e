//! What is asked: a fibre in its cell and a particle, as groups.

use moteweir_physics::air::Air;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::closed_forms::CellGroups;
use moteweir_units::{Length, Solidity, Velocity};

use crate::report::CellGroupsReport;

/// A fibre in its cell and a particle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellQuestion {
    groups: CellGroups,
}

impl CellQuestion {
    /// From groups over the superficial velocity. No Stokes number means no inertia, no Peclet number no diffusion.
    pub const fn of_groups(groups: CellGroups) -> Self {
        Self { groups }
    }

    /// From sizes and a velocity: a particle that diffuses and has inertia, a fibre on which the air slips.
    pub fn of_sizes(
        air: &Air,
        solidity: Solidity,
        fibre_diameter: Length,
        face_velocity: Velocity,
        particle: &Particle,
    ) -> Self {
        let (u, d_f) = (face_velocity.to_m_per_s(), fibre_diameter.to_m());
        let reynolds = air.density().to_kg_per_m3() * u * d_f / air.viscosity().to_pa_s();
        let groups = CellGroups::new(solidity, air.fibre_knudsen(fibre_diameter))
            .with_interception(particle.diameter() / fibre_diameter)
            .with_stokes(particle.relaxation_time().to_s() * u / d_f)
            .with_peclet(u * d_f / particle.diffusivity().to_m2_per_s())
            .with_fibre_reynolds(reynolds);
        Self { groups }
    }

    /// The groups.
    pub const fn groups(&self) -> &CellGroups {
        &self.groups
    }

    pub(super) fn report(&self) -> CellGroupsReport {
        let g = &self.groups;
        CellGroupsReport {
            solidity: g.cell().solidity(),
            interception: g.interception(),
            stokes: g.stokes(),
            peclet: g.peclet(),
            fibre_knudsen: g.fibre_knudsen(),
            fibre_reynolds: g.fibre_reynolds(),
        }
    }
}
