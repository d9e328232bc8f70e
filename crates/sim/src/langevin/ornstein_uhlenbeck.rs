//! The exact step of a velocity that relaxes and is kicked, and of the position that it carries along.

/// Steps shorter than this many relaxation times take their weights from series.
const SERIES_BELOW: f64 = 0.5;

/// The velocity of the carrier during a step, at its start, `u_0 + A s + B s^2` with s from 0 to 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Course {
    start: f64,
    linear: f64,
    quadratic: f64,
}

impl Course {
    /// Steady.
    pub(super) fn steady(velocity: f64) -> Self {
        Self { start: velocity, linear: 0.0, quadratic: 0.0 }
    }

    /// The parabola through the velocities at the start, in the middle and at the end.
    pub(super) fn through(start: f64, middle: f64, end: f64) -> Self {
        Self {
            start,
            linear: 4.0 * middle - 3.0 * start - end,
            quadratic: 2.0 * (start - 2.0 * middle + end),
        }
    }
}

/// The motion over a step in a carrier whose velocity is known, exact for a step of any length.
///
/// ```text
/// dx = v dt,   t_r dv = (u(t) - v) dt + sqrt(2 D) dW,   h = dt/t_r,   e = exp(-h)
/// mean of v:  e v_0 + h (f_1 u_0 + f_2 A + 2 f_3 B)
/// mean of x:  x_0 + dt [f_1 v_0 + h (f_2 u_0 + f_3 A + 2 f_4 B)]
/// f_1 = (1 - e)/h,  f_(k+1) = (1/k! - f_k)/h
/// ```
/// It holds from free flight to a carrier that is followed at once. Derived from the equation above.
#[derive(Clone, Copy, Debug)]
pub(super) struct Motion {
    time: f64,
    /// e.
    kept: f64,
    first: f64,
    /// h f_2, h f_3, h f_4.
    weights: [f64; 3],
}

impl Motion {
    /// A relaxation time of 0 is a particle without inertia: the velocity follows, and plays no part.
    #[inline]
    pub(super) fn new(time: f64, relaxation: f64) -> Self {
        let h = time / relaxation;
        if relaxation == 0.0 {
            return Self { time, kept: 0.0, first: 0.0, weights: [1.0, 0.5, 1.0 / 6.0] };
        }
        if h < SERIES_BELOW {
            // f_4 = sum of (-h)^k/(k+4)!
            let fourth =
                [11.0, 10.0, 9.0, 8.0, 7.0, 6.0, 5.0].iter().fold(1.0, |sum, k| 1.0 - sum * h / k) / 24.0;
            let third = 1.0 / 6.0 - h * fourth;
            let second = 0.5 - h * third;
            let first = 1.0 - h * second;
            return Self { time, kept: 1.0 - h * first, first, weights: [h * second, h * third, h * fourth] };
        }
        let kept = libm::exp(-h);
        let first = (1.0 - kept) / h;
        let second = (1.0 - first) / h;
        let third = (0.5 - second) / h;
        Self { time, kept, first, weights: [1.0 - first, 0.5 - second, 1.0 / 6.0 - third] }
    }

    /// The mean position and velocity at the end.
    #[inline]
    pub(super) fn end(&self, x: f64, v: f64, carrier: Course) -> (f64, f64) {
        let Course { start, linear, quadratic } = carrier;
        let [second, third, fourth] = self.weights;
        let moved = self.first * v + second * start + third * linear + 2.0 * fourth * quadratic;
        let velocity = self.kept * v + (1.0 - self.kept) * start + second * linear + 2.0 * third * quadratic;
        (x + self.time * moved, velocity)
    }

    /// The variance of the position at the end, to full relative accuracy for any length.
    ///
    /// ```text
    /// var x = D t_r (2 h - 3 + 4 e - e^2) = D dt h^2 [2 (f_2 - f_3) - h f_2^2]
    /// ```
    fn position_variance(&self, relaxation: f64, diffusivity: f64) -> f64 {
        if relaxation == 0.0 {
            return 2.0 * diffusivity * self.time;
        }
        let h = self.time / relaxation;
        let [second, third, _] = self.weights;
        (diffusivity * self.time * (2.0 * (second - third) * h - h * second * second)).max(0.0)
    }

    /// The spread of position and velocity over this step, and of the position in its middle, the end of `half`.
    ///
    /// ```text
    /// var v = (D/t_r)(1 - e^2),  cov(x, v) = D (1 - e)^2
    /// cov(x_half, x) = var x_half + D t_r (1 - e_half)^3
    /// ```
    #[inline]
    pub(super) fn spread(&self, half: &Self, relaxation: f64, diffusivity: f64) -> Spread {
        let variance = self.position_variance(relaxation, diffusivity);
        if variance == 0.0 {
            return Spread { position: 0.0, along: 0.0, apart: 0.0, middle: 0.0, bridge: 0.0 };
        }
        let position = variance.sqrt();
        let (lost, lost_half) = (1.0 - self.kept, 1.0 - half.kept);
        let half_variance = half.position_variance(relaxation, diffusivity);
        let shared = half_variance + diffusivity * relaxation * lost_half.powi(3);
        let middle = shared / position;
        let bridge = (half_variance - middle * middle).max(0.0).sqrt();
        if relaxation == 0.0 {
            return Spread { position, along: 0.0, apart: 0.0, middle, bridge };
        }
        let along = diffusivity * lost * lost / position;
        let total = diffusivity / relaxation * lost * (2.0 - lost);
        let apart = (total - along * along).max(0.0).sqrt();
        Spread { position, along, apart, middle, bridge }
    }
}

/// Standard deviations over a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spread {
    /// Of the position at the end.
    pub(super) position: f64,
    /// Of the velocity, as far as it goes with the position.
    pub(super) along: f64,
    /// Of the velocity apart from that.
    pub(super) apart: f64,
    /// Of the position in the middle, as far as it goes with the position at the end.
    pub(super) middle: f64,
    /// Of the position in the middle apart from that.
    pub(super) bridge: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn close(what: &str, got: f64, expected: f64, tolerance: f64) {
        let miss = (got - expected).abs();
        assert!(
            miss <= tolerance,
            "{what}: got {got}, expected {expected}, miss {miss}, tolerance {tolerance}"
        );
    }

    /// A carrier 3 + 2 t - t^2 over a relaxation time 0.7: two steps make the same way as one, for any lengths.
    #[test]
    fn two_steps_are_one() {
        let relaxation = 0.7;
        let carrier = |t: f64| 3.0 + 2.0 * t - t * t;
        let course =
            |from: f64, to: f64| Course::through(carrier(from), carrier(0.5 * (from + to)), carrier(to));
        for (part, whole) in [(1e-3, 0.01), (0.1, 0.3), (0.3, 0.5), (1.0, 9.0)] {
            let (x, v) = Motion::new(part, relaxation).end(0.5, -1.0, course(0.0, part));
            let (x, v) = Motion::new(whole - part, relaxation).end(x, v, course(part, whole));
            let (x_one, v_one) = Motion::new(whole, relaxation).end(0.5, -1.0, course(0.0, whole));
            close("position", x, x_one, 1e-12 * x_one.abs());
            close("velocity", v, v_one, 1e-12 * v_one.abs().max(1.0));
        }
    }

    /// The spreads of one step are those of two steps of half its length, one after the other.
    #[test]
    fn the_spread_of_two_steps_is_that_of_one() {
        let (relaxation, diffusivity) = (0.3, 0.02);
        for time in [1e-4, 0.01, 0.149, 0.151, 1.0, 30.0] {
            let [quarter, half, whole] = [0.25, 0.5, 1.0].map(|share| Motion::new(share * time, relaxation));
            let first = half.spread(&quarter, relaxation, diffusivity);
            let both = whole.spread(&half, relaxation, diffusivity);
            let velocity = first.along.powi(2) + first.apart.powi(2);
            let mixed = first.along * first.position;
            let coasting = relaxation * (1.0 - half.kept);
            let expected =
                2.0 * first.position.powi(2) + 2.0 * coasting * mixed + coasting.powi(2) * velocity;
            let what = format!("time {time}");
            close(&what, both.position.powi(2) / expected, 1.0, 1e-9);
            let middle = both.middle.powi(2) + both.bridge.powi(2);
            close(&what, middle / first.position.powi(2), 1.0, 1e-9);
            let total = both.along.powi(2) + both.apart.powi(2);
            close(&what, total / (velocity * (1.0 + half.kept.powi(2))), 1.0, 1e-9);
        }
    }

    /// Free flight and a carrier that is followed at once, and where the series takes over.
    #[test]
    fn the_limits_are_those_of_free_flight_and_diffusion() {
        let (x, v) = Motion::new(1e-7, 1.0).end(0.0, 2.0, Course::steady(5.0));
        close("free flight", x / 2e-7, 1.0, 1e-6);
        close("its speed", v, 2.0, 1e-6);
        let still = Motion::new(0.2, 0.0);
        close("carried", still.end(1.0, 9.0, Course::steady(5.0)).0, 2.0, 1e-15);
        let spread = still.spread(&Motion::new(0.1, 0.0), 0.0, 0.5);
        close("diffusion", spread.position, 0.2_f64.sqrt(), 1e-15);
        close("its middle", spread.middle.powi(2) + spread.bridge.powi(2), 0.1, 1e-15);
        let long = Motion::new(1e9, 1.0).spread(&Motion::new(5e8, 1.0), 1.0, 0.5);
        close("long", long.position / 1e9_f64.sqrt(), 1.0, 1e-8);
        close("thermal", long.along.hypot(long.apart), 0.5_f64.sqrt(), 1e-12);
        let course = Course::through(1.0, 2.0, 1.5);
        let [below, above] =
            [SERIES_BELOW * (1.0 - 1e-9), SERIES_BELOW].map(|h| Motion::new(h, 1.0).end(0.0, 1.0, course));
        close("series", below.0 / above.0, 1.0, 1e-8);
    }
}
