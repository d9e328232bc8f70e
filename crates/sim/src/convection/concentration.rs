//! The concentration round the fibre, on one grid.

use super::carrier::Diffuser;
use super::edge::EdgeCondition;
use super::efficiency::Resolution;
use super::grid::Grid;
use super::operator::{Balance, Fluxes};

/// The concentration of particles in the upper half of a cell, 1 where they enter, and their balance.
#[derive(Clone, Debug)]
pub struct Concentration {
    grid: Grid,
    values: Vec<f64>,
    fluxes: Fluxes,
}

impl Concentration {
    /// Solves on one grid, without extrapolation.
    pub fn solve(diffuser: &Diffuser, edge: EdgeCondition, resolution: Resolution) -> Self {
        let grid = Grid::new(diffuser, resolution.rings.max(2), resolution.sectors.max(2), None);
        Self::on(grid, diffuser, edge)
    }

    /// Solves on sectors that resolve the wake of this angle (above 0) behind the fibre, where particles lack.
    pub fn solve_with_wake(
        diffuser: &Diffuser,
        edge: EdgeCondition,
        resolution: Resolution,
        wake: f64,
    ) -> Self {
        let grid = Grid::new(diffuser, resolution.rings.max(2), resolution.sectors.max(2), Some(wake));
        Self::on(grid, diffuser, edge)
    }

    fn on(grid: Grid, diffuser: &Diffuser, edge: EdgeCondition) -> Self {
        let balance = Balance::new(diffuser, &grid, edge);
        let (matrix, mut values) = balance.equations();
        matrix.solve(&mut values);
        let fluxes = balance.fluxes(&values);
        Self { grid, values, fluxes }
    }

    /// Single-fibre efficiency [-]: what the half cell catches, over U a and the concentration that enters.
    pub fn efficiency(&self) -> f64 {
        self.fluxes.caught
    }

    /// What the half cell catches, what enters it and what leaves it.
    pub fn fluxes(&self) -> Fluxes {
        self.fluxes
    }

    /// The distances of the rings' middles from the fibre's centre, in fibre radii.
    pub fn radii(&self) -> Vec<f64> {
        self.grid.middles.iter().map(|gap| self.grid.contact + gap).collect()
    }

    /// The angles of the sectors' middles, counted from behind the fibre.
    pub fn bearings(&self) -> &[f64] {
        &self.grid.bearings
    }

    /// The concentration in a ring and a sector; none where there is no such volume.
    pub fn value(&self, ring: usize, sector: usize) -> Option<f64> {
        if ring >= self.grid.rings() || sector >= self.grid.sectors() {
            return None;
        }
        self.values.get(self.grid.number(ring, sector)).copied()
    }
}

#[cfg(test)]
mod tests {
    use moteweir_physics::cell::KuwabaraCell;
    use moteweir_units::Solidity;

    use super::*;
    use crate::convection::Drift;

    fn diffuser(peclet: f64) -> Diffuser {
        Diffuser::new(KuwabaraCell::new(Solidity::new(0.05).unwrap(), 0.0), 0.1, peclet, Drift::NONE).unwrap()
    }

    /// Sectors drawn together behind the fibre catch as much as even ones, to the error of one grid, and show the wake:
    /// on the axis behind the fibre few particles are left, in front of it none lack.
    #[test]
    fn sectors_drawn_together_resolve_the_wake() {
        let (diffuser, edge) = (diffuser(1e4), EdgeCondition::InflowFlux);
        let even = Concentration::solve(&diffuser, edge, Resolution::STANDARD);
        let drawn = Concentration::solve_with_wake(&diffuser, edge, Resolution::STANDARD, 0.01);
        let miss = drawn.efficiency() / even.efficiency() - 1.0;
        assert!(miss.abs() < 0.01, "{} and {}", drawn.efficiency(), even.efficiency());
        let last = drawn.radii().len() - 1;
        let [behind, front] = [0, drawn.bearings().len() - 1].map(|j| drawn.value(last, j).unwrap());
        assert!(behind < 0.8, "behind the fibre {behind}");
        assert!((front - 1.0).abs() < 1e-6, "in front of it {front}");
        assert_eq!(drawn.value(last + 1, 0), None);
        assert_eq!(drawn.value(0, drawn.bearings().len()), None);
    }
}
