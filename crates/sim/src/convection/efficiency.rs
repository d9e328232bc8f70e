//! The efficiency: the same problem on three grids, extrapolated to none.

use super::carrier::Diffuser;
use super::concentration::Concentration;
use super::edge::EdgeCondition;

/// The finest of the three grids; each of the others has half the rings and half the sectors of the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Resolution {
    /// Rings from contact to the edge of the cell.
    pub rings: usize,
    /// Sectors from behind the fibre to in front of it.
    pub sectors: usize,
}

impl Resolution {
    /// Single-fibre efficiencies to about 1e-4.
    pub const STANDARD: Self = Self { rings: 64, sectors: 48 };
    /// To about 1e-5, in thirty times the time.
    pub const FINE: Self = Self { rings: 128, sectors: 96 };

    fn coarser(self) -> Self {
        Self { rings: self.rings / 2, sectors: self.sectors / 2 }
    }
}

/// A single-fibre efficiency and what it is uncertain by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The single-fibre efficiency [-], referred to the fibre's diameter and the superficial velocity.
    pub efficiency: f64,
    /// How far a finite grid may have put it off [-].
    pub grid_error: f64,
}

/// An estimate under the condition of this project, and what the other conditions on the cell's edge would give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeSpread {
    /// With [`EdgeCondition::InflowFlux`].
    pub estimate: Estimate,
    /// The lowest efficiency of all conditions, less its grid error.
    pub low: f64,
    /// The highest, and its grid error.
    pub high: f64,
}

/// Single-fibre efficiency of diffusion, interception and drift together [-].
///
/// ```text
/// E = E_3 + (E_3 - E_2)/3          E_1, E_2, E_3 on three grids, each twice as fine as the last (Richardson)
/// ```
/// `grid_error` is the distance from the same extrapolation one grid coarser, or a hundredth of `E_3 - E_2` where that
/// is more. Where the steps from grid to grid do not fall like those of an error of second order (by 2 to 8 instead of
/// 4), E is `E_3` and its error the last step, or a tenth of the first: particles so large and slow to diffuse that what diffusion adds, at the
/// sides of the fibre, is finer than the sectors, and next to nothing.
pub fn diffusive_efficiency(diffuser: &Diffuser, edge: EdgeCondition, resolution: Resolution) -> Estimate {
    let on = |grid: Resolution| Concentration::solve(diffuser, edge, grid).efficiency();
    let middle = resolution.coarser();
    let (coarse, middle, fine) = (on(middle.coarser()), on(middle), on(resolution));
    let (first, second) = (middle - coarse, fine - middle);
    if !(2.0 * second / first..=8.0 * second / first).contains(&1.0) {
        return Estimate { efficiency: fine, grid_error: second.abs().max(0.1 * first.abs()) };
    }
    let efficiency = fine + second / 3.0;
    let change = (efficiency - middle - first / 3.0).abs();
    Estimate { efficiency, grid_error: change.max(0.01 * second.abs()) }
}

/// The efficiency with the model error that the condition on the cell's edge stands for; three times the work.
pub fn edge_spread(diffuser: &Diffuser, resolution: Resolution) -> EdgeSpread {
    let estimates = EdgeCondition::ALL.map(|edge| diffusive_efficiency(diffuser, edge, resolution));
    let low = estimates.iter().map(|e| e.efficiency - e.grid_error).fold(f64::INFINITY, f64::min);
    let high = estimates.iter().map(|e| e.efficiency + e.grid_error).fold(0.0, f64::max);
    EdgeSpread { estimate: estimates[0], low: low.max(0.0), high }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use moteweir_physics::cell::KuwabaraCell;
    use moteweir_units::Solidity;

    use super::*;
    use crate::convection::Drift;
    use crate::trajectory::inertialess_efficiency;

    fn cell(alpha: f64, fibre_knudsen: f64) -> KuwabaraCell {
        KuwabaraCell::new(Solidity::new(alpha).unwrap(), fibre_knudsen)
    }

    fn solve(cell: KuwabaraCell, interception: f64, peclet: f64, drift: Drift) -> Estimate {
        let diffuser = Diffuser::new(cell, interception, peclet, drift).unwrap();
        diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, Resolution::STANDARD)
    }

    #[track_caller]
    fn close(what: &str, got: f64, expected: f64, tolerance: f64) {
        let miss = (got - expected).abs();
        assert!(
            miss <= tolerance,
            "{what}: got {got}, expected {expected}, miss {miss}, tolerance {tolerance}"
        );
    }

    /// Solved independently (finite volumes, grid error below 3e-5), to the digits shown.
    #[test]
    fn efficiencies_match_the_reference_values() {
        for (peclet, expected, digit) in [(1e2, 0.14756, 1e-5), (1e3, 0.031183, 1e-6), (1e4, 0.0066577, 1e-7)]
        {
            let got = solve(cell(0.05, 0.0), 0.0, peclet, Drift::NONE);
            close(&format!("Pe {peclet}"), got.efficiency, expected, 0.51 * digit + got.grid_error);
            assert!(got.grid_error < 1e-4 * expected, "Pe {peclet}: {got:?}");
        }
    }

    /// What the three conditions give at Pe = 1, solved independently, to the digits shown; the bound of the first.
    #[test]
    fn the_edge_decides_at_low_peclet_numbers() {
        let cell = cell(0.05, 0.0);
        let at = |peclet| Diffuser::new(cell, 0.0, peclet, Drift::NONE).unwrap();
        for (edge, (expected, digit)) in
            EdgeCondition::ALL.into_iter().zip([(2.96, 0.01), (3.8, 0.1), (4.3, 0.1)])
        {
            let got = diffusive_efficiency(&at(1.0), edge, Resolution::STANDARD).efficiency;
            close(&format!("{edge:?}"), got, expected, 0.51 * digit);
        }
        let spread = edge_spread(&at(1.0), Resolution::STANDARD);
        assert!(spread.low < 2.96 && spread.high > 4.32, "{spread:?}");
        let spread = edge_spread(&at(100.0), Resolution::STANDARD);
        close("spread at Pe 100", spread.high - spread.low, 2.0 * spread.estimate.grid_error, 1e-7);
        let all = diffusive_efficiency(&at(1e-5), EdgeCondition::InflowFlux, Resolution::STANDARD);
        close("all the air of the cell", all.efficiency, cell.edge_radius(), 1e-4);
    }

    /// Without inertia and diffusion the efficiency is the stream function at contact, and diffusion adds a share
    /// that falls with Pe.
    #[test]
    fn without_diffusion_interception_is_exact() {
        for (alpha, fibre_knudsen, interception) in
            [(0.05, 0.0, 0.1), (0.05, 0.44, 0.1), (0.05, 0.0, 0.5), (0.2, 0.0, 0.5), (0.01, 0.1, 2.0)]
        {
            let cell = cell(alpha, fibre_knudsen);
            let exact = cell.stream_at_gap(interception);
            let [slow, quick] = [1e8, 1e12].map(|peclet| solve(cell, interception, peclet, Drift::NONE));
            let what = format!("solidity {alpha}, Kn_f {fibre_knudsen}, R {interception}");
            assert!(slow.efficiency > exact && slow.efficiency < 1.003 * exact, "{what}: {slow:?}, {exact}");
            close(&what, quick.efficiency, exact, 2e-6 * exact);
        }
    }

    /// The thin-layer solution of a point particle, its constant derived from the wall shear:
    /// E = 2.8922 ((1-alpha)/Ku)^(1/3) Pe^(-2/3). The miss falls with the layer's thickness, Pe^(-1/3).
    #[test]
    fn thin_layers_match_the_levich_asymptote() {
        for alpha in [0.01_f64, 0.05, 0.2] {
            let cell = cell(alpha, 0.0);
            let miss = |peclet: f64| {
                let levich =
                    2.8922 * ((1.0 - alpha) / cell.kuwabara_factor()).cbrt() * peclet.powf(-2.0 / 3.0);
                solve(cell, 0.0, peclet, Drift::NONE).efficiency / levich - 1.0
            };
            let [coarse, thin, thinner] = [1e4, 1e6, 1e8].map(miss);
            assert!(thin.abs() < 0.005, "solidity {alpha}: miss {thin} at Pe 1e6");
            assert!(thin < 0.4 * coarse, "solidity {alpha}: {coarse}, {thin}, {thinner}");
            assert!(thinner.abs() < 5e-4, "solidity {alpha}: miss {thinner} at Pe 1e8");
        }
    }

    /// Where the air slides along the fibre at u_s sin(theta), u_s = f'(1), a thin layer takes E = sqrt(8 u_s (2/Pe)/pi).
    #[test]
    fn slip_matches_the_layer_on_a_sliding_surface() {
        let cell = cell(0.05, 2.0);
        for (peclet, tolerance) in [(1e6, 5e-3), (1e8, 1e-3)] {
            let sliding = (16.0 * cell.stream_slope(1.0) / (PI * peclet)).sqrt();
            let got = solve(cell, 0.0, peclet, Drift::NONE).efficiency;
            close(&format!("Pe {peclet}"), got / sliding, 1.0, tolerance);
        }
    }

    /// Line charge without diffusion: E = pi N, whatever the flow. Settling along the flow: E_R + G (1 + R).
    #[test]
    fn drifts_are_caught_in_full() {
        for line_charge in [0.01, 0.1, 1.0] {
            let got = solve(cell(0.05, 0.0), 0.0, 1e8, Drift { line_charge, ..Drift::NONE }).efficiency;
            close(&format!("N {line_charge}"), got / (PI * line_charge), 1.0, 1e-4);
        }
        let cell = cell(0.05, 0.0);
        for (interception, settling) in [(0.1, 0.05), (0.5, 0.3)] {
            let got = solve(cell, interception, 1e10, Drift { settling, ..Drift::NONE }).efficiency;
            let exact = cell.stream_at_gap(interception) + settling * (1.0 + interception);
            close(&format!("R {interception}, G {settling}"), got / exact, 1.0, 1e-4);
        }
    }

    /// Forces that draw straight to the fibre and a dipole at a bearing, with hardly any diffusion, against paths of particles
    /// without any. A dipole lets particles in on one side of the fibre: the whole cell is solved.
    #[test]
    fn forces_are_followed_as_paths_follow_them() {
        let none = Drift::NONE;
        for (interception, drift, tolerance) in [
            (0.0, Drift { dipole_polarisation: 1e-3, ..none }, 4e-3),
            (0.0, Drift { dipole_polarisation: 0.01, ..none }, 1e-3),
            (0.1, Drift { dipole_polarisation: 0.1, ..none }, 2e-3),
            (0.0, Drift { line_polarisation: 0.1, ..none }, 2e-3),
            (0.1, Drift { image: 1e-4, ..none }, 4e-3),
            (0.0, Drift { dipole_charge: 0.01, dipole_bearing: 1.0, ..none }, 2e-3),
            (
                0.1,
                Drift { dipole_charge: 0.03, dipole_bearing: 2.5, dipole_polarisation: 0.02, ..none },
                1e-2,
            ),
        ] {
            let cell = cell(0.05, 0.0);
            let got = solve(cell, interception, 1e6, drift);
            let expected = inertialess_efficiency(cell, interception, drift, 1e-9).unwrap();
            close(&format!("R {interception}, {drift:?}"), got.efficiency / expected, 1.0, tolerance);
        }
    }

    /// The whole cell and its upper half give the same where both will do.
    #[test]
    fn half_a_cell_stands_for_the_whole() {
        let half = Drift { dipole_charge: 0.1, dipole_polarisation: 0.05, ..Drift::NONE };
        let whole = Drift { dipole_bearing: f64::MIN_POSITIVE, ..half };
        let [half, whole] = [half, whole].map(|drift| solve(cell(0.05, 0.0), 0.1, 1e3, drift).efficiency);
        close("whole", whole, half, 1e-10);
    }

    /// The stated grid error covers the distance to a grid twice as fine.
    #[test]
    fn the_grid_error_covers_the_distance_to_a_finer_grid() {
        for (alpha, fibre_knudsen, interception, peclet) in [
            (0.05, 0.0, 0.0, 1.0),
            (0.05, 0.0, 0.1, 1e4),
            (0.4, 0.0, 0.5, 1e2),
            (0.003, 0.0, 0.0, 1e6),
            (0.05, 0.1, 0.001, 1e6),
        ] {
            let diffuser =
                Diffuser::new(cell(alpha, fibre_knudsen), interception, peclet, Drift::NONE).unwrap();
            let on = |grid| diffusive_efficiency(&diffuser, EdgeCondition::InflowFlux, grid);
            let half = Resolution { rings: 32, sectors: 24 };
            let (half, standard) = (on(half), on(Resolution::STANDARD));
            let what = format!("solidity {alpha}, Kn_f {fibre_knudsen}, R {interception}, Pe {peclet}");
            close(&what, half.efficiency, standard.efficiency, half.grid_error + standard.grid_error);
            assert!(standard.grid_error < 5e-4 * standard.efficiency, "{what}: {standard:?}");
        }
    }

    /// One grid alone is of second order: halving its steps divides the error by 4.
    #[test]
    fn the_efficiency_is_of_second_order() {
        for (interception, peclet) in [(0.0, 1.0), (0.0, 1e3), (0.0, 1e7), (0.1, 1e3)] {
            let diffuser = Diffuser::new(cell(0.05, 0.0), interception, peclet, Drift::NONE).unwrap();
            let [a, b, c] = [(16, 12), (32, 24), (64, 48)].map(|(rings, sectors)| {
                let grid = Resolution { rings, sectors };
                Concentration::solve(&diffuser, EdgeCondition::InflowFlux, grid).efficiency()
            });
            let order = ((b - a) / (c - b)).log2();
            close(&format!("order at R {interception}, Pe {peclet}"), order, 2.0, 0.2);
        }
    }
}
