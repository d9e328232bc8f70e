//! The impaction table: limiting trajectories over all particles and webs, and how far the table is from fresh ones.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::{
    Axes, Axis, ImpactionSlice, ImpactionTable, Release, SOLIDITY_RANGE,
};
use moteweir_units::Solidity;
use rayon::prelude::*;

use crate::random::{Purpose, Stream};
use crate::trajectory::{Particle, Precision, TrajectoryError, critical_stokes, limiting_efficiency};

/// Stokes numbers over the critical one: lowest, where the nodes begin to crowd, where they cease to, highest.
const STOKES: [f64; 4] = [0.01, 0.5, 2.0, 1000.0];

/// Half-width of the steep rise of the smallest particles, relative to the critical Stokes number.
const RISE: f64 = 2e-3;

/// Where a table is tried.
const TRIAL: Purpose = Purpose::named("trial of the impaction table");

const PRECISION: Precision = Precision { step: 1e-9, release: 1e-8 };

/// How many nodes, and from which particle size on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// On the solidity axis.
    pub solidities: usize,
    /// On the axis of the room that a particle takes.
    pub rooms: usize,
    /// The smallest interception parameter, over the room in the cell: the smallest particles take longest.
    pub least_room: f64,
    /// Steps on the Stokes axis below the crowd, up to the critical number, beyond it, above the crowd.
    pub stokes: [usize; 4],
}

impl Resolution {
    /// That of the table compiled into the program.
    pub const COMPILED: Self = Self { solidities: 24, rooms: 48, least_room: 3e-4, stokes: [20, 31, 35, 21] };
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
        room: Axis::between(Axes::of_room(resolution.least_room), Axes::of_room(1.0), resolution.rooms),
        stokes,
    }
}

/// Solves a table and returns its bytes; the same on any number of threads.
///
/// # Errors
/// Where a trajectory cannot be solved.
pub fn build(resolution: Resolution) -> Result<Vec<u8>, TrajectoryError> {
    let axes = axes(resolution);
    let refined = axes.critical();
    let critical = (0..refined.nodes)
        .into_par_iter()
        .map(|node| {
            let cell = cell(refined.at(node));
            Ok(critical_stokes(cell)? * (1.0 - cell.solidity()) / cell.kuwabara_factor())
        })
        .collect::<Result<Vec<_>, _>>()?;
    let lines = lines(&axes)?;
    let columns = lines
        .par_iter()
        .with_max_len(1)
        .map(|line| line.solve(&axes.stokes))
        .collect::<Result<Vec<_>, TrajectoryError>>()?;
    let width = 2 * axes.room.nodes;
    let mut values = vec![0.0; axes.solidity.nodes * axes.stokes.len() * width];
    for (line, column) in lines.iter().zip(columns) {
        let [solidity, room] = line.node;
        let place = 2 * room + usize::from(line.release == Release::Fluid);
        for (stokes, value) in column.into_iter().enumerate() {
            values[(solidity * axes.stokes.len() + stokes) * width + place] = value;
        }
    }
    Ok(ImpactionTable::write(&axes, &critical, &values))
}

fn solidity(coordinate: f64) -> Solidity {
    Solidity::new(Axes::solidity_at(coordinate)).expect("finite odds are those of a fraction within 0 to 1")
}

fn cell(coordinate: f64) -> KuwabaraCell {
    KuwabaraCell::new(solidity(coordinate), 0.0)
}

/// One particle size in one cell, to be solved along the Stokes axis.
struct Line {
    cell: KuwabaraCell,
    critical_stokes: f64,
    room: f64,
    release: Release,
    /// On the axes of solidity and room.
    node: [usize; 2],
}

/// All lines of a table. The smallest particles in the densest cells take longest, so that they go first.
fn lines(axes: &Axes) -> Result<Vec<Line>, TrajectoryError> {
    let cells: Vec<KuwabaraCell> =
        (0..axes.solidity.nodes).map(|node| cell(axes.solidity.at(node))).collect();
    let critical = cells.par_iter().map(|cell| critical_stokes(*cell)).collect::<Result<Vec<_>, _>>()?;
    let mut lines = Vec::new();
    for room in 0..axes.room.nodes {
        for (solidity, (cell, critical)) in cells.iter().zip(&critical).enumerate().rev() {
            lines.extend([Release::Uniform, Release::Fluid].map(|release| Line {
                cell: *cell,
                critical_stokes: *critical,
                room: Axes::room_at(axes.room.at(room)),
                release,
                node: [solidity, room],
            }));
        }
    }
    Ok(lines)
}

impl Line {
    /// ln(E/E_R) along the Stokes axis, each answer the next one's guess.
    fn solve(&self, stokes: &[f64]) -> Result<Vec<f32>, TrajectoryError> {
        if self.room > 1.0 - 1e-9 {
            // It fills the cell: interception takes it, with or without inertia.
            return Ok(vec![0.0; stokes.len()]);
        }
        let interception = self.room * self.cell.largest_interception();
        let still = self.cell.stream_at_gap(interception);
        let mut known: Vec<f64> = Vec::with_capacity(stokes.len());
        for (index, coordinate) in stokes.iter().enumerate() {
            let guess = match index {
                0 => 0.0,
                1 => known[0],
                _ => {
                    let slope =
                        (known[index - 1] - known[index - 2]) / (stokes[index - 1] - stokes[index - 2]);
                    known[index - 1] + slope * (coordinate - stokes[index - 1])
                }
            };
            let particle = Particle::new(self.critical_stokes * coordinate.exp(), interception, &self.cell)?;
            let near = Some(still * guess.exp());
            let efficiency = limiting_efficiency(self.cell, particle, self.release, PRECISION, near)?;
            known.push((efficiency / still).ln());
        }
        #[expect(clippy::cast_possible_truncation, reason = "the table keeps seven digits")]
        Ok(known.into_iter().map(|value| value as f32).collect())
    }
}

/// How far a table is from fresh trajectories: |E_table - E|/(E + 0.001), E the efficiency of interception and inertia.
#[derive(Clone, Debug, PartialEq)]
pub struct Misses {
    /// The points tried, the smallest miss first.
    pub samples: Vec<Sample>,
}

impl Misses {
    /// The miss that the share `rank` of the points does not exceed; not a number where none was tried.
    pub fn quantile(&self, rank: f64) -> f64 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rank between 0 and 1")]
        let index = (rank.clamp(0.0, 1.0) * self.samples.len().saturating_sub(1) as f64).round() as usize;
        self.samples.get(index).map_or(f64::NAN, Sample::miss)
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
    let mut stream = Stream::new(seed, TRIAL, u64::from(point));
    let mut between = |low: f64, high: f64| low + (high - low) * stream.uniform();
    let axes = table.axes();
    let [solidity_drawn, room] =
        [axes.solidity, axes.room].map(|axis: Axis| between(axis.first, axis.at(axis.nodes - 1)));
    let solidity = solidity(solidity_drawn);
    let cell = KuwabaraCell::new(solidity, 0.0);
    let slice = ImpactionSlice::from_table(table, solidity);
    let interception = cell.largest_interception() * Axes::room_at(room);
    let relative = if point.is_multiple_of(2) {
        between(axes.stokes[0], axes.stokes[axes.stokes.len() - 1])
    } else {
        between(0.5_f64.ln(), 2.0_f64.ln())
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

#[cfg(test)]
mod tests {
    use moteweir_physics::single_fibre::impaction::{LARGEST_MISS, MEDIAN_MISS};

    use super::*;

    /// The accuracy that `moteweir-physics` states, tried at other points than those it was measured at.
    #[test]
    fn the_compiled_table_is_as_exact_as_it_says() {
        let misses = misses(&ImpactionTable::compiled(), 150, 20).unwrap();
        let (median, largest) = (misses.quantile(0.5), misses.quantile(1.0));
        assert!(largest <= LARGEST_MISS, "largest miss {largest} at {:?}", misses.samples.last());
        assert!(median <= MEDIAN_MISS, "median miss {median}");
    }

    /// A coarse table on one thread and on three.
    #[test]
    fn the_table_is_the_same_on_any_number_of_threads() {
        let coarse = Resolution { solidities: 4, rooms: 5, least_room: 0.1, stokes: [2, 2, 2, 2] };
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| build(coarse)).unwrap()
        };
        let bytes = on(1);
        assert!(bytes == on(3));
        assert_eq!(*ImpactionTable::read(&bytes).unwrap().axes(), axes(coarse));
    }

    #[test]
    fn the_axis_crowds_at_the_critical_stokes_number() {
        let axes = axes(Resolution::COMPILED);
        assert!(axes.stokes.is_sorted());
        let ends = [axes.stokes[0], axes.stokes[axes.stokes.len() - 1]].map(f64::exp);
        assert!((ends[0] - 0.01).abs() < 1e-12 && (ends[1] - 1000.0).abs() < 1e-9, "{ends:?}");
        let narrowest = axes.stokes.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
        assert!(narrowest < RISE / 2.0, "{narrowest}");
    }
}
