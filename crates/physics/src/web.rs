//! A fibre web: solidity, thickness, fibres, charge and unevenness.

use moteweir_units::{BasisWeight, Density, Length, Solidity, Velocity};

use crate::air::Air;
use crate::closure::{
    Closure, FibreSurroundings, PreparedFibre, SingleFibre, Slices, Uncharged, fibre_length_per_volume,
};
use crate::drag;
use crate::estimate::Estimate;
use crate::fibre::FibreDiameters;
use crate::particle::Particle;
use crate::range::{Notice, Range, Remarks};
use crate::refs;
use crate::single_fibre::electrostatic::Electret;
use crate::single_fibre::gravity::FlowDirection;

/// Solidities of the cell in which impaction was solved.
pub const CELL_SOLIDITY_RANGE: Range = Range {
    relation: "single-fibre theory",
    quantity: "solidity",
    low: 0.003,
    high: 0.3,
    source: refs::LEE_LIU_1982,
};

/// Exponent beyond which an uneven web's thinnest spots decide: a penetration of 0.001.
const UNEVEN_TAIL_EXPONENT: f64 = 6.9;

/// A web of fibres.
#[derive(Clone, Debug, PartialEq)]
pub struct Web {
    /// Share of the volume that is fibre.
    pub solidity: Solidity,
    /// Thickness as layered in use.
    pub thickness: Length,
    /// Fibre diameters, weighted by length.
    pub fibres: FibreDiameters,
    /// Charge on the fibres and permittivities.
    pub electret: Electret,
    /// Coefficient of variation of the local basis weight, 0 to below 1, beyond what the closure already holds.
    pub unevenness: f64,
    /// Empirical inhomogeneity factor, 1 or more: what an ideal cell's drag and single-fibre efficiency are divided by.
    ///
    /// ```text
    /// eps = F_theory/F_measured = E_theory/E_measured
    /// ```
    /// Source: [`refs::KIRSCH_FUCHS_1968`], from memory: 1.2 to 1.7 for nonwovens, more for nanofibres, 1 for an even web.
    /// Defined without inertial capture, to which it is applied all the same. It holds what `unevenness` holds: one or
    /// the other. Not applied in the fitted set, see [`Web::inhomogeneity_in`].
    pub inhomogeneity: f64,
    /// Measured over predicted pressure drop where both are known. The pressure drop goes with the velocity, so one
    /// reading fixes it at all of them and leaves no band.
    pub drag_factor: Option<f64>,
}

/// Solidity of a web \[-\]: basis weight over fibre density and thickness. `None` unless it comes out between 0 and 1.
pub fn solidity(basis_weight: BasisWeight, fibre_density: Density, thickness: Length) -> Option<Solidity> {
    Solidity::new(basis_weight / thickness / fibre_density)
}

/// A web made ready for one closure and face velocity.
#[derive(Clone, Debug)]
pub struct PreparedWeb {
    fibres: Vec<(PreparedFibre, f64)>,
    headline: PreparedFibre,
    fibre_length_over_area: f64,
    unevenness: f64,
    inhomogeneity: f64,
    pressure_drop: Estimate,
}

impl Web {
    /// Makes the web ready. The face velocity must be positive.
    pub fn prepare(
        &self,
        closure: Closure,
        air: &Air,
        face_velocity: Velocity,
        direction: FlowDirection,
    ) -> PreparedWeb {
        self.prepare_with(closure, air, face_velocity, direction, &Slices::default())
    }

    /// As [`Web::prepare`], with slices of the tables that other webs share.
    pub fn prepare_with(
        &self,
        closure: Closure,
        air: &Air,
        face_velocity: Velocity,
        direction: FlowDirection,
        slices: &Slices,
    ) -> PreparedWeb {
        let surroundings = |fibre_diameter: Length| FibreSurroundings {
            solidity: self.solidity,
            fibre_diameter,
            face_velocity,
            direction,
            electret: self.electret,
        };
        let fibre =
            |diameter: Length| PreparedFibre::with_slices(closure, air, surroundings(diameter), slices);
        let mean_square = self.fibres.root_mean_square().to_m().powi(2);
        PreparedWeb {
            fibres: self.fibres.quadrature().into_iter().map(|(d, share)| (fibre(d), share)).collect(),
            headline: fibre(self.fibres.median()),
            fibre_length_over_area: fibre_length_per_volume(self.solidity, mean_square)
                * self.thickness.to_m(),
            unevenness: self.unevenness,
            inhomogeneity: self.inhomogeneity_in(closure),
            pressure_drop: self.pressure_drop(closure, air, face_velocity),
        }
    }

    /// The inhomogeneity factor as a closure takes it: 1 in the fitted set, whose filters had their own.
    pub const fn inhomogeneity_in(&self, closure: Closure) -> f64 {
        if closure.is_ideal_cell() { self.inhomogeneity } else { 1.0 }
    }

    /// Pressure drop \[Pa\] at a face velocity.
    pub fn pressure_drop(&self, closure: Closure, air: &Air, face_velocity: Velocity) -> Estimate {
        let flat = (1.0 - self.unevenness * self.unevenness) / self.inhomogeneity_in(closure);
        let dp =
            drag::pressure_drop(closure, air, self.solidity, self.thickness, &self.fibres, face_velocity);
        match self.drag_factor {
            Some(factor) => Estimate::exact(dp.value * factor * flat),
            None => dp.map_rising(|dp| dp * flat),
        }
    }

    /// Notes where the web leaves the ranges of the relations.
    pub fn check(&self, closure: Closure, air: &Air, face_velocity: Velocity, remarks: &mut Remarks) {
        remarks.check(CELL_SOLIDITY_RANGE, self.solidity.fraction());
        drag::check(closure, air, self.solidity, &self.fibres, face_velocity, remarks);
    }
}

impl PreparedWeb {
    /// Pressure drop \[Pa\].
    pub const fn pressure_drop(&self) -> Estimate {
        self.pressure_drop
    }

    /// Single-fibre efficiency at the median diameter, over the inhomogeneity.
    pub fn single_fibre(&self, particle: &Particle, charges: i32) -> SingleFibre {
        self.headline.efficiency(particle, charges).over(self.inhomogeneity)
    }

    /// Exponent K of the even web, P = exp(-K), for a particle of a charge \[-\].
    ///
    /// ```text
    /// K = 4 alpha t/(pi <d_f^2>) <E d_f> [ /(1 - alpha) in the fitted set ] / arrival [ /eps in an ideal cell ]
    /// ```
    /// Source: [`refs::TAN_2014`], eq. 6.95-6.96; the sum over fibre diameters at one solidity is derived. Infinite
    /// for particles that an upward flow does not lift to the web.
    pub fn exponent(&self, particle: &Particle, charges: i32) -> Estimate {
        if !self.headline.arrives(particle) {
            return Estimate::exact(f64::INFINITY);
        }
        self.summed(particle, |fibre| fibre.efficiency(particle, charges).total)
    }

    /// Penetration of a particle at each of a list of charge numbers; mechanical terms are evaluated once.
    pub fn penetrations(&self, particle: &Particle, charges: &[i32]) -> Vec<Estimate> {
        if !self.headline.arrives(particle) {
            return vec![Estimate::exact(0.0); charges.len()];
        }
        if let [only] = charges {
            return vec![self.penetration_of(self.exponent(particle, *only))];
        }
        let weighted: Vec<(&PreparedFibre, Uncharged, f64)> = self
            .fibres
            .iter()
            .map(|(fibre, share)| (fibre, fibre.mechanical(particle), self.weight(fibre, *share, particle)))
            .collect();
        let of = |&n: &i32| {
            let exponent = weighted.iter().fold(Estimate::exact(0.0), |sum, (fibre, mechanical, weight)| {
                sum.plus(fibre.total_with_charge(mechanical, n), *weight)
            });
            self.penetration_of(exponent)
        };
        charges.iter().map(of).collect()
    }

    /// Penetration of a particle of a charge.
    pub fn penetration(&self, particle: &Particle, charges: i32) -> Estimate {
        if !self.headline.arrives(particle) {
            return Estimate::exact(0.0);
        }
        self.penetration_of(self.exponent(particle, charges))
    }

    /// Groups of a particle at the median fibre.
    pub fn groups(&self, particle: &Particle) -> crate::closure::Groups {
        self.headline.groups(particle)
    }

    /// Notes where a particle leaves the ranges of the relations, at the median fibre.
    pub fn check(&self, particle: &Particle, charges: i32, remarks: &mut Remarks) {
        self.headline.check(particle, charges, remarks);
        if self.unevenness > 0.0 && self.exponent(particle, charges).value > UNEVEN_TAIL_EXPONENT {
            remarks.say(Notice::UnevenTail);
        }
    }

    fn summed(&self, particle: &Particle, total: impl Fn(&PreparedFibre) -> Estimate) -> Estimate {
        self.fibres.iter().fold(Estimate::exact(0.0), |sum, (fibre, share)| {
            sum.plus(total(fibre), self.weight(fibre, *share, particle))
        })
    }

    fn weight(&self, fibre: &PreparedFibre, share: f64, particle: &Particle) -> f64 {
        share * self.fibre_length_over_area * fibre.cleared_width(particle) / self.inhomogeneity
    }

    fn penetration_of(&self, exponent: Estimate) -> Estimate {
        exponent.map_falling(|k| uneven_penetration(k, self.unevenness))
    }
}

/// Penetration of a web whose local basis weight varies \[-\].
///
/// ```text
/// P = (1 + K c^2)^-(1/c^2 - 1);   exp(-K) as c goes to 0
/// ```
/// K is the exponent of the even web, c the coefficient of variation of a gamma-distributed local basis weight at
/// common pressure drop. Source: [`refs::UNEVEN_WEB`]. Valid for c from 0 to below 1; leaves out that efficiency
/// falls with the local velocity.
pub fn uneven_penetration(exponent: f64, unevenness: f64) -> f64 {
    let c2 = unevenness * unevenness;
    if exponent.is_infinite() {
        0.0
    } else if c2 == 0.0 {
        (-exponent).exp()
    } else {
        (-(1.0 / c2 - 1.0) * (exponent * c2).ln_1p()).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn uneven_webs_of_the_derived_table() {
        for (even, c, expected) in
            [(0.10_f64, 0.2, 0.1207), (0.01, 0.2, 0.01729), (0.01, 0.3, 0.03001), (1e-4, 0.2, 5.38e-4)]
        {
            let p = uneven_penetration(-even.ln(), c);
            assert!((p / expected - 1.0).abs() < 1e-3, "P {even}, c {c}: {p}");
        }
    }

    fn web(alpha: f64, um: f64, gsd: f64, thickness_um: f64) -> Web {
        Web {
            solidity: Solidity::new(alpha).expect("inside 0..1"),
            thickness: Length::from_um(thickness_um),
            fibres: FibreDiameters::lognormal(Length::from_um(um), gsd),
            electret: Electret {
                surface_charge: moteweir_units::SurfaceCharge::from_c_per_m2(0.0),
                fibre_permittivity: 2.3,
                particle_permittivity: 3.0,
            },
            unevenness: 0.0,
            inhomogeneity: 1.0,
            drag_factor: None,
        }
    }

    fn particle(um: f64) -> Particle {
        Particle::new(&Air::reference(), Length::from_um(um), Density::from_kg_per_m3(1000.0))
    }

    #[test]
    fn coarse_particles_do_not_fall_through() {
        let slow = Velocity::from_cm_per_s(0.5);
        for closure in Closure::ALL {
            let ready =
                |direction| web(0.2, 10.0, 1.0, 60.0).prepare(closure, &Air::reference(), slow, direction);
            let (down, across) = (ready(FlowDirection::Down), ready(FlowDirection::Horizontal));
            let mut before = 1.0;
            for um in [10.0, 12.0, 17.8, 31.6, 100.0] {
                let p = |web: &PreparedWeb| web.penetration(&particle(um), 0).value;
                assert!(
                    p(&down) <= before * (1.0 + 1e-12),
                    "{closure:?}: {} at {um} um, {before} before",
                    p(&down)
                );
                before = p(&down);
                if um > 12.36 {
                    assert!(p(&down) <= p(&across) * (1.0 + 1e-12), "{closure:?}, sieved at {um} um");
                }
            }
        }
    }

    /// K of a spread from webs of one fibre diameter each: K(d) is 4 alpha t E/(pi d), so its mean weighted with d^2 is
    /// the spread's times the mean square.
    #[test]
    fn the_sum_over_fibres_holds_where_capture_sets_in_at_one_diameter() {
        for gsd in [1.1, 1.3, 1.6, 1.8] {
            let spread = web(0.1, 10.0, gsd, 400.0);
            for cm_per_s in [5.0, 100.0] {
                let u = Velocity::from_cm_per_s(cm_per_s);
                for closure in Closure::ALL {
                    let k = |web: &Web, um: f64| {
                        let ready = web.prepare(closure, &Air::reference(), u, FlowDirection::Horizontal);
                        ready.exponent(&particle(um), 0).value
                    };
                    for um in [0.3, 3.0, 10.0, 30.0] {
                        let (mut sum, mut weights, s) = (0.0, 0.0, f64::ln(gsd));
                        for i in -200..=200 {
                            let z = f64::from(i) / 40.0;
                            let (d, w) = (10.0 * (s * z).exp(), (-0.5 * z * z).exp());
                            sum += w * d * d * k(&web(0.1, d, 1.0, 400.0), um);
                            weights += w;
                        }
                        let fine = sum / weights / spread.fibres.root_mean_square().to_um().powi(2);
                        let miss = k(&spread, um) / fine - 1.0;
                        assert!(
                            miss.abs() < if um > 3.0 { 6e-3 } else { 1e-4 },
                            "{closure:?}, GSD {gsd}, {um} um at {cm_per_s} cm/s: {miss}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_reading_closes_the_band_of_the_pressure_drop() {
        let (air, u) = (Air::reference(), Velocity::from_cm_per_s(5.0));
        let predicted = web(0.06, 0.8, 1.7, 300.0);
        let bare = predicted.pressure_drop(Closure::LeeLiu, &air, u);
        assert!(bare.low < 0.9 * bare.value, "{bare:?}");
        let read = Web { drag_factor: Some(120.0 / bare.value), ..predicted };
        for times in [1.0, 3.0] {
            let dp = read.pressure_drop(Closure::LeeLiu, &air, u * times);
            for end in [dp.low, dp.value, dp.high] {
                assert!((end / (120.0 * times) - 1.0).abs() < 1e-12, "{dp:?}");
            }
        }
    }

    #[test]
    fn an_inhomogeneity_divides_capture_and_drag_and_leaves_the_quality() {
        let (air, u) = (Air::reference(), Velocity::from_cm_per_s(10.0));
        let even = web(0.07, 3.0, 1.3, 400.0);
        let real = Web { inhomogeneity: 1.6, ..even.clone() };
        for closure in Closure::ALL {
            let ready = |web: &Web| web.prepare(closure, &air, u, FlowDirection::Horizontal);
            let (even, real) = (ready(&even), ready(&real));
            let expected = if closure == Closure::LeeLiu { 1.0 } else { 1.6 };
            let close = |ratio: f64, what: &str| {
                assert!((ratio / expected - 1.0).abs() < 1e-12, "{closure:?}, {what}: {ratio}");
            };
            close(even.pressure_drop().value / real.pressure_drop().value, "pressure drop");
            for um in [0.05, 0.3, 3.0] {
                let p = particle(um);
                let of = |f: &dyn Fn(&PreparedWeb) -> f64| f(&even) / f(&real);
                close(of(&|w| w.exponent(&p, 1).value), "exponent");
                close(of(&|w| w.single_fibre(&p, 1).total.high), "single fibre");
                close(of(&|w| w.penetrations(&p, &[0, 1])[1].value.ln()), "penetration");
                let quality = |w: &PreparedWeb| w.exponent(&p, 0).value / w.pressure_drop().value;
                assert!((quality(&even) / quality(&real) - 1.0).abs() < 1e-12, "{closure:?}, quality");
            }
        }
    }

    #[test]
    fn evenness_is_the_limit_of_unevenness() {
        assert!((uneven_penetration(3.0, 1e-6) - (-3.0_f64).exp()).abs() < 1e-9);
    }
}
