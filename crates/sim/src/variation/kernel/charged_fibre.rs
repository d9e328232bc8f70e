//! What one fibre of a web brings to capture by charge: scalars.

#![expect(clippy::cast_possible_truncation, reason = "charge is worked out in single precision")]

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_units::Solidity;

/// A fibre that charge acts at.
#[derive(Clone, Copy, Debug)]
pub(super) struct ChargedFibre {
    pub solidity: Solidity,
    pub action: Action,
    pub diameter: f64,
    pub inverse_diameter: f32,
    pub alpha: f32,
    /// Radius of the cell over the fibre's.
    pub edge: f32,
    /// Of the relaxation time, in 4 x^2 Stk.
    pub of_stokes: f32,
    /// c^2.
    pub convention_squared: f32,
    /// The stream function with slip over that without: a constant, and the coefficient of 1/(q [2 h(q)/q^2 - alpha]).
    pub faster: [f32; 2],
    /// Ku/(1 - alpha).
    pub wall: f32,
    pub inverse_kuwabara: f32,
}

/// How charge acts at a fibre.
#[derive(Clone, Copy, Debug)]
pub(super) enum Action {
    /// A charged one: scalars of N and their roots, of the Coulomb force and of polarisation.
    Electret { coulomb: f32, root_coulomb: f32, polarisation: f32 },
    /// A neutral one: scalar of E^2 of the image.
    Image { square: f32 },
}

/// Where a fibre is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Whereabouts {
    pub solidity: Solidity,
    /// Fibre diameter \[m\].
    pub diameter: f64,
    /// Superficial velocity U0 \[m/s\].
    pub velocity: f64,
    /// c = U0/U of the closure.
    pub convention: f64,
    /// Mean free path of the air \[m\].
    pub mean_free_path: f64,
}

impl ChargedFibre {
    pub(super) fn new(electret: &Electret, at: &Whereabouts) -> Self {
        let Whereabouts { solidity, diameter, velocity, convention, mean_free_path } = *at;
        let cell = KuwabaraCell::new(solidity, 2.0 * mean_free_path / diameter);
        let (alpha, slip) = (cell.solidity(), cell.slip_parameter());
        let (kuwabara, slip_kuwabara) = (cell.kuwabara_factor(), cell.slip_kuwabara_factor());
        let x = (1.0 - alpha) / kuwabara;
        let (fibre, particle) = (electret.fibre_permittivity, electret.particle_permittivity);
        let sigma = electret.surface_charge.to_c_per_m2().abs();
        let action = if sigma > 0.0 {
            let field = sigma / (1.0 + fibre);
            let coulomb = field / velocity;
            let polarisable = (particle - 1.0) / (particle + 2.0);
            Action::Electret {
                coulomb: coulomb as f32,
                root_coulomb: coulomb.sqrt() as f32,
                polarisation: (polarisable * field * coulomb / diameter) as f32,
            }
        } else {
            let conductance = (fibre - 1.0) / (fibre + 1.0);
            Action::Image { square: (4.0 * x * conductance / (velocity * diameter * diameter)) as f32 }
        };
        Self {
            solidity,
            action,
            diameter,
            inverse_diameter: (1.0 / diameter) as f32,
            alpha: alpha as f32,
            edge: cell.edge_radius() as f32,
            of_stokes: (4.0 * x * x * velocity / diameter) as f32,
            convention_squared: (convention * convention) as f32,
            faster: [
                cell.drag_slip_ratio() as f32,
                (2.0 * slip * (1.0 - alpha) * kuwabara / slip_kuwabara) as f32,
            ],
            wall: (1.0 / x) as f32,
            inverse_kuwabara: (1.0 / kuwabara) as f32,
        }
    }

    /// Largest interception parameter that the cell has room for.
    pub(super) fn room(&self) -> f32 {
        self.edge - 1.0
    }
}
