//! What a pore catches of the particles in its air: by diffusion to its sides, on its rim, at its mouth.

use std::f64::consts::PI;

/// Eigenvalues (halved squares) and weights of diffusion to the wall of a tube in laminar flow.
///
/// Source: [`crate::refs::GORMLEY_KENNEDY_1949`]; the digits are computed from Graetz's equation by its power series.
const TUBE_SERIES: [(f64, f64); 6] = [
    (3.656_793_457_8, 0.819_050_420_8),
    (22.304_730_550_7, 0.097_526_926_9),
    (56.960_515_381_7, 0.032_503_993_8),
    (107.620_271_629_9, 0.015_440_156_3),
    (174.282_057_717_5, 0.008_788_493_6),
    (256.945_030_311_8, 0.005_583_849_1),
];
/// Deposition parameters between which the thin layer's form gives way to the series.
const JOINED_OVER: [f64; 2] = [0.01, 0.03];

/// Share that gets through a tube in laminar flow past diffusion to its wall \[-\].
///
/// ```text
/// x = pi D L/q
/// thin layer, x to 0.01     1 - 2.56 x^(2/3) + 1.2 x + 0.177 x^(4/3)
/// series, x from 0.03       sum of w_n exp(-l_n x), six terms
/// ```
/// Source: [`crate::refs::GORMLEY_KENNEDY_1949`], from memory; the series' digits are derived. The two differ by
/// less than 2e-4 where they are joined, smoothly. x holds no diameter, so a throat of the same length and flow
/// takes the same form.
pub fn through_tube(x: f64) -> f64 {
    let thin = || {
        let root = x.cbrt();
        1.0 - 2.56 * root * root + 1.2 * x + 0.177 * x * root
    };
    let series = || TUBE_SERIES.iter().map(|(l, w)| w * (-l * x).exp()).sum::<f64>();
    let [from, to] = JOINED_OVER;
    if x <= from {
        thin()
    } else if x >= to {
        series()
    } else {
        let s = (x - from) / (to - from);
        let weight = s * s * (3.0 - 2.0 * s);
        thin() + weight * (series() - thin())
    }
}

/// Deposition parameter x = pi D L/q of a pore with a mean velocity \[-\].
pub fn tube_parameter(diffusivity: f64, length: f64, diameter: f64, velocity: f64) -> f64 {
    4.0 * diffusivity * length / (velocity * diameter * diameter)
}

/// Share of particles that touch a pore's side because they are as wide as they are \[-\].
///
/// ```text
/// E = 1 - s^2 (2 - s^2) = (1 - s^2)^2,   s = 1 - d_p/d
/// ```
/// The flow of a parabolic profile outside the radius s; derived. A particle wider than the pore does not pass: 1.
pub fn rim_interception(particle_diameter: f64, pore_diameter: f64) -> f64 {
    let ratio = particle_diameter / pore_diameter;
    if ratio >= 1.0 {
        return 1.0;
    }
    // 1 - s^2 without the cancellation for small particles.
    let outside = ratio * (2.0 - ratio);
    outside * outside
}

/// The most that inertia carries onto the face round a pore's mouth \[-\].
///
/// ```text
/// E = 2 E_i/(1 + z) - E_i^2/(1 + z)^2
/// E_i = 2 y + 2 y^2 [exp(-1/y) - 1],   y = Stk sqrt(z),   Stk = tau U0/(d/2),   z = sqrt(e)/(1 - sqrt(e))
/// ```
/// Source: [`crate::refs::PICH_1964`], from memory; for pores in a flat face, e being the open share. It goes to
/// 1 - e, all that arrives over the face, as Stk grows. A high end here: yarns are round and the air turns over half
/// a mesh, for which a sink flow's drift 2 tau U0/p is about ten times less. The low end is nothing.
/// `open_share` is the open share of the area from which a pore draws its air; at 1 and above nothing turns.
pub fn entry_impaction(relaxation_time: f64, face_velocity: f64, pore_diameter: f64, open_share: f64) -> f64 {
    if open_share >= 1.0 {
        return 0.0;
    }
    let root = open_share.sqrt();
    let z = root / (1.0 - root);
    let y = 2.0 * relaxation_time * face_velocity / pore_diameter * z.sqrt();
    // Past y = 1e4 the closed form loses digits; 1 - 1/(3 y) is its expansion.
    let edge = if y > 1e4 { 1.0 - 1.0 / (3.0 * y) } else { 2.0 * y + 2.0 * y * y * (-1.0 / y).exp_m1() };
    let lost = edge / (1.0 + z);
    lost * (2.0 - lost)
}

/// Length of fibre in an area of cloth or pore \[1/m\]; times E d_f it is the exponent of penetration.
///
/// ```text
/// -ln P = [4 alpha t/(pi d_f^2)] E d_f
/// ```
pub(super) fn fibre_length_over_area(solidity: f64, thickness: f64, fibre_diameter: f64) -> f64 {
    4.0 * solidity * thickness / (PI * fibre_diameter * fibre_diameter)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn diffusion_in_a_tube_falls_throughout_and_has_no_jump() {
        let mut x = 1e-12;
        let mut before = 1.0;
        while x < 100.0 {
            let now = through_tube(x);
            assert!(now <= before && now >= 0.0, "x {x}: {now} after {before}");
            // Steps of 0.1 % in x change P by at most 0.1 % of dP/dln x, which never exceeds 0.3.
            assert!(before - now < 4e-4, "x {x}: {now} after {before}");
            before = now;
            x *= 1.001;
        }
        assert!(through_tube(0.0) >= 1.0);
    }

    #[test]
    fn diffusion_in_a_tube_is_that_of_graetz() {
        // Eight terms of Graetz's series with 60-digit arithmetic; the thin-layer form is 2e-4 off near 0.01.
        for (x, expected) in [(0.01, 0.893_422), (0.02, 0.836_219), (0.03, 0.790_446), (0.05, 0.716_118)] {
            assert!((through_tube(x) - expected).abs() < 2e-4, "x {x}: {}", through_tube(x));
        }
        assert!((through_tube(0.05) - 0.716_118).abs() < 1e-6);
    }

    #[test]
    fn the_rim_takes_nothing_from_points_and_all_that_is_wider() {
        assert!((rim_interception(1e-9, 60e-6) / (4.0 * (1e-9_f64 / 60e-6).powi(2)) - 1.0).abs() < 1e-4);
        // s = 0.9: 1 - 0.81 x 1.19 = 0.0361.
        assert!((rim_interception(6e-6, 60e-6) - 0.0361).abs() < 1e-12);
        assert!((rim_interception(61e-6, 60e-6) - 1.0).abs() < f64::EPSILON);
    }

    #[test]
    fn heavy_particles_hit_what_is_not_open() {
        for open in [0.001, 0.0113, 0.2, 0.9] {
            let e = |tau| entry_impaction(tau, 0.1, 60e-6, open);
            assert!((e(1e6) - (1.0 - open)).abs() < 1e-6, "open {open}: {}", e(1e6));
            let mut before = 0.0;
            let mut tau = 1e-12;
            while tau < 1e3 {
                assert!(e(tau) >= before - 1e-9 && e(tau) <= 1.0 - open + 1e-9, "open {open}, tau {tau}");
                before = e(tau);
                tau *= 1.3;
            }
        }
        assert!(entry_impaction(1.0, 0.1, 60e-6, 1.0).abs() < f64::MIN_POSITIVE);
    }
}
