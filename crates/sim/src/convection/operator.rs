//! The balance of every volume: what the air and the drifts carry and what diffuses through its four faces.

use std::f64::consts::PI;

use super::banded::Banded;
use super::carrier::Diffuser;
use super::edge::EdgeCondition;
use super::grid::Grid;

/// The equations of all volumes: outflow over all faces = source.
pub(super) struct Balance<'a> {
    grid: &'a Grid,
    diffusivity: f64,
    edge: EdgeCondition,
    /// Carried outwards through the outer bound of each ring [U a], ring by ring; the first ring's inner bound, which
    /// takes all that touches it, needs none: the concentration there is 0.
    radial: Vec<f64>,
    /// Carried towards larger angles through the faces between sectors; the axis of a half cell carries nothing.
    angular: Vec<f64>,
}

impl<'a> Balance<'a> {
    /// The flow enters by its fluxes through the faces alone, so that other fields can take its place.
    pub(super) fn new(diffuser: &Diffuser, grid: &'a Grid, edge: EdgeCondition) -> Self {
        let (bounds, angles) = (&grid.bounds, &grid.angles);
        let corners: Vec<Vec<f64>> =
            bounds.iter().map(|gap| angles.iter().map(|a| diffuser.stream(*gap, *a)).collect()).collect();
        let mut radial = Vec::with_capacity(grid.rings() * grid.sectors());
        for (gap, ring) in bounds.iter().zip(&corners).skip(1) {
            let drawn_in = diffuser.drawn_in(*gap);
            let faces = ring.windows(2).zip(angles.windows(2));
            radial.extend(faces.map(|(psi, theta)| psi[1] - psi[0] - drawn_in * (theta[1] - theta[0])));
        }
        let sides = 1..=grid.sides();
        let angular = corners
            .windows(2)
            .flat_map(|pair| sides.clone().map(|j| pair[0][j] - pair[1][j]).collect::<Vec<f64>>())
            .collect();
        Self { grid, diffusivity: diffuser.diffusivity(), edge, radial, angular }
    }

    /// The matrix and the right-hand side without sources.
    pub(super) fn equations(&self) -> (Banded, Vec<f64>) {
        let size = self.grid.rings() * self.grid.sectors();
        let mut matrix = Banded::zero(size, self.grid.sectors().max(2));
        let mut right = vec![0.0; size];
        for ring in 0..self.grid.rings() {
            for sector in 0..self.grid.sectors() {
                if ring == 0 {
                    let number = self.grid.number(ring, sector);
                    matrix.add(number, number, self.contact_conductance(sector));
                }
                if ring + 1 < self.grid.rings() {
                    self.add_outer_face(&mut matrix, ring, sector);
                }
                if sector < self.grid.sides() {
                    self.add_side_face(&mut matrix, ring, sector);
                }
            }
        }
        let last = self.grid.rings() - 1;
        for sector in 0..self.grid.sectors() {
            let number = self.grid.number(last, sector);
            let [own, fixed] = self.edge_face(sector);
            matrix.add(number, number, own);
            right[number] -= fixed;
        }
        (matrix, right)
    }

    /// What a concentration of 1 in the first ring lets through to the fibre.
    fn contact_conductance(&self, sector: usize) -> f64 {
        self.diffusivity * self.width(sector) / self.grid.logarithm(0.0, self.grid.middles[0])
    }

    fn width(&self, sector: usize) -> f64 {
        self.grid.angles[sector + 1] - self.grid.angles[sector]
    }

    /// The face between a ring and the next: the mean of both sides is carried.
    fn add_outer_face(&self, matrix: &mut Banded, ring: usize, sector: usize) {
        let (inner, outer) = (self.grid.number(ring, sector), self.grid.number(ring + 1, sector));
        let distance = self.grid.logarithm(self.grid.middles[ring], self.grid.middles[ring + 1]);
        let conductance = self.diffusivity * self.width(sector) / distance;
        let carried = 0.5 * self.radial[inner];
        for (from, weight) in [(inner, carried + conductance), (outer, carried - conductance)] {
            matrix.add(inner, from, weight);
            matrix.add(outer, from, -weight);
        }
    }

    /// The face between a sector and the next: what is carried is extended from the two volumes it comes from.
    fn add_side_face(&self, matrix: &mut Banded, ring: usize, sector: usize) {
        let sectors = self.grid.sectors();
        let next = (sector + 1) % sectors;
        let (lower, upper) = (self.grid.number(ring, sector), self.grid.number(ring, next));
        let round = if next == 0 { 2.0 * PI } else { 0.0 };
        let step = self.grid.bearings[next] + round - self.grid.bearings[sector];
        let height = self.grid.logarithm(self.grid.bounds[ring], self.grid.bounds[ring + 1]);
        let conductance = self.diffusivity * height / step;
        let carried = self.angular[ring * self.grid.sides() + sector];
        // Beyond the axis lies the mirror image of the last sector, or else the sector beyond it.
        let (near, far) = if carried < 0.0 {
            let beyond = if self.grid.all_round { (next + 1) % sectors } else { (next + 1).min(sectors - 1) };
            (upper, beyond)
        } else {
            let beyond =
                if self.grid.all_round { (sector + sectors - 1) % sectors } else { sector.saturating_sub(1) };
            (lower, beyond)
        };
        let far = self.grid.number(ring, far);
        for (from, weight) in
            [(lower, conductance), (upper, -conductance), (near, 1.5 * carried), (far, -0.5 * carried)]
        {
            matrix.add(lower, from, weight);
            matrix.add(upper, from, -weight);
        }
    }

    /// What leaves through the edge of the cell: a factor of the last ring's concentration, and a fixed part.
    fn edge_face(&self, sector: usize) -> [f64; 2] {
        let last = self.grid.rings() - 1;
        let carried = self.radial[self.grid.number(last, sector)];
        let distance = self.grid.logarithm(self.grid.middles[last], self.grid.bounds[last + 1]);
        let conductance = self.diffusivity * self.width(sector) / distance;
        match self.edge {
            EdgeCondition::InflowFlux if carried < 0.0 => [0.0, carried],
            EdgeCondition::InflowConcentration | EdgeCondition::AllRound if carried < 0.0 => {
                [conductance, carried - conductance]
            }
            EdgeCondition::InflowFlux | EdgeCondition::InflowConcentration => [carried, 0.0],
            // The layer through which particles diffuse in against the air may be thinner than the ring.
            EdgeCondition::AllRound => [
                conductance * bernoulli(-carried / conductance),
                -conductance * bernoulli(carried / conductance),
            ],
        }
    }

    /// The balance of the whole half cell.
    pub(super) fn fluxes(&self, concentration: &[f64]) -> Fluxes {
        let share = if self.grid.all_round { 0.5 } else { 1.0 };
        let mut totals = Fluxes { caught: 0.0, entering: 0.0, leaving: 0.0 };
        let last = self.grid.rings() - 1;
        for sector in 0..self.grid.sectors() {
            totals.caught += self.contact_conductance(sector) * concentration[sector];
            let [own, fixed] = self.edge_face(sector);
            let out = own * concentration[self.grid.number(last, sector)] + fixed;
            if out < 0.0 { totals.entering -= out } else { totals.leaving += out }
        }
        for total in [&mut totals.caught, &mut totals.entering, &mut totals.leaving] {
            *total *= share;
        }
        totals
    }
}

/// The balance of a half cell, or half that of a whole one, in U a and the concentration that enters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fluxes {
    /// What reaches the fibre.
    pub caught: f64,
    /// What enters through the edge of the cell.
    pub entering: f64,
    /// What leaves through it.
    pub leaving: f64,
}

/// x/(e^x - 1).
fn bernoulli(x: f64) -> f64 {
    if x.abs() < 1e-9 { 1.0 - 0.5 * x } else { x / x.exp_m1() }
}

#[cfg(test)]
mod tests {
    use moteweir_physics::cell::KuwabaraCell;
    use moteweir_units::Solidity;

    use super::*;
    use crate::convection::Drift;

    fn diffuser(alpha: f64, fibre_knudsen: f64, interception: f64, peclet: f64) -> Diffuser {
        let cell = KuwabaraCell::new(Solidity::new(alpha).unwrap(), fibre_knudsen);
        Diffuser::new(cell, interception, peclet, Drift::NONE).unwrap()
    }

    /// Diffusion alone, c = 1 on the edge: E = 2 pi/(Pe ln(b/(1+R))). The air is left behind at Pe = 1e-9.
    #[test]
    fn diffusion_through_an_annulus_is_exact() {
        for (alpha, interception) in [(0.003, 0.0), (0.05, 0.3), (0.4, 0.1)] {
            let diffuser = diffuser(alpha, 0.0, interception, 1e-9);
            let grid = Grid::new(&diffuser, 12, 8, None);
            let balance = Balance::new(&diffuser, &grid, EdgeCondition::AllRound);
            let (matrix, mut field) = balance.equations();
            matrix.solve(&mut field);
            let ratio = diffuser.cell().edge_radius() / diffuser.contact_radius();
            let exact = 2.0 * PI / (diffuser.peclet() * ratio.ln());
            let got = balance.fluxes(&field).caught;
            assert!((got / exact - 1.0).abs() < 1e-8, "solidity {alpha}: got {got}, expected {exact}");
        }
    }

    /// What enters is caught or leaves, to rounding, on a coarse grid as on a fine one.
    #[test]
    fn particles_are_conserved() {
        for edge in EdgeCondition::ALL {
            for peclet in [1.0, 1e3, 1e8] {
                for (fibre_knudsen, interception) in [(0.0, 0.0), (0.3, 0.2)] {
                    let diffuser = diffuser(0.05, fibre_knudsen, interception, peclet);
                    let grid = Grid::new(&diffuser, 24, 20, None);
                    let balance = Balance::new(&diffuser, &grid, edge);
                    let (matrix, mut field) = balance.equations();
                    matrix.solve(&mut field);
                    let Fluxes { caught, entering, leaving } = balance.fluxes(&field);
                    let lost = (entering - leaving - caught) / entering;
                    assert!(lost.abs() < 1e-13, "{edge:?}, Pe {peclet}: lost {lost}");
                }
            }
        }
    }

    /// A uniform concentration stays uniform, so that nothing but diffusion makes a layer: the residual of c = 1 away
    /// from the surface of contact.
    #[test]
    fn the_flow_neither_compresses_nor_dilutes() {
        let diffuser = diffuser(0.05, 0.1, 0.1, 1e5);
        let grid = Grid::new(&diffuser, 20, 16, None);
        let (matrix, right) = Balance::new(&diffuser, &grid, EdgeCondition::InflowFlux).equations();
        let outflow = matrix.times(&vec![1.0; right.len()]);
        for number in grid.number(1, 0)..right.len() {
            let residual = outflow[number] - right[number];
            assert!(residual.abs() < 1e-14, "volume {number}: {residual}");
        }
    }

    /// A concentration that meets all conditions, c = 1 - (z/L)^2 + e y z^2 cos(theta), y = r - (1+R), z = b - r,
    /// with the sources that it needs: the root mean square error, which second order divides by 4
    /// where it halves the steps.
    #[test]
    fn a_manufactured_concentration_is_approached_with_second_order() {
        for edge in EdgeCondition::ALL {
            for (fibre_knudsen, interception, peclet) in
                [(0.0, 0.0, 2.0), (0.2, 0.3, 50.0), (0.0, 0.3, 1000.0)]
            {
                let diffuser = diffuser(0.05, fibre_knudsen, interception, peclet);
                let errors = [32, 64].map(|n| manufactured_error(&diffuser, edge, n));
                let order = (errors[0] / errors[1]).log2();
                let what = format!("{edge:?}, R {interception}, Pe {peclet}: errors {errors:?}");
                assert!((order - 2.0).abs() < 0.2, "{what}, order {order}");
            }
        }
    }

    fn manufactured_error(diffuser: &Diffuser, edge: EdgeCondition, rings: usize) -> f64 {
        let grid = Grid::new(diffuser, rings, rings, None);
        let balance = Balance::new(diffuser, &grid, edge);
        let (matrix, mut field) = balance.equations();
        let cell = diffuser.cell();
        let (b, e) = (cell.edge_radius(), 0.05);
        let room = b - diffuser.contact_radius();
        for ring in 0..grid.rings() {
            let y = grid.middles[ring];
            let (r, z) = (grid.contact + y, room - y);
            let (g1, g2) = (2.0 * z / (room * room), -2.0 / (room * room));
            let (h, h1, h2) = (y * z * z, z * z - 2.0 * y * z, 2.0 * y - 4.0 * z);
            let (r_in, r_out) = (grid.contact + grid.bounds[ring], grid.contact + grid.bounds[ring + 1]);
            for sector in 0..grid.sectors() {
                let (sine, cosine) = grid.bearings[sector].sin_cos();
                let (across, along) = (cosine * cell.stream(r) / r, -sine * cell.stream_slope(r));
                let carried = across * (g1 + e * h1 * cosine) - along / r * e * h * sine;
                let spread = g2 + g1 / r + e * cosine * (h2 + h1 / r - h / (r * r));
                let volume = 0.5 * (r_out * r_out - r_in * r_in) * balance.width(sector);
                field[grid.number(ring, sector)] += volume * (carried - diffuser.diffusivity() * spread);
            }
        }
        matrix.solve(&mut field);
        let (mut squares, mut volumes) = (0.0, 0.0);
        for ring in 0..grid.rings() {
            let (y, z) = (grid.middles[ring], room - grid.middles[ring]);
            let volume = (grid.bounds[ring + 1] - grid.bounds[ring]) * (grid.contact + y);
            for sector in 0..grid.sectors() {
                let exact = 1.0 - (z / room).powi(2) + e * y * z * z * grid.bearings[sector].cos();
                squares += volume * (field[grid.number(ring, sector)] - exact).powi(2);
                volumes += volume;
            }
        }
        (squares / volumes).sqrt()
    }
}
