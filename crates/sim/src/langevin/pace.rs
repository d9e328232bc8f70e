//! How long the next step may be.

use super::particle::BrownianParticle;
use crate::convection::{Diffuser, Drift};

/// How fine the steps are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pace {
    contact: f64,
    edge: f64,
    diffusivity: f64,
    relaxation: f64,
    /// Distances from contact below this are not told apart.
    nearest: f64,
    /// The shortest step that diffusion asks for.
    shortest: f64,
    /// The share of a distance that a step may carry a particle over it.
    carried: f64,
    /// The share of the distance from contact that diffusion may spread a particle over in a step.
    spread: f64,
}

/// Share of a relaxation time that a step at contact takes.
const RELAXATION_SHARE: f64 = 0.2;

/// A particle that forgets its velocity this many times within the shortest diffusive step has no inertia at contact.
const FORGETFUL: f64 = 50.0;

/// Shares of a distance. Two thirds of the first moved three trajectories' efficiencies by 0.1 % (Stk 0.03 to 0.5), and both
/// doubled moved that of a point at Pe 100 by less than its standard error of 0.35 %.
const CARRIED: f64 = 0.1;
const SPREAD: f64 = 0.25;

/// The path of a step may sag by this share of the distance from contact; the chord of length s sags by s^2/(8 r).
const SAG: f64 = 0.01;

impl Pace {
    /// Steps `fineness` times as fine as usual.
    pub(super) fn new(particle: &BrownianParticle, fineness: f64) -> Self {
        let groups = particle.groups();
        let (diffusivity, relaxation) = (particle.diffusivity(), particle.relaxation());
        let (carried, spread) = (CARRIED / fineness, SPREAD / fineness);
        let drift = Drift { settling: groups.settling, ..Drift::NONE };
        let layer = Diffuser::new(particle.cell(), groups.interception, groups.peclet, drift)
            .map_or(0.0, |diffuser| diffuser.layer_thickness());
        let nearest = (0.02 * layer).max(1e-4 * groups.interception);
        let diffusive = (spread * nearest).powi(2) / (2.0 * diffusivity);
        let inert = relaxation * FORGETFUL < diffusive;
        let shortest = if inert { diffusive } else { RELAXATION_SHARE / fineness * relaxation };
        Self {
            contact: particle.contact_radius(),
            edge: particle.cell().edge_radius(),
            diffusivity,
            relaxation,
            nearest,
            shortest,
            carried,
            spread,
        }
    }

    /// The next step from a place, where the particle has a velocity and relaxes to that of its carrier.
    #[inline]
    pub(super) fn step(&self, place: [f64; 2], velocity: [f64; 2], carrier: [f64; 2]) -> f64 {
        let r = place[0].hypot(place[1]);
        let gap = (r - self.contact).max(self.nearest);
        let across = self.carried * (r - 1.0).max(self.nearest);
        let along = (self.carried * r).min((8.0 * SAG * r * gap).sqrt());
        let outward = (place[0] * carrier[0] + place[1] * carrier[1]) / r;
        let sideways = (place[0] * carrier[1] - place[1] * carrier[0]) / r;
        let mut time = (across / outward.abs()).min(along / sideways.abs());
        if self.relaxation > 0.0 {
            let excess = (velocity[0] - carrier[0]).hypot(velocity[1] - carrier[1]);
            let reach = across.min(along);
            if excess * self.relaxation > reach {
                time = time.min(reach / excess);
            }
        }
        let room = gap.min((self.edge - r).max(0.05 * self.edge));
        let diffusive = (self.spread * room).powi(2) / (2.0 * self.diffusivity);
        time.min(diffusive.max(self.shortest))
    }

    /// Whether a step is so long against the memory of the velocity that its path is that of plain diffusion.
    #[inline]
    pub(super) fn is_diffusive(&self, time: f64) -> bool {
        self.diffusivity > 0.0 && time > 0.4 * FORGETFUL * self.relaxation
    }

    /// The chance that a path of plain diffusion touches between two distances from contact.
    #[inline]
    pub(super) fn touching(&self, before: f64, after: f64, time: f64) -> f64 {
        (-before * after / (self.diffusivity * time)).exp()
    }
}
