//! Limiting trajectories: which of the particles that enter a fibre's cell end up on the fibre.
//!
//! A sphere with inertia and Stokes drag moves in the creeping flow of the Kuwabara cell,
//!
//! ```text
//! 2 Stk dv/dt = u(x) - v        lengths in fibre radii a, velocities in U, times in a/U
//! ```
//!
//! from the cell's edge until it touches (r = 1 + R) or leaves. The release points that end on the fibre are one
//! interval round the axis; its end is the limiting trajectory. The stream function there, over U a, is the
//! single-fibre efficiency by interception and inertia together.
//!
//! The flow may slip on the fibre ([`KuwabaraCell`](moteweir_physics::cell::KuwabaraCell)); the drag on the particle is
//! the part of the Stokes number that carries Cunningham's correction. [`limiting_efficiency`] is for particles that
//! nothing but the air drives; [`inertialess_efficiency`] for weight and charge ([`Drift`](crate::drift::Drift)) without
//! inertia, [`driven_efficiency`] with it, [`electret_efficiency`] for the mean over an electret's orientation. Leaves out:
//! the hydrodynamic resistance of the last gap between sphere and fibre, diffusion.

mod approach;
mod critical;
mod driven;
mod inertialess;
mod limiting;
mod motion;
mod rest;
mod root;
mod runge_kutta;
mod sluggish;
mod streamline;

pub use approach::{Flight, Outcome, fly};
pub use critical::critical_stokes;
pub use driven::driven_efficiency;
pub use inertialess::{BEARINGS, electret_efficiency, inertialess_efficiency};
pub use limiting::{Precision, limiting_efficiency};
pub use motion::{Particle, TrajectoryError};
