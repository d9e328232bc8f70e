//! Particles so small that they follow the air but for a slow drift: the stiff limit of the equation of motion.
//!
//! A particle forgets its own velocity within its relaxation time t and then moves with
//!
//! ```text
//! w = u - t (u . grad) u + t^2 [((u . grad) u . grad) u + (u . grad)(u . grad) u] + O(t^3)
//! ```
//! so that steps need no longer be as short as t. What it does before it has forgotten shifts where it starts, by
//! `t z - 2 t^2 (z . grad) u` with z its velocity at release less w. Both by expansion of the equation of motion.

use moteweir_physics::cell::KuwabaraCell;

/// Displacement over which a gradient is taken, relative to the distance from the wall.
const DISPLACEMENT: f64 = 1e-3;

/// The velocity w of a particle that has forgotten its release.
pub(super) fn drift(cell: &KuwabaraCell, relaxation: f64, x: f64, y: f64) -> [f64; 2] {
    let velocity = cell.velocity(x, y);
    let acceleration = cell.acceleration(x, y);
    let bent = along(|x, y| cell.velocity(x, y), x, y, acceleration);
    let changing = along(|x, y| cell.acceleration(x, y), x, y, velocity);
    [0, 1].map(|i| {
        velocity[i] - relaxation * acceleration[i] + relaxation * relaxation * (bent[i] + changing[i])
    })
}

/// Where a particle that had forgotten its release would have to start, to end on the same path.
pub(super) fn shifted_start(
    cell: &KuwabaraCell,
    relaxation: f64,
    [x, y]: [f64; 2],
    velocity: [f64; 2],
) -> [f64; 2] {
    let forgotten = drift(cell, relaxation, x, y);
    let excess = [velocity[0] - forgotten[0], velocity[1] - forgotten[1]];
    let bent = along(|x, y| cell.velocity(x, y), x, y, excess);
    let shift = [0, 1].map(|i| relaxation * excess[i] - 2.0 * relaxation * relaxation * bent[i]);
    [x + shift[0], y + shift[1]]
}

/// The derivative of a field in a direction, times the direction's length.
fn along(field: impl Fn(f64, f64) -> [f64; 2], x: f64, y: f64, direction: [f64; 2]) -> [f64; 2] {
    let length = direction[0].hypot(direction[1]);
    if length == 0.0 {
        return [0.0; 2];
    }
    let gap = 0.5 * (x * x + y * y - 1.0).abs();
    let step = DISPLACEMENT * gap.clamp(1e-9, 1.0) / length;
    let (dx, dy) = (step * direction[0], step * direction[1]);
    let (ahead, behind) = (field(x + dx, y + dy), field(x - dx, y - dy));
    [0, 1].map(|i| (ahead[i] - behind[i]) / (2.0 * step))
}
