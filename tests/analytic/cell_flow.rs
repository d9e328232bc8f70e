//! Interception is the flux of air between the fibre and the particle's rim, by stream function and by velocity.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::gravity::{FlowDirection, with_interception};
use moteweir_physics::single_fibre::interception;
use moteweir_tests::{Tally, logarithmic, quadrature, solidity};

const SOLIDITIES: [f64; 6] = [0.004, 0.03, 0.05, 0.1, 0.3, 0.6];
const KNUDSEN: [f64; 4] = [0.0, 0.02, 0.2, 1.3];

fn cells() -> impl Iterator<Item = KuwabaraCell> {
    SOLIDITIES.into_iter().flat_map(|a| KNUDSEN.into_iter().map(move |kn| KuwabaraCell::new(solidity(a), kn)))
}

fn name(cell: &KuwabaraCell) -> String {
    format!("solidity {}, s {}", cell.solidity(), cell.slip_parameter())
}

#[test]
fn exact_interception_is_the_stream_function_at_contact_up_to_the_edge_of_the_cell() {
    let mut tally = Tally::of("exact interception against f(1 + R)");
    for cell in cells() {
        for share in [1e-6, 0.01, 0.3, 0.9, 0.999] {
            let r = share * cell.largest_interception();
            let expected = cell.stream(1.0 + r).min(1.0 + r);
            let tolerance = if r < 1e-3 { 1e-6 } else { 1e-9 };
            tally.relative(
                format!("{}, R {r}", name(&cell)),
                interception::exact(&cell, r),
                expected,
                tolerance,
            );
        }
        let edge = cell.largest_interception();
        let at_edge = interception::exact(&cell, edge * (1.0 - 1e-9));
        tally.relative(format!("{}, edge", name(&cell)), at_edge, 1.0 + edge, 1e-7);
        let beyond = interception::exact(&cell, 5.0 * edge);
        tally.relative(format!("{}, beyond", name(&cell)), beyond, 1.0 + 5.0 * edge, 1e-14);
    }
    tally.close_all();
}

#[test]
fn exact_interception_is_the_flux_of_the_velocity() {
    // The air that passes between r = 1 and r = 1 + R abeam of the fibre: integral of u_x over the gap.
    let mut tally = Tally::of("flux by quadrature of the velocity");
    for cell in cells() {
        for share in [0.01, 0.2, 0.8] {
            let r = share * cell.largest_interception();
            let abeam = quadrature(1.0, 1.0 + r, |y| cell.velocity(0.0, y)[0]);
            tally.relative(format!("{}, R {r}", name(&cell)), abeam, cell.stream_at_gap(r), 1e-9);
            // And the flux that enters the circle of contact over its front half.
            let inward = quadrature(0.5 * std::f64::consts::PI, std::f64::consts::PI, |t| {
                let (x, y) = ((1.0 + r) * t.cos(), (1.0 + r) * t.sin());
                let [u, v] = cell.velocity(x, y);
                -(u * t.cos() + v * t.sin()) * (1.0 + r)
            });
            tally.relative(format!("{}, front, R {r}", name(&cell)), inward, cell.stream_at_gap(r), 1e-9);
        }
    }
    tally.close_all();
}

#[test]
fn gravity_and_interception_are_the_flux_of_both_through_the_circle_of_contact() {
    let cell = KuwabaraCell::new(solidity(0.05), 0.0);
    let mut tally = Tally::of("settling and flow through the circle of contact");
    for r in [0.05, 0.3, 1.0] {
        for g in [1e-3, 0.05, 0.7] {
            for (direction, angle) in
                [(FlowDirection::Down, 0.0), (FlowDirection::Horizontal, -0.5 * std::f64::consts::PI)]
            {
                // Half the absolute flux of a field without sources through a closed circle is what enters it.
                let e_r = interception::exact(&cell, r);
                let flux = |t: f64| {
                    let [u, v] = cell.velocity((1.0 + r) * t.cos(), (1.0 + r) * t.sin());
                    let (gx, gy) = (g * angle.cos(), g * angle.sin());
                    (1.0 + r) * ((u + gx) * t.cos() + (v + gy) * t.sin())
                };
                let count = 20_000;
                let sum: f64 = (0..count)
                    .map(|i| {
                        flux(2.0 * std::f64::consts::PI * (f64::from(i) + 0.5) / f64::from(count)).min(0.0)
                    })
                    .sum();
                let inward = -sum * 2.0 * std::f64::consts::PI / f64::from(count);
                // A width of 2 E in fibre radii enters: E counts one side.
                let expected = with_interception(e_r, r, g, direction);
                tally.relative(format!("R {r}, G {g}, {direction:?}"), 0.5 * inward, expected, 1e-6);
            }
            let up = with_interception(interception::exact(&cell, r), r, g, FlowDirection::Up);
            tally.holds(format!("R {r}, G {g}"), "upward flow never gives a negative efficiency", up >= 0.0);
        }
    }
    tally.close_all();
}

#[test]
fn drag_by_slip_lies_between_its_floor_and_one() {
    let mut tally = Tally::of("slip on the fibre");
    for alpha in SOLIDITIES {
        let still = KuwabaraCell::new(solidity(alpha), 0.0);
        tally.close(format!("no slip, {alpha}"), still.drag_slip_ratio(), 1.0, 1e-15);
        let floor = still.kuwabara_factor() / (-0.5 * alpha.ln() - 0.25 + 0.25 * alpha * alpha);
        let mut before = 1.0;
        for kn in logarithmic(1e-3, 1e4, 40) {
            let ratio = KuwabaraCell::new(solidity(alpha), kn).drag_slip_ratio();
            tally.within(format!("{alpha}, Kn {kn}"), ratio, floor..=before);
            before = ratio;
        }
        tally.relative(format!("floor, {alpha}"), before, floor, 1e-3);
    }
    tally.close_all();
}
