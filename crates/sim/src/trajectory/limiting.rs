//! The limiting trajectory: the release point that parts the caught from the passing.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

use super::approach::closest_approach;
use super::motion::{Motion, Particle, TrajectoryError};
use super::root::root;

/// How exactly a limiting trajectory is solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Precision {
    /// Error of one integration step, relative to the particle's distances from the axis and the fibre.
    pub step: f64,
    /// Width of the bracket round the release point, relative.
    pub release: f64,
}

impl Precision {
    /// For tables and checks: efficiencies to a few 1e-9.
    pub const FINE: Self = Self { step: 1e-11, release: 1e-10 };
    /// For a quick answer: efficiencies to better than 1e-4.
    pub const QUICK: Self = Self { step: 1e-7, release: 1e-6 };
}

/// Single-fibre efficiency of interception and inertia together [-], from the limiting trajectory.
///
/// ```text
/// E = psi/(U a) at the limiting release = its height above the axis, in fibre radii
/// ```
/// The captured releases are taken to be one interval round the axis. `near` is a guess of the efficiency that saves
/// half the work where it is good; it does not change the answer beyond the precision asked for.
///
/// # Errors
/// Where the integrator gives up; see [`TrajectoryError`].
pub fn limiting_efficiency(
    cell: KuwabaraCell,
    particle: Particle,
    release: Release,
    precision: Precision,
    near: Option<f64>,
) -> Result<f64, TrajectoryError> {
    let edge = cell.edge_radius();
    let touching = cell.stream_at_gap(particle.interception());
    // The stream function at the closest approach is the release height itself where there is no inertia.
    let clearance = |height: f64| -> Result<f64, TrajectoryError> {
        let closest = {
            let motion = Motion::new(cell, particle, precision.release);
            closest_approach(motion, release, height, precision.step)?
        };
        let gap = closest - 1.0;
        Ok(cell.stream_at_gap(gap.abs()).copysign(gap) - touching)
    };
    let mut low = (0.0, -touching);
    let mut high = (edge, edge - touching);
    if let Some(guess) = near.filter(|guess| *guess > 0.0 && *guess < edge) {
        let value = clearance(guess)?;
        if value > 0.0 {
            high = (guess, value);
        } else {
            low = (guess, value);
        }
        for reach in [0.01, 0.1] {
            let next = if value > 0.0 { guess * (1.0 - reach) } else { guess * (1.0 + reach) };
            if next >= edge {
                break;
            }
            let beyond = clearance(next)?;
            if beyond > 0.0 {
                high = (next, beyond);
            } else {
                low = (next, beyond);
            }
            if (beyond > 0.0) != (value > 0.0) {
                break;
            }
        }
    }
    root(clearance, low, high, precision.release)
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    fn cell(alpha: f64) -> KuwabaraCell {
        KuwabaraCell::new(Solidity::new(alpha).unwrap(), 0.0)
    }

    fn solve(alpha: f64, interception: f64, stokes: f64, release: Release) -> f64 {
        let cell = cell(alpha);
        let particle = Particle::new(stokes, interception, &cell).unwrap();
        limiting_efficiency(cell, particle, release, Precision::FINE, None).unwrap()
    }

    /// Increments at solidity 0.05, computed independently with an integration error below 1e-9, to the digits shown.
    #[test]
    fn increments_match_the_reference_values() {
        let rows = [
            (0.1, 0.03, -0.000245, -0.000163, 1e-6),
            (0.1, 0.18, 0.004705, 0.005391, 1e-6),
            (0.1, 0.5, 0.1110, 0.1244, 1e-4),
            (0.1, 2.0, 0.5152, 0.6723, 1e-4),
            (0.5, 0.03, -0.004245, -0.002592, 1e-6),
            (0.5, 0.18, 0.03153, 0.04257, 1e-5),
            (0.5, 0.5, 0.2124, 0.2605, 1e-4),
            (0.5, 2.0, 0.5678, 0.8015, 1e-4),
        ];
        for (interception, stokes, fluid, uniform, digit) in rows {
            let still = cell(0.05).stream_at_gap(interception);
            for (release, expected) in [(Release::Fluid, fluid), (Release::Uniform, uniform)] {
                let got = solve(0.05, interception, stokes, release) - still;
                let miss = (got - expected).abs();
                println!("{interception} {stokes} {release:?}: {got}");
                assert!(
                    miss <= 0.51 * digit,
                    "R {interception}, Stk {stokes}, {release:?}: got {got}, expected {expected}, miss {miss}"
                );
            }
        }
    }
}
