//! The atlas solved: every node anew.

use moteweir_physics::single_fibre::impaction::Release;
use moteweir_physics::single_fibre::resolved::{Atlas, Axes, Place, SlipAxes, SlipPlace, closed_form};
use rayon::prelude::*;

use super::JointError;
use crate::convection::{Diffuser, Drift, EdgeCondition, Resolution, diffusive_efficiency};
use crate::trajectory::{Particle, Precision, limiting_efficiency};

const PRECISION: Precision = Precision { step: 1e-8, release: 1e-7 };

/// The share of the axis of sizes up to which the spread by the edge is solved.
const ALL_BUT_FULL: f64 = 0.97;

/// How many nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nodes {
    /// Of the gain over the closed form.
    pub gain: Axes,
    /// Of the spread between conditions on the edge of the cell.
    pub spread: Axes,
    /// Of what slip on the fibre changes in the inertial increment.
    pub slip: SlipAxes,
}

impl Nodes {
    /// Those of the atlas compiled into the program.
    pub const COMPILED: Self = Self {
        gain: Axes { solidities: 11, slips: 6, peclets: 17, largest_peclet: 1e8, sizes: 23 },
        spread: Axes { solidities: 7, slips: 5, peclets: 10, largest_peclet: 30.0, sizes: 9 },
        slip: SlipAxes { solidities: 8, slips: 6, stokes: 33, rooms: 14 },
    };
}

/// Solves an atlas and returns its bytes; the same on any number of threads.
///
/// # Errors
/// Where a node cannot be solved.
pub fn build(nodes: &Nodes) -> Result<Vec<u8>, JointError> {
    // A particle that fills its cell takes all the air of it.
    let gain =
        over(&nodes.gain, |share, axes| if share[3] < 1.0 { gain(axes.place(share)) } else { Ok(0.0) })?;
    // Where the particle fills the cell the highest efficiency is infinite: what is nearly there stands for it.
    let spread = over(&nodes.spread, |[solidity, slip, peclet, size], axes| {
        spread(axes.place([solidity, slip, peclet, size.min(ALL_BUT_FULL)]))
    })?;
    let slip = (0..nodes.slip.nodes())
        .into_par_iter()
        .map(|node| {
            let share = nodes.slip.shares(node);
            if share[1] > 0.0 && share[3] < 1.0 { slip(&SlipAxes::place(share)) } else { Ok([0.0; 2]) }
        })
        .collect::<Result<Vec<_>, JointError>>()?;
    Ok(Atlas::write((&nodes.gain, &gain), (&nodes.spread, &spread), (&nodes.slip, &slip)))
}

/// A field's numbers at all its nodes.
fn over(
    axes: &Axes,
    solve: impl Fn([f64; 4], &Axes) -> Result<f64, JointError> + Sync,
) -> Result<Vec<f64>, JointError> {
    (0..axes.nodes()).into_par_iter().map(|node| solve(axes.shares(node), axes)).collect()
}

/// ln(E/E_0) of the efficiency with slip over that without of the particle that touches the same streamline, by release.
fn slip(place: &SlipPlace) -> Result<[f64; 2], JointError> {
    let SlipPlace { cell, without, stokes, interception, equal_interception } = place;
    let particle = Particle::new(*stokes, *interception, cell)?;
    let increment = without.increment(*stokes, *equal_interception);
    let still = cell.stream_at_gap(*interception);
    let change = |release, increment: f64| -> Result<f64, JointError> {
        let near = still + increment;
        Ok((limiting_efficiency(*cell, particle, release, PRECISION, Some(near))? / near).ln())
    };
    Ok([change(Release::Uniform, increment.uniform)?, change(Release::Fluid, increment.fluid)?])
}

/// ln(E/E_closed).
pub(super) fn gain(place: Place) -> Result<f64, JointError> {
    let Place { cell, peclet, interception } = place;
    let diffuser = Diffuser::new(cell, interception, peclet, Drift::NONE)?;
    let solved = diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, Resolution::STANDARD);
    Ok((solved.efficiency / closed_form(cell, peclet, interception)).ln())
}

/// ln(E_high/E), `E_high` the highest of all conditions on the edge of the cell.
pub(super) fn spread(place: Place) -> Result<f64, JointError> {
    let Place { cell, peclet, interception } = place;
    let diffuser = Diffuser::new(cell, interception, peclet, Drift::NONE)?;
    let [taken, others @ ..] =
        EdgeCondition::ALL.map(|edge| diffusive_efficiency(&diffuser, edge, Resolution::STANDARD).efficiency);
    Ok((others.into_iter().fold(taken, f64::max) / taken).ln())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A coarse atlas on one thread and on three.
    #[test]
    #[ignore = "takes half a minute"]
    fn the_atlas_is_the_same_on_any_number_of_threads() {
        let axes = |largest_peclet| Axes { solidities: 5, slips: 5, peclets: 5, largest_peclet, sizes: 5 };
        let slip = SlipAxes { solidities: 5, slips: 5, stokes: 5, rooms: 5 };
        let nodes = Nodes { gain: axes(1e8), spread: axes(30.0), slip };
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| build(&nodes)).unwrap()
        };
        let bytes = on(1);
        assert!(bytes == on(3));
        Atlas::read(&bytes).unwrap();
    }
}
