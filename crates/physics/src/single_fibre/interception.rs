//! Interception: a particle that keeps to its streamline still touches the fibre with its rim.

use crate::cell::KuwabaraCell;
use crate::range::Range;
use crate::refs;

/// Range of the slip factor of the fitted form.
pub const SLIP_RANGE: Range = Range {
    relation: "slip in fitted interception",
    quantity: "fibre Knudsen number",
    low: 0.0,
    high: 0.1,
    source: refs::LIU_RUBOW_1990,
};

/// Range of Kuwabara's cell with slip on the fibre.
pub const CELL_SLIP_RANGE: Range = Range {
    relation: "slip in the cell",
    quantity: "fibre Knudsen number",
    low: 0.0,
    high: 0.25,
    source: refs::PICH_1966,
};

/// Single-fibre efficiency by interception \[-\], fitted to real filters, with slip on the fibre.
///
/// ```text
/// E_R = 0.6 x R^2/(1 + R) (1 + 1.996 Kn_f/R),   x = (1 - alpha)/Ku,   at most 1 + R
/// ```
/// Source: [`refs::LEE_LIU_1982`] and [`refs::LIU_RUBOW_1990`], from memory. Valid to a fibre Knudsen number of
/// about 0.1; beyond it the slip factor, which lacks Ku/K_s, is up to 1.9 times the exact one.
/// Checked by `tests/published/interception.rs`.
pub fn fitted(cell: &KuwabaraCell, fibre_knudsen: f64, interception: f64) -> f64 {
    let x = (1.0 - cell.solidity()) / cell.kuwabara_factor();
    let r = interception;
    (0.6 * x * r * (r + 1.996 * fibre_knudsen) / (1.0 + r)).min(1.0 + r)
}

/// Single-fibre efficiency by interception \[-\], exact in Kuwabara's cell with slip on the fibre.
///
/// ```text
/// E_R = f(1 + R), the stream function at contact;   1 + R where the particle reaches the cell's edge
/// ```
/// Source: [`refs::KUWABARA_1959`], [`refs::PICH_1966`]. Valid to a fibre Knudsen number of about 0.25. A particle
/// that reaches past the cell's edge, R > alpha^(-1/2) - 1, is wider than the gap it meets and is sieved: 1 + R.
/// Checked by `tests/published/interception.rs`.
pub fn exact(cell: &KuwabaraCell, interception: f64) -> f64 {
    if is_sieved(cell, interception) {
        1.0 + interception
    } else {
        cell.stream_at_gap(interception).min(1.0 + interception)
    }
}

/// Whether a particle is wider than the gap that the cell leaves it.
pub fn is_sieved(cell: &KuwabaraCell, interception: f64) -> bool {
    interception >= cell.largest_interception()
}

/// Single-fibre efficiency by interception \[-\] for small particles, the theory behind the fitted form.
///
/// ```text
/// E_R = ((1 - alpha)/Ku) R^2/(1 + R)
/// ```
/// For checks; no closure uses it. Source: [`refs::TAN_2014`], eq. 6.84.
pub fn small_particle(cell: &KuwabaraCell, interception: f64) -> f64 {
    (1.0 - cell.solidity()) / cell.kuwabara_factor() * interception * interception / (1.0 + interception)
}
