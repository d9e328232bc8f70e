//! The particle: what it obeys, and where it is let in.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

/// What could not be computed, and why.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LangevinError {
    /// The particle is smaller than a point or does not fit between the fibre and the edge of its cell.
    #[error(
        "the interception parameter {interception} is not from 0 to below {largest}, the room in the cell"
    )]
    Interception {
        /// The value given.
        interception: f64,
        /// The largest that the cell has room for.
        largest: f64,
    },
    /// The Stokes number is negative or not finite.
    #[error("the Stokes number {stokes} is not 0 or more and finite")]
    Stokes {
        /// The value given.
        stokes: f64,
    },
    /// The Peclet number is not a positive number.
    #[error("the Peclet number {peclet} is not above 0")]
    Peclet {
        /// The value given; infinite is allowed.
        peclet: f64,
    },
    /// The particle rises as fast as the air comes down, or faster: none arrive.
    #[error("particles that settle at {settling} times the velocity of the air do not enter the cell")]
    Settling {
        /// The settling speed over U, negative against the flow.
        settling: f64,
    },
    /// A point that does not diffuse: below the critical Stokes number it never touches, however close it comes.
    #[error("a point that does not diffuse is not let in: give it a size")]
    Point,
    /// A particle took more steps than one may.
    #[error("a particle was still on its way after {steps} steps")]
    Steps {
        /// The steps spent.
        steps: u32,
    },
}

/// A particle with inertia that diffuses and settles, as its groups.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groups {
    /// Interception parameter `R = d_p/d_f`, 0 for a point.
    pub interception: f64,
    /// Stokes number `rho d_p^2 Cc U/(18 mu d_f)`, 0 for no inertia.
    pub stokes: f64,
    /// Peclet number `U d_f/D`, infinite for no diffusion.
    pub peclet: f64,
    /// Settling speed along the flow over U, negative against the flow.
    pub settling: f64,
}

/// A particle in its cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BrownianParticle {
    cell: KuwabaraCell,
    groups: Groups,
    release: Release,
}

impl BrownianParticle {
    /// A particle of these groups that enters the cell with the mean velocity of `release` and, about it, the thermal
    /// velocity.
    ///
    /// # Errors
    /// Where a group is out of its range, or a point does not diffuse.
    pub fn new(cell: KuwabaraCell, groups: Groups, release: Release) -> Result<Self, LangevinError> {
        let Groups { interception, stokes, peclet, settling } = groups;
        let largest = cell.largest_interception();
        if !(interception >= 0.0 && interception < largest) {
            return Err(LangevinError::Interception { interception, largest });
        }
        if !(stokes >= 0.0 && stokes.is_finite()) {
            return Err(LangevinError::Stokes { stokes });
        }
        if peclet.is_nan() || peclet <= 0.0 {
            return Err(LangevinError::Peclet { peclet });
        }
        if !(settling > -1.0 && settling.is_finite()) {
            return Err(LangevinError::Settling { settling });
        }
        if interception == 0.0 && peclet.is_infinite() {
            return Err(LangevinError::Point);
        }
        Ok(Self { cell, groups, release })
    }

    /// The cell.
    pub fn cell(&self) -> KuwabaraCell {
        self.cell
    }

    /// The particle's groups.
    pub fn groups(&self) -> Groups {
        self.groups
    }

    /// How it enters.
    pub fn release(&self) -> Release {
        self.release
    }

    /// 1 + R.
    pub(super) fn contact_radius(&self) -> f64 {
        1.0 + self.groups.interception
    }

    /// The relaxation time in a/U, 2 Stk.
    pub(super) fn relaxation(&self) -> f64 {
        2.0 * self.groups.stokes
    }

    /// The diffusivity over U a, 2/Pe.
    pub(super) fn diffusivity(&self) -> f64 {
        2.0 / self.groups.peclet
    }

    /// The velocity that the particle relaxes to at (x, y): the air's and its settling.
    #[inline]
    pub(super) fn carrier(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [u, v] = self.cell.velocity(x, y);
        [u + self.groups.settling, v]
    }

    /// Where it enters at a height above the axis, and with which mean velocity.
    pub(super) fn entry(&self, height: f64) -> ([f64; 2], [f64; 2]) {
        let edge = self.cell.edge_radius();
        let place = [-((edge - height) * (edge + height)).max(0.0).sqrt(), height];
        let velocity = match self.release {
            Release::Uniform => [1.0 + self.groups.settling, 0.0],
            Release::Fluid => self.carrier(place),
        };
        (place, velocity)
    }
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    #[test]
    fn impossible_particles_are_refused_in_words() {
        let cell = KuwabaraCell::new(Solidity::new(0.0625).unwrap(), 0.0);
        let refused = |interception, stokes, peclet, settling| {
            let groups = Groups { interception, stokes, peclet, settling };
            BrownianParticle::new(cell, groups, Release::Uniform).unwrap_err().to_string()
        };
        assert_eq!(
            refused(3.0, 0.1, 1e3, 0.0),
            "the interception parameter 3 is not from 0 to below 3, the room in the cell"
        );
        assert_eq!(refused(0.1, -1.0, 1e3, 0.0), "the Stokes number -1 is not 0 or more and finite");
        assert_eq!(refused(0.1, 0.1, 0.0, 0.0), "the Peclet number 0 is not above 0");
        assert_eq!(
            refused(0.1, 0.1, 1e3, -1.5),
            "particles that settle at -1.5 times the velocity of the air do not enter the cell"
        );
        assert_eq!(
            refused(0.0, 0.1, f64::INFINITY, 0.0),
            "a point that does not diffuse is not let in: give it a size"
        );
    }
}
