//! The rule that joins diffusion and inertia against particles followed one by one.

use moteweir_physics::estimate::Estimate;
use moteweir_physics::single_fibre::resolved::{Atlas, Mechanical, Slice};
use moteweir_units::Solidity;

use super::design::{Joint, Origin, Point};
use crate::convection;
use crate::langevin::LangevinEstimate;

/// What was recorded by `cargo run --release -p moteweir-sim --example measure_composing`.
pub const RECORDED: &str = include_str!("together.csv");

/// A point where diffusion and inertia act at once, as solved and by the rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// As solved.
    pub joint: Joint,
    /// By the atlas and its rule.
    pub ruled: Estimate,
    /// By the plain sum of both solvers' answers.
    pub summed: f64,
}

impl Comparison {
    /// Of one point with an atlas.
    pub fn new(joint: Joint, atlas: &Atlas<'_>) -> Self {
        let Point { fibre_knudsen, interception, stokes, peclet, .. } = joint.point;
        let slice = Slice::from_atlas(atlas, joint.point.web(), fibre_knudsen);
        let ruled = slice.composed(Mechanical { peclet, stokes, interception });
        let still = slice.cell().stream_at_gap(interception);
        let summed = joint.inertial + joint.diffusive.efficiency - still;
        Self { joint, ruled, summed }
    }

    /// The rule over what was found, less 1.
    pub fn miss(&self) -> f64 {
        self.ruled.value / self.joint.joint.efficiency - 1.0
    }

    /// The plain sum over what was found, less 1.
    pub fn miss_of_sum(&self) -> f64 {
        self.summed / self.joint.joint.efficiency - 1.0
    }

    /// Whether the band holds what was found, give or take two standard errors.
    pub fn is_held(&self) -> bool {
        let found = self.joint.joint;
        let doubt = 2.0 * found.standard_error;
        found.efficiency >= self.ruled.low - doubt && found.efficiency <= self.ruled.high + doubt
    }
}

/// The head of a record.
pub const COLUMNS: &str =
    "origin,solidity,fibre_knudsen,interception,stokes,peclet,diffusive,inertial,joint,standard_error";

/// One line of a record.
pub fn line(joint: &Joint) -> String {
    let Point { origin, solidity, fibre_knudsen, interception, stokes, peclet } = joint.point;
    let origin = match origin {
        Origin::Particle => "particle",
        Origin::Groups => "groups",
    };
    let (diffusive, found) = (joint.diffusive.efficiency, joint.joint);
    format!(
        "{origin},{solidity:.6},{fibre_knudsen:.6},{interception:.6e},{stokes:.6e},{peclet:.6e},{diffusive:.8e},\
         {:.8e},{:.6e},{:.2e}",
        joint.inertial, found.efficiency, found.standard_error
    )
}

/// Reads a record, `#` and the head passed over; lines that are none are left out.
pub fn read(record: &str, histories: u64) -> Vec<Joint> {
    record.lines().filter(|line| !line.starts_with('#')).filter_map(|line| joint(line, histories)).collect()
}

fn joint(line: &str, histories: u64) -> Option<Joint> {
    let (origin, numbers) = line.split_once(',')?;
    let origin = match origin {
        "particle" => Origin::Particle,
        "groups" => Origin::Groups,
        _ => return None,
    };
    let numbers: Vec<f64> = numbers.split(',').map(str::parse).collect::<Result<_, _>>().ok()?;
    let [
        solidity,
        fibre_knudsen,
        interception,
        stokes,
        peclet,
        diffusive,
        inertial,
        efficiency,
        standard_error,
    ] = numbers.try_into().ok()?;
    Solidity::new(solidity)?;
    Some(Joint {
        point: Point { origin, solidity, fibre_knudsen, interception, stokes, peclet },
        diffusive: convection::Estimate { efficiency: diffusive, grid_error: 0.0 },
        inertial,
        joint: LangevinEstimate { efficiency, standard_error, histories },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn comparisons(origin: Origin) -> Vec<Comparison> {
        let atlas = Atlas::compiled();
        read(RECORDED, 120_000)
            .into_iter()
            .filter(|joint| joint.point.origin == origin)
            .map(|joint| Comparison::new(joint, &atlas))
            .collect()
    }

    fn percentile(misses: impl Iterator<Item = f64>, percent: usize) -> f64 {
        let mut misses: Vec<f64> = misses.map(f64::abs).collect();
        misses.sort_by(f64::total_cmp);
        misses[(misses.len() - 1) * percent / 100]
    }

    /// Particles as they occur: half within 1 %, nine in ten within 2.5 %, all within 10 %, where the plain sum is up to
    /// half too high; the band holds all but one.
    #[test]
    fn the_rule_follows_particles_as_they_occur() {
        let found = comparisons(Origin::Particle);
        assert_eq!(found.len(), 60);
        for (percent, bound) in [(50, 0.01), (90, 0.025), (100, 0.1)] {
            let got = percentile(found.iter().map(Comparison::miss), percent);
            assert!(got < bound, "{percent} %: {got}");
        }
        let sum = percentile(found.iter().map(Comparison::miss_of_sum), 100);
        assert!(sum > 0.4, "the plain sum misses by {sum} at most");
        let held = found.iter().filter(|c| c.is_held()).count();
        assert!(held >= 59, "{held} of 60 in the band");
    }

    /// Groups drawn each for itself, most of which no particle has: known misses stand out.
    #[test]
    fn the_rule_away_from_particles_that_occur() {
        let found = comparisons(Origin::Groups);
        assert_eq!(found.len(), 60);
        for (percent, bound) in [(50, 0.015), (90, 0.3)] {
            let got = percentile(found.iter().map(Comparison::miss), percent);
            assert!(got < bound, "{percent} %: {got}");
        }
        let largest = percentile(found.iter().map(Comparison::miss), 100);
        assert!(largest > 0.5, "a known miss of more than a half is gone: {largest}");
        let held = found.iter().filter(|c| c.is_held()).count();
        assert!(held >= 55, "{held} of 60 in the band");
    }

    #[test]
    fn a_record_is_read_as_it_was_written() {
        let all = read(RECORDED, 120_000);
        let again: Vec<String> = all.iter().map(line).collect();
        let lines: Vec<&str> = RECORDED.lines().filter(|l| !l.starts_with('#') && *l != COLUMNS).collect();
        assert_eq!(again, lines);
    }
}
