//! The cell models of flow past the fibres of a web: one fibre inside a cylinder of the air that belongs to it.
//!
//! All lengths here are in fibre radii and all velocities in the superficial velocity U: the mean velocity over the
//! whole cell, fibre included, is 1. The fibre is the circle r = 1, the cell ends at r = b = alpha^(-1/2), the
//! undisturbed flow goes along +x, and theta is counted from +x.

use moteweir_units::Solidity;

/// The slip parameter over the fibre's Knudsen number (2 x 0.998; a slip length of 0.998 mean free paths).
const SLIP_PER_KNUDSEN: f64 = 1.996;

/// Squared radius less one below which the stream function is summed as a series.
const SERIES_BELOW: f64 = 0.1;

/// The creeping flow past one fibre in a Kuwabara cell, with slip on the fibre.
///
/// ```text
/// psi = U a sin(theta) f(r),   f(1) = 0,  f'(1) = (s/2) (f''(1) - f'(1)),  f(b) = b,  no vorticity at r = b
/// f(r) = [2 - alpha + s alpha - (2 - 2 alpha) r^2 - alpha (1+s) r^4 + 4 (1+s) r^2 ln r] / (4 K_s r)
/// ```
/// Source: Kuwabara (1959), J. Phys. Soc. Jpn 14:527; the slip after Pich (1966), its constants derived anew from the
/// conditions above.
/// Valid for a fibre Reynolds number below 1 and fibre Knudsen numbers below about 0.25; used to 1 with a growing error.
/// Leaves out: neighbours that are not evenly spaced, inertia of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KuwabaraCell {
    solidity: f64,
    slip: f64,
    kuwabara: f64,
    slip_kuwabara: f64,
    /// 1/(4 K_s).
    inverse: f64,
    edge: f64,
}

impl KuwabaraCell {
    /// The cell of a web of this solidity; `fibre_knudsen` is `2 lambda/d_f` (0: no slip), finite and not negative.
    pub fn new(solidity: Solidity, fibre_knudsen: f64) -> Self {
        let alpha = solidity.fraction();
        let slip = SLIP_PER_KNUDSEN * fibre_knudsen;
        let kuwabara = kuwabara_factor(alpha);
        let slip_kuwabara = kuwabara + slip * (-0.5 * alpha.ln() - 0.25 + 0.25 * alpha * alpha);
        Self {
            solidity: alpha,
            slip,
            kuwabara,
            slip_kuwabara,
            inverse: 0.25 / slip_kuwabara,
            edge: alpha.sqrt().recip(),
        }
    }

    /// The solidity \[-\].
    pub fn solidity(&self) -> f64 {
        self.solidity
    }

    /// The Kuwabara factor Ku without slip \[-\]; see [`kuwabara_factor`].
    pub fn kuwabara_factor(&self) -> f64 {
        self.kuwabara
    }

    /// The slip parameter `s = 1.996 Kn_f` \[-\].
    pub fn slip_parameter(&self) -> f64 {
        self.slip
    }

    /// The Kuwabara factor with slip \[-\].
    ///
    /// ```text
    /// K_s = Ku + s (-(1/2) ln alpha - 1/4 + alpha^2/4)
    /// ```
    pub fn slip_kuwabara_factor(&self) -> f64 {
        self.slip_kuwabara
    }

    /// The radius of the cell in fibre radii, b = alpha^(-1/2).
    pub fn edge_radius(&self) -> f64 {
        self.edge
    }

    /// The largest interception parameter `R = d_p/d_f` that the cell has room for, b - 1.
    pub fn largest_interception(&self) -> f64 {
        self.edge - 1.0
    }

    /// Drag with slip over drag without, `(1+s) Ku/K_s` \[-\].
    pub fn drag_slip_ratio(&self) -> f64 {
        (1.0 + self.slip) * self.kuwabara / self.slip_kuwabara
    }

    /// The radial part f(r) of the stream function, in U a; r in fibre radii from 1 to b.
    pub fn stream(&self, r: f64) -> f64 {
        self.stream_at_gap(r - 1.0)
    }

    /// The radial part of the stream function at the distance `gap` = r - 1 from the fibre's surface, in U a.
    ///
    /// This is the efficiency of pure interception for R = `gap`, to full relative accuracy for any small gap.
    pub fn stream_at_gap(&self, gap: f64) -> f64 {
        let q = gap * (2.0 + gap);
        self.numerator(q, logarithm_and_excess(q).1) / (4.0 * self.slip_kuwabara * (1.0 + gap))
    }

    /// f and f' at the distance `gap` = r - 1 from the fibre's surface, at the cost of one of them.
    pub fn stream_and_slope_at_gap(&self, gap: f64) -> (f64, f64) {
        let (over_radius, slope) = self.over_radius_and_slope(gap * (2.0 + gap));
        (over_radius * (1.0 + gap), slope)
    }

    /// The slope f'(r), in U.
    pub fn stream_slope(&self, r: f64) -> f64 {
        let q = (r - 1.0) * (r + 1.0);
        self.over_radius_and_slope(q).1
    }

    /// The curvature f''(r), in U/a.
    pub fn stream_curvature(&self, r: f64) -> f64 {
        let q = (r - 1.0) * (r + 1.0);
        let (over_radius, slope) = self.over_radius_and_slope(q);
        let second = 2.0 * (1.0 + self.slip) * ((1.0 + q).recip() - self.solidity);
        r * second / self.slip_kuwabara - (slope - over_radius) / r
    }

    /// The velocity of the air at (x, y), in U; the point lies between the fibre and the cell's edge.
    ///
    /// ```text
    /// u_r = cos(theta) f/r,  u_theta = -sin(theta) f'
    /// ```
    pub fn velocity(&self, x: f64, y: f64) -> [f64; 2] {
        let square = x * x + y * y;
        let (over_radius, slope) = self.over_radius_and_slope(square - 1.0);
        let inverse = square.recip();
        [(x * x * over_radius + y * y * slope) * inverse, x * y * (over_radius - slope) * inverse]
    }

    /// The acceleration of the air that passes (x, y), (u . grad) u, in U^2/a.
    ///
    /// ```text
    /// a_r = (f' - f/r) (cos^2 f/r - sin^2 f')/r,  a_theta = sin cos [f' (f' - f/r)/r - (f/r) f'']
    /// ```
    pub fn acceleration(&self, x: f64, y: f64) -> [f64; 2] {
        let square = x * x + y * y;
        let (over_radius, slope) = self.over_radius_and_slope(square - 1.0);
        let r = square.sqrt();
        let (cosine, sine) = (x / r, y / r);
        let excess = (slope - over_radius) / r;
        let second = 2.0 * (1.0 + self.slip) * (square.recip() - self.solidity);
        let curvature = r * second / self.slip_kuwabara - excess;
        let radial = excess * (cosine * cosine * over_radius - sine * sine * slope);
        let turning = sine * cosine * (slope * excess - over_radius * curvature);
        [radial * cosine - turning * sine, radial * sine + turning * cosine]
    }

    /// f/r and f' at q = r^2 - 1.
    fn over_radius_and_slope(&self, q: f64) -> (f64, f64) {
        let wall = 1.0 + self.slip;
        let (logarithm, h) = logarithm_and_excess(q);
        let over_radius = self.numerator(q, h) * (self.inverse / (1.0 + q));
        let derivative = self.slip * (1.0 - self.solidity) + wall * (logarithm - self.solidity * q);
        (over_radius, 4.0 * self.inverse * derivative - over_radius)
    }

    /// The bracket of f, rewritten in q = r^2 - 1 so that what vanishes on the fibre cancels on paper:
    /// 2 s (1-alpha) q + (1+s) (2 h(q) - alpha q^2), h(q) = (1+q) ln(1+q) - q.
    fn numerator(&self, q: f64, h: f64) -> f64 {
        2.0 * self.slip * (1.0 - self.solidity) * q + (1.0 + self.slip) * (2.0 * h - self.solidity * q * q)
    }
}

/// ln(1+q) and h(q) = (1+q) ln(1+q) - q, for small q without cancellation: with z = q/(2+q),
/// ln(1+q) = 2 (z + z^3/3 + z^5/5 + ..).
fn logarithm_and_excess(q: f64) -> (f64, f64) {
    if q.abs() >= SERIES_BELOW {
        let logarithm = (1.0 + q).ln();
        return (logarithm, (1.0 + q) * logarithm - q);
    }
    let z = q / (2.0 + q);
    let z2 = z * z;
    // Two terms at a time, so that they do not wait for one another.
    let z4 = z2 * z2;
    let high = (1.0 / 7.0 + z2 * (1.0 / 9.0)) + z4 * (1.0 / 11.0 + z2 * (1.0 / 13.0));
    let tail = (1.0 / 3.0 + z2 * (1.0 / 5.0)) + z4 * high;
    // 2/(1 - z) is 2 + q.
    (2.0 * z * (1.0 + z2 * tail), z2 * (1.0 + (1.0 + z) * z * tail) * (2.0 + q))
}

/// The Kuwabara factor \[-\] of a solidity between 0 and 1.
///
/// ```text
/// Ku = -(1/2) ln alpha - 3/4 + alpha - alpha^2/4
/// ```
/// Source: Kuwabara (1959). The drag per fibre length is 4 pi mu U/Ku. Some authors print 2 Ku under the same name.
pub fn kuwabara_factor(alpha: f64) -> f64 {
    -0.5 * alpha.ln() - 0.75 + alpha - 0.25 * alpha * alpha
}

/// The Happel factor \[-\] of a solidity between 0 and 1: the cell whose edge carries no shear stress.
///
/// ```text
/// Ha = -(1/2) ln alpha - (1/2) (1 - alpha^2)/(1 + alpha^2)
/// ```
/// Source: Happel (1959), American Institute of Chemical Engineers Journal 5:174, derived and agreeing with memory.
pub fn happel_factor(alpha: f64) -> f64 {
    let square = alpha * alpha;
    -0.5 * alpha.ln() - 0.5 * (1.0 - square) / (1.0 + square)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cell(alpha: f64, fibre_knudsen: f64) -> KuwabaraCell {
        KuwabaraCell::new(Solidity::new(alpha).unwrap(), fibre_knudsen)
    }

    #[track_caller]
    fn close(what: &str, got: f64, expected: f64, tolerance: f64) {
        let miss = (got - expected).abs();
        assert!(
            miss <= tolerance,
            "{what}: got {got}, expected {expected}, miss {miss}, tolerance {tolerance}"
        );
    }

    /// Both factors, computed independently of this code to the digits shown.
    #[test]
    fn factors_match_the_reference_values() {
        let rows = [
            (0.006, 1.81399, 2.05803),
            (0.01, 1.56256, 1.80269),
            (0.02, 1.22591, 1.45641),
            (0.03, 1.03305, 1.25418),
            (0.05, 0.79724, 1.00036),
            (0.07, 0.64841, 0.83451),
            (0.10, 0.49879, 0.66119),
            (0.15, 0.34293, 0.47056),
            (0.20, 0.24472, 0.34318),
            (0.30, 0.12949, 0.18456),
        ];
        for (alpha, ku, ha) in rows {
            close(&format!("Ku at {alpha}"), kuwabara_factor(alpha), ku, 5e-6);
            close(&format!("Ha at {alpha}"), happel_factor(alpha), ha, 5e-6);
        }
    }

    #[test]
    fn boundary_conditions_hold() {
        for alpha in [0.003, 0.05, 0.2, 0.6] {
            for fibre_knudsen in [0.0, 0.05, 0.44, 1.3] {
                let cell = cell(alpha, fibre_knudsen);
                let (b, s) = (cell.edge_radius(), cell.slip_parameter());
                close("f(1)", cell.stream(1.0), 0.0, 0.0);
                close("f(b) = b", cell.stream(b) / b, 1.0, 1e-11);
                let (slope, curvature) = (cell.stream_slope(1.0), cell.stream_curvature(1.0));
                close("slip", slope, 0.5 * s * (curvature - slope), 1e-11 * curvature);
                // Vorticity is -sin(theta) (f'' + f'/r - f/r^2).
                let (f, slope, curvature) = (cell.stream(b), cell.stream_slope(b), cell.stream_curvature(b));
                close("vorticity at b", curvature + slope / b - f / (b * b), 0.0, 1e-10);
            }
        }
    }

    #[test]
    fn derivatives_are_those_of_the_stream_function() {
        let cell = cell(0.07, 0.1);
        for r in [1.02, 1.3, 2.0, 3.5] {
            let step = 1e-5;
            let slope = (cell.stream(r + step) - cell.stream(r - step)) / (2.0 * step);
            close("f'", cell.stream_slope(r), slope, 1e-8);
            let both = cell.stream_and_slope_at_gap(r - 1.0);
            close("f of both", both.0, cell.stream(r), 1e-12);
            close("f' of both", both.1, slope, 1e-8);
            let curvature = (cell.stream_slope(r + step) - cell.stream_slope(r - step)) / (2.0 * step);
            close("f''", cell.stream_curvature(r), curvature, 1e-8);
        }
    }

    #[test]
    fn velocity_is_the_curl_of_the_stream_function() {
        let cell = cell(0.05, 0.2);
        let psi = |x: f64, y: f64| y / x.hypot(y) * cell.stream(x.hypot(y));
        let step = 1e-5;
        for (x, y) in [(-3.0, 0.4), (-0.2, 1.1), (0.9, 1.5), (2.0, -2.0)] {
            let [u, v] = cell.velocity(x, y);
            close("u", u, (psi(x, y + step) - psi(x, y - step)) / (2.0 * step), 1e-8);
            close("v", v, -(psi(x + step, y) - psi(x - step, y)) / (2.0 * step), 1e-8);
        }
    }

    #[test]
    fn acceleration_is_the_change_of_velocity_along_the_flow() {
        let cell = cell(0.05, 0.2);
        let step = 1e-5;
        for (x, y) in [(-3.0, 0.4), (-0.2, 1.1), (0.9, 1.5), (2.0, -2.0)] {
            let [u, v] = cell.velocity(x, y);
            let ahead = cell.velocity(x + step * u, y + step * v);
            let behind = cell.velocity(x - step * u, y - step * v);
            let [along, across] = cell.acceleration(x, y);
            close("along", along, (ahead[0] - behind[0]) / (2.0 * step), 1e-8);
            close("across", across, (ahead[1] - behind[1]) / (2.0 * step), 1e-8);
        }
    }

    /// The first terms of the expansion at the wall: f = ((1-alpha)/Ku) (x^2 - (2/3) x^3 + ..) from
    /// N = (1-alpha) q^2 - q^3/3 + q^4/6, worked by hand to the order needed.
    #[test]
    fn interception_keeps_its_digits_for_small_particles() {
        for alpha in [0.003, 0.05, 0.6] {
            let cell = cell(alpha, 0.0);
            for gap in [1e-8, 1e-6, 1e-4] {
                let q: f64 = gap * (2.0 + gap);
                let expected = ((1.0 - alpha) * q * q - q.powi(3) / 3.0 + q.powi(4) / 6.0 - q.powi(5) / 10.0)
                    / (4.0 * cell.kuwabara_factor() * (1.0 + gap));
                close("E_R", cell.stream_at_gap(gap) / expected, 1.0, 1e-13);
            }
            close("rounded 1 + R", cell.stream(1.0 + 1e-4) / cell.stream_at_gap(1e-4), 1.0, 1e-11);
        }
    }

    #[test]
    fn the_series_joins_the_closed_form() {
        for q in [-0.0999, -0.05, 0.05, 0.0999, 0.11_f64] {
            let (logarithm, h) = logarithm_and_excess(q);
            close("ln", logarithm / q.ln_1p(), 1.0, 1e-15);
            close("h", h / ((1.0 + q) * q.ln_1p() - q), 1.0, 1e-13);
        }
    }

    /// Exact interception without and with slip, computed independently to the digits shown.
    #[test]
    fn interception_matches_the_reference_values() {
        let rows = [
            (0.03, 0.06, 0.0, 0.003248, 5e-7),
            (0.05, 0.1, 0.0, 0.011145, 5e-7),
            (0.05, 0.2, 0.0, 0.041939, 5e-7),
            (0.05, 0.5, 0.0, 0.223910, 5e-7),
            (0.10, 0.1, 0.0, 0.016809, 5e-7),
            (0.10, 0.5, 0.0, 0.331780, 5e-7),
            (0.05, 0.1, 0.44, 0.05087, 5e-6),
            (0.05, 0.5, 0.44, 0.36063, 5e-6),
            (0.05, 1.0, 0.44, 0.90574, 5e-6),
        ];
        for (alpha, ratio, fibre_knudsen, expected, tolerance) in rows {
            close("E_R", cell(alpha, fibre_knudsen).stream(1.0 + ratio), expected, tolerance);
        }
    }

    /// Drag with slip over drag without at solidity 0.05, computed independently to the digits shown.
    #[test]
    fn drag_slip_matches_the_reference_values() {
        for (fibre_knudsen, ratio) in
            [(1.32, 0.709), (0.44, 0.791), (0.132, 0.894), (0.066, 0.938), (0.0132, 0.986)]
        {
            close("F/F0", cell(0.05, fibre_knudsen).drag_slip_ratio(), ratio, 5e-4);
        }
    }
}
