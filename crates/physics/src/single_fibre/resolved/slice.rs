//! The atlas at one solidity and one fibre Knudsen number, ready for many particles.

use moteweir_units::Solidity;

use super::atlas::Atlas;
use super::axes::{FIBRE_KNUDSEN, PECLET, SOLIDITY};
use super::composing::Layered;
use super::field::Plane;
use super::reference::{Reference, Scales};
use crate::cell::KuwabaraCell;
use crate::estimate::Estimate;
use crate::range::Range;
use crate::refs;
use crate::single_fibre::impaction::{ImpactionSlice, Increment};
use crate::single_fibre::interception;

/// The dimensionless groups of mechanical capture, on the superficial velocity and the fibre's diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mechanical {
    /// Peclet number U d_f/D; infinite for no diffusion.
    pub peclet: f64,
    /// Stokes number rho d_p^2 Cc U/(18 mu d_f); 0 for no inertia.
    pub stokes: f64,
    /// Interception parameter d_p/d_f; 0 for a point.
    pub interception: f64,
}

/// The atlas at one solidity and one fibre Knudsen number; cheap to clone.
#[derive(Clone, Debug)]
pub struct Slice {
    reference: Reference,
    gain: Plane,
    spread: Plane,
    inertia: ImpactionSlice,
    fibre_knudsen: f64,
}

impl Slice {
    /// The compiled atlas at a solidity and a fibre Knudsen number `2 lambda/d_f`, finite and not negative.
    pub fn new(solidity: Solidity, fibre_knudsen: f64) -> Self {
        Self::from_atlas(&Atlas::compiled(), solidity, fibre_knudsen)
    }

    /// An atlas at a solidity and a fibre Knudsen number.
    pub fn from_atlas(atlas: &Atlas<'_>, solidity: Solidity, fibre_knudsen: f64) -> Self {
        let reference = Reference::new(KuwabaraCell::new(solidity, fibre_knudsen));
        let still = Reference::new(KuwabaraCell::new(solidity, 0.0));
        Self {
            reference,
            gain: atlas.gain.plane(&reference, &still),
            spread: atlas.spread.plane(&reference, &still),
            inertia: atlas.slip.slice(solidity, fibre_knudsen),
            fibre_knudsen,
        }
    }

    /// The flow that all of it was solved in, slip included.
    pub fn cell(&self) -> &KuwabaraCell {
        self.reference.cell()
    }

    /// Single-fibre efficiency of diffusion and interception \[-\], at most all the air of the cell.
    ///
    /// ```text
    /// E = E_closed exp(gain)
    /// ```
    /// `E_closed` is exact in every limit, `gain` what the solved cell has more: positive, smooth, and between the
    /// limits where the table ends. Above a Peclet number of 1e8 the gain falls as Pe^(-1/3). Without diffusion (Pe
    /// infinite) it is exact interception; a particle that its cell has no room for is sieved: 1 + R.
    pub fn diffusion_interception(&self, peclet: f64, interception: f64) -> f64 {
        if interception::is_sieved(self.cell(), interception) {
            return 1.0 + interception;
        }
        if peclet == f64::INFINITY {
            return self.cell().stream_at_gap(interception);
        }
        self.solved(&self.reference.scales(peclet), interception).diffusive
    }

    /// Interception alone and with diffusion, for a particle that fits and diffuses.
    fn solved(&self, scales: &Scales, interception: f64) -> Carried {
        let (closed, still) = self.reference.efficiency(scales, interception);
        let mut gain = self.gain.value(&self.reference, scales, interception);
        if scales.diffusivity < 2.0 / PECLET[1] {
            gain *= (0.5 * PECLET[1] * scales.diffusivity).cbrt();
        }
        Carried { still, diffusive: (closed * gain.exp()).min(self.cell().edge_radius()).max(still) }
    }

    /// What inertia adds to interception without diffusion \[-\], for the two ways of entering the cell; slightly
    /// negative before it grows.
    pub fn increment(&self, stokes: f64, interception: f64) -> Increment {
        self.inertia.increment(stokes, interception)
    }

    /// ln of the highest efficiency that a condition on the edge of the cell gives, over that of the condition taken
    /// \[-\]: 0 or more, and 0 above a Peclet number of 30.
    pub fn edge_spread(&self, peclet: f64, interception: f64) -> f64 {
        if !peclet.is_finite() || interception::is_sieved(self.cell(), interception) {
            return 0.0;
        }
        self.spread_at(&self.reference.scales(peclet), interception)
    }

    fn spread_at(&self, scales: &Scales, interception: f64) -> f64 {
        if scales.sixth_root < self.spread.last_root() {
            return 0.0;
        }
        self.spread.value(&self.reference, scales, interception).max(0.0)
    }

    /// Single-fibre efficiency of diffusion, interception and inertia together \[-\], with its band.
    ///
    /// The value takes particles that enter with the uniform velocity, the inflow's flux on the edge and the rule of
    /// [`Layered::together`]. The band holds the rule's own, the other way of entering, and on its high side the other
    /// conditions on the edge.
    pub fn composed(&self, groups: Mechanical) -> Estimate {
        let Mechanical { peclet, stokes, interception } = groups;
        if interception::is_sieved(self.cell(), interception) {
            return Estimate::exact(1.0 + interception);
        }
        let increment = self.increment(stokes, interception);
        if peclet == f64::INFINITY {
            let still = self.cell().stream_at_gap(interception);
            return Estimate::spanning(
                still + increment.uniform,
                still + increment.uniform,
                still + increment.fluid,
            );
        }
        let scales = self.reference.scales(peclet);
        let Carried { still, diffusive } = self.solved(&scales, interception);
        let all = self.cell().edge_radius();
        let join = |increment: f64| {
            let parts = Layered { interception: still, diffusive, inertial: still + increment };
            parts.together(peclet, stokes, interception)
        };
        let taken = join(increment.uniform).widened_by(join(increment.fluid));
        let edge = diffusive * self.spread_at(&scales, interception).exp_m1();
        Estimate {
            low: taken.low.max(0.0).min(all),
            value: taken.value.min(all),
            high: (taken.high + edge).min(all),
        }
    }

    /// Where the atlas is known at this solidity: solidity, fibre Knudsen number, Peclet number, Stokes number,
    /// interception parameter.
    pub fn ranges(&self) -> [Range; 5] {
        let range = |quantity, [low, high]: [f64; 2]| Range {
            relation: "resolved cell",
            quantity,
            low,
            high,
            source: refs::RESOLVED_CELL,
        };
        let [stokes, _] = self.inertia.ranges();
        [
            range("solidity", SOLIDITY),
            range("fibre Knudsen number", FIBRE_KNUDSEN),
            range("Peclet number", [PECLET[0], f64::INFINITY]),
            range("Stokes number", [0.0, stokes.high]),
            range("interception parameter", [0.0, self.cell().largest_interception()]),
        ]
    }

    /// The solidity, fibre Knudsen number, Peclet number, Stokes number and interception parameter of groups at this
    /// slice, in the order of [`Slice::ranges`].
    pub fn values(&self, groups: &Mechanical) -> [f64; 5] {
        [self.cell().solidity(), self.fibre_knudsen, groups.peclet, groups.stokes, groups.interception]
    }
}

/// Interception alone and with diffusion.
struct Carried {
    still: f64,
    diffusive: f64,
}
