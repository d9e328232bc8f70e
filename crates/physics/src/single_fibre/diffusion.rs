//! Diffusion: small particles wander off their streamlines and onto a fibre.

use crate::cell::KuwabaraCell;
use crate::range::Range;
use crate::refs;

/// Range of the thin-layer forms.
pub const PECLET_RANGE: Range = Range {
    relation: "single-fibre diffusion",
    quantity: "Peclet number",
    low: 100.0,
    high: f64::INFINITY,
    source: refs::LEE_LIU_1982,
};

/// Single-fibre efficiency by diffusion \[-\], fitted to real filters, with slip on the fibre and a bound.
///
/// ```text
/// E0  = 1.6 x^(1/3) Pe^(-2/3) C_d,   x = (1 - alpha)/Ku
/// C_d = 1 + 0.388 Kn_f (x Pe)^(1/3)
/// E_D = E0/(1 + E0)
/// ```
/// Source: [`refs::LEE_LIU_1982`] for 1.6, [`refs::LIU_RUBOW_1990`] for C_d, [`refs::PAYET_1992`] for the bound;
/// all from memory. Pe takes the interstitial velocity. Valid above a Peclet number of about 100; the bound costs
/// 9 % where E0 is 0.1.
/// Checked by `tests/published/lee_liu.rs`.
pub fn fitted(cell: &KuwabaraCell, fibre_knudsen: f64, peclet: f64) -> f64 {
    let x = (1.0 - cell.solidity()) / cell.kuwabara_factor();
    let x_pe_third = (x * peclet).cbrt();
    let unbounded = 1.6 * x_pe_third / peclet * (1.0 + 0.388 * fibre_knudsen * x_pe_third);
    unbounded / (1.0 + unbounded)
}

/// Single-fibre efficiency by diffusion \[-\] in an even array, two terms.
///
/// ```text
/// E_D = 2.9 Ku^(-1/3) Pe^(-2/3) + 0.624/Pe
/// ```
/// Source: [`refs::STECHKINA_FUCHS_1966`]. Pe takes the superficial velocity. Valid above a Peclet number of about
/// 100; below it the condition on the cell's edge decides and the cell does not define the efficiency. Leaves out
/// slip on the fibre and the factor (1 - alpha)^(1/3) of the exact thin layer (2 % at 0.05, 8 % at 0.2).
/// Checked by `tests/published/diffusion.rs`.
pub fn array(cell: &KuwabaraCell, peclet: f64) -> f64 {
    let pe_third = peclet.cbrt();
    2.9 / (cell.kuwabara_factor().cbrt() * pe_third * pe_third) + 0.624 / peclet
}

/// Constant of the exact thin-layer solution in Kuwabara's field: E = 2.8922 x^(1/3) Pe^(-2/3).
///
/// ```text
/// 3 x 9^(-1/3)/Gamma(4/3) x 2.39628^(2/3),   2.39628 = integral of sqrt(sin) over 0..pi
/// ```
/// Derived; `tests/analytic` evaluates it again by quadrature.
pub const THIN_LAYER_CONSTANT: f64 = 2.8922;

/// Single-fibre efficiency by diffusion \[-\] of point particles, exact as the Peclet number grows.
///
/// ```text
/// E_D = 2.8922 ((1 - alpha)/Ku)^(1/3) Pe^(-2/3)
/// ```
/// For checks; no closure uses it.
pub fn thin_layer(cell: &KuwabaraCell, peclet: f64) -> f64 {
    let x = (1.0 - cell.solidity()) / cell.kuwabara_factor();
    THIN_LAYER_CONSTANT * (x * peclet).cbrt() / peclet
}

/// Cross term of diffusion and interception \[-\] of the array family.
///
/// ```text
/// E_DR = 1.24 R^(2/3)/(Ku Pe)^(1/2)
/// ```
/// Source: [`refs::STECHKINA_1969`], from memory. Belongs to [`array()`]; with it the sum follows the solved cell to
/// -0.6 to +6 % for Pe >= 100, solidity 0.01 to 0.2, R 0.05 and 0.2. The fitted family has no cross term.
pub fn cross_term(cell: &KuwabaraCell, peclet: f64, interception: f64) -> f64 {
    let r_third = interception.cbrt();
    1.24 * r_third * r_third / (cell.kuwabara_factor() * peclet).sqrt()
}
