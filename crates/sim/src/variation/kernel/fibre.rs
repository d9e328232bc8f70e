//! What one fibre diameter of one web brings to every size: the scalars of its closure.

use moteweir_physics::cell::{KuwabaraCell, kuwabara_factor};
use moteweir_physics::closure::Closure;
use moteweir_units::Solidity;

use super::super::arithmetic::{Apart, inverse_cube_root};
use super::super::elementary::ln;

/// What the surroundings bring.
#[derive(Clone, Copy, Debug)]
pub(super) struct Surroundings {
    /// The closure.
    pub closure: Closure,
    /// Face velocity \[m/s\].
    pub face_velocity: f64,
    /// Mean free path of the air \[m\].
    pub mean_free_path: f64,
}

/// What all fibre diameters of a web share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Array {
    /// Solidity.
    pub solidity: Solidity,
    /// ln of the solidity.
    pub ln_solidity: f64,
    /// Velocity of the closure's convention \[m/s\].
    pub velocity: f64,
    /// Face velocity over the velocity of the convention.
    pub convention: f64,
    /// (1 - alpha)/Ku.
    pub x: f64,
    /// Radius of the cell's edge over the fibre's.
    pub edge: f64,
    /// ln of (1 - alpha).
    pub ln_void: f64,
    kuwabara: f64,
}

impl Array {
    pub(super) fn new(solidity: Solidity, surroundings: &Surroundings) -> Self {
        let alpha = solidity.fraction();
        let (ln_solidity, ln_void) = (ln(alpha), ln(1.0 - alpha));
        // As `kuwabara_factor`, with a logarithm whose bits do not depend on the machine.
        let kuwabara = -0.5 * ln_solidity - 0.75 + alpha - 0.25 * alpha * alpha;
        debug_assert!((kuwabara - kuwabara_factor(alpha)).abs() < 1e-12);
        let convention = match surroundings.closure {
            Closure::LeeLiu => 1.0 - alpha,
            Closure::KuwabaraCell | Closure::Resolved => 1.0,
        };
        let velocity = surroundings.face_velocity / convention;
        let x = (1.0 - alpha) / kuwabara;
        Self { solidity, ln_solidity, ln_void, velocity, convention, x, edge: 1.0 / alpha.sqrt(), kuwabara }
    }
}

/// Scalars of one fibre diameter, for efficiencies times fibre diameter: the swept widths \[m\].
#[derive(Clone, Copy, Debug)]
pub(super) struct Fibre {
    /// Fibre diameter \[m\].
    pub diameter: f64,
    /// ln of it.
    pub ln_diameter: f64,
    /// Diffusion: of D^(2/3).
    pub of_two_thirds: f64,
    /// Diffusion: of D^(1/3) in the fitted set, of D in the cell.
    pub of_other: f64,
    /// Cross term.
    pub of_cross: f64,
    /// 0.6 (1 - alpha)/Ku of fitted interception.
    pub of_interception: f64,
    /// The cell's interception, in q = r^2 - 1 and h = (1+q) ln(1+q) - q: of q, of h, of q^2.
    pub of_stream: [f64; 3],
    /// Settling over velocity: of settling over face velocity.
    pub of_settling: f64,
    /// Largest particle that the cell has room for \[m\].
    pub reach: f64,
    /// All the air of the cell, as a width \[m\].
    pub whole: f64,
}

impl Fibre {
    pub(super) fn new(diameter: f64, array: &Array, surroundings: &Surroundings) -> Self {
        let ln_diameter = ln(diameter);
        let product = array.velocity * diameter;
        let of_product = inverse_cube_root::<Apart>(product);
        let knudsen = 2.0 * surroundings.mean_free_path / diameter;
        let mut fibre = Self {
            diameter,
            ln_diameter,
            of_two_thirds: 0.0,
            of_other: 0.0,
            of_cross: 0.0,
            of_interception: 0.6 * array.x,
            of_stream: [0.0; 3],
            of_settling: array.convention,
            reach: diameter * (array.edge - 1.0),
            whole: diameter * array.edge,
        };
        match surroundings.closure {
            Closure::LeeLiu => {
                // (x/(U d_f))^(1/3) and (U d_f)^(-1/3).
                let ratio = inverse_cube_root::<Apart>(product / array.x);
                fibre.of_two_thirds = 1.6 * ratio * of_product;
                let square = ratio * of_product;
                fibre.of_other = 1.6 * 0.388 * knudsen * product * square * square;
            }
            Closure::KuwabaraCell | Closure::Resolved => fibre.fill_cell(array, of_product, knudsen),
        }
        fibre
    }

    /// The terms of the cell; `of_product` is (U d_f)^(-1/3).
    fn fill_cell(&mut self, array: &Array, of_product: f64, knudsen: f64) {
        let diameter = self.diameter;
        let of_diameter = inverse_cube_root::<Apart>(diameter);
        self.of_two_thirds =
            2.9 * diameter * of_product * of_product * inverse_cube_root::<Apart>(array.kuwabara);
        self.of_other = 0.624 / array.velocity;
        self.of_cross =
            1.24 * diameter * of_diameter * of_diameter / (array.kuwabara * array.velocity * diameter).sqrt();
        let cell = KuwabaraCell::new(array.solidity, knudsen);
        let slip = cell.slip_parameter();
        let alpha = array.solidity.fraction();
        let slip_kuwabara = array.kuwabara + slip * (-0.5 * array.ln_solidity - 0.25 + 0.25 * alpha * alpha);
        let over = self.diameter / (4.0 * slip_kuwabara);
        self.of_stream =
            [2.0 * slip * (1.0 - alpha) * over, 2.0 * (1.0 + slip) * over, -(1.0 + slip) * alpha * over];
    }
}
