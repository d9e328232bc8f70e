//! Points at which diffusion and inertia act at once, and what every solver says there.

use moteweir_physics::air::Air;
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;
use moteweir_units::{Density, Length, Solidity};

use crate::convection::{
    ConvectionError, Diffuser, Drift, EdgeCondition, Estimate, Resolution, diffusive_efficiency,
};
use crate::langevin::{BrownianParticle, Groups, LangevinError, LangevinEstimate, Plan, langevin_efficiency};
use crate::random::{Purpose, Stream};
use crate::trajectory::{Particle, Precision, TrajectoryError, limiting_efficiency};

const DESIGN: Purpose = Purpose::named("design of points where diffusion and inertia act at once");

/// The share that diffusion must have in capture without inertia, for a point to count.
const LEAST_SHARE: f64 = 0.01;

/// Where the groups of a point come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A particle of 10 nm to 5 um and 0.5 to 3 g/cm3 at a fibre of 0.1 to 20 um, air of 1 cm/s to 3 m/s.
    Particle,
    /// Each group drawn for itself.
    Groups,
}

/// A cell and the groups of a particle in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Where its groups come from.
    pub origin: Origin,
    /// The solidity.
    pub solidity: f64,
    /// The fibre Knudsen number.
    pub fibre_knudsen: f64,
    /// The interception parameter.
    pub interception: f64,
    /// The Stokes number.
    pub stokes: f64,
    /// The Peclet number.
    pub peclet: f64,
}

/// What the solvers say at a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Where.
    pub point: Point,
    /// Diffusion and interception, without inertia.
    pub diffusive: Estimate,
    /// Interception and inertia without diffusion, entering with the uniform velocity.
    pub inertial: f64,
    /// Everything at once, entering with the uniform velocity.
    pub joint: LangevinEstimate,
}

/// What could not be solved.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum JointError {
    /// Diffusion without inertia.
    #[error(transparent)]
    Convection(#[from] ConvectionError),
    /// Inertia without diffusion.
    #[error(transparent)]
    Trajectory(#[from] TrajectoryError),
    /// Everything at once.
    #[error(transparent)]
    Langevin(#[from] LangevinError),
}

impl Point {
    /// The cell.
    fn cell(&self) -> KuwabaraCell {
        KuwabaraCell::new(self.web(), self.fibre_knudsen)
    }

    /// The solidity.
    pub(super) fn web(&self) -> Solidity {
        Solidity::new(self.solidity).expect("a design draws solidities within 0 to 1")
    }

    fn diffusive(&self, cell: KuwabaraCell) -> Result<Estimate, ConvectionError> {
        let diffuser = Diffuser::new(cell, self.interception, self.peclet, Drift::NONE)?;
        Ok(diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, Resolution::STANDARD))
    }

    /// Whether both act, and the particle is in the range of the atlas.
    fn counts(&self) -> bool {
        let cell = self.cell();
        if !(self.interception < 0.9 * cell.largest_interception()
            && (1e-3..=30.0).contains(&self.stokes)
            && (1.0..=1e8).contains(&self.peclet)
            && self.fibre_knudsen <= 2.0)
        {
            return false;
        }
        let alone = cell.stream_at_gap(self.interception);
        self.diffusive(cell).is_ok_and(|e| e.efficiency - alone > LEAST_SHARE * e.efficiency)
    }
}

/// `count` points of each origin; the first points of a longer design are those of a shorter one.
pub fn design(count: usize, seed: u64) -> Vec<Point> {
    let drawn = |origin: Origin, item: u64| {
        (0..)
            .map(move |index| draw(origin, &mut Stream::new(seed, DESIGN.item(item), index)))
            .filter(Point::counts)
            .take(count)
    };
    drawn(Origin::Particle, 0).chain(drawn(Origin::Groups, 1)).collect()
}

fn draw(origin: Origin, stream: &mut Stream) -> Point {
    let mut between = |low: f64, high: f64| (low.ln() + (high / low).ln() * stream.uniform()).exp();
    let solidity = between(0.003, 0.4);
    match origin {
        Origin::Particle => {
            let air = Air::reference();
            let fibre = Length::from_um(between(0.1, 20.0));
            let density = Density::from_kg_per_m3(between(500.0, 3000.0));
            let particle =
                moteweir_physics::particle::Particle::new(&air, Length::from_um(between(0.01, 5.0)), density);
            let velocity = between(0.01, 3.0);
            Point {
                origin,
                solidity,
                fibre_knudsen: air.fibre_knudsen(fibre),
                interception: particle.diameter() / fibre,
                stokes: particle.relaxation_time().to_s() * velocity / fibre.to_m(),
                peclet: velocity * fibre.to_m() / particle.diffusivity().to_m2_per_s(),
            }
        }
        Origin::Groups => {
            let room = solidity.sqrt().recip() - 1.0;
            let interception = room * between(3e-4, 0.9);
            let stokes = between(1e-3, 30.0);
            let peclet = between(1.0, 1e8);
            let fibre_knudsen = between(0.01, 2.0);
            // Half of them without slip.
            let fibre_knudsen = if between(1.0, 4.0) < 2.0 { 0.0 } else { fibre_knudsen };
            Point { origin, solidity, fibre_knudsen, interception, stokes, peclet }
        }
    }
}

/// Solves a point by every solver.
///
/// # Errors
/// Where one of them cannot.
pub fn solve(point: Point, plan: Plan) -> Result<Joint, JointError> {
    let Point { interception, stokes, peclet, .. } = point;
    let cell = point.cell();
    let diffusive = point.diffusive(cell)?;
    let inertial = limiting_efficiency(
        cell,
        Particle::new(stokes, interception, &cell)?,
        Release::Uniform,
        Precision::QUICK,
        None,
    )?;
    let groups = Groups { interception, stokes, peclet, settling: 0.0 };
    let joint = langevin_efficiency(BrownianParticle::new(cell, groups, Release::Uniform)?, plan)?;
    Ok(Joint { point, diffusive, inertial, joint })
}
