//! The readings of one state: what they say about its rate, given the drift of the room and the dispersion.
//!
//! ```text
//! n_i ~ negative binomial of the mean  mu_i = lambda e_i  and the variance  mu_i + v mu_i^2
//! e_i = E_i (1 + w (exp(D t_i) - 1))        w: the share of the rate that comes from the room and drifts with it
//! ```
//! Given D and v, what is known of lambda is a ratio of two gamma variables. For readings of equal exposure this is exact:
//! the tails of a negative binomial are those of a beta variable, and the bounds that follow are those of Clopper,
//! Pearson and Garwood with the dispersion added. Unequal exposures are matched in mode and curvature of ln lambda.

use super::deviance::stirling_error;

/// Largest step of ln lambda at once.
const LONGEST_STEP: f64 = 1.5;
/// Steps of Newton's method; the function is convex.
const MOST_STEPS: u32 = 40;
/// Where it stops: what is left after a step is of the order of its square.
const SMALLEST_STEP: f64 = 1e-5;

/// One reading in a group.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Member {
    pub(crate) counts: f64,
    pub(crate) exposure: f64,
    /// Position along the session: the whole session is 1 long, the mean of the open readings is at 0.
    pub(crate) position: f64,
}

/// The readings of one state.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    pub(crate) members: Vec<Member>,
    pub(crate) counts: f64,
    pub(crate) exposure: f64,
    /// Share of the rate that drifts with the room.
    pub(crate) room_share: f64,
}

/// A group at a given drift and dispersion.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AtNuisance {
    /// Logarithm of the most likely rate over the counts: of 1/exposure, with equal exposures.
    pub(crate) ln_unit: f64,
    /// Shape of the gamma variable in the denominator; infinite without dispersion.
    pub(crate) shape: f64,
    /// Logarithm of the likelihood with the rate integrated out over d ln lambda, but for a constant.
    pub(crate) ln_marginal: f64,
    /// Derivative of the likelihood's logarithm by the drift, and minus its second derivative with the rate profiled out.
    pub(crate) drift_slope: f64,
    pub(crate) drift_curvature: f64,
}

/// Sums over the members at one rate.
#[derive(Clone, Copy, Default)]
struct Sums {
    excess: f64,
    curvature: f64,
    drift_slope: f64,
    drift_cross: f64,
    drift_curvature: f64,
}

impl Group {
    pub(crate) fn new(members: Vec<Member>) -> Self {
        let counts = members.iter().map(|member| member.counts).sum();
        let exposure = members.iter().map(|member| member.exposure).sum();
        Self { members, counts, exposure, room_share: 1.0 }
    }

    /// Counts per exposure.
    pub(crate) fn plain_rate(&self) -> f64 {
        self.counts / self.exposure
    }

    /// The group at a drift and a variance `v` of the factors between readings.
    pub(crate) fn at(&self, drift: f64, v: f64) -> AtNuisance {
        if self.counts <= 0.0 {
            return self.uncounted(drift, v);
        }
        let mut ln_rate = libm::log(self.counts / self.exposure_at(drift));
        let mut sums = self.sums(ln_rate, drift, v);
        for _ in 0..MOST_STEPS {
            let step = (sums.excess / sums.curvature).clamp(-LONGEST_STEP, LONGEST_STEP);
            ln_rate += step;
            if step.abs() < SMALLEST_STEP {
                sums.drift_slope -= sums.drift_cross * step;
                break;
            }
            sums = self.sums(ln_rate, drift, v);
        }
        let (n, h) = (self.counts, sums.curvature);
        let shape = if v > 0.0 { (h * n / (n - h)).max(f64::MIN_POSITIVE) } else { f64::INFINITY };
        let skewness = if v > 0.0 { stirling_error(shape) - stirling_error(n + shape) } else { 0.0 };
        AtNuisance {
            ln_unit: ln_rate - libm::log(n),
            shape: if shape.is_nan() { f64::INFINITY } else { shape },
            ln_marginal: self.ln_likelihood(ln_rate, drift, v) - 0.5 * libm::log(h) + skewness,
            drift_slope: sums.drift_slope,
            drift_curvature: sums.drift_curvature - sums.drift_cross * sums.drift_cross / h,
        }
    }

    /// A group that counted nothing says nothing about drift or dispersion.
    fn uncounted(&self, drift: f64, v: f64) -> AtNuisance {
        AtNuisance {
            ln_unit: -libm::log(self.exposure_at(drift)),
            shape: self.members.len() as f64 / v,
            ln_marginal: 0.0,
            drift_slope: 0.0,
            drift_curvature: 0.0,
        }
    }

    /// What of the likelihood depends on drift only through the rate, and on the dispersion alone: see `ln_likelihood`.
    pub(crate) fn ln_of_dispersion(&self, v: f64) -> f64 {
        if v <= 0.0 {
            return 0.0;
        }
        let k = 1.0 / v;
        let of_shape = stirling_error(k);
        let counted = self.members.iter().filter(|member| member.counts > 0.0 && self.counts > 0.0);
        counted
            .map(|&Member { counts: n, .. }| {
                (n + k - 0.5) * libm::log1p(n * v) - n + stirling_error(n + k) - of_shape
            })
            .sum()
    }

    fn factor(&self, position: f64, drift: f64) -> f64 {
        if drift == 0.0 || position == 0.0 {
            1.0
        } else {
            1.0 + self.room_share * libm::expm1(drift * position)
        }
    }

    fn exposure_at(&self, drift: f64) -> f64 {
        self.members.iter().map(|member| member.exposure * self.factor(member.position, drift)).sum()
    }

    /// `n ln mu - (n + 1/v) ln(1 + v mu)`, the rest being in `ln_of_dispersion`.
    fn ln_likelihood(&self, ln_rate: f64, drift: f64, v: f64) -> f64 {
        let rate = libm::exp(ln_rate);
        let mut sum = self.counts * ln_rate;
        for member in &self.members {
            let factor = self.factor(member.position, drift);
            let mean = rate * member.exposure * factor;
            let spread = if v > 0.0 { (member.counts + 1.0 / v) * libm::log1p(mean * v) } else { mean };
            sum += if drift == 0.0 { -spread } else { member.counts * libm::log(factor) - spread };
        }
        sum
    }

    fn sums(&self, ln_rate: f64, drift: f64, v: f64) -> Sums {
        let rate = libm::exp(ln_rate);
        let mut sums = Sums::default();
        for member in &self.members {
            let factor = self.factor(member.position, drift);
            let mean = rate * member.exposure * factor;
            let narrowed = 1.0 / (1.0 + mean * v);
            let expected = mean * (1.0 + member.counts * v) * narrowed;
            let curvature = expected * narrowed;
            let by_drift = member.position * (factor - 1.0 + self.room_share) / factor;
            sums.excess += member.counts - expected;
            sums.curvature += curvature;
            sums.drift_slope += by_drift * (member.counts - expected);
            sums.drift_cross += by_drift * curvature;
            sums.drift_curvature += by_drift * by_drift * curvature;
        }
        sums
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counting::deviance::ln_negative_binomial;

    fn group(room_share: f64) -> Group {
        let member = |counts, exposure, position| Member { counts, exposure, position };
        let mut group =
            Group::new(vec![member(40.0, 2.0, -0.4), member(11.0, 0.7, 0.1), member(0.0, 0.1, 0.5)]);
        group.room_share = room_share;
        group
    }

    /// The likelihood of `at` against the negative binomial itself, over a grid of rates.
    #[test]
    fn marginal_likelihood_is_the_integral_over_the_rate() {
        let integral = |group: &Group, drift: f64, v: f64| {
            let steps = 4000;
            let sum: f64 = (0..steps)
                .map(|step| {
                    let ln_rate = -3.0 + 12.0 * f64::from(step) / f64::from(steps);
                    let ln: f64 = group
                        .members
                        .iter()
                        .map(|m| {
                            let factor = 1.0 + group.room_share * (drift * m.position).exp_m1();
                            {
                                let of_counts = if m.counts > 0.0 { stirling_error(m.counts) } else { 0.0 };
                                let stirling = [stirling_error(1.0 / v), of_counts];
                                ln_negative_binomial(
                                    m.counts,
                                    ln_rate.exp() * m.exposure * factor,
                                    1.0 / v,
                                    stirling,
                                )
                            }
                        })
                        .sum();
                    ln.exp()
                })
                .sum();
            sum.ln()
        };
        for room_share in [1.0, 0.6] {
            let group = group(room_share);
            let got = |drift: f64, v: f64| group.at(drift, v).ln_marginal + group.ln_of_dispersion(v);
            let base = got(0.0, 1e-4) - integral(&group, 0.0, 1e-4);
            for (drift, v) in [(0.0, 0.01), (0.5, 0.01), (-1.0, 0.2), (0.3, 1e-6)] {
                let miss = got(drift, v) - integral(&group, drift, v) - base;
                assert!(miss.abs() < 2e-2, "share {room_share} drift {drift} v {v}: {miss}");
            }
        }
    }

    #[test]
    fn slope_by_the_drift_is_that_of_the_likelihood() {
        let group = group(0.6);
        let (drift, v, step) = (0.4, 0.02, 1e-4);
        let profile = |drift: f64| {
            let at = group.at(drift, v);
            group.ln_likelihood(at.ln_unit + group.counts.ln(), drift, v)
        };
        let slope = (profile(drift + step) - profile(drift - step)) / (2.0 * step);
        assert!((slope - group.at(drift, v).drift_slope).abs() < 1e-5 * slope.abs().max(1.0), "{slope}");
    }

    #[test]
    fn equal_exposures_give_the_exact_shape() {
        let member = |counts| Member { counts, exposure: 3.0, position: 0.0 };
        let group = Group::new(vec![member(7.0), member(12.0), member(9.0)]);
        let at = group.at(0.0, 0.04);
        assert!((at.shape - 75.0).abs() < 1e-6, "3 readings of the shape 25: {}", at.shape);
        assert!((at.ln_unit + 9.0_f64.ln()).abs() < 1e-9, "one over the exposure: {}", at.ln_unit);
    }
}
