//! The critical Stokes number: above it even a point on the axis reaches the fibre.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

use super::approach::Walk;
use super::motion::{Motion, Particle, TrajectoryError};
use super::root::root;

/// Gap in fibre radii at which speed is weighed against distance; the answer is off by about half its square.
const LAST_GAP: f64 = 1e-4;

/// The Stokes number above which a point particle is caught \[-\], the same for both releases.
///
/// On the axis the approach speed times the relaxation time, less the gap, only grows, by less than the square of the
/// gap that is left. A point for which it turns positive coasts into the fibre; below the critical number it stays
/// negative up to the fibre.
///
/// # Errors
/// Where the integrator gives up.
pub fn critical_stokes(cell: KuwabaraCell) -> Result<f64, TrajectoryError> {
    // The wall's own scale is Ku/(1 - alpha); the critical number is 0.5 to 3 of it.
    let scale = cell.slip_kuwabara_factor() / (1.0 - cell.solidity());
    let coasting = |relative: f64| coasting(cell, scale * relative);
    let (low, high) = (0.1, 10.0);
    Ok(scale * root(coasting, (low, coasting(low)?), (high, coasting(high)?), 1e-10)?)
}

/// How far a point comes to rest behind the fibre's surface (in front of it where negative), in fibre radii.
fn coasting(cell: KuwabaraCell, stokes: f64) -> Result<f64, TrajectoryError> {
    let motion = Motion::new(cell, Particle::new(stokes, LAST_GAP, &cell)?, 0.0);
    let relaxation = motion.relaxation();
    let mut walk = Walk::new(motion, Release::Uniform, 0.0, 1e-10);
    loop {
        walk.advance()?;
        let [x, _, speed, _] = walk.state;
        if x > -1.0 - LAST_GAP {
            return Ok(x + 1.0 + relaxation * speed);
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
