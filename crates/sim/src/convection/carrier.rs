//! What carries the particles: the air of the cell, and drifts that are added to it.

use moteweir_physics::cell::KuwabaraCell;

use crate::drift::Drift;

/// What could not be computed, and why.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ConvectionError {
    /// The particle is smaller than a point or does not fit between the fibre and the edge of its cell.
    #[error(
        "the interception parameter {interception} is not from 0 to below {largest}, the room in the cell"
    )]
    Interception {
        /// The value given.
        interception: f64,
        /// The largest that the cell has room for.
        largest: f64,
    },
    /// The Peclet number is not a positive finite number.
    #[error("the Peclet number {peclet} is not above 0 and finite")]
    Peclet {
        /// The value given.
        peclet: f64,
    },
    /// A drift is not a finite number.
    #[error("the drift of {speed} times the velocity of the air is not finite")]
    Drift {
        /// The value given, over U.
        speed: f64,
    },
}

/// A particle that diffuses in the flow of a cell, by the numbers that its capture depends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diffuser {
    cell: KuwabaraCell,
    interception: f64,
    peclet: f64,
    drift: Drift,
}

impl Diffuser {
    /// A particle of the interception parameter `R = d_p/d_f` (0: a point) and the Peclet number `Pe = U d_f/D`.
    ///
    /// The solver is made for Pe from 1 to 1e8 and answers beyond.
    ///
    /// # Errors
    /// Where R is negative or the cell has no room for it, Pe is not above 0 and finite, or a drift is not finite.
    pub fn new(
        cell: KuwabaraCell,
        interception: f64,
        peclet: f64,
        drift: Drift,
    ) -> Result<Self, ConvectionError> {
        let largest = cell.largest_interception();
        if !(interception >= 0.0 && interception < largest) {
            return Err(ConvectionError::Interception { interception, largest });
        }
        if !(peclet > 0.0 && peclet.is_finite()) {
            return Err(ConvectionError::Peclet { peclet });
        }
        if let Some(speed) = drift.not_finite() {
            return Err(ConvectionError::Drift { speed });
        }
        Ok(Self { cell, interception, peclet, drift })
    }

    /// The cell.
    pub fn cell(&self) -> KuwabaraCell {
        self.cell
    }

    /// The interception parameter R.
    pub fn interception(&self) -> f64 {
        self.interception
    }

    /// The Peclet number, over the fibre diameter.
    pub fn peclet(&self) -> f64 {
        self.peclet
    }

    /// The distance of the particle's centre from the fibre's when they touch, 1 + R, in fibre radii.
    pub fn contact_radius(&self) -> f64 {
        1.0 + self.interception
    }

    /// Diffusivity over U a: 2/Pe.
    pub(super) fn diffusivity(&self) -> f64 {
        2.0 / self.peclet
    }

    /// The stream function of the particles [U a], `u_r = (1/r) d psi/d theta`, `u_theta = -d psi/d r`, at the distance
    /// `gap` from contact, without what draws them straight to the fibre. Differences between corners are exact fluxes
    /// through the faces between them.
    pub(super) fn stream(&self, gap: f64, theta: f64) -> f64 {
        let distance = self.interception + gap;
        self.cell.stream_at_gap(distance) * theta.sin() + self.drift.stream(distance, theta)
    }

    /// What forces draw straight to the fibre through the whole circle at the distance `gap` from contact [U a], by the
    /// radian.
    pub(super) fn drawn_in(&self, gap: f64) -> f64 {
        let distance = self.interception + gap;
        (1.0 + distance) * self.drift.inward(distance)
    }

    /// Whether the upper half of the cell is the lower one's mirror image, so that one will do.
    pub(super) fn is_symmetric(&self) -> bool {
        self.drift.is_symmetric()
    }

    /// How thick the layer is in which particles diffuse to the fibre, in fibre radii.
    ///
    /// ```text
    /// (Pe/2) y [y |u_theta|(y) + |u_r|(y)] = 1
    /// ```
    /// with the largest speeds at that distance from contact: y ~ Pe^(-1/3) where the air sticks to the fibre,
    /// Pe^(-1/2) where it slips, 1/Pe where particles are carried through the surface of contact.
    pub fn layer_thickness(&self) -> f64 {
        let room = self.cell.largest_interception() - self.interception;
        let excess = |gap: f64| {
            let r = self.contact_radius() + gap;
            let [across, along] = self.drift.largest(self.interception + gap);
            let (across, along) = (across + self.cell.stream(r) / r, along + self.cell.stream_slope(r));
            gap * (gap * along + across) - self.diffusivity()
        };
        if excess(room) < 0.0 {
            return room;
        }
        let (mut low, mut high) = (f64::MIN_POSITIVE.ln(), room.ln());
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if excess(middle.exp()) < 0.0 { low = middle } else { high = middle }
        }
        high.exp()
    }
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    fn cell(fibre_knudsen: f64) -> KuwabaraCell {
        KuwabaraCell::new(Solidity::new(0.05).unwrap(), fibre_knudsen)
    }

    /// The layer falls with the power of the Peclet number that its balance says.
    #[test]
    fn layers_thin_out_with_the_right_power() {
        for (fibre_knudsen, interception, power) in
            [(0.0, 0.0, -1.0 / 3.0), (0.5, 0.0, -0.5), (0.0, 0.5, -1.0)]
        {
            let layer = |peclet| {
                Diffuser::new(cell(fibre_knudsen), interception, peclet, Drift::NONE)
                    .unwrap()
                    .layer_thickness()
            };
            let got = (layer(1e12) / layer(1e10)).log10() / 2.0;
            assert!((got - power).abs() < 0.01, "Kn_f {fibre_knudsen}, R {interception}: got {got}, {power}");
        }
    }

    #[test]
    fn impossible_particles_are_refused_in_words() {
        let cell = KuwabaraCell::new(Solidity::new(0.0625).unwrap(), 0.0);
        let refused = |interception, peclet, drift| {
            Diffuser::new(cell, interception, peclet, drift).unwrap_err().to_string()
        };
        assert_eq!(
            refused(-0.1, 1.0, Drift::NONE),
            "the interception parameter -0.1 is not from 0 to below 3, the room in the cell"
        );
        assert_eq!(refused(0.1, 0.0, Drift::NONE), "the Peclet number 0 is not above 0 and finite");
        assert_eq!(
            refused(0.1, 1.0, Drift { settling: f64::NAN, ..Drift::NONE }),
            "the drift of NaN times the velocity of the air is not finite"
        );
    }
}
