//! Gravity: a particle falls across its streamline, joined with interception.

/// Which way the air flows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlowDirection {
    /// Across gravity: a worn mask, an upright panel.
    Horizontal,
    /// With gravity.
    Down,
    /// Against gravity.
    Up,
}

/// Single-fibre efficiency by interception and settling together \[-\].
///
/// ```text
/// E_RG = sqrt(E_R^2 + 2 E_R G (1 + R) cos gamma + G^2 (1 + R)^2),   gamma between flow and gravity
///        flow down: E_R + G (1 + R);   flow up: max(0, E_R - G (1 + R))
/// ```
/// Source: [`crate::refs::CELL_GRAVITY`]: an inertialess particle's flux has no divergence, and flow and settling
/// are both dipoles on the circle of contact, so the two join exactly. G = settling velocity over velocity.
pub fn with_interception(
    interception_efficiency: f64,
    interception: f64,
    settling_ratio: f64,
    direction: FlowDirection,
) -> f64 {
    let settling = settling_ratio * (1.0 + interception);
    match direction {
        FlowDirection::Horizontal => interception_efficiency.hypot(settling),
        FlowDirection::Down => interception_efficiency + settling,
        FlowDirection::Up => (interception_efficiency - settling).max(0.0),
    }
}

/// How many particles arrive at a layer for each that the air alone would bring \[-\].
///
/// Flow down brings 1 + G, flow up 1 - G (none at 0 or below), flow across 1.
pub fn arrival(settling_ratio: f64, direction: FlowDirection) -> f64 {
    match direction {
        FlowDirection::Horizontal => 1.0,
        FlowDirection::Down => 1.0 + settling_ratio,
        FlowDirection::Up => (1.0 - settling_ratio).max(0.0),
    }
}

/// How fast a particle passes a fibre, over the velocity of the air \[-\]; against a faster fall 0.
///
/// ```text
/// sqrt(1 + 2 G cos gamma + G^2):   across sqrt(1 + G^2), down 1 + G, up 1 - G
/// ```
/// A body that goes straight on is swept by this times 1 + R: the most that interception, settling and inertia catch.
pub fn crossing(settling_ratio: f64, direction: FlowDirection) -> f64 {
    match direction {
        FlowDirection::Horizontal => settling_ratio.hypot(1.0),
        FlowDirection::Down | FlowDirection::Up => arrival(settling_ratio, direction),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_handbook_square_is_not_what_gravity_does() {
        // 3 um unit density on a 15 um fibre at 1 cm/s: settling ratio 2.8e-4/1e-2, times 1.2.
        let g = 2.84e-4 / 1e-2;
        let r = 0.2;
        let e_r = 0.0397;
        let gain = with_interception(e_r, r, g, FlowDirection::Horizontal) - e_r;
        assert!(gain > 5.0 * g * g, "gain {gain}");
    }
}
