//! How likely a particle is to be caught, roughly: where to let particles in, to split them and to let them go.
//!
//! Any guess gives the same mean; a good one gives it with fewer particles. Without inertia the chance of being caught
//! from a place obeys the convective diffusion equation in the reversed flow, which is the flow seen in a mirror:
//! `p(x, y) = 1 - c(-x, y)`, c the concentration of [`convection`](crate::convection). Inertia catches what is let in
//! below a height, that of the limiting [`trajectory`](crate::trajectory).

use super::particle::BrownianParticle;
use crate::convection::{Concentration, Diffuser, Drift, EdgeCondition, Resolution};
use crate::trajectory::{Particle, Precision, limiting_efficiency};

/// The grid of the guess.
const GRID: Resolution = Resolution { rings: 48, sectors: 48 };

/// Peclet numbers above this are guessed as this.
const LARGEST_PECLET: f64 = 1e8;

/// Heights at which particles are let in, as cells from the axis to the edge.
const HEIGHTS: usize = 400;

/// The share of the particles that is let in with no regard to the guess.
const REGARDLESS: f64 = 0.1;

/// Points are guessed to be as large as this, in fibre diameters.
const SMALLEST_SIZE: f64 = 1e-3;

/// The guess.
#[derive(Clone, Debug)]
pub(super) struct Importance {
    contact: f64,
    /// Distances of the rings from contact.
    gaps: Vec<f64>,
    /// Angles of the sectors, counted from in front of the fibre.
    bearings: Vec<f64>,
    /// The chance, ring by ring.
    chances: Vec<f64>,
    /// Below this height inertia catches.
    inertial_height: f64,
    /// The smallest chance told apart.
    floor: f64,
    /// Upper ends of the cells of heights, and the share of particles let in up to there.
    heights: Vec<f64>,
    shares: Vec<f64>,
    /// Chance over weight at the release, which flight keeps up.
    level: f64,
}

/// A height to let a particle in at, and its weight: the length of the edge it stands for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    pub(super) height: f64,
    pub(super) weight: f64,
}

impl Importance {
    pub(super) fn new(particle: &BrownianParticle) -> Self {
        let groups = particle.groups();
        let edge = particle.cell().edge_radius();
        let mut importance = Self {
            contact: particle.contact_radius(),
            gaps: Vec::new(),
            bearings: Vec::new(),
            chances: Vec::new(),
            inertial_height: inertial_height(particle),
            floor: 0.0,
            heights: (1..=HEIGHTS).map(|i| edge * (i as f64 / HEIGHTS as f64).powi(3)).collect(),
            shares: Vec::new(),
            level: 1.0,
        };
        let drift = Drift { settling: groups.settling, ..Drift::NONE };
        let peclet = groups.peclet.min(LARGEST_PECLET);
        if let Ok(diffuser) = Diffuser::new(particle.cell(), groups.interception, peclet, drift) {
            let wake = (4.0 * edge / peclet).sqrt() / edge;
            importance.guess(&Concentration::solve_with_wake(
                &diffuser,
                EdgeCondition::InflowFlux,
                GRID,
                wake,
            ));
        }
        importance.share_out(particle);
        importance
    }

    fn guess(&mut self, concentration: &Concentration) {
        let radii = concentration.radii();
        self.gaps = radii.iter().map(|r| r - self.contact).collect();
        self.bearings = concentration.bearings().to_vec();
        for ring in 0..radii.len() {
            for sector in 0..self.bearings.len() {
                let mirrored = concentration.value(ring, sector).unwrap_or(1.0);
                self.chances.push((1.0 - mirrored).clamp(0.0, 1.0));
            }
        }
    }

    /// Shares out the particles over the heights and levels the chances.
    fn share_out(&mut self, particle: &BrownianParticle) {
        let edge = particle.cell().edge_radius();
        let mut low = 0.0;
        let mut cells = Vec::with_capacity(HEIGHTS);
        for high in &self.heights {
            let middle = 0.5 * (low + high);
            let (place, _) = particle.entry(middle);
            cells.push((high - low, self.chance(place, middle)));
            low = *high;
        }
        let guessed: f64 = cells.iter().map(|(width, chance)| width * chance).sum();
        self.level = if guessed > 0.0 { guessed } else { edge };
        self.floor = REGARDLESS * self.level / edge;
        let mut share = 0.0;
        for (width, chance) in cells {
            let regarded = if guessed > 0.0 { chance / guessed } else { edge.recip() };
            share += width * ((1.0 - REGARDLESS) * regarded + REGARDLESS / edge);
            self.shares.push(share);
        }
    }

    /// The entry at a number evenly between 0 and 1.
    pub(super) fn entry(&self, uniform: f64) -> Entry {
        let last = self.shares.last().copied().unwrap_or(1.0);
        let sought = uniform * last;
        let cell = self.shares.partition_point(|share| *share < sought).min(HEIGHTS - 1);
        let (low, before) =
            if cell == 0 { (0.0, 0.0) } else { (self.heights[cell - 1], self.shares[cell - 1]) };
        let (width, share) = (self.heights[cell] - low, self.shares[cell] - before);
        Entry { height: low + width * (sought - before) / share, weight: last * width / share }
    }

    /// How many particles one of this weight should be here, that entered at this height: about 1 at release.
    #[inline]
    pub(super) fn copies(&self, weight: f64, place: [f64; 2], height: f64) -> f64 {
        weight * self.chance(place, height).max(self.floor) / self.level
    }

    fn chance(&self, [x, y]: [f64; 2], height: f64) -> f64 {
        let inertial = if x < 0.0 && height < self.inertial_height { 1.0 } else { 0.0 };
        if self.gaps.is_empty() {
            return inertial;
        }
        let gap = x.hypot(y) - self.contact;
        if gap < self.gaps[0] {
            return 1.0;
        }
        let (ring, along) = position(&self.gaps, gap);
        let (sector, turn) = position(&self.bearings, y.abs().atan2(-x));
        let at = |i: usize, j: usize| self.chances[i * self.bearings.len() + j];
        let inner = at(ring, sector) + turn * (at(ring, sector + 1) - at(ring, sector));
        let outer = at(ring + 1, sector) + turn * (at(ring + 1, sector + 1) - at(ring + 1, sector));
        inertial.max(inner + along * (outer - inner))
    }
}

/// The interval between neighbouring points that a value is in, and how far into it, kept within the points.
fn position(points: &[f64], value: f64) -> (usize, f64) {
    let lower = points.partition_point(|point| *point < value).clamp(1, points.len() - 1) - 1;
    let share = (value - points[lower]) / (points[lower + 1] - points[lower]);
    (lower, share.clamp(0.0, 1.0))
}

/// The height below which inertia catches more than interception would, widened by what diffusion blurs; 0 where it
/// does not.
fn inertial_height(particle: &BrownianParticle) -> f64 {
    let groups = particle.groups();
    let cell = particle.cell();
    let size = groups.interception.max(SMALLEST_SIZE);
    let still = cell.stream_at_gap(size);
    let limit = Particle::new(groups.stokes, size, &cell)
        .and_then(|inertial| limiting_efficiency(cell, inertial, particle.release(), Precision::QUICK, None));
    match limit {
        Ok(limit) if limit > 1.05 * still || groups.peclet.is_infinite() => {
            1.05 * limit + 2.0 * (2.0 * particle.diffusivity() * cell.edge_radius()).sqrt()
        }
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use moteweir_physics::cell::KuwabaraCell;
    use moteweir_physics::single_fibre::impaction::Release;
    use moteweir_units::Solidity;

    use super::*;
    use crate::langevin::Groups;

    fn importance(interception: f64, stokes: f64, peclet: f64) -> (Importance, f64) {
        let cell = KuwabaraCell::new(Solidity::new(0.05).unwrap(), 0.0);
        let groups = Groups { interception, stokes, peclet, settling: 0.0 };
        let particle = BrownianParticle::new(cell, groups, Release::Uniform).unwrap();
        (Importance::new(&particle), cell.edge_radius())
    }

    /// Particles let in by any guess stand for the whole edge: mean weight b, mean of weight times height b^2/2.
    #[test]
    fn weights_make_up_for_the_guess() {
        for (interception, stokes, peclet) in
            [(0.0, 0.0, 1e6), (0.1, 0.5, 1e3), (0.5, 0.1, f64::INFINITY), (0.0, 0.0, 10.0)]
        {
            let (importance, edge) = importance(interception, stokes, peclet);
            let count = 100_000;
            let (mut weights, mut moments) = (0.0, 0.0);
            for i in 0..count {
                let Entry { height, weight } = importance.entry((f64::from(i) + 0.5) / f64::from(count));
                weights += weight / f64::from(count);
                moments += weight * height / f64::from(count);
            }
            let what = format!("R {interception}, Stk {stokes}, Pe {peclet}");
            assert!((weights / edge - 1.0).abs() < 1e-3, "{what}: mean weight {weights}, edge {edge}");
            let expected = 0.5 * edge * edge;
            assert!((moments / expected - 1.0).abs() < 1e-3, "{what}: moment {moments}, expected {expected}");
        }
    }

    /// The guess is the solution itself where there is no inertia: let in by it, particles are worth about E each.
    #[test]
    fn the_guess_is_close_without_inertia() {
        for (interception, peclet, efficiency) in [(0.0, 1e3, 0.031183), (0.1, 1e3, 0.051143)] {
            let (importance, _) = importance(interception, 0.0, peclet);
            let miss = importance.level / efficiency - 1.0;
            assert!(
                miss.abs() < 0.05,
                "R {interception}, Pe {peclet}: {} for {efficiency}",
                importance.level
            );
        }
    }
}
