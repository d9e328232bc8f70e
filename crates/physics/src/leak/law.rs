//! How the flow through a leak rises with the pressure drop across it.

use moteweir_units::{Area, Flow, Length, Pressure};

use super::error::LeakError;
use super::slit::Slit;
use crate::air::Air;

/// Discharge coefficient of a hole with a sharp edge \[-\].
///
/// Source: [`crate::refs::KIRCHHOFF_1869`] for a slot; measured values of sharp-edged round holes are 0.60 to 0.65, common practice.
pub const ORIFICE_DISCHARGE: f64 = 0.61;

/// A leak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeakLaw {
    /// No leak: nothing passes.
    Sealed,
    /// A slit between parallel walls.
    Slit(Slit),
    /// A hole with a sharp edge, or many of that area together.
    Hole {
        /// Its open area.
        area: Area,
    },
    /// A measured power law.
    PowerLaw(PowerLaw),
    /// Nothing but leak: all air passes, without any pressure drop.
    Open,
}

/// A measured relation, dp = dp0 (Q/Q0)^n.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PowerLaw {
    flow: Flow,
    pressure_drop: Pressure,
    exponent: f64,
}

impl PowerLaw {
    /// A power law through a measured flow and its pressure drop, with the exponent n of pressure drop on flow.
    ///
    /// # Errors
    /// Where flow or pressure drop are not above zero and finite, or the exponent is not from 1 to 2.
    pub fn through(flow: Flow, pressure_drop: Pressure, exponent: f64) -> Result<Self, LeakError> {
        LeakError::unless_positive("flow", flow.to_m3_per_s())?;
        LeakError::unless_positive("pressure drop", pressure_drop.to_pa())?;
        if (1.0..=2.0).contains(&exponent) {
            Ok(Self { flow, pressure_drop, exponent })
        } else {
            Err(LeakError::Exponent { exponent })
        }
    }

    /// The power law dp = k Q^n with k in Pa/(m3/s)^n.
    ///
    /// # Errors
    /// As [`PowerLaw::through`].
    pub fn with_coefficient(coefficient: f64, exponent: f64) -> Result<Self, LeakError> {
        LeakError::unless_positive("coefficient", coefficient)?;
        Self::through(Flow::from_m3_per_s(1.0), Pressure::from_pa(coefficient), exponent)
    }

    /// The exponent of pressure drop on flow \[-\].
    pub const fn exponent(&self) -> f64 {
        self.exponent
    }
}

impl LeakLaw {
    /// A slit of a length along the edge, a gap, and a depth along the flow.
    ///
    /// # Errors
    /// As [`Slit::new`].
    pub fn slit(length: Length, gap: Length, depth: Length) -> Result<Self, LeakError> {
        Slit::new(length, gap, depth).map(Self::Slit)
    }

    /// A hole of an area, or the equivalent hole of a leak.
    ///
    /// # Errors
    /// Where the area is not above zero and finite.
    pub fn hole(area: Area) -> Result<Self, LeakError> {
        LeakError::unless_positive("area", area.to_m2()).map(|()| Self::Hole { area })
    }

    /// The hole that passes a flow at a pressure drop.
    ///
    /// # Errors
    /// Where one of the two is not above zero and finite.
    pub fn hole_passing(flow: Flow, pressure_drop: Pressure, air: &Air) -> Result<Self, LeakError> {
        LeakError::unless_positive("flow", flow.to_m3_per_s())?;
        LeakError::unless_positive("pressure drop", pressure_drop.to_pa())?;
        Self::hole(Area::from_m2(flow.to_m3_per_s() / jet_velocity(pressure_drop.to_pa(), air)))
    }

    /// Flow \[m3/s\] at a pressure drop; outward (below zero) where the pressure drop is.
    ///
    /// ```text
    /// slit       dp = 12 mu L Q/(w h^3) + 1.5 rho/2 [Q/(w h)]^2
    /// hole       Q = 0.61 A sqrt(2 dp/rho)
    /// power law  dp = dp0 (Q/Q0)^n
    /// ```
    /// Source: see [`Slit::flow_at`]; [`crate::refs::KIRCHHOFF_1869`] for the hole; the power law as measured, in the air in
    /// which it was measured. A hole is inertial at any flow here; a real one turns laminar below a Reynolds number of
    /// some tens. An open leak passes an infinite flow at any pressure drop.
    /// Checked by the worked examples below; largest miss half of the last digit that they print.
    pub fn flow_at(&self, pressure_drop: Pressure, air: &Air) -> Flow {
        let dp = pressure_drop.to_pa().abs();
        let flow = match self {
            Self::Sealed => 0.0,
            Self::Slit(slit) => slit.flow_at(Pressure::from_pa(dp), air).to_m3_per_s(),
            Self::Hole { area } => area.to_m2() * jet_velocity(dp, air),
            Self::PowerLaw(law) => {
                law.flow.to_m3_per_s() * (dp / law.pressure_drop.to_pa()).powf(law.exponent.recip())
            }
            Self::Open if dp == 0.0 => 0.0,
            Self::Open => f64::INFINITY,
        };
        Flow::from_m3_per_s(flow.copysign(pressure_drop.to_pa()))
    }

    /// Pressure drop \[Pa\] at a flow: the inverse of [`LeakLaw::flow_at`]. Infinite for a flow through a sealed edge.
    pub fn pressure_drop_at(&self, flow: Flow, air: &Air) -> Pressure {
        let q = flow.to_m3_per_s().abs();
        let dp = match self {
            Self::Sealed if q == 0.0 => 0.0,
            Self::Sealed => f64::INFINITY,
            Self::Slit(slit) => slit.pressure_drop_at(Flow::from_m3_per_s(q), air).to_pa(),
            Self::Hole { area } => {
                0.5 * air.density().to_kg_per_m3() * (q / (ORIFICE_DISCHARGE * area.to_m2())).powi(2)
            }
            Self::PowerLaw(law) => {
                law.pressure_drop.to_pa() * (q / law.flow.to_m3_per_s()).powf(law.exponent)
            }
            Self::Open => 0.0,
        };
        Pressure::from_pa(dp.copysign(flow.to_m3_per_s()))
    }
}

/// Flow over area of a hole \[m/s\].
fn jet_velocity(pressure_drop: f64, air: &Air) -> f64 {
    ORIFICE_DISCHARGE * (2.0 * pressure_drop / air.density().to_kg_per_m3()).sqrt()
}

#[cfg(test)]
mod tests {
    use moteweir_units::{Density, Temperature, Viscosity};

    use super::*;

    fn air() -> Air {
        Air::with_properties(
            Temperature::from_celsius(20.0),
            Pressure::from_pa(101_325.0),
            Viscosity::from_pa_s(1.81e-5),
            Density::from_kg_per_m3(1.2041),
            Length::from_nm(66.0),
        )
    }

    #[test]
    fn the_worked_hole() {
        let hole = LeakLaw::hole(Area::from_m2(1e-6)).unwrap();
        let flow = hole.flow_at(Pressure::from_pa(50.0), &air());
        assert!((flow.to_l_per_min() - 0.3335).abs() < 5e-5, "{}", flow.to_l_per_min());
    }

    #[test]
    fn pressure_drop_and_flow_are_inverse_of_each_other_both_ways() {
        let laws = [
            LeakLaw::slit(Length::from_mm(40.0), Length::from_mm(0.5), Length::from_mm(8.0)).unwrap(),
            LeakLaw::hole(Area::from_m2(5e-6)).unwrap(),
            LeakLaw::PowerLaw(
                PowerLaw::through(Flow::from_l_per_min(3.0), Pressure::from_pa(40.0), 1.6).unwrap(),
            ),
        ];
        for law in laws {
            let mut before = 0.0;
            for dp in [1e-3, 1.0, 50.0, 1e4] {
                let flow = law.flow_at(Pressure::from_pa(dp), &air());
                let back = law.pressure_drop_at(flow, &air()).to_pa();
                assert!((back / dp - 1.0).abs() < 1e-12, "{law:?} at {dp} Pa gives {back}");
                let outward = law.flow_at(Pressure::from_pa(-dp), &air());
                assert!((outward.to_m3_per_s() + flow.to_m3_per_s()).abs() < 1e-18);
                assert!(flow.to_m3_per_s() > before, "{law:?} has to rise");
                before = flow.to_m3_per_s();
            }
        }
    }

    #[test]
    fn a_power_law_goes_through_its_point_and_its_coefficient() {
        let law = LeakLaw::PowerLaw(PowerLaw::with_coefficient(2e8, 1.5).unwrap());
        let flow = Flow::from_m3_per_s(1e-4);
        assert!((law.pressure_drop_at(flow, &air()).to_pa() - 2e8 * 1e-6).abs() < 1e-9);
        assert!((law.flow_at(Pressure::from_pa(200.0), &air()).to_m3_per_s() - 1e-4).abs() < 1e-16);
        assert_eq!(
            PowerLaw::with_coefficient(2e8, 0.6).unwrap_err().to_string(),
            "the exponent of a leak's pressure drop on flow is 0.6, but lies between 1 (laminar) and 2 (inertial); an exponent of flow on pressure drop is its inverse"
        );
    }

    #[test]
    fn nothing_and_everything() {
        let dp = Pressure::from_pa(50.0);
        assert!(LeakLaw::Sealed.flow_at(dp, &air()).to_m3_per_s().abs() < f64::MIN_POSITIVE);
        assert!(LeakLaw::Open.flow_at(dp, &air()).to_m3_per_s().is_infinite());
        assert!(
            LeakLaw::Open.flow_at(Pressure::from_pa(0.0), &air()).to_m3_per_s().abs() < f64::MIN_POSITIVE
        );
        let flow = Flow::from_l_per_min(1.0);
        assert!(LeakLaw::Sealed.pressure_drop_at(flow, &air()).to_pa().is_infinite());
        assert!(LeakLaw::Open.pressure_drop_at(flow, &air()).to_pa().abs() < f64::MIN_POSITIVE);
    }
}
