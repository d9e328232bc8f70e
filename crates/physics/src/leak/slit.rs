//! A slit between mask and face: parallel walls, laminar friction, loss at entry and exit.

use moteweir_units::{Flow, Length, Pressure};

use super::error::LeakError;
use super::root::root;
use crate::air::Air;
use crate::range::{Range, Remarks};
use crate::refs;

/// Loss at entry (0.5) and exit (1) of a straight slit, in dynamic pressures of the mean velocity \[-\].
///
/// Source: [`refs::BAKER_1987`] (from memory).
pub const SLIT_ENTRY_EXIT_LOSS: f64 = 1.5;

/// Reynolds number on twice the gap, up to which the flow in a slit is laminar; the bound is common practice.
pub const SLIT_REYNOLDS: Range = Range {
    relation: "laminar flow in a slit",
    quantity: "Reynolds number on twice the gap",
    low: 0.0,
    high: 2000.0,
    source: refs::BAKER_1987,
};

/// Narrowest gap that is looked for.
const NARROWEST: Length = Length::from_um(1.0);

/// A slit: its length along the edge of the mask, the gap between its walls, and its depth, the way the air goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slit {
    length: Length,
    gap: Length,
    depth: Length,
}

impl Slit {
    /// A slit of a length along the edge, a gap between the walls and a depth along the flow.
    ///
    /// # Errors
    /// Where one of them is not above zero and finite, or the gap is above the length.
    pub fn new(length: Length, gap: Length, depth: Length) -> Result<Self, LeakError> {
        LeakError::unless_positive("length", length.to_m())?;
        LeakError::unless_positive("gap", gap.to_m())?;
        LeakError::unless_positive("depth", depth.to_m())?;
        if gap > length {
            Err(LeakError::GapAboveLength { gap, length })
        } else {
            Ok(Self { length, gap, depth })
        }
    }

    /// The slit of a length and depth that passes a flow at a pressure drop.
    ///
    /// # Errors
    /// Where one of the four is not above zero and finite, or the gap would not lie between 1 um and the length.
    pub fn passing(
        length: Length,
        depth: Length,
        flow: Flow,
        pressure_drop: Pressure,
        air: &Air,
    ) -> Result<Self, LeakError> {
        Self::new(length, length, depth)?;
        LeakError::unless_positive("flow", flow.to_m3_per_s())?;
        LeakError::unless_positive("pressure drop", pressure_drop.to_pa())?;
        let with = |log_gap: f64| Self { length, gap: Length::from_m(log_gap.exp()), depth };
        let too_wide = |log_gap: f64| (with(log_gap).flow_at(pressure_drop, air) / flow).ln();
        let (low, high) = (NARROWEST.to_m().ln(), length.to_m().ln());
        root(too_wide, low, high).map(with).ok_or(LeakError::NoSuchGap { length, depth, flow, pressure_drop })
    }

    /// Length along the edge.
    pub const fn length(&self) -> Length {
        self.length
    }

    /// Distance between the walls.
    pub const fn gap(&self) -> Length {
        self.gap
    }

    /// Way through.
    pub const fn depth(&self) -> Length {
        self.depth
    }

    /// Flow \[m3/s\] by friction alone, as in a slit that is very deep for its gap.
    ///
    /// ```text
    /// Q = w h^3 dp/(12 mu L)          w length, h gap, L depth
    /// ```
    pub fn laminar_flow_at(&self, pressure_drop: Pressure, air: &Air) -> Flow {
        Flow::from_m3_per_s(pressure_drop.to_pa() / self.friction(air))
    }

    /// Flow \[m3/s\] at a pressure drop, not below zero.
    ///
    /// ```text
    /// dp = 12 mu L Q/(w h^3) + 1.5 rho/2 [Q/(w h)]^2
    /// ```
    /// Source: [`refs::BAKER_1987`] (from memory).
    /// Valid for laminar flow, Reynolds number 2 rho Q/(w mu) up to about 2000, and depths well above the gap. Leaves
    /// out: bends, roughness, the length in which the flow develops, and that an edge of fabric yields to pressure.
    pub fn flow_at(&self, pressure_drop: Pressure, air: &Air) -> Flow {
        let (b, dp) = (self.friction(air), pressure_drop.to_pa());
        Flow::from_m3_per_s(2.0 * dp / (b + (b * b + 4.0 * self.inertia(air) * dp).sqrt()))
    }

    /// Pressure drop \[Pa\] at a flow: see [`Slit::flow_at`].
    pub fn pressure_drop_at(&self, flow: Flow, air: &Air) -> Pressure {
        let q = flow.to_m3_per_s();
        Pressure::from_pa((self.friction(air) + self.inertia(air) * q) * q)
    }

    /// Notes where the flow is beyond the laminar range.
    pub fn check(&self, flow: Flow, air: &Air, remarks: &mut Remarks) {
        let kinematic_viscosity = air.viscosity().to_pa_s() / air.density().to_kg_per_m3();
        remarks.check(SLIT_REYNOLDS, 2.0 * flow.to_m3_per_s() / (self.length.to_m() * kinematic_viscosity));
    }

    /// Pa s/m3
    fn friction(&self, air: &Air) -> f64 {
        12.0 * air.viscosity().to_pa_s() * self.depth.to_m() / (self.length.to_m() * self.gap.to_m().powi(3))
    }

    /// Pa s2/m6
    fn inertia(&self, air: &Air) -> f64 {
        let open = self.length.to_m() * self.gap.to_m();
        0.5 * SLIT_ENTRY_EXIT_LOSS * air.density().to_kg_per_m3() / (open * open)
    }
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

    fn slit() -> Slit {
        Slit::new(Length::from_mm(20.0), Length::from_mm(0.2), Length::from_mm(10.0)).unwrap()
    }

    #[test]
    fn the_worked_slit() {
        let dp = Pressure::from_pa(50.0);
        assert!((slit().laminar_flow_at(dp, &air()).to_l_per_min() - 0.2210).abs() < 5e-5);
        // By hand: 12 mu L/(w h^3) = 1.3575e7, 1.5 rho/2/(w h)^2 = 5.6442e10; Q = 3.628e-6 m3/s.
        let with_loss = slit().flow_at(dp, &air());
        assert!((with_loss.to_m3_per_s() - 3.628e-6).abs() < 1e-9, "{with_loss:?}");
        assert!((slit().pressure_drop_at(with_loss, &air()).to_pa() - 50.0).abs() < 1e-10);
    }

    #[test]
    fn slow_flow_is_friction_and_fast_flow_through_a_wide_gap_is_inertia() {
        let slow = Pressure::from_pa(1e-6);
        assert!((slit().flow_at(slow, &air()) / slit().laminar_flow_at(slow, &air()) - 1.0).abs() < 1e-6);
        let wide = Slit::new(Length::from_mm(20.0), Length::from_mm(5.0), Length::from_mm(1.0)).unwrap();
        let inertial = 20e-3 * 5e-3 * (2.0 * 50.0 / (1.5 * 1.2041_f64)).sqrt();
        assert!((wide.flow_at(Pressure::from_pa(50.0), &air()).to_m3_per_s() / inertial - 1.0).abs() < 1e-3);
    }

    #[test]
    fn the_gap_is_found_again_from_its_flow() {
        let dp = Pressure::from_pa(80.0);
        let flow = slit().flow_at(dp, &air());
        let found = Slit::passing(slit().length(), slit().depth(), flow, dp, &air()).unwrap();
        assert!((found.gap().to_mm() / 0.2 - 1.0).abs() < 1e-12, "{found:?}");
        let much = Flow::from_l_per_min(1e5);
        assert_eq!(
            Slit::passing(slit().length(), slit().depth(), much, dp, &air()).unwrap_err().to_string(),
            "no slit of 20.0 mm by 10.0 mm passes 100000.0000 L/min at 80.00 Pa with a gap between 1 um and its own length"
        );
    }

    #[test]
    fn a_fast_flow_is_remarked() {
        let mut remarks = Remarks::default();
        slit().check(Flow::from_l_per_min(1.0), &air(), &mut remarks);
        assert!(remarks.warnings().is_empty());
        slit().check(Flow::from_l_per_min(20.0), &air(), &mut remarks);
        assert_eq!(
            remarks.warnings()[0].text,
            "laminar flow in a slit: Reynolds number on twice the gap outside its range in 1 of 2 evaluations, up to 2217 (made for 0 to 2000; Baker et al. 1987)"
        );
    }

    #[test]
    fn impossible_slits_are_refused() {
        let mm = Length::from_mm;
        assert_eq!(
            Slit::new(mm(20.0), mm(-0.2), mm(10.0)).unwrap_err().to_string(),
            "the gap of a leak is -0.0002, but has to be above zero and finite"
        );
        assert_eq!(
            Slit::new(mm(1.0), mm(2.0), mm(10.0)).unwrap_err().to_string(),
            "a slit with a gap of 2.00 mm and a length of 1.00 mm: the gap has to be the smaller; give a hole by its area instead"
        );
    }
}
