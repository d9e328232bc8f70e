//! Capture by charge, for every size and number of charges: the laws of `moteweir_physics::single_fibre::electrostatic`
//! arranged for vectors.

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]

use moteweir_physics::air::Air;
use moteweir_physics::closure::Closure;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::{self, Electret};
use moteweir_units::{Length, SurfaceCharge, Velocity};
use multiversion::multiversion;

use super::super::elementary::exp;
use super::capture::{Widths, higher, lower};
use super::channels::Slot;
use super::fibre::{Array, Fibre};
use super::sizes::padded;

/// Charge parameters between which the logarithm of a solved law is a cubic in that of the parameter.
const JOINTS: [f64; 8] = [1e-3, 1e-2, 3e-2, 0.1, 0.3, 1.0, 3.0, 10.0];

/// A law whose logarithm is a straight line, then cubics between the joints, then a straight line: the first line, and
/// from each joint on a square and a cube of the distance to it, so that no branch asks where a parameter lies.
#[derive(Clone, Copy, Debug)]
struct Cubics {
    start: f64,
    slope: f64,
    /// ln of each joint, and what begins there.
    bends: [[f64; 3]; 8],
}

impl Cubics {
    /// Through a law that is such cubics, read from four of its values between each two joints.
    fn through(law: impl Fn(f64) -> f64) -> Self {
        let x = JOINTS.map(libm::log);
        let mut slope = 0.0;
        let mut curved = [[0.0; 2]; 8];
        let mut before = [0.0; 2];
        for k in 0..JOINTS.len() - 1 {
            let width = x[k + 1] - x[k];
            let third = width / 3.0;
            let [y0, y1, y2, y3] = [0.0, 1.0, 2.0, 3.0].map(|t| libm::log(law(libm::exp(x[k] + t * third))));
            let cube = (y3 - 3.0 * y2 + 3.0 * y1 - y0) / 6.0;
            let square = (y2 - 2.0 * y1 + y0 - 6.0 * cube) / 2.0;
            if k == 0 {
                slope = (y1 - y0 - square - cube) / third;
            }
            let here = [square / (third * third), cube / (third * third * third)];
            curved[k] = [here[0] - before[0], here[1] - before[1]];
            before = [here[0] + 3.0 * here[1] * width, here[1]];
        }
        curved[JOINTS.len() - 1] = before.map(|bend| -bend);
        Self {
            start: libm::log(law(JOINTS[0])),
            slope,
            bends: std::array::from_fn(|k| [x[k], curved[k][0], curved[k][1]]),
        }
    }

    #[inline(always)]
    fn at(&self, ln_parameter: f64) -> f64 {
        let mut sum = self.start + self.slope * (ln_parameter - self.bends[0][0]);
        for [joint, square, cube] in self.bends {
            let past = higher(ln_parameter - joint, 0.0);
            sum += past * past * (square + cube * past);
        }
        exp(sum)
    }
}

/// What each size brings to capture by charge.
#[derive(Clone, Debug)]
pub(super) struct ChargeTables {
    coulomb_law: Cubics,
    polarisation_law: Cubics,
    /// N of the Coulomb force on one charge, and its logarithm, at unit surface charge and velocity and eps_f 0.
    coulomb: Vec<f64>,
    ln_coulomb: Vec<f64>,
    /// The same of polarisation, at unit fibre diameter and for perfectly polarisable particles.
    polarisation: Vec<f64>,
    ln_polarisation: Vec<f64>,
    /// Root of N of the image of one charge, at unit velocity and fibre diameter and in a conductor.
    image_root: Vec<f64>,
    /// Its power of 5/2.
    power_of_image: Vec<f64>,
}

/// How charge acts at one fibre.
#[derive(Clone, Copy, Debug)]
pub(super) enum Action {
    /// A charged fibre: scalars of N and their logarithms, of the Coulomb force and of polarisation.
    Electret { coulomb: f64, ln_coulomb: f64, polarisation: f64, ln_polarisation: f64 },
    /// A neutral fibre: swept width over the number of charges and `image_root`.
    Image { width: f64 },
}

impl ChargeTables {
    pub(super) fn new(particles: &[Particle], air: &Air) -> Self {
        // Permittivities at which the factors of the reference are 1 and 1/2.
        let unit = Electret {
            surface_charge: SurfaceCharge::from_c_per_m2(1.0),
            fibre_permittivity: 0.0,
            particle_permittivity: 4.0,
        };
        let (metre, speed) = (Length::from_m(1.0), Velocity::from_m_per_s(1.0));
        let coulomb = padded(particles, &|p| electrostatic::coulomb_parameter(air, p, 1, &unit, speed));
        let polarisation =
            padded(particles, &|p| 2.0 * electrostatic::polarisation_parameter(air, p, &unit, metre, speed));
        let image_root = padded(particles, &|p| {
            (2.0 * electrostatic::image_parameter(air, p, 1, 3.0, metre, speed)).sqrt()
        });
        let logarithms = |values: &[f64]| values.iter().map(|value| libm::log(*value)).collect();
        Self {
            coulomb_law: Cubics::through(electrostatic::coulomb),
            polarisation_law: Cubics::through(electrostatic::polarisation),
            ln_coulomb: logarithms(&coulomb),
            coulomb,
            ln_polarisation: logarithms(&polarisation),
            polarisation,
            power_of_image: image_root.iter().map(|root| power(*root)).collect(),
            image_root,
        }
    }
}

impl Action {
    pub(super) fn new(closure: Closure, electret: &Electret, array: &Array, fibre_diameter: f64) -> Self {
        let sigma = electret.surface_charge.to_c_per_m2().abs();
        let (fibre, particle) = (electret.fibre_permittivity, electret.particle_permittivity);
        if sigma > 0.0 {
            let field = sigma / (1.0 + fibre);
            let coulomb = field / array.velocity;
            let polarisation =
                (particle - 1.0) / (particle + 2.0) * field * field / (fibre_diameter * array.velocity);
            let ln = |scalar: f64| if scalar > 0.0 { libm::log(scalar) } else { f64::NEG_INFINITY };
            return Self::Electret {
                coulomb,
                ln_coulomb: ln(coulomb),
                polarisation,
                ln_polarisation: ln(polarisation),
            };
        }
        let conductance = ((fibre - 1.0) / (fibre + 1.0) / array.velocity).sqrt();
        // E d_f with E = 1.5 N^(1/2) or 2 (x N)^(1/2), and N as 1/d_f^2.
        let width = match closure {
            Closure::LeeLiu => 1.5 * conductance,
            Closure::KuwabaraCell | Closure::Resolved => 2.0 * array.x.sqrt() * conductance,
        };
        Self::Image { width }
    }
}

/// What the forces on uncharged particles come to at each size, without diffusion: carried, that is interception, inertia
/// and gravity, with polarisation.
#[derive(Clone, Debug)]
pub(super) struct Uncharged {
    /// Swept width \[m\].
    width: Vec<f64>,
    /// Its power, at which forces join.
    power: Vec<f64>,
}

impl Uncharged {
    /// Room for so many sizes.
    pub(super) fn room(sizes: usize) -> Self {
        Self { width: vec![0.0; sizes], power: vec![0.0; sizes] }
    }
}

/// Works out what forces on uncharged particles come to.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
pub(super) fn join_uncharged(
    tables: &ChargeTables,
    action: &Action,
    fibre: &Fibre,
    widths: &Widths,
    out: &mut Uncharged,
) {
    let n = out.width.len();
    let (total, wandering) = (&widths.total[..n], &widths.wandering[..n]);
    let (width, powers) = (&mut out.width[..n], &mut out.power[..n]);
    match *action {
        Action::Image { .. } => {
            for i in 0..n {
                width[i] = higher(total[i] - wandering[i], 0.0);
                powers[i] = power(width[i]);
            }
        }
        Action::Electret { polarisation, ln_polarisation, .. } => {
            let (table, logarithms) = (&tables.polarisation[..n], &tables.ln_polarisation[..n]);
            for i in 0..n {
                let solved = tables.polarisation_law.at(logarithms[i] + ln_polarisation);
                let drawn = fibre.diameter * lower(solved, std::f64::consts::PI * (polarisation * table[i]));
                let carried = higher(total[i] - wandering[i], 0.0);
                let [of_carried, of_drawn] = [power(carried), power(drawn)];
                width[i] = joined([carried, of_carried], [drawn, of_drawn]);
                powers[i] = of_carried + of_drawn;
            }
        }
    }
}

/// What [`add_charged`] is given of each size.
#[derive(Clone, Copy, Debug)]
pub(super) struct Joined<'a> {
    /// Swept widths without charge.
    pub widths: &'a Widths,
    /// From [`join_uncharged`].
    pub uncharged: &'a Uncharged,
    /// From [`super::sizes::Sizes`].
    pub arrival: &'a [f64],
    /// From [`super::sizes::Sizes`].
    pub inverse_arrival: &'a [f64],
}

/// Adds `factor` times the swept width with charge to the exponents of a slot.
///
/// ```text
/// E = E_D + (E_carried^2.5 + E_charge^2.5 + E_polarisation^2.5)^(1/2.5)
/// ```
/// as `PreparedFibre::with_charge` has it.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
pub(super) fn add_charged(
    tables: &ChargeTables,
    action: &Action,
    fibre: &Fibre,
    slot: &Slot,
    given: &Joined<'_>,
    factor: f64,
    exponents: &mut [f64],
) {
    let n = exponents.len();
    let span = slot.start..slot.start + n;
    let (total, wandering) = (&given.widths.total[span.clone()], &given.widths.wandering[span.clone()]);
    let (without, power_without) =
        (&given.uncharged.width[span.clone()], &given.uncharged.power[span.clone()]);
    let (arrival, inverse_arrival) = (&given.arrival[span.clone()], &given.inverse_arrival[span.clone()]);
    let charges = &slot.charges[..n];
    let (df, whole) = (fibre.diameter, fibre.whole);
    match *action {
        Action::Image { width } => {
            let (root, power_of_root) = (&tables.image_root[span.clone()], &tables.power_of_image[span]);
            let (power_of_charges, power_of_width) = (&slot.power_of_charges[..n], power(width));
            for i in 0..n {
                let image = width * charges[i] * root[i];
                let power_of_image = power_of_width * power_of_charges[i] * power_of_root[i];
                let forced = joined([without[i], power_without[i]], [image, power_of_image]);
                let with = lower(wandering[i] + forced, whole * arrival[i]);
                let swept = if image > 0.0 { with } else { total[i] };
                exponents[i] += factor * swept * inverse_arrival[i];
            }
        }
        Action::Electret { coulomb, ln_coulomb, .. } => {
            let (table, logarithms) = (&tables.coulomb[span.clone()], &tables.ln_coulomb[span]);
            let ln_charges = &slot.ln_charges[..n];
            for i in 0..n {
                let solved = tables.coulomb_law.at(logarithms[i] + ln_charges[i] + ln_coulomb);
                let drawn = df * lower(solved, coulomb * charges[i] * table[i]);
                let forced = joined([without[i], power_without[i]], [drawn, power(drawn)]);
                exponents[i] +=
                    factor * lower(wandering[i] + forced, whole * arrival[i]) * inverse_arrival[i];
            }
        }
    }
}

/// The power at which forces join.
#[inline(always)]
fn power(width: f64) -> f64 {
    width * width * width.sqrt()
}

/// Two widths joined, each given with its power: (a^2.5 + b^2.5)^(1/2.5), to 2e-11.
///
/// ```text
/// the larger of a and b times (1 + t)^0.4,   t = smaller over larger of the powers
/// ```
/// the root by a polynomial of u = 2 t - 1 through the zeros of a Chebyshev polynomial; derived.
#[inline(always)]
fn joined([a, power_of_a]: [f64; 2], [b, power_of_b]: [f64; 2]) -> f64 {
    let is_first = power_of_a > power_of_b;
    let larger = if is_first { a } else { b };
    let (high, low) = if is_first { (power_of_a, power_of_b) } else { (power_of_b, power_of_a) };
    let u = 2.0 * (low / higher(high, f64::MIN_POSITIVE)) - 1.0;
    let c = ROOT;
    let u2 = u * u;
    let u4 = u2 * u2;
    let lowest = (c[0] + c[1] * u) + u2 * (c[2] + c[3] * u);
    let middle = (c[4] + c[5] * u) + u2 * (c[6] + c[7] * u);
    let highest = (c[8] + c[9] * u) + u2 * (c[10] + c[11] * u);
    larger * (lowest + u4 * (middle + u4 * highest))
}

/// Of (3/2 + u/2)^0.4 for u from -1 to 1.
const ROOT: [f64; 12] = [
    1.1760790225367883,
    0.15681053633300365,
    -0.015681054504835545,
    0.0027877431284793483,
    -0.0006040008567598429,
    0.00014495961254723774,
    -3.7088516113545e-05,
    9.891631498562122e-06,
    -2.6367926967665475e-06,
    7.408439132951722e-07,
    -2.86466619205878e-07,
    8.383302073081612e-08,
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Below 1e-3 the physics bounds the laws, and so do the loops.
    #[test]
    fn the_cubics_are_the_solved_laws() {
        for law in [electrostatic::coulomb as fn(f64) -> f64, electrostatic::polarisation] {
            let cubics = Cubics::through(law);
            for step in 0..2000 {
                let n = libm::exp(libm::log(1e-3) + 14.0 * f64::from(step) / 2000.0);
                let (got, expected) = (cubics.at(libm::log(n)), law(n));
                assert!((got / expected - 1.0).abs() < 1e-10, "N = {n}: {got}, expected {expected}");
            }
        }
    }

    #[test]
    fn forces_join_at_their_power() {
        for step in -4000..=4000 {
            let (a, b) = (3e-7, 3e-7 * libm::exp(f64::from(step) / 400.0));
            let got = joined([a, power(a)], [b, power(b)]);
            let expected = (a.powf(2.5) + b.powf(2.5)).powf(0.4);
            assert!((got / expected - 1.0).abs() < 2e-11, "{b}: {got}, expected {expected}");
        }
        for (a, b) in [(0.0, 0.0), (2e-7, 0.0), (0.0, 2e-7)] {
            let got = joined([a, power(a)], [b, power(b)]);
            // u = -1: the polynomial's own miss.
            assert!((got - f64::max(a, b)).abs() <= 2e-11 * f64::max(a, b), "{a} and {b}: {got}");
        }
    }
}
