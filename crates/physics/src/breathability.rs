//! Pressure drop and quality in the terms of the trade.

use moteweir_units::{Area, Flow, Pressure, Resistance, Velocity};

/// Area of the test head for medical masks \[m2\]: 25 mm in diameter, 4.9 cm2 by the standard.
pub const MEDICAL_HEAD_AREA: Area = Area::from_cm2(4.9);
/// Flow through that head.
pub const MEDICAL_HEAD_FLOW: Flow = Flow::from_l_per_min(8.0);

/// A stack's resistance to air at one face velocity and in the numbers that data sheets print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breathability {
    /// Flow resistance at low face velocity, pressure drop over velocity at 1 cm/s.
    pub resistance: Resistance,
    /// Air permeability at 100 Pa ([`crate::refs::ISO_9237`]).
    pub permeability_100_pa: Velocity,
    /// Air permeability at 200 Pa ([`crate::refs::ISO_9237`]).
    pub permeability_200_pa: Velocity,
    /// Air permeability at 125 Pa, stated in cubic feet a minute a square foot ([`crate::refs::ASTM_D737`]).
    pub permeability_125_pa: Velocity,
    /// Differential pressure at 8 L/min through 4.9 cm2, over those 4.9 cm2 ([`crate::refs::EN_14683`]) \[Pa/cm2\].
    /// The area is that of the head: this is no number per area of mask.
    pub medical_pa_per_cm2: f64,
}

impl Breathability {
    /// From the pressure drop as a function of face velocity, which must rise from 0.
    pub fn of(pressure_drop: impl Fn(Velocity) -> Pressure) -> Self {
        let slow = Velocity::from_cm_per_s(1.0);
        let head = MEDICAL_HEAD_FLOW / MEDICAL_HEAD_AREA;
        Self {
            resistance: pressure_drop(slow) / slow,
            permeability_100_pa: velocity_at(&pressure_drop, Pressure::from_pa(100.0)),
            permeability_200_pa: velocity_at(&pressure_drop, Pressure::from_pa(200.0)),
            permeability_125_pa: velocity_at(&pressure_drop, Pressure::from_pa(125.0)),
            medical_pa_per_cm2: pressure_drop(head).to_pa() / MEDICAL_HEAD_AREA.to_cm2(),
        }
    }
}

/// The face velocity at which a pressure drop is reached; the pressure drop must rise with velocity.
pub fn velocity_at(pressure_drop: impl Fn(Velocity) -> Pressure, wanted: Pressure) -> Velocity {
    let (mut low, mut high) = (1e-7_f64.ln(), 1e4_f64.ln());
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if pressure_drop(Velocity::from_m_per_s(middle.exp())) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    Velocity::from_m_per_s((0.5 * (low + high)).exp())
}

/// Quality factor \[1/Pa\]: how much is caught for each pascal.
///
/// ```text
/// QF = -ln P/dp
/// ```
/// Holds at one size and one face velocity, which must be stated with it. Does not change when like layers are
/// stacked. Other books use 1/kPa, per mm H2O, or the decimal logarithm (divide by 2.303). Infinite where nothing gets
/// through, P = 0, which JSON has no number for: reports write null there.
pub fn quality_factor(penetration: f64, pressure_drop: Pressure) -> f64 {
    -penetration.ln() / pressure_drop.to_pa()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_per_cent_at_ten_millimetres_of_water() {
        assert!((quality_factor(0.05, Pressure::from_mm_h2o(10.0)) - 0.03055).abs() < 5e-6);
    }

    #[test]
    fn nothing_through_is_quality_without_end() {
        assert!(quality_factor(0.0, Pressure::from_pa(10.0)).is_infinite());
    }

    #[test]
    fn the_medical_head_runs_at_27_cm_per_second() {
        let head = MEDICAL_HEAD_FLOW / MEDICAL_HEAD_AREA;
        assert!((head.to_m_per_s() - 0.2721).abs() < 5e-5);
    }

    #[test]
    fn a_linear_fabric_reads_back() {
        let b = Breathability::of(|u| Pressure::from_pa(400.0 * u.to_m_per_s()));
        assert!((b.permeability_200_pa.to_m_per_s() - 0.5).abs() < 1e-9);
        assert!((b.resistance.to_pa_s_per_m() - 400.0).abs() < 1e-9);
    }
}
