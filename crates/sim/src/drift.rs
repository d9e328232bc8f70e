//! Forces on a particle as the drift that they give it through the air, in the velocity of the air.
//!
//! A steady force moves a particle without inertia at the speed where the air's drag balances it. All numbers here are
//! that speed at the fibre's surface (r = 1, lengths in fibre radii) over U; with inertia the same force acts.
//!
//! ```text
//! weight                                        G along the flow
//! line charge, charged particle                 -N_Qq/r              towards the fibre
//! line charge, neutral particle                 -N_Q0/r^3            towards the fibre
//! line dipole, charged particle                 N_sq (cos(theta - b), sin(theta - b))/r^2, b the dipole's bearing
//! line dipole, neutral particle                 -N_s0/r^5            towards the fibre, whatever the bearing
//! image of a charged particle                   -N_0q/(r - 1)^2      towards the fibre
//! ```
//! A line dipole is the field of a surface charge `sigma cos(phi)` on a round fibre. The squares of the fields of a line
//! charge, 1/r^2, and of a line dipole, 1/r^4, are the same all round, so that what they polarise is drawn straight to
//! the fibre. Derived from the force laws. The image is that in a plane: right close to the fibre, where it matters, too
//! strong by the order of r - 1 beyond.

use moteweir_physics::cell::KuwabaraCell;

/// A steady drift of the particles through the air: speeds at the fibre's surface over U \[-\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// Settling speed along the flow; negative where particles settle against the flow.
    pub settling: f64,
    /// `N_Qq`: a line charge that attracts a charged particle; negative where it repels.
    pub line_charge: f64,
    /// `N_Q0`: a line charge that polarises a neutral particle; not negative.
    pub line_polarisation: f64,
    /// `N_sq`: a line dipole and a charged particle.
    pub dipole_charge: f64,
    /// Where the surface that repels the particle faces, as an angle from the direction of the flow; it matters only with
    /// `dipole_charge`.
    pub dipole_bearing: f64,
    /// `N_s0`: a line dipole that polarises a neutral particle; not negative.
    pub dipole_polarisation: f64,
    /// `N_0q`: a charged particle and its image in a neutral fibre; not negative.
    pub image: f64,
}

impl Drift {
    /// No drift.
    pub const NONE: Self = Self {
        settling: 0.0,
        line_charge: 0.0,
        line_polarisation: 0.0,
        dipole_charge: 0.0,
        dipole_bearing: 0.0,
        dipole_polarisation: 0.0,
        image: 0.0,
    };

    /// The first of its numbers that is not finite.
    pub fn not_finite(&self) -> Option<f64> {
        self.numbers().into_iter().find(|number| !number.is_finite())
    }

    /// Whether there is none.
    pub fn is_none(&self) -> bool {
        let [settling, forces @ .., _] = self.numbers();
        settling == 0.0 && forces.iter().all(|number| *number == 0.0)
    }

    /// Whether the upper half of the cell is the lower one's mirror image.
    pub fn is_symmetric(&self) -> bool {
        self.dipole_charge == 0.0 || self.dipole_bearing == 0.0
    }

    fn numbers(&self) -> [f64; 7] {
        [
            self.settling,
            self.line_charge,
            self.line_polarisation,
            self.dipole_charge,
            self.dipole_polarisation,
            self.image,
            self.dipole_bearing,
        ]
    }

    /// The part towards the fibre that is the same all round, at the distance `gap` from its surface, in U.
    pub fn inward(&self, gap: f64) -> f64 {
        let inverse = (1.0 + gap).recip();
        let square = inverse * inverse;
        let image = if self.image == 0.0 { 0.0 } else { self.image / (gap * gap) };
        let attracted = self.line_charge + self.line_polarisation * square;
        inverse * (attracted + self.dipole_polarisation * square * square) + image
    }

    /// The stream function \[U a\] of the parts that vary round the fibre, weight and the dipole's attraction:
    /// `u_r = (1/r) d psi/d theta`, `u_theta = -d psi/d r`.
    pub fn stream(&self, gap: f64, theta: f64) -> f64 {
        let r = 1.0 + gap;
        let mut stream = self.settling * r * theta.sin();
        if self.dipole_charge != 0.0 {
            stream += self.dipole_charge / r * (theta - self.dipole_bearing).sin();
        }
        stream
    }

    /// The largest speeds at the distance `gap` from the fibre's surface, in U: across the surface, and along it.
    pub fn largest(&self, gap: f64) -> [f64; 2] {
        let along = self.settling.abs() + self.dipole_charge.abs() / ((1.0 + gap) * (1.0 + gap));
        [along + self.inward(gap).abs(), along]
    }
}

/// A particle without inertia on its way through the cell: the air's velocity and the drift's.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Carried {
    pub(crate) cell: KuwabaraCell,
    drift: Drift,
    /// The dipole's speed along the flow and across it.
    dipole: [f64; 2],
}

impl Carried {
    pub(crate) fn new(cell: KuwabaraCell, drift: Drift) -> Self {
        let (sine, cosine) = drift.dipole_bearing.sin_cos();
        let dipole = [drift.dipole_charge * cosine, drift.dipole_charge * sine];
        Self { cell, drift, dipole }
    }

    /// The velocity of a particle without inertia at (x, y), in U.
    pub(crate) fn velocity(&self, x: f64, y: f64) -> [f64; 2] {
        let [u, v] = self.cell.velocity(x, y);
        let [du, dv] = self.drifting(x, y);
        [u + du, v + dv]
    }

    /// The drift at (x, y), in U.
    pub(crate) fn drifting(&self, x: f64, y: f64) -> [f64; 2] {
        let square = x * x + y * y;
        let inverse = square.recip();
        let drift = &self.drift;
        let mut inward = drift.line_charge * inverse
            + inverse * inverse * (drift.line_polarisation + drift.dipole_polarisation * inverse);
        if drift.image != 0.0 {
            let r = square.sqrt();
            let gap = (square - 1.0) / (r + 1.0);
            inward += drift.image / (r * gap * gap);
        }
        // (cos, sin)(theta - b) along r and across it are, in the plane, the bearing's mirror image about the radius.
        let [p, q] = self.dipole;
        let (x2, xy, y2) = (x * x * inverse, x * y * inverse, y * y * inverse);
        let along = inverse * (p * (x2 - y2) + 2.0 * q * xy);
        let across = inverse * (2.0 * p * xy - q * (x2 - y2));
        [drift.settling + along - inward * x, across - inward * y]
    }

    /// The parts of the velocity at the distance `gap` from the fibre's surface, in U.
    pub(crate) fn rim(&self, gap: f64) -> Rim {
        let r = 1.0 + gap;
        let dipole = self.dipole.map(|part| part / (r * r));
        Rim {
            across: self.cell.stream_at_gap(gap) / r + self.drift.settling,
            along: self.cell.stream_slope(r) + self.drift.settling,
            dipole,
            inward: self.drift.inward(gap),
        }
    }
}

/// The velocity of a particle round a circle, in U:
///
/// ```text
/// v_r     = A cos(theta) + M cos(theta - b) - g
/// v_theta = -B sin(theta) + M sin(theta - b)
/// ```
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rim {
    /// A.
    pub(crate) across: f64,
    /// B.
    pub(crate) along: f64,
    /// M cos(b), M sin(b).
    pub(crate) dipole: [f64; 2],
    /// g.
    pub(crate) inward: f64,
}

impl Rim {
    /// `v_r = C cos(theta - d) - g`: C and d.
    pub(crate) fn swing(&self) -> (f64, f64) {
        let (along, across) = (self.across + self.dipole[0], self.dipole[1]);
        (along.hypot(across), across.atan2(along))
    }

    /// `v_theta`.
    pub(crate) fn turning(&self, theta: f64) -> f64 {
        let (sine, cosine) = theta.sin_cos();
        let [p, q] = self.dipole;
        -self.along * sine + p * sine - q * cosine
    }
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    const ALL: Drift = Drift {
        settling: 0.03,
        line_charge: 0.2,
        line_polarisation: 0.05,
        dipole_charge: 0.7,
        dipole_bearing: 0.9,
        dipole_polarisation: 0.4,
        image: 0.001,
    };

    /// The same drift by its polar parts and in the plane.
    #[test]
    fn the_drift_in_the_plane_is_that_round_the_fibre() {
        let carried = Carried::new(KuwabaraCell::new(Solidity::new(0.05).unwrap(), 0.1), ALL);
        for (r, theta) in [(1.1, 0.3), (1.7, 2.0), (3.0, -1.2), (4.0, 5.0_f64)] {
            let (sine, cosine) = theta.sin_cos();
            let [u, v] = carried.velocity(r * cosine, r * sine);
            let rim = carried.rim(r - 1.0);
            let (swing, heading) = rim.swing();
            let outward = swing * (theta - heading).cos() - rim.inward;
            let got = [u * cosine + v * sine, v * cosine - u * sine];
            let expected = [outward, rim.turning(theta)];
            for (got, expected) in got.into_iter().zip(expected) {
                assert!((got - expected).abs() < 1e-12, "at {r}, {theta}: got {got}, expected {expected}");
            }
        }
    }

    /// Forces of line charges and dipoles are their potentials' gradients: the fields have no curl, those on a charge
    /// no divergence, and what polarises falls as the square of its field does, times 1/r.
    #[test]
    fn forces_follow_from_their_fields() {
        let alone = |drift: Drift| Carried::new(KuwabaraCell::new(Solidity::new(0.05).unwrap(), 0.0), drift);
        let step = 1e-5;
        let slopes = |carried: &Carried, x: f64, y: f64| {
            let [right, left] = [step, -step].map(|d| carried.drifting(x + d, y));
            let [above, below] = [step, -step].map(|d| carried.drifting(x, y + d));
            let by = |a: f64, b: f64| (a - b) / (2.0 * step);
            (by(right[0], left[0]) + by(above[1], below[1]), by(right[1], left[1]) - by(above[0], below[0]))
        };
        let bearing = Drift { dipole_bearing: 0.9, ..Drift::NONE };
        let charged =
            [Drift { line_charge: 0.3, ..bearing }, Drift { dipole_charge: 0.3, ..bearing }].map(alone);
        for carried in &charged {
            let (divergence, curl) = slopes(carried, 1.3, -0.8);
            assert!(divergence.abs() < 1e-9 && curl.abs() < 1e-9, "{carried:?}: {divergence}, {curl}");
        }
        // The gradient of the squared field against the drift of a polarised particle, both at r = 1 and at 1.7.
        for field in charged {
            let squared = |r: f64| {
                let [u, v] = field.drifting(r, 0.0);
                u * u + v * v
            };
            let pull = |r: f64| (squared(r - step) - squared(r + step)) / (2.0 * step);
            let polarised = if field.drift.line_charge > 0.0 {
                Drift { line_polarisation: 1.0, ..Drift::NONE }
            } else {
                Drift { dipole_polarisation: 1.0, ..Drift::NONE }
            };
            let ratio = pull(1.7) / pull(1.0);
            let got = polarised.inward(0.7) / polarised.inward(0.0);
            assert!((got / ratio - 1.0).abs() < 1e-8, "{field:?}: got {got}, expected {ratio}");
        }
    }

    #[test]
    fn nothing_and_mirror_images_are_recognised() {
        assert!(Drift::NONE.is_none() && Drift { dipole_bearing: 1.0, ..Drift::NONE }.is_none());
        assert!(!Drift { image: 1e-9, ..Drift::NONE }.is_none());
        assert!(!ALL.is_symmetric() && Drift { dipole_bearing: 0.0, ..ALL }.is_symmetric());
        assert!(Drift { image: f64::NAN, ..ALL }.not_finite().is_some_and(f64::is_nan));
        assert_eq!(ALL.not_finite(), None);
    }
}
