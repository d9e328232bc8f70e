//! Inertia: no inertia is pure interception, all inertia is the width of fibre and particle, and nothing in between is
//! outside the two.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::{ImpactionSlice, Release};
use moteweir_sim::trajectory::{Particle, Precision, limiting_efficiency};
use moteweir_tests::{Tally, logarithmic, solidity};

const SOLIDITIES: [f64; 6] = [0.0035, 0.01, 0.05, 0.15, 0.3, 0.6];

#[test]
fn interception_with_inertia_is_positive_and_at_most_fibre_and_particle_wide() {
    let mut tally = Tally::of("E_R + E_I");
    for alpha in SOLIDITIES {
        let slice = ImpactionSlice::new(solidity(alpha));
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        for share in logarithmic(1e-5, 0.999, 25) {
            let r = share * cell.largest_interception();
            let e_r = cell.stream_at_gap(r);
            for stokes in logarithmic(1e-5, 1e5, 60) {
                let increment = slice.increment(stokes, r);
                for (name, i) in [("uniform", increment.uniform), ("fluid", increment.fluid)] {
                    let input = format!("{name}, solidity {alpha}, R {r:.3e}, Stk {stokes:.3e}");
                    tally.holds(&input, "E_R + E_I > 0", e_r + i > 0.0);
                    // The fluid release may gather more than 1 + R where the air of the cell's edge points inward.
                    let limit = if name == "uniform" { 1.0 + r } else { cell.edge_radius() };
                    tally.within(&input, e_r + i, 0.0..=limit * (1.0 + 2e-4));
                }
            }
        }
    }
    tally.close_all();
}

#[test]
fn without_inertia_nothing_is_added_and_with_all_of_it_the_particle_flies_straight() {
    let mut tally = Tally::of("limits of the increment");
    for alpha in SOLIDITIES {
        let slice = ImpactionSlice::new(solidity(alpha));
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        for share in [0.001, 0.03, 0.5] {
            let r = share * cell.largest_interception();
            let e_r = cell.stream_at_gap(r);
            let little = slice.increment(1e-7, r);
            tally.within(format!("sluggish, {alpha}, R {r}"), little.uniform.abs(), 0.0..=1e-4 * e_r);
            let much = slice.increment(1e7, r);
            tally.relative(format!("heavy, {alpha}, R {r}"), e_r + much.uniform, 1.0 + r, 1e-4);
        }
        let none = slice.increment(0.0, 0.1);
        tally.close(format!("none, {alpha}"), none.uniform, 0.0, 0.0);
        let beyond = slice.increment(1.0, 2.0 * cell.largest_interception());
        tally.close(format!("beyond the cell, {alpha}"), beyond.uniform, 0.0, 0.0);
    }
    tally.close_all();
}

#[test]
fn the_table_follows_fresh_trajectories_at_points_between_its_nodes() {
    let mut tally = Tally::of("|E_table - E|/(E + 0.001)");
    for (alpha, share, relative_stokes) in [
        (0.0047, 0.013, 0.31),
        (0.021, 0.0041, 0.87),
        (0.033, 0.21, 2.7),
        (0.062, 0.087, 1.13),
        (0.11, 0.033, 0.97),
        (0.17, 0.41, 14.0),
        (0.26, 0.0077, 1.9),
        (0.44, 0.13, 0.55),
        (0.58, 0.62, 5.1),
    ] {
        let slice = ImpactionSlice::new(solidity(alpha));
        let cell = KuwabaraCell::new(solidity(alpha), 0.0);
        let r = share * cell.largest_interception();
        let stokes = relative_stokes * slice.critical_stokes();
        let particle = Particle::new(stokes, r, &cell).unwrap();
        let increment = slice.increment(stokes, r);
        for (release, got) in [(Release::Uniform, increment.uniform), (Release::Fluid, increment.fluid)] {
            let solved = limiting_efficiency(cell, particle, release, Precision::FINE, None).unwrap();
            let miss = (cell.stream_at_gap(r) + got - solved).abs() / (solved + 1e-3);
            tally.within(format!("{release:?}, solidity {alpha}, R {r}, Stk {stokes}"), miss, 0.0..=1e-3);
        }
    }
    tally.close_all();
}
