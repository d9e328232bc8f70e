//! Curves and flows that a laboratory measured, of a material or a stack of the case.

use moteweir_physics::aerosol::DiameterKind;
use moteweir_sim::counting::{Counted, ratio_interval};
use moteweir_sim::random::normal_quantile;
use moteweir_units::{Length, Pressure, Velocity};

use super::Specimen;

/// Level of the interval whose upper end is the limit where nothing was counted downstream.
const LEVEL: f64 = 0.95;

/// One `[[measured]]`: what a laboratory's file says.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The file, as the scenario names it.
    pub file: String,
    /// What was measured.
    pub specimen: Specimen,
    /// How many times the specimen lay on itself, 1 or more.
    pub layers: u32,
    /// Which side faced the particles, word for word; empty where it is not said.
    pub side: String,
    /// What was done to it, word for word; `as received` where nothing is said.
    pub treatment: String,
    /// Of which particles, word for word; perhaps the name of an aerosol of the case.
    pub aerosol: Option<String>,
    /// Which diameter the file's sizes are.
    pub diameter: DiameterKind,
    /// Where the numbers come from, word for word.
    pub source: Option<String>,
    /// When they were measured, word for word.
    pub date: Option<String>,
    /// With what, word for word.
    pub instrument: Option<String>,
    /// How the specimen was treated before, word for word.
    pub conditioning: Option<String>,
    /// Penetrations, in the order of the file; empty where the file has flows.
    pub penetrations: Vec<MeasuredPenetration>,
    /// Flows, in the order of the file; empty where the file has penetrations.
    pub flows: Vec<MeasuredFlow>,
}

/// A measured penetration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredPenetration {
    /// Line of the file, from 1.
    pub line: usize,
    /// Diameter as the file states it; of a channel its geometric middle.
    pub stated_diameter: Length,
    /// The mobility diameter of the same particle: the axis of every curve.
    pub diameter: Length,
    /// Face velocity.
    pub face_velocity: Velocity,
    /// Edges of the channel as the file states them, where it has channels.
    pub channel: Option<(Length, Length)>,
    /// Share that got through, above 0; the most that can have where it is a limit.
    pub penetration: f64,
    /// Standard uncertainty of the penetration, where stated or counted; none of a limit.
    pub standard_uncertainty: Option<f64>,
    /// Nothing was counted downstream: the penetration is [`CurveCounts::at_most`].
    pub is_limit: bool,
    /// The counts it was made of, where the file has counts.
    pub counts: Option<CurveCounts>,
}

impl MeasuredPenetration {
    /// Standard uncertainty of ln P, where one is known: that of the penetration over the penetration.
    pub fn uncertainty_of_ln_p(&self) -> Option<f64> {
        self.standard_uncertainty.map(|u| u / self.penetration)
    }
}

/// Counts upstream and downstream of a specimen in one channel of a rig.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveCounts {
    /// Particles counted upstream.
    pub upstream: u64,
    /// Particles counted downstream.
    pub downstream: u64,
    /// Time counted upstream over time counted downstream; 1 where the file has no times.
    pub time_ratio: f64,
    /// Downstream over upstream of the empty rig.
    pub correlation_ratio: f64,
    /// Standard uncertainty of that ratio, 0 where not stated.
    pub correlation_uncertainty: f64,
}

impl CurveCounts {
    /// Penetration: downstream over upstream per time, over the same of the empty rig; 0 where nothing was downstream.
    pub fn penetration(&self) -> f64 {
        self.downstream as f64 / self.upstream as f64 * self.time_ratio / self.correlation_ratio
    }

    /// The most that can have got through: the upper end of the exact two-sided 95 % interval, with the ratio of the empty
    /// rig at the lower end of its own.
    pub fn at_most(&self) -> f64 {
        let downstream = Counted { counts: self.downstream, exposure: 1.0 };
        let upstream = Counted { counts: self.upstream, exposure: self.time_ratio };
        let high = ratio_interval(downstream, upstream, LEVEL).high;
        let of_ratio = self.correlation_uncertainty / self.correlation_ratio;
        high / self.correlation_ratio * (normal_quantile(0.5 + 0.5 * LEVEL) * of_ratio).exp()
    }

    /// Logarithm of the probability of so many downstream of all that were counted on either side, of a penetration above
    /// 0, but for a constant.
    /// ```text
    /// n_d ln x - (n_d + n_u) ln(1 + x)        x = P (ratio of the empty rig)/(time ratio)
    /// ```
    /// The binomial of two Poisson counts, so that counts of 0 say what they do: at most so much. The uncertainty of the
    /// empty rig's ratio is not in it.
    pub fn ln_likelihood(&self, penetration: f64) -> f64 {
        let x = penetration * self.correlation_ratio / self.time_ratio;
        let (downstream, upstream) = (self.downstream as f64, self.upstream as f64);
        let of_downstream = if self.downstream == 0 { 0.0 } else { downstream * x.ln() };
        of_downstream - (downstream + upstream) * x.ln_1p()
    }

    /// Standard uncertainty of ln P from counting (one over the counts) and from the ratio of the empty rig;
    /// infinite where nothing was downstream.
    pub fn uncertainty_of_ln_p(&self) -> f64 {
        let counting = (self.upstream as f64).recip() + (self.downstream as f64).recip();
        (counting + (self.correlation_uncertainty / self.correlation_ratio).powi(2)).sqrt()
    }
}

/// A measured pair of pressure drop and face velocity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredFlow {
    /// Line of the file, from 1.
    pub line: usize,
    /// Face velocity.
    pub face_velocity: Velocity,
    /// Pressure drop at it.
    pub pressure_drop: Pressure,
    /// Relative standard uncertainty of the one that was read at the other, where stated.
    pub relative_uncertainty: Option<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counts(upstream: u64, downstream: u64) -> CurveCounts {
        let (time_ratio, correlation_ratio, correlation_uncertainty) = (0.5, 0.8, 0.0);
        CurveCounts { upstream, downstream, time_ratio, correlation_ratio, correlation_uncertainty }
    }

    /// Of 1000 upstream at even times 0 downstream leave at most 0.0036957 (mpmath), here half of it over 0.8.
    #[test]
    fn nothing_downstream_is_a_limit() {
        let none = counts(1000, 0);
        assert!((none.at_most() / (0.5 * 0.0036957 / 0.8) - 1.0).abs() < 1e-4, "{}", none.at_most());
        let unsure = CurveCounts { correlation_uncertainty: 0.08, ..none };
        assert!((unsure.at_most() / none.at_most() - (0.1 * 1.959964_f64).exp()).abs() < 1e-6);
    }

    #[test]
    fn likelihood_is_largest_at_the_counts_and_falls_from_nothing_on() {
        let some = counts(1000, 40);
        let best = some.ln_likelihood(some.penetration());
        for factor in [0.9, 0.99, 1.01, 1.1] {
            assert!(some.ln_likelihood(factor * some.penetration()) < best, "{factor}");
        }
        // Near its top it is as wide as the uncertainty of ln P says.
        let off = some.ln_likelihood(some.penetration() * some.uncertainty_of_ln_p().exp());
        assert!((best - off - 0.5).abs() < 0.1, "{}", best - off);
        let none = counts(1000, 0);
        assert!(none.ln_likelihood(1e-9).abs() < 1e-5);
        // At the limit the chance of nothing is that of the tail: 2.5 %.
        assert!((none.ln_likelihood(none.at_most()).exp() - 0.025).abs() < 1e-9);
    }
}
