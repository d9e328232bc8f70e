//! The table of the joint electret law: paths under both forces over all particles and webs, and how far the table is
//! from fresh ones.

use std::f64::consts::PI;

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::electret_law::{
    Axes, Axis, ChargeNumbers, ElectretLaw, ElectretTable, SOLIDITY_RANGE,
};
use moteweir_units::Solidity;
use rayon::prelude::*;

use crate::drift::Drift;
use crate::random::{Purpose, Stream};
use crate::trajectory::{TrajectoryError, electret_efficiency};

/// Least and largest sum of both charge numbers.
const STRENGTH: [f64; 2] = [1e-5, 200.0];

/// Charge numbers, each, between which a table is tried.
const TRIED: [f64; 2] = [1e-5, 100.0];

/// Tolerance of a path's steps.
const TOLERANCE: f64 = 1e-7;

/// How close the largest particle comes to filling the cell.
const FULL: f64 = 1.0 - 1e-6;

/// Where a table is tried.
const TRIAL: Purpose = Purpose::named("trial of the electret table");

/// How many nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// On the solidity axis.
    pub solidities: usize,
    /// On the axis of the charge numbers' sum.
    pub strengths: usize,
    /// On the axis of polarisation's share.
    pub shares: usize,
    /// On the axis of the particle's size.
    pub sizes: usize,
}

impl Resolution {
    /// That of the table compiled into the program.
    pub const COMPILED: Self = Self { solidities: 9, strengths: 25, shares: 17, sizes: 17 };
}

/// The axes of a table.
pub fn axes(resolution: Resolution) -> Axes {
    let [low, high] = [SOLIDITY_RANGE.low, SOLIDITY_RANGE.high].map(Axes::of_solidity);
    let [weak, strong] = STRENGTH.map(f64::ln);
    Axes {
        solidity: Axis::between(low, high, resolution.solidities),
        strength: Axis::between(weak, strong, resolution.strengths),
        share: Axis::between(0.0, 1.0, resolution.shares),
        size: Axis::between(0.0, 1.0, resolution.sizes),
    }
}

/// Solves a table and returns its bytes; the same on any number of threads.
///
/// # Errors
/// Where a path cannot be followed.
pub fn build(resolution: Resolution) -> Result<Vec<u8>, TrajectoryError> {
    let axes = axes(resolution);
    let rows: Vec<[usize; 3]> = (0..axes.solidity.nodes)
        .flat_map(|a| (0..axes.strength.nodes).map(move |n| [a, n]))
        .flat_map(|[a, n]| (0..axes.share.nodes).map(move |s| [a, n, s]))
        .collect();
    let values = rows
        .into_par_iter()
        .with_max_len(1)
        .map(|row| solve(&axes, row))
        .collect::<Result<Vec<_>, TrajectoryError>>()?;
    Ok(ElectretTable::write(&axes, &values.concat()))
}

/// One row of a table, all sizes of particle.
fn solve(axes: &Axes, [solidity, strength, share]: [usize; 3]) -> Result<Vec<f32>, TrajectoryError> {
    let cell = cell(axes.solidity.at(solidity));
    let numbers = numbers(axes.strength.at(strength).exp(), axes.share.at(share));
    let (room, layer) = (cell.largest_interception(), layer(&cell, numbers));
    let value = |size: usize| {
        let interception = Axes::size_at(axes.size.at(size), room, layer).min(FULL * room);
        let efficiency = fresh(cell, numbers, interception)?;
        let bound = cell.stream_at_gap(interception) + numbers.coulomb + PI * numbers.polarisation;
        #[expect(clippy::cast_possible_truncation, reason = "the table keeps seven digits")]
        Ok((efficiency / bound).ln() as f32)
    };
    (0..axes.size.nodes).map(value).collect()
}

fn cell(coordinate: f64) -> KuwabaraCell {
    let solidity = Solidity::new(Axes::solidity_at(coordinate));
    KuwabaraCell::new(solidity.expect("finite odds are those of a fraction within 0 to 1"), 0.0)
}

/// Both numbers from their sum and polarisation's share on its axis, the square roots' ratio.
fn numbers(strength: f64, share: f64) -> ChargeNumbers {
    let (polarised, charged) = (share * share, (1.0 - share) * (1.0 - share));
    let sum = polarised + charged;
    ChargeNumbers { coulomb: strength * charged / sum, polarisation: strength * polarised / sum }
}

fn layer(cell: &KuwabaraCell, numbers: ChargeNumbers) -> f64 {
    Axes::layer(numbers.coulomb + numbers.polarisation, cell.kuwabara_factor() / (1.0 - cell.solidity()))
}

fn fresh(cell: KuwabaraCell, numbers: ChargeNumbers, interception: f64) -> Result<f64, TrajectoryError> {
    let drift =
        Drift { dipole_charge: numbers.coulomb, dipole_polarisation: numbers.polarisation, ..Drift::NONE };
    electret_efficiency(cell, interception, drift, TOLERANCE)
}

/// A point at which a table is tried, and what was found there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The solidity.
    pub solidity: f64,
    /// The charge numbers.
    pub numbers: ChargeNumbers,
    /// The interception parameter.
    pub interception: f64,
    /// The efficiency by fresh paths.
    pub solved: f64,
    /// The efficiency by the table.
    pub tabled: f64,
}

impl Sample {
    /// How far the table is off, |E_table/E - 1|.
    pub fn miss(&self) -> f64 {
        (self.tabled / self.solved - 1.0).abs()
    }
}

/// Solves `points` fresh points drawn from `seed` and compares; the smallest miss first.
///
/// Solidity even in its odds' logarithm; both charge numbers even in their logarithms; particles even in the logarithm of
/// R from 0.001 to the room, every fifth a point.
///
/// # Errors
/// Where a path cannot be followed.
pub fn samples(table: &ElectretTable<'_>, points: u32, seed: u64) -> Result<Vec<Sample>, TrajectoryError> {
    let mut samples =
        (0..points).into_par_iter().map(|point| sample(table, point, seed)).collect::<Result<Vec<_>, _>>()?;
    samples.sort_by(|one, other| one.miss().total_cmp(&other.miss()));
    Ok(samples)
}

fn sample(table: &ElectretTable<'_>, point: u32, seed: u64) -> Result<Sample, TrajectoryError> {
    let mut stream = Stream::new(seed, TRIAL, u64::from(point));
    let mut between = |low: f64, high: f64| low + (high - low) * stream.uniform();
    let axis = table.axes().solidity;
    let cell = cell(between(axis.first, axis.last()));
    let [low, high] = TRIED.map(f64::ln);
    let numbers = ChargeNumbers { coulomb: between(low, high).exp(), polarisation: between(low, high).exp() };
    let room = cell.largest_interception();
    let drawn = between(1e-3_f64.ln(), room.ln()).exp();
    let interception = if point.is_multiple_of(5) { 0.0 } else { drawn };
    let solidity = cell.solidity();
    let law = ElectretLaw::from_table(table, Solidity::new(solidity).expect("a cell's solidity is one"));
    let tabled = law.joint(numbers, interception);
    Ok(Sample { solidity, numbers, interception, solved: fresh(cell, numbers, interception)?, tabled })
}

#[cfg(test)]
mod tests {
    use moteweir_physics::single_fibre::electret_law::{LARGEST_MISS, MEDIAN_MISS, SLIP_MISS};

    use super::*;

    /// The accuracy that `moteweir-physics` states, tried at other points than those it was measured at.
    #[test]
    fn the_compiled_table_is_as_exact_as_it_says() {
        let samples = samples(&ElectretTable::compiled(), 150, 20).unwrap();
        let (median, worst) = (samples[samples.len() / 2].miss(), &samples[samples.len() - 1]);
        assert!(worst.miss() <= LARGEST_MISS, "largest miss {} at {worst:?}", worst.miss());
        assert!(median <= MEDIAN_MISS, "median miss {median}");
    }

    /// A coarse table on one thread and on three.
    #[test]
    fn the_table_is_the_same_on_any_number_of_threads() {
        let coarse = Resolution { solidities: 4, strengths: 4, shares: 4, sizes: 4 };
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| build(coarse)).unwrap()
        };
        let bytes = on(1);
        assert!(bytes == on(3));
        assert_eq!(*ElectretTable::read(&bytes).unwrap().axes(), axes(coarse));
    }

    /// The rule for slip on the fibre against fresh paths.
    #[test]
    fn slip_is_followed_as_well_as_it_says() {
        for alpha in [0.01, 0.05, 0.2] {
            let solidity = Solidity::new(alpha).unwrap();
            let law = ElectretLaw::at(solidity);
            for (slip, interception, coulomb, polarisation) in [
                (0.05, 0.1, 0.01, 0.01),
                (0.2, 0.0, 0.1, 0.0),
                (0.2, 0.2, 0.0, 0.1),
                (0.5, 0.05, 0.01, 0.0),
                (0.5, 0.2, 0.0, 1.0),
                (0.5, 0.5, 0.3, 0.01),
            ] {
                let cell = KuwabaraCell::new(solidity, slip);
                let numbers = ChargeNumbers { coulomb, polarisation };
                let (got, solved) = (
                    law.joint_with_slip(&cell, numbers, interception),
                    fresh(cell, numbers, interception).unwrap(),
                );
                let miss = (got / solved - 1.0).abs();
                assert!(
                    miss < SLIP_MISS,
                    "{alpha}, Kn_f {slip}, R {interception}, {numbers:?}: {got}, {solved}"
                );
            }
        }
    }
}
