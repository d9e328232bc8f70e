//! The closed form that the atlas corrects: diffusion and interception through a thin layer, every limit exact.

use std::f64::consts::PI;

use crate::cell::KuwabaraCell;
use crate::single_fibre::diffusion::THIN_LAYER_CONSTANT;

/// Where the air sticks to the fibre: E^3 = SHEAR x (2/Pe)^2, x = f''(1)/2.
const SHEAR: f64 = 0.25 * THIN_LAYER_CONSTANT * THIN_LAYER_CONSTANT * THIN_LAYER_CONSTANT;
/// Where the air slides along it: E^2 = SLIDE f'(1) (2/Pe).
const SLIDE: f64 = 8.0 / PI;

/// The closed form of one cell.
///
/// ```text
/// X^3 = E_R X^2 + (8/pi) f'(1+R) (2/Pe) X + 6.048 (f''(1)/2) (2/Pe)^2
/// E   = E_R + G L/sqrt(G^2 + L^2),   G = X - E_R,  L = b - E_R        at most b, all the air of the cell
/// ```
/// X by two steps of Newton from the root that the first two terms and the last have between them. Exact where one
/// term alone is left: interception without diffusion, a thin layer on a fibre along which the air slides, a thin layer
/// on one where it sticks. In between it is within 10 % of the solved cell from a Peclet number of 1e4 on, and up to
/// a factor of 1.8 low at 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reference {
    cell: KuwabaraCell,
    /// (SHEAR f''(1)/4)^(1/3).
    stick: f64,
    /// SLIDE f'(1)/2.
    slide: f64,
    /// b - 1.
    room: f64,
    /// sqrt(b).
    root_of_edge: f64,
}

/// A Peclet number, and the lengths that it sets in a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scales {
    /// 2/Pe.
    pub(super) diffusivity: f64,
    /// Pe^(-1/6).
    pub(super) sixth_root: f64,
    /// The efficiency of a thin layer where the air sticks.
    stick: f64,
    /// The fibre radius over the thickness of a point particle's layer, about.
    pub(super) over_layer: f64,
}

impl Scales {
    /// The thickness of a point particle's layer over the fibre radius, about.
    pub(super) fn layer(&self) -> f64 {
        self.over_layer.recip()
    }
}

impl Reference {
    pub(super) fn new(cell: KuwabaraCell) -> Self {
        Self {
            cell,
            stick: (0.25 * SHEAR * cell.stream_curvature(1.0)).cbrt(),
            slide: 0.5 * SLIDE * cell.stream_slope(1.0).max(0.0),
            room: cell.largest_interception(),
            root_of_edge: cell.edge_radius().sqrt(),
        }
    }

    pub(super) fn cell(&self) -> &KuwabaraCell {
        &self.cell
    }

    /// The largest interception parameter that the cell has room for.
    pub(super) fn room(&self) -> f64 {
        self.room
    }

    /// The square root of the cell's radius.
    pub(super) fn root_of_edge(&self) -> f64 {
        self.root_of_edge
    }

    /// What a Peclet number above 0 and finite sets.
    pub(super) fn scales(&self, peclet: f64) -> Scales {
        // Half the time of a cube root.
        let sixth_root = (peclet.ln() * (-1.0 / 6.0)).exp();
        // Powers of it for those of Pe: a quotient takes longer than all of them.
        let third = sixth_root * sixth_root;
        let two_thirds = third * third;
        let stick = self.stick * (two_thirds * peclet);
        Scales {
            diffusivity: 2.0 * two_thirds * third,
            sixth_root,
            stick: 2.0 * self.stick * two_thirds,
            over_layer: (stick * stick + self.slide * peclet).sqrt(),
        }
    }

    /// Single-fibre efficiency of diffusion and interception in the closed form \[-\], and of interception alone.
    pub(super) fn efficiency(&self, scales: &Scales, interception: f64) -> (f64, f64) {
        let (still, slope) = self.cell.stream_and_slope_at_gap(interception);
        let linear = SLIDE * slope.max(0.0) * scales.diffusivity;
        let stick = scales.stick * scales.stick;
        let fixed = stick * scales.stick;
        let mut root = 0.5 * (still + (still * still + 4.0 * (linear + stick)).sqrt());
        for _ in 0..2 {
            // Newton's step over one quotient: fewer operations that wait for one another.
            root =
                (root * root * (2.0 * root - still) + fixed) / ((3.0 * root - 2.0 * still) * root - linear);
        }
        let (gain, left) = (root - still, self.cell.edge_radius() - still);
        if gain > 0.0 && left > 0.0 {
            (still + gain * left / (gain * gain + left * left).sqrt(), still)
        } else {
            (still, still)
        }
    }
}

/// The closed form that the atlas corrects, of diffusion and interception together \[-\].
///
/// For whoever builds or tries an atlas; the particle fits into its cell, Pe is above 0 and finite.
pub fn closed_form(cell: KuwabaraCell, peclet: f64, interception: f64) -> f64 {
    let reference = Reference::new(cell);
    reference.efficiency(&reference.scales(peclet), interception).0
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    fn reference(alpha: f64, fibre_knudsen: f64) -> Reference {
        Reference::new(KuwabaraCell::new(Solidity::new(alpha).unwrap(), fibre_knudsen))
    }

    #[test]
    fn limits_are_exact() {
        let at = |r: &Reference, peclet, interception| r.efficiency(&r.scales(peclet), interception).0;
        for alpha in [0.003_f64, 0.05, 0.4] {
            let stick = reference(alpha, 0.0);
            let x = (1.0 - alpha) / stick.cell().kuwabara_factor();
            let levich = THIN_LAYER_CONSTANT * x.cbrt() * 1e-8;
            let got = at(&stick, 1e12, 0.0);
            assert!((got / levich - 1.0).abs() < 1e-9, "solidity {alpha}: got {got}, expected {levich}");
            let slip = reference(alpha, 2.0);
            let sliding = (16.0 * slip.cell().stream_slope(1.0) / (PI * 1e14)).sqrt();
            let got = at(&slip, 1e14, 0.0);
            assert!((got / sliding - 1.0).abs() < 1e-4, "solidity {alpha}: got {got}, expected {sliding}");
            for interception in [1e-3, 0.1, 0.5] {
                let (got, expected) =
                    (at(&stick, 1e20, interception), stick.cell().stream_at_gap(interception));
                assert!((got / expected - 1.0).abs() < 1e-6, "R {interception}: got {got}, {expected}");
            }
            let (got, all) = (at(&stick, 1e-9, 0.1), stick.cell().edge_radius());
            assert!((got / all - 1.0).abs() < 1e-9 && got <= all, "got {got}, all the air {all}");
        }
    }
}
