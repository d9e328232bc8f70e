//! The impaction table: limiting trajectories over all particles and webs, and how far the table is from fresh ones.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::{
    Axes, Axis, ImpactionSlice, ImpactionTable, Release, SOLIDITY_RANGE,
};
use moteweir_units::Solidity;
use rayon::prelude::*;

use crate::trajectory::{Particle, Precision, TrajectoryError, critical_stokes, limiting_efficiency};

/// Smallest interception parameter, over the room in the cell.
const LEAST_ROOM: f64 = 3e-4;

/// Stokes numbers over the critical one: lowest, where the nodes begin to crowd, where they cease to, highest.
const STOKES: [f64; 4] = [0.01, 0.5, 2.0, 1000.0];

/// Half-width of the steep rise of the smallest particles, relative to the critical Stokes number.
const RISE: f64 = 2e-3;

const PRECISION: Precision = Precision { step: 1e-9, release: 1e-8 };

/// How many nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// On the solidity axis.
    pub solidities: usize,
    /// On the axis of the room that a particle takes.
    pub rooms: usize,
    /// Steps on the Stokes axis below the crowd, up to the critical number, beyond it, above the crowd.
    pub stokes: [usize; 4],
}

impl Resolution {
    /// That of the table compiled into the program.
    pub const COMPILED: Self = Self { solidities: 24, rooms: 48, stokes: [20, 31, 35, 21] };
}

/// The axes of a table.
pub fn axes(resolution: Resolution) -> Axes {
    let [low, crowd, sparse, high] = STOKES;
    let mut stokes = Vec::new();
    let mut stretch = |from: f64, to: f64, steps: usize, back: fn(f64) -> f64| {
        stokes.extend((0..steps).map(|step| back(from + (to - from) * step as f64 / steps as f64)));
    };
    stretch(low.ln(), crowd.ln(), resolution.stokes[0], |coordinate| coordinate);
    let crowded = |coordinate: f64| (RISE * coordinate.sinh()).ln_1p();
    stretch(((crowd - 1.0) / RISE).asinh(), 0.0, resolution.stokes[1], crowded);
    stretch(0.0, ((sparse - 1.0) / RISE).asinh(), resolution.stokes[2], crowded);
    stretch(sparse.ln(), high.ln(), resolution.stokes[3], |coordinate| coordinate);
    stokes.push(high.ln());
    let solidity = [SOLIDITY_RANGE.low, SOLIDITY_RANGE.high].map(Axes::of_solidity);
    Axes {
        solidity: Axis::between(solidity[0], solidity[1], resolution.solidities),
        room: Axis::between(Axes::of_room(LEAST_ROOM), Axes::of_room(1.0), resolution.rooms),
        stokes,
    }
}

/// Solves a table and returns its bytes; the same on any number of threads.
///
/// # Errors
/// Where a trajectory cannot be solved.
pub fn build(resolution: Resolution) -> Result<Vec<u8>, TrajectoryError> {
    let axes = axes(resolution);
    let cells: Vec<KuwabaraCell> = (0..resolution.solidities)
        .filter_map(|node| cell(Axes::solidity_at(axes.solidity.at(node))))
        .collect();
    let critical = cells.par_iter().map(|cell| critical_stokes(*cell)).collect::<Result<Vec<_>, _>>()?;
    let refined = axes.critical();
    let at_wall = (0..refined.nodes)
        .into_par_iter()
        .filter_map(|node| cell(Axes::solidity_at(refined.at(node))))
        .map(|cell| Ok(critical_stokes(cell)? * (1.0 - cell.solidity()) / cell.kuwabara_factor()))
        .collect::<Result<Vec<_>, _>>()?;
    // The smallest particles in the densest cells take longest, so that they go first.
    let mut lines = Vec::new();
    for room in 0..resolution.rooms {
        for solidity in (0..cells.len()).rev() {
            lines.extend([Release::Uniform, Release::Fluid].map(|release| (solidity, room, release)));
        }
    }
    let columns = lines
        .par_iter()
        .with_max_len(1)
        .map(|&(solidity, room, release)| {
            line(
                cells[solidity],
                critical[solidity],
                Axes::room_at(axes.room.at(room)),
                release,
                &axes.stokes,
            )
        })
        .collect::<Result<Vec<_>, _>>()?;
    let width = 2 * resolution.rooms;
    let mut values = vec![0.0; cells.len() * axes.stokes.len() * width];
    for ((solidity, room, release), column) in lines.into_iter().zip(columns) {
        let second = usize::from(release == Release::Fluid);
        for (stokes, value) in column.into_iter().enumerate() {
            values[(solidity * axes.stokes.len() + stokes) * width + 2 * room + second] = value;
        }
    }
    Ok(ImpactionTable::write(&axes, &at_wall, &values))
}

fn cell(alpha: f64) -> Option<KuwabaraCell> {
    Solidity::new(alpha).map(|solidity| KuwabaraCell::new(solidity, 0.0))
}

/// ln(E/E_R) along the Stokes axis for one particle size, each answer the next one's guess.
fn line(
    cell: KuwabaraCell,
    critical: f64,
    room: f64,
    release: Release,
    stokes: &[f64],
) -> Result<Vec<f32>, TrajectoryError> {
    let interception = room * cell.largest_interception();
    let still = cell.stream_at_gap(interception);
    let mut known: Vec<f64> = Vec::with_capacity(stokes.len());
    if room > 1.0 - 1e-9 {
        // It fills the cell: interception takes it, with or without inertia.
        return Ok(vec![0.0; stokes.len()]);
    }
    for (index, coordinate) in stokes.iter().enumerate() {
        let guess = match index {
            0 => 0.0,
            1 => known[0],
            _ => {
                let slope = (known[index - 1] - known[index - 2]) / (stokes[index - 1] - stokes[index - 2]);
                known[index - 1] + slope * (coordinate - stokes[index - 1])
            }
        };
        let particle = Particle::new(critical * coordinate.exp(), interception, &cell)?;
        let efficiency = limiting_efficiency(cell, particle, release, PRECISION, Some(still * guess.exp()))?;
        known.push((efficiency / still).ln());
    }
    #[expect(clippy::cast_possible_truncation, reason = "the table keeps seven digits")]
    Ok(known.into_iter().map(|value| value as f32).collect())
}

/// How far a table is from fresh trajectories: |E_table - E|/(E + 0.001), E the efficiency of interception and inertia.
#[derive(Clone, Debug, PartialEq)]
pub struct Misses {
    /// The points tried, the smallest miss first.
    pub samples: Vec<Sample>,
}

impl Misses {
    /// The miss that the share `rank` of the points does not exceed.
    pub fn quantile(&self, rank: f64) -> f64 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank between 0 and 1")]
        let index = (rank.clamp(0.0, 1.0) * (self.samples.len() - 1) as f64).round() as usize;
        self.samples[index].miss()
    }
}

/// A point at which a table is tried, and what was found there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The solidity.
    pub solidity: f64,
    /// The interception parameter.
    pub interception: f64,
    /// The Stokes number.
    pub stokes: f64,
    /// How the particle enters.
    pub release: Release,
    /// The efficiency by a fresh trajectory.
    pub solved: f64,
    /// The efficiency by the table.
    pub tabled: f64,
}

impl Sample {
    /// How far the table is off.
    pub fn miss(&self) -> f64 {
        (self.tabled - self.solved).abs() / (self.solved + 1e-3)
    }
}

/// Solves `points` fresh points, drawn evenly over the table's axes from `seed`, half of them within a factor of two
/// of the critical Stokes number, and compares.
///
/// # Errors
/// Where a trajectory cannot be solved.
pub fn misses(table: &ImpactionTable<'_>, points: u32, seed: u64) -> Result<Misses, TrajectoryError> {
    let samples =
        (0..points).into_par_iter().map(|point| sample(table, point, seed)).collect::<Result<Vec<_>, _>>()?;
    let mut samples: Vec<Sample> = samples.into_iter().flatten().collect();
    samples.sort_by(|one, other| one.miss().total_cmp(&other.miss()));
    Ok(Misses { samples })
}

fn sample(table: &ImpactionTable<'_>, point: u32, seed: u64) -> Result<[Sample; 2], TrajectoryError> {
    let draw = |purpose: u64| uniform(seed ^ (u64::from(point) << 8 | purpose));
    let between = |low: f64, high: f64, purpose: u64| low + (high - low) * draw(purpose);
    let axes = table.axes();
    let along = |axis: &Axis, purpose: u64| between(axis.first, axis.at(axis.nodes - 1), purpose);
    let solidity = Solidity::new(Axes::solidity_at(along(&axes.solidity, 0)))
        .ok_or(TrajectoryError::Interception { interception: 0.0, largest: 0.0 })?;
    let cell = KuwabaraCell::new(solidity, 0.0);
    let slice = ImpactionSlice::from_table(table, solidity);
    let interception = cell.largest_interception() * Axes::room_at(along(&axes.room, 1));
    let relative = if point.is_multiple_of(2) {
        between(axes.stokes[0], axes.stokes[axes.stokes.len() - 1], 2)
    } else {
        between(0.5_f64.ln(), 2.0_f64.ln(), 2)
    };
    let stokes = slice.critical_stokes() * relative.exp();
    let particle = Particle::new(stokes, interception, &cell)?;
    let still = cell.stream_at_gap(interception);
    let increment = slice.increment(stokes, interception);
    let solve = |release, increment: f64| {
        let solved = limiting_efficiency(cell, particle, release, PRECISION, Some(still + increment))?;
        let solidity = cell.solidity();
        Ok(Sample { solidity, interception, stokes, release, solved, tabled: still + increment })
    };
    Ok([solve(Release::Uniform, increment.uniform)?, solve(Release::Fluid, increment.fluid)?])
}

/// A number between 0 and 1 from a key, the finaliser of SplitMix64.
fn uniform(key: u64) -> f64 {
    let mut z = key.wrapping_add(0x9e37_79b9_7f4a_7c15).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}
