//! What a fibre catches of particles with inertia that forces drive.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

use crate::drift::{Carried, Drift};

use super::inertialess::{Inflow, caught};
use super::motion::{Particle, TrajectoryError};
use super::runge_kutta::{State, Step, step};
use super::streamline::{Ring, gap};

/// Steps after which a trajectory is given up.
const MOST_STEPS: usize = 400_000;

/// Releases tried all along the inflow.
const SCANNED: u32 = 48;

/// How far beyond the borders without inertia releases are tried, in widths of what is caught there.
const BESIDE: [f64; 9] = [0.02, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, 3.2, 6.4];

/// Single-fibre efficiency of a particle with inertia in the flow of the cell and under forces \[-\].
///
/// ```text
/// 2 Stk dv/dt = u(x) + w(x) - v          w the drift that the force alone would give
/// E = (b/2) (integral of -v_r over the part of the cell's edge from which particles come in and touch)
/// ```
/// Particles enter with the velocity of `release` and the drift there. Releases are tried along the whole inflow and close
/// to what is caught without inertia; wherever two neighbours end differently, the border between them is halved to 1e-7
/// of its angle. `tolerance` is of one integration step, relative to the distance from the fibre (1e-7 is a good
/// choice). Stokes numbers below about 1e-3 take many steps: there [`inertialess_efficiency`](super::inertialess_efficiency)
/// serves.
///
/// # Errors
/// Where a drift is not finite or the integrator gives up.
pub fn driven_efficiency(
    cell: KuwabaraCell,
    particle: Particle,
    release: Release,
    drift: Drift,
    tolerance: f64,
) -> Result<f64, TrajectoryError> {
    if let Some(speed) = drift.not_finite() {
        return Err(TrajectoryError::Drift { speed });
    }
    let ring = Ring { carried: Carried::new(cell, drift), contact: particle.interception(), tolerance };
    let Some(inflow) = Inflow::new(&ring) else { return Ok(0.0) };
    let driven = Driven { ring, particle, release };
    let releases = releases(&inflow, &caught(&ring, &inflow));
    let mut borders = Vec::new();
    let mut before = (releases[0], driven.touches(releases[0])?);
    let mut since = before.1.then_some(inflow.first);
    for release in &releases[1..] {
        let here = (*release, driven.touches(*release)?);
        if here.1 != before.1 {
            let border = driven.border(before, here)?;
            match since.take() {
                Some(first) => borders.push([first, border]),
                None => since = Some(border),
            }
        }
        before = here;
    }
    borders.extend(since.map(|first| [first, inflow.last]));
    Ok(borders.iter().map(|arc| inflow.flux(arc[0], arc[1])).sum())
}

/// Angles at which particles are let in, rising.
fn releases(inflow: &Inflow, still: &[[f64; 2]]) -> Vec<f64> {
    let width = inflow.last - inflow.first;
    let even = (0..SCANNED).map(|i| inflow.first + width * (f64::from(i) + 0.5) / f64::from(SCANNED));
    let beside = still.iter().flat_map(|[first, last]| {
        let caught = last - first;
        let outside = BESIDE.iter().flat_map(move |b| [first - b * caught, last + b * caught]);
        let inside =
            [0.001, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 0.98, 0.999].map(move |share| first + share * caught);
        outside.chain(inside)
    });
    let mut releases: Vec<f64> = even.chain(beside).collect();
    releases.retain(|angle| *angle > inflow.first && *angle < inflow.last);
    releases.sort_by(f64::total_cmp);
    releases
}

struct Driven {
    ring: Ring,
    particle: Particle,
    release: Release,
}

impl Driven {
    /// The angle between two releases that end differently.
    fn border(&self, low: (f64, bool), high: (f64, bool)) -> Result<f64, TrajectoryError> {
        let (mut a, mut b) = (low.0, high.0);
        while b - a > 1e-7 * b.abs().min(1e-2) {
            let middle = 0.5 * (a + b);
            if self.touches(middle)? == low.1 { a = middle } else { b = middle }
        }
        Ok(0.5 * (a + b))
    }

    /// Whether a particle let in at this angle of the edge touches.
    fn touches(&self, angle: f64) -> Result<bool, TrajectoryError> {
        let relaxation = 2.0 * self.particle.stokes();
        let carried = &self.ring.carried;
        let rate = |s: &State| {
            let [u, v] = carried.velocity(s[0], s[1]);
            [s[2], s[3], (u - s[2]) / relaxation, (v - s[3]) / relaxation]
        };
        let mut state = self.start(angle);
        let mut speed = rate(&state);
        let mut length = 0.1 * relaxation.min(1.0);
        let pace = relaxation.min(1.0).recip();
        for _ in 0..MOST_STEPS {
            let near = self.ring.tolerance * gap(&[state[0], state[1]]).clamp(1e-6, 1.0);
            let Step { end, error } =
                step(rate, &state, &speed, length, &[near, near, near * pace, near * pace]);
            let factor = if error.is_finite() { (0.9 * error.powf(-0.125)).clamp(0.2, 6.0) } else { 0.2 };
            if error > 1.0 || !error.is_finite() {
                length *= factor.min(0.9);
                continue;
            }
            let leaving = departure(&end) > 0.0;
            let passed = leaving && departure(&state) < 0.0;
            let closest = if passed { turn(rate, &state, &speed, length) } else { end };
            if gap(&[closest[0], closest[1]]) <= self.ring.contact {
                return Ok(true);
            }
            (state, speed) = (end, rate(&end));
            length *= factor;
            let reached = gap(&[state[0], state[1]]);
            if reached >= self.ring.room() && leaving {
                return Ok(false);
            }
        }
        let (stokes, interception) = (self.particle.stokes(), self.particle.interception());
        Err(TrajectoryError::Steps { steps: MOST_STEPS, stokes, interception })
    }

    fn start(&self, angle: f64) -> State {
        let edge = self.ring.carried.cell.edge_radius();
        let (x, y) = (edge * angle.cos(), edge * angle.sin());
        let [u, v] = match self.release {
            Release::Uniform => {
                let [du, dv] = self.ring.carried.drifting(x, y);
                [1.0 + du, dv]
            }
            Release::Fluid => self.ring.carried.velocity(x, y),
        };
        [x, y, u, v]
    }
}

/// Half the rate of the squared distance from the fibre's centre.
fn departure(state: &State) -> f64 {
    state[0] * state[2] + state[1] * state[3]
}

/// The closest point of a step that begins with an approach and ends with a departure.
fn turn(rate: impl Fn(&State) -> State, before: &State, speed: &State, length: f64) -> State {
    let (mut low, mut high) = ((0.0, departure(before)), (length, f64::INFINITY));
    let mut found = *before;
    for _ in 0..24 {
        let share = if high.1.is_finite() { -low.1 / (high.1 - low.1) } else { 1.0 };
        let time = low.0 + (high.0 - low.0) * share.clamp(0.02, 0.98);
        found = step(&rate, before, speed, time, &[1.0; 4]).end;
        let value = departure(&found);
        if high.0 - low.0 < 1e-9 * length {
            break;
        }
        if value > 0.0 { high = (time, value) } else { low = (time, value) }
    }
    found
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;
    use crate::trajectory::{Precision, inertialess_efficiency, limiting_efficiency};

    fn cell() -> KuwabaraCell {
        KuwabaraCell::new(Solidity::new(0.05).unwrap(), 0.0)
    }

    /// Another search and another integration of the same motion.
    #[test]
    fn without_forces_it_is_the_limiting_trajectory() {
        for (interception, stokes) in [(0.05, 0.3), (0.3, 0.1), (0.3, 2.0)] {
            for release in [Release::Uniform, Release::Fluid] {
                let particle = Particle::new(stokes, interception, &cell()).unwrap();
                let got = driven_efficiency(cell(), particle, release, Drift::NONE, 1e-8).unwrap();
                let expected = limiting_efficiency(cell(), particle, release, Precision::FINE, None).unwrap();
                assert!((got / expected - 1.0).abs() < 1e-5, "{particle:?} {release:?}: {got}, {expected}");
            }
        }
    }

    /// Straight on to no inertia: two ways to the same efficiency.
    #[test]
    fn without_inertia_it_is_the_path_along_the_drift() {
        let bearing = Drift { dipole_bearing: 2.0, ..Drift::NONE };
        for drift in [
            Drift { dipole_polarisation: 0.1, ..bearing },
            Drift { dipole_charge: 0.3, dipole_polarisation: 0.3, ..bearing },
            Drift { line_charge: 0.1, ..bearing },
            Drift { line_polarisation: 0.1, ..bearing },
            Drift { image: 1e-4, ..bearing },
        ] {
            let solve = |stokes: f64| {
                let particle = Particle::new(stokes, 0.2, &cell()).unwrap();
                driven_efficiency(cell(), particle, Release::Uniform, drift, 1e-8).unwrap()
            };
            let got = 2.0 * solve(2e-3) - solve(4e-3);
            let expected = inertialess_efficiency(cell(), 0.2, drift, 1e-9).unwrap();
            assert!((got / expected - 1.0).abs() < 3e-4, "{drift:?}: got {got}, expected {expected}");
        }
    }

    /// Heavy particles go straight on, whatever draws at them.
    #[test]
    fn heavy_particles_pass_by_weak_forces() {
        let particle = Particle::new(1e3, 0.5, &cell()).unwrap();
        let drift = Drift { dipole_polarisation: 0.1, ..Drift::NONE };
        let got = driven_efficiency(cell(), particle, Release::Uniform, drift, 1e-8).unwrap();
        assert!((got - 1.5).abs() < 2e-3, "{got}");
    }
}
