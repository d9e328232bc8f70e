//! The cell as a picture: streamlines, particles that are caught and particles that pass, the concentration.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;
use moteweir_sim::convection::{Concentration, ConvectionError, Diffuser, Drift, EdgeCondition, Resolution};
use moteweir_sim::trajectory::{
    Flight, Outcome, Particle, Precision, TrajectoryError, fly, limiting_efficiency,
};

use super::CellQuestion;

/// Streamlines above the axis.
const STREAMLINES: u32 = 9;
/// Particles let in that touch.
const CAUGHT: u32 = 4;
/// Particles let in that pass.
const PASSING: u32 = 7;
/// Points on one half of a streamline.
const POINTS: u32 = 60;
/// The highest entry of a particle, as a share of the cell's height.
const HIGHEST: f64 = 0.97;
/// How exactly the paths of a picture are followed: finer than the eye asks for, so that their steps are short.
const TOLERANCE: f64 = 1e-11;
/// Grid of the concentration's picture.
const GRID: Resolution = Resolution { rings: 48, sectors: 48 };

/// A picture of the upper half of a cell, in fibre radii; the air comes from the left, the fibre is at 0, 0.
#[derive(Clone, Debug, PartialEq)]
pub struct CellPicture {
    /// The radius of the cell.
    pub edge_radius: f64,
    /// The distance of centres at contact, 1 + R.
    pub contact_radius: f64,
    /// Lines that the air follows.
    pub streamlines: Vec<Vec<[f64; 2]>>,
    /// Paths of particles that touch, by interception and inertia alone.
    pub caught: Vec<Vec<[f64; 2]>>,
    /// Paths of particles that pass.
    pub passing: Vec<Vec<[f64; 2]>>,
    /// The concentration, where particles diffuse.
    pub concentration: Option<ConcentrationField>,
}

/// The concentration over rings and sectors, 1 where particles enter.
#[derive(Clone, Debug, PartialEq)]
pub struct ConcentrationField {
    /// Distances of the rings' middles from the fibre's centre, in fibre radii, rising.
    pub radii: Vec<f64>,
    /// Angles of the sectors' middles, counted from behind the fibre.
    pub bearings: Vec<f64>,
    /// Values, ring by ring.
    pub values: Vec<f64>,
}

/// Why there is no picture.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PictureFault {
    /// The particle cannot be followed.
    #[error(transparent)]
    Trajectory(#[from] TrajectoryError),
    /// The concentration cannot be solved.
    #[error(transparent)]
    Convection(#[from] ConvectionError),
}

/// The picture of a question.
///
/// # Errors
/// Where the particle is a point, or does not fit into the cell.
pub fn picture(question: &CellQuestion) -> Result<CellPicture, PictureFault> {
    let groups = question.groups();
    let cell = *groups.cell();
    let (mut caught, mut passing) = (Vec::new(), Vec::new());
    for flight in flights(cell, groups.interception(), groups.stokes())? {
        match flight.outcome {
            Outcome::Contact { .. } => caught.push(flight.points),
            Outcome::Passage { .. } => passing.push(flight.points),
        }
    }
    let concentration =
        groups.peclet().map(|peclet| concentration(cell, groups.interception(), peclet)).transpose()?;
    Ok(CellPicture {
        edge_radius: cell.edge_radius(),
        contact_radius: 1.0 + groups.interception(),
        streamlines: (1..=STREAMLINES)
            .map(|n| streamline(&cell, f64::from(n) / f64::from(STREAMLINES + 1)))
            .collect(),
        caught,
        passing,
        concentration,
    })
}

/// Particles let in below and above the limiting trajectory, close to it and further off.
fn flights(
    cell: KuwabaraCell,
    interception: f64,
    stokes: Option<f64>,
) -> Result<Vec<Flight>, TrajectoryError> {
    let Some(stokes) = stokes else { return Ok(Vec::new()) };
    let particle = Particle::new(stokes, interception, &cell)?;
    let limit = limiting_efficiency(cell, particle, Release::Uniform, Precision::QUICK, None)?;
    let highest = HIGHEST * cell.edge_radius();
    let below = (1..=CAUGHT).map(|n| limit * (f64::from(n) - 0.5) / f64::from(CAUGHT));
    let above = (1..=PASSING).map(|n| {
        let share = f64::from(n) / f64::from(PASSING);
        limit + (highest - limit) * share * share
    });
    let heights = below.chain(above).filter(|&height| height < highest + f64::EPSILON);
    heights.map(|height| fly(cell, particle, Release::Uniform, height, TOLERANCE)).collect()
}

/// The streamline that enters at a share of the cell's height: f(r) sin(theta) = that height.
fn streamline(cell: &KuwabaraCell, share: f64) -> Vec<[f64; 2]> {
    let edge = cell.edge_radius();
    let height = share * edge;
    let (mut low, mut high) = (1.0, edge);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if cell.stream(middle) < height { low = middle } else { high = middle }
    }
    let nearest = high;
    let half: Vec<[f64; 2]> = (0..=POINTS)
        .map(|n| {
            // Close steps round the top, where r changes slowly along the line.
            let step = f64::from(n) / f64::from(POINTS);
            let r = nearest + (edge - nearest) * step * step;
            let sine = (height / cell.stream(r)).min(1.0);
            [r * (1.0 - sine * sine).sqrt(), r * sine]
        })
        .collect();
    let upstream = half.iter().rev().map(|&[x, y]| [-x, y]);
    upstream.chain(half.iter().skip(1).copied()).collect()
}

fn concentration(
    cell: KuwabaraCell,
    interception: f64,
    peclet: f64,
) -> Result<ConcentrationField, ConvectionError> {
    let diffuser = Diffuser::new(cell, interception, peclet, Drift::NONE)?;
    let solved = Concentration::solve(&diffuser, EdgeCondition::InflowFlux, GRID);
    let (radii, bearings) = (solved.radii(), solved.bearings().to_vec());
    let rings = 0..radii.len();
    let values = rings
        .flat_map(|ring| (0..bearings.len()).map(move |sector| (ring, sector)))
        .map(|(ring, sector)| solved.value(ring, sector).unwrap_or(f64::NAN))
        .collect();
    Ok(ConcentrationField { radii, bearings, values })
}
