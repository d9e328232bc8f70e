//! The critical Stokes number: above it even a point on the axis reaches the fibre.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

use super::approach::Walk;
use super::motion::{Motion, Particle, TrajectoryError};
use super::root::root;

/// Gap in fibre radii at which a point that has not yet outrun the flow never will.
const LAST_GAP: f64 = 1e-5;

/// The Stokes number above which a point particle is caught [-], the same for both releases.
///
/// On the axis the approach speed less (gap)/(relaxation time) only grows, and a point for which it turns positive
/// coasts into the fibre; below the critical number it stays negative up to the fibre.
///
/// # Errors
/// Where the integrator gives up.
pub fn critical_stokes(cell: KuwabaraCell) -> Result<f64, TrajectoryError> {
    // In the logarithm, so that the bracket may be wide; the wall's own scale is Ku/(1 - alpha).
    let scale = cell.slip_kuwabara_factor() / (1.0 - cell.solidity());
    let coasting = |logarithm: f64| -> Result<f64, TrajectoryError> {
        let particle = Particle::new(scale * logarithm.exp(), LAST_GAP, &cell)?;
        Ok(if coasts(Motion::new(cell, particle, 0.0))? { 1.0 } else { -1.0 })
    };
    // Not a smooth function: the root-finder halves.
    Ok(scale * root(coasting, (-4.0, -1.0), (4.0, 1.0), 1e-10)?.exp())
}

fn coasts(motion: Motion) -> Result<bool, TrajectoryError> {
    let relaxation = motion.relaxation();
    let mut walk = Walk::new(motion, Release::Uniform, 0.0, 1e-10);
    loop {
        walk.advance()?;
        let gap = -walk.state[0] - 1.0;
        if gap < relaxation * walk.state[2] {
            return Ok(true);
        }
        if gap < LAST_GAP {
            return Ok(false);
        }
    }
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    /// Computed independently, to the digits shown.
    #[test]
    fn critical_stokes_numbers_match_the_reference_values() {
        for (alpha, expected) in
            [(0.01, 0.8964), (0.03, 0.6334), (0.05, 0.5207), (0.1, 0.3789), (0.2, 0.2504)]
        {
            let got = critical_stokes(KuwabaraCell::new(Solidity::new(alpha).unwrap(), 0.0)).unwrap();
            assert!((got - expected).abs() <= 5.1e-5, "solidity {alpha}: got {got}, expected {expected}");
        }
    }
}
