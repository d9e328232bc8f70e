//! One pressure drop, two ways: how a flow divides between the filter and the leak.

use moteweir_units::{Flow, Pressure};

use super::error::LeakError;
use super::law::LeakLaw;
use super::root::root;
use crate::air::Air;

/// A flow divided between filter and leak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// Pressure drop across both.
    pub pressure_drop: Pressure,
    /// Flow through the filter.
    pub filter: Flow,
    /// Flow through the leak.
    pub leak: Flow,
}

impl Split {
    /// The share of the flow that goes through the leak \[-\]; 0 where nothing flows.
    pub fn share(&self) -> f64 {
        let (filter, leak) = (self.filter.to_m3_per_s(), self.leak.to_m3_per_s());
        if leak > 0.0 { leak / (filter + leak) } else { 0.0 }
    }

    /// The share of particles that comes in \[-\]: see [`total_inward_leakage`].
    pub fn penetration(&self, filter: f64, leak: f64) -> f64 {
        total_inward_leakage(self.share(), filter, leak)
    }
}

/// The share of particles that comes in through filter and leak together \[-\].
///
/// ```text
/// P = (1 - x) P_filter + x P_leak          x the leak's share of the flow
/// ```
/// All fractions 0 to 1, the filter's penetration at the flow that goes through the filter. Exact where what comes
/// through is mixed afterwards.
pub fn total_inward_leakage(leak_share: f64, filter_penetration: f64, leak_penetration: f64) -> f64 {
    (1.0 - leak_share) * filter_penetration + leak_share * leak_penetration
}

/// Divides a flow between a filter and a leak beside it.
///
/// ```text
/// Q = Q_f + Q_l(dp),   dp = filter(Q_f)
/// ```
/// `filter` is the pressure drop of the filter as a function of the flow through it: 0 at 0, and rising; where it is
/// not, one of the solutions is found. The smaller of the two flows has as many digits as the larger.
///
/// # Errors
/// Where the flow is not finite or below zero, or the filter's pressure drop is.
pub fn split(
    total: Flow,
    filter: impl Fn(Flow) -> Pressure,
    leak: &LeakLaw,
    air: &Air,
) -> Result<Split, LeakError> {
    let (q, nothing) = (total.to_m3_per_s(), Flow::from_m3_per_s(0.0));
    if !(q >= 0.0 && q.is_finite()) {
        return Err(LeakError::TotalFlow { flow: total });
    }
    let all = filter(total);
    valid(total, all)?;
    if *leak == LeakLaw::Sealed || q == 0.0 {
        return Ok(Split { pressure_drop: all, filter: total, leak: nothing });
    }
    if *leak == LeakLaw::Open {
        return Ok(Split { pressure_drop: Pressure::from_pa(0.0), filter: nothing, leak: total });
    }
    let too_much = |through: f64| {
        let dp = filter(Flow::from_m3_per_s(through));
        through + leak.flow_at(dp, air).to_m3_per_s() - q
    };
    let through = Flow::from_m3_per_s(root(too_much, 0.0, q).unwrap_or(q));
    let pressure_drop = filter(through);
    valid(through, pressure_drop)?;
    Ok(Split { pressure_drop, filter: through, leak: leak.flow_at(pressure_drop, air) })
}

fn valid(flow: Flow, pressure_drop: Pressure) -> Result<(), LeakError> {
    let dp = pressure_drop.to_pa();
    if dp >= 0.0 && dp.is_finite() { Ok(()) } else { Err(LeakError::FilterPressure { flow, pressure_drop }) }
}

#[cfg(test)]
mod tests {
    use moteweir_units::{Area, Density, Length, Temperature, Viscosity};

    use super::super::law::PowerLaw;
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

    /// 100 Pa at 85 L/min.
    fn filter(flow: Flow) -> Pressure {
        Pressure::from_pa(100.0 * flow.to_l_per_min() / 85.0)
    }

    fn at(l_per_min: f64, leak: &LeakLaw) -> Split {
        split(Flow::from_l_per_min(l_per_min), filter, leak, &air()).unwrap()
    }

    #[test]
    fn the_worked_splits() {
        let hole = LeakLaw::hole(Area::from_m2(5e-6)).unwrap();
        for (flow, dp, share, total) in [(30.0, 33.68, 0.04563, 0.09335), (85.0, 97.26, 0.02736, 0.07600)] {
            let got = at(flow, &hole);
            assert!((got.pressure_drop.to_pa() - dp).abs() < 5e-3, "{flow} L/min: {got:?}");
            assert!((got.share() - share).abs() < 5e-6, "{flow} L/min: share {}", got.share());
            let penetration = got.penetration(0.05, 1.0);
            assert!((penetration - total).abs() < 5e-6, "{flow} L/min: total {penetration}");
        }
    }

    #[test]
    fn two_linear_ways_divide_as_their_conductances() {
        let linear = PowerLaw::through(Flow::from_l_per_min(17.0), Pressure::from_pa(100.0), 1.0).unwrap();
        for flow in [0.1, 10.0, 400.0] {
            let got = at(flow, &LeakLaw::PowerLaw(linear));
            assert!((got.share() - 17.0 / 102.0).abs() < 1e-14, "{flow} L/min: {}", got.share());
        }
    }

    #[test]
    fn a_hole_beside_a_linear_filter_divides_as_the_quadratic_says() {
        // R (Q - l) = b l^2, in Pa and m3/s.
        let resistance = filter(Flow::from_m3_per_s(1.0)).to_pa();
        for (area, flow) in [(1e-9, 85.0), (5e-6, 0.01), (1e-4, 85.0), (1.0, 85.0)] {
            let (q, b) = (Flow::from_l_per_min(flow).to_m3_per_s(), 0.5 * 1.2041 / (0.61_f64 * area).powi(2));
            let exact = 2.0 * q / (1.0 + (1.0 + 4.0 * b * q / resistance).sqrt());
            let got = at(flow, &LeakLaw::hole(Area::from_m2(area)).unwrap());
            assert!((got.leak.to_m3_per_s() / exact - 1.0).abs() < 1e-9, "{area} m2: {got:?}, exact {exact}");
            // The flow through the filter, even where it is a small part.
            let through = b * exact * exact / resistance;
            assert!((got.filter.to_m3_per_s() / through - 1.0).abs() < 1e-9, "{area} m2: {got:?}, {through}");
            let sum = got.leak.to_m3_per_s() + got.filter.to_m3_per_s();
            assert!((sum / q - 1.0).abs() < 1e-12, "{area} m2: sum {sum}");
        }
    }

    #[test]
    fn a_leak_of_nothing_is_the_filter_and_a_leak_of_everything_is_no_filter() {
        let sealed = at(85.0, &LeakLaw::Sealed);
        assert!((sealed.pressure_drop.to_pa() - 100.0).abs() < 1e-12);
        assert!((sealed.penetration(0.05, 1.0) - 0.05).abs() < 1e-17);
        let open = at(85.0, &LeakLaw::Open);
        assert!(open.pressure_drop.to_pa().abs() < f64::MIN_POSITIVE);
        assert!((open.penetration(0.05, 1.0) - 1.0).abs() < 1e-15);
        let still = at(0.0, &LeakLaw::hole(Area::from_m2(5e-6)).unwrap());
        assert!(
            still.share().abs() < f64::MIN_POSITIVE && still.pressure_drop.to_pa().abs() < f64::MIN_POSITIVE
        );
    }

    #[test]
    fn the_share_of_an_inertial_leak_falls_with_the_flow_and_rises_with_a_closer_filter() {
        let hole = LeakLaw::hole(Area::from_m2(5e-6)).unwrap();
        let shares = [15.0, 30.0, 85.0].map(|flow| at(flow, &hole).share());
        assert!(shares[0] > shares[1] && shares[1] > shares[2], "{shares:?}");
        let twice = |flow: Flow| filter(flow) * 2.0;
        let closer = split(Flow::from_l_per_min(30.0), twice, &hole, &air()).unwrap();
        assert!(closer.share() > shares[1]);
    }

    #[test]
    fn a_filter_without_resistance_takes_all() {
        let hole = LeakLaw::hole(Area::from_m2(5e-6)).unwrap();
        let got = split(Flow::from_l_per_min(30.0), |_| Pressure::from_pa(0.0), &hole, &air()).unwrap();
        assert!(got.share().abs() < f64::MIN_POSITIVE, "{got:?}");
    }

    #[test]
    fn what_cannot_be_divided_is_refused() {
        let hole = LeakLaw::hole(Area::from_m2(5e-6)).unwrap();
        let flow = Flow::from_l_per_min(-3.0);
        assert_eq!(
            split(flow, filter, &hole, &air()).unwrap_err().to_string(),
            "the flow to divide is -3.000 L/min, but has to be finite and not below zero"
        );
        let broken = |_| Pressure::from_pa(f64::NAN);
        assert_eq!(
            split(Flow::from_l_per_min(3.0), broken, &hole, &air()).unwrap_err().to_string(),
            "the filter's pressure drop at 3.000 L/min is NaN Pa, but has to be finite and not below zero"
        );
    }
}
