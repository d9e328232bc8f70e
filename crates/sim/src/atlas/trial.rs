//! How far an atlas is from fresh solutions, and its rule from particles followed one by one.

use moteweir_physics::single_fibre::impaction::Release;
use moteweir_physics::single_fibre::resolved::{Atlas, Axes, Place, Slice, SlipAxes};
use moteweir_units::Solidity;
use rayon::prelude::*;

use super::build::spread;
use super::{JointError, Nodes};
use crate::convection::{Diffuser, Drift, EdgeCondition, Resolution, diffusive_efficiency};
use crate::random::{Purpose, Stream};
use crate::trajectory::{Particle, Precision, limiting_efficiency};

const TRIAL: Purpose = Purpose::named("trial of the atlas");

const PRECISION: Precision = Precision { step: 1e-8, release: 1e-7 };

/// Misses at random points, the smallest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Misses {
    /// At each point.
    pub samples: Vec<Sample>,
}

/// A point at which an atlas was tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The solidity.
    pub solidity: f64,
    /// The slip parameter, 1.996 fibre Knudsen numbers.
    pub slip: f64,
    /// The interception parameter.
    pub interception: f64,
    /// The Peclet number, or the Stokes number where inertia was tried.
    pub group: f64,
    /// Solved anew.
    pub solved: f64,
    /// By the atlas.
    pub tabled: f64,
    /// Their distance in the measure of the trial.
    pub miss: f64,
}

impl Misses {
    fn sorted(mut samples: Vec<Sample>) -> Self {
        samples.sort_by(|one, other| one.miss.total_cmp(&other.miss));
        Self { samples }
    }

    /// The miss that the share `rank` of the points does not exceed; not a number where none was tried.
    pub fn quantile(&self, rank: f64) -> f64 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank between 0 and 1")]
        let index = (rank.clamp(0.0, 1.0) * self.samples.len().saturating_sub(1) as f64).round() as usize;
        self.samples.get(index).map_or(f64::NAN, |sample| sample.miss)
    }
}

/// Diffusion and interception at `points` fresh points, drawn evenly over the axes from `seed`: `|E_atlas/E - 1|`.
///
/// # Errors
/// Where a point cannot be solved.
pub fn diffusive_misses(atlas: &Atlas<'_>, points: u32, seed: u64) -> Result<Misses, JointError> {
    over(points, seed, 0, |share| {
        let Place { cell, peclet, interception } = Nodes::COMPILED.gain.place(share);
        let diffuser = Diffuser::new(cell, interception, peclet, Drift::NONE)?;
        let solved =
            diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, Resolution::STANDARD).efficiency;
        let slice = slice(atlas, cell.solidity(), cell.slip_parameter());
        let tabled = slice.diffusion_interception(peclet, interception);
        let (solidity, slip) = (cell.solidity(), cell.slip_parameter());
        let miss = (tabled / solved - 1.0).abs();
        Ok(Sample { solidity, slip, interception, group: peclet, solved, tabled, miss })
    })
}

/// The spread between conditions on the edge: `|ln(E_high/E) by the atlas - solved|`.
///
/// # Errors
/// Where a point cannot be solved.
pub fn spread_misses(atlas: &Atlas<'_>, points: u32, seed: u64) -> Result<Misses, JointError> {
    let axes = Axes { largest_peclet: 10.0, ..Nodes::COMPILED.spread };
    over(points, seed, 1, |share| {
        let place = axes.place([share[0], share[1], share[2], 0.9 * share[3]]);
        let Place { cell, peclet, interception } = place;
        let solved = spread(place)?;
        let slice = slice(atlas, cell.solidity(), cell.slip_parameter());
        let tabled = slice.edge_spread(peclet, interception);
        let (solidity, slip) = (cell.solidity(), cell.slip_parameter());
        let miss = (tabled - solved).abs();
        Ok(Sample { solidity, slip, interception, group: peclet, solved, tabled, miss })
    })
}

/// Interception and inertia with slip on the fibre, both releases in turn: `|E_atlas - E|/(E + 0.001)`.
///
/// # Errors
/// Where a point cannot be solved.
pub fn inertial_misses(atlas: &Atlas<'_>, points: u32, seed: u64) -> Result<Misses, JointError> {
    over(points, seed, 2, |share| {
        let place = SlipAxes::place(share);
        let (cell, stokes, interception) = (place.cell, place.stokes, place.interception);
        let slice = slice(atlas, cell.solidity(), cell.slip_parameter());
        let increment = slice.increment(stokes, interception);
        let still = cell.stream_at_gap(interception);
        let fluid = share[0].to_bits() % 2 == 0;
        let (release, increment) =
            if fluid { (Release::Fluid, increment.fluid) } else { (Release::Uniform, increment.uniform) };
        let tabled = still + increment;
        let particle = Particle::new(stokes, interception, &cell)?;
        let solved = limiting_efficiency(cell, particle, release, PRECISION, Some(tabled))?;
        let (solidity, slip) = (cell.solidity(), cell.slip_parameter());
        let miss = (tabled - solved).abs() / (solved + 1e-3);
        Ok(Sample { solidity, slip, interception, group: stokes, solved, tabled, miss })
    })
}

fn slice(atlas: &Atlas<'_>, solidity: f64, slip: f64) -> Slice {
    let solidity = Solidity::new(solidity).expect("the solidity of a cell is a fraction within 0 to 1");
    Slice::from_atlas(atlas, solidity, slip / 1.996)
}

fn over(
    points: u32,
    seed: u64,
    item: u64,
    try_at: impl Fn([f64; 4]) -> Result<Sample, JointError> + Sync,
) -> Result<Misses, JointError> {
    let samples = (0..points)
        .into_par_iter()
        .map(|point| {
            let mut stream = Stream::new(seed, TRIAL.item(item), u64::from(point));
            try_at([0; 4].map(|_| stream.uniform()))
        })
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Misses::sorted(samples))
}

#[cfg(test)]
mod tests {
    use moteweir_physics::single_fibre::resolved::{LARGEST_MISS, MEDIAN_MISS, MISS_WITH_SLIP};

    use super::*;

    /// The accuracy that `moteweir-physics` states, tried at other points than those it was measured at.
    #[test]
    fn the_compiled_atlas_is_as_exact_as_it_says() {
        let atlas = Atlas::compiled();
        let diffusive = diffusive_misses(&atlas, 80, 3).unwrap();
        let (median, largest) = (diffusive.quantile(0.5), diffusive.quantile(1.0));
        assert!(median <= MEDIAN_MISS, "median {median}");
        assert!(largest <= LARGEST_MISS, "largest {largest} at {:?}", diffusive.samples.last());
        let inertial = inertial_misses(&atlas, 80, 3).unwrap();
        assert!(inertial.quantile(0.9) <= MISS_WITH_SLIP, "{}", inertial.quantile(0.9));
        // A band's own error: a twentieth is enough.
        let spread = spread_misses(&atlas, 40, 3).unwrap();
        assert!(spread.quantile(0.9) <= 0.05, "{} at {:?}", spread.quantile(0.9), spread.samples.last());
    }
}
