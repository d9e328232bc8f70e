//! The equation of motion of a particle in the cell, and where and how it starts.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

use super::runge_kutta::State;
use super::sluggish::{drift, shifted_start};

/// What could not be computed, and why.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TrajectoryError {
    /// The Stokes number is not a positive finite number.
    #[error("the Stokes number {stokes} is not above 0 and finite")]
    Stokes {
        /// The value given.
        stokes: f64,
    },
    /// The particle is not larger than a point or does not fit between the fibre and the edge of its cell.
    #[error("the interception parameter {interception} is not between 0 and {largest}, the room in the cell")]
    Interception {
        /// The value given.
        interception: f64,
        /// The largest that the cell has room for.
        largest: f64,
    },
    /// The release is not between the axis and the edge of the cell.
    #[error(
        "the release at {height} fibre radii from the axis is not between 0 and {edge}, the cell's radius"
    )]
    Height {
        /// The value given.
        height: f64,
        /// The radius of the cell in fibre radii.
        edge: f64,
    },
    /// A drift is not a finite number.
    #[error("the drift of {speed} times the velocity of the air is not finite")]
    Drift {
        /// The value given, over U.
        speed: f64,
    },
    /// The integrator gave up: the particle is far too sluggish or far too quick for the steps it may take.
    #[error(
        "no answer within {steps} steps for Stokes number {stokes} and interception parameter {interception}"
    )]
    Steps {
        /// The steps spent.
        steps: usize,
        /// The Stokes number.
        stokes: f64,
        /// The interception parameter.
        interception: f64,
    },
}

/// A spherical particle by the two numbers that its trajectory depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Particle {
    stokes: f64,
    interception: f64,
}

impl Particle {
    /// A particle of the Stokes number `rho d_p^2 Cc U/(18 mu d_f)` and the interception parameter `d_p/d_f`.
    ///
    /// # Errors
    /// Where either is not a positive finite number or the particle does not fit into the cell.
    pub fn new(stokes: f64, interception: f64, cell: &KuwabaraCell) -> Result<Self, TrajectoryError> {
        let largest = cell.largest_interception();
        if !(stokes > 0.0 && stokes.is_finite()) {
            return Err(TrajectoryError::Stokes { stokes });
        }
        if !(interception > 0.0 && interception < largest) {
            return Err(TrajectoryError::Interception { interception, largest });
        }
        Ok(Self { stokes, interception })
    }

    /// The Stokes number, over the fibre diameter.
    pub fn stokes(&self) -> f64 {
        self.stokes
    }

    /// The interception parameter.
    pub fn interception(&self) -> f64 {
        self.interception
    }

    /// The distance of the particle's centre from the fibre's when they touch, in fibre radii.
    pub fn contact_radius(&self) -> f64 {
        1.0 + self.interception
    }
}

/// A particle in a cell: the rates of its state.
pub(super) struct Motion {
    pub(super) cell: KuwabaraCell,
    pub(super) particle: Particle,
    inverse_relaxation: f64,
    sluggish: bool,
}

impl Motion {
    /// `precision` is the relative error of an efficiency below which the stiff limit may answer.
    pub(super) fn new(cell: KuwabaraCell, particle: Particle, precision: f64) -> Self {
        let at_wall = particle.stokes * (1.0 - cell.solidity()) / cell.slip_kuwabara_factor();
        let inverse_relaxation = (2.0 * particle.stokes).recip();
        Self { cell, particle, inverse_relaxation, sluggish: at_wall.powi(3) < precision }
    }

    /// The relaxation time in a/U.
    pub(super) fn relaxation(&self) -> f64 {
        2.0 * self.particle.stokes
    }

    /// The time in a/U within which the integrator sees things change.
    pub(super) fn shortest_time(&self) -> f64 {
        if self.sluggish { 1.0 } else { self.relaxation().min(1.0) }
    }

    pub(super) fn rate(&self, state: &State) -> State {
        let [x, y, vx, vy] = *state;
        if self.sluggish {
            let [wx, wy] = drift(&self.cell, self.relaxation(), x, y);
            return [wx, wy, 0.0, 0.0];
        }
        let [ux, uy] = self.cell.velocity(x, y);
        [vx, vy, (ux - vx) * self.inverse_relaxation, (uy - vy) * self.inverse_relaxation]
    }

    /// The state with the velocity that goes with its position, where the position decides it.
    pub(super) fn settled(&self, state: State) -> State {
        if !self.sluggish {
            return state;
        }
        let [x, y, ..] = state;
        let [vx, vy] = drift(&self.cell, self.relaxation(), x, y);
        [x, y, vx, vy]
    }

    /// On the edge of the cell upstream, at this height above the axis.
    pub(super) fn start(&self, release: Release, height: f64) -> State {
        let edge = self.cell.edge_radius();
        let x = -((edge - height) * (edge + height)).max(0.0).sqrt();
        let [vx, vy] = match release {
            Release::Uniform => [1.0, 0.0],
            Release::Fluid => self.cell.velocity(x, height),
        };
        if self.sluggish {
            let [x, y] = shifted_start(&self.cell, self.relaxation(), [x, height], [vx, vy]);
            return self.settled([x, y, 0.0, 0.0]);
        }
        [x, height, vx, vy]
    }
}
