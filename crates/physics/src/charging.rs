//! Charge of aerosol particles: how many elementary charges how many particles carry.

use std::f64::consts::PI;

use crate::air::Air;
use crate::constants::{BOLTZMANN, ELECTRIC_CONSTANT, ELEMENTARY_CHARGE};
use moteweir_units::Length;

/// How the particles are charged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ParticleCharge {
    /// Not at all.
    Neutral,
    /// As a neutralised, or long aged, aerosol: the bipolar equilibrium.
    Equilibrium,
    /// Each with this number of elementary charges.
    Each(i32),
}

/// Below this diameter the small-particle distribution alone is used \[m\].
const SMALL_ONLY_BELOW: f64 = 30e-9;
/// Above this diameter the Boltzmann distribution alone is used \[m\].
const BOLTZMANN_ABOVE: f64 = 100e-9;
/// States that hold less than this share are left out.
const SMALLEST_SHARE: f64 = 1e-9;
/// States that hold less than this share are left out of sums.
const NEGLIGIBLE_SHARE: f64 = 1e-5;
/// Many more states than any aerosol particle below 100 um needs.
const MOST_CHARGES: i32 = 400;

/// Coefficients of log10 f = sum a_i (log10 d_nm)^i for -2, -1, 0, +1, +2 charges.
/// Source: [`crate::refs::WIEDENSOHLER_1988`], as printed.
const SMALL: [[f64; 6]; 5] = [
    [-26.3328, 35.9044, -21.4608, 7.0867, -1.3088, 0.1051],
    [-2.3197, 0.6175, 0.6201, -0.1105, -0.1260, 0.0297],
    [-0.0003, -0.1014, 0.3073, -0.3372, 0.1023, -0.0105],
    [-2.3484, 0.6044, 0.4800, 0.0013, -0.1553, 0.0320],
    [-44.4756, 79.3772, -62.8900, 26.4492, -5.7480, 0.5049],
];

/// Share of particles with each number of charges, signs folded together; the shares sum to 1.
///
/// The forces here do not ask for the sign. For an equilibrium: [`crate::refs::BOLTZMANN_CHARGE`] above 100 nm,
/// normalised over the integers; [`crate::refs::WIEDENSOHLER_1988`] below 30 nm; between them a blend in the
/// logarithm of the diameter, so that curves have no step. Valid from 1 nm to 100 um.
pub fn charge_states(charge: ParticleCharge, air: &Air, diameter: Length) -> Vec<(i32, f64)> {
    match charge {
        ParticleCharge::Neutral => vec![(0, 1.0)],
        ParticleCharge::Each(n) => vec![(n, 1.0)],
        ParticleCharge::Equilibrium => equilibrium(air, diameter),
    }
}

/// As [`charge_states`], with neighbouring high numbers of charges taken together at their mean, for sums.
///
/// Up to nine charges each state stands alone; above, states within a tenth of one another share the state nearest to
/// their mean. A sum of penetrations by charge alone moves by less than 7e-3 of itself (10 um, Coulomb), below 1 um by
/// less than 1e-3; capture by other means takes from that.
pub fn condensed_charge_states(charge: ParticleCharge, air: &Air, diameter: Length) -> Vec<(i32, f64)> {
    let mut condensed: Vec<(i32, f64)> = Vec::new();
    let mut group: Vec<(i32, f64)> = Vec::new();
    let states = charge_states(charge, air, diameter);
    // The few with the most charges are caught best, and hardly any: without them a sum moves by less than their share.
    let matters = |state: &&(i32, f64)| state.0 <= 2 || state.1 >= NEGLIGIBLE_SHARE;
    for &state in states.iter().filter(matters) {
        if group.first().is_some_and(|first| state.0 * 10 > first.0 * 11) {
            condensed.push(together(&group));
            group.clear();
        }
        group.push(state);
    }
    if !group.is_empty() {
        condensed.push(together(&group));
    }
    let total: f64 = condensed.iter().map(|(_, share)| share).sum();
    for state in &mut condensed {
        state.1 /= total;
    }
    condensed
}

/// One state for several: their share, at their mean charge.
fn together(group: &[(i32, f64)]) -> (i32, f64) {
    let share: f64 = group.iter().map(|(_, f)| f).sum();
    let mean = group.iter().map(|(n, f)| f64::from(*n) * f).sum::<f64>() / share;
    let nearest = group
        .iter()
        .map(|(n, _)| *n)
        .min_by(|a, b| (f64::from(*a) - mean).abs().total_cmp(&(f64::from(*b) - mean).abs()));
    (nearest.unwrap_or(0), share)
}

fn equilibrium(air: &Air, diameter: Length) -> Vec<(i32, f64)> {
    let d = diameter.to_m();
    let span = (BOLTZMANN_ABOVE / SMALL_ONLY_BELOW).ln();
    let share_boltzmann = ((d / SMALL_ONLY_BELOW).ln() / span).clamp(0.0, 1.0);
    let mut states: Vec<(i32, f64)> = Vec::new();
    for n in 0..=MOST_CHARGES {
        let small = if share_boltzmann < 1.0 { small_particle_share(n, d) } else { 0.0 };
        let large = if share_boltzmann > 0.0 { boltzmann_share(n, air, d) } else { 0.0 };
        let share = share_boltzmann * large + (1.0 - share_boltzmann) * small;
        if n > 2 && share < SMALLEST_SHARE {
            break;
        }
        if share > 0.0 {
            states.push((n, share));
        }
    }
    let total: f64 = states.iter().map(|(_, share)| share).sum();
    for state in &mut states {
        state.1 /= total;
    }
    states
}

/// Boltzmann share of n charges of either sign, normalised.
fn boltzmann_share(n: i32, air: &Air, d: f64) -> f64 {
    // exp(-n^2/w), w = 4 pi eps0 d k T/e^2; the sum over all integers by the theta function's fast side.
    let thermal = BOLTZMANN * air.temperature().to_kelvin();
    let width = 4.0 * PI * ELECTRIC_CONSTANT * d * thermal / ELEMENTARY_CHARGE.powi(2);
    let total = if width > 1.0 {
        (PI * width).sqrt() * (1.0 + 2.0 * (-PI * PI * width).exp())
    } else {
        (1..=12).fold(1.0, |sum, k| sum + 2.0 * (-f64::from(k * k) / width).exp())
    };
    let both_signs = if n == 0 { 1.0 } else { 2.0 };
    both_signs * (-f64::from(n).powi(2) / width).exp() / total
}

/// Share of small particles with n charges of either sign; three and more are negligible below 100 nm.
fn small_particle_share(n: i32, d: f64) -> f64 {
    let log_nm = (d * 1e9).log10();
    let share = |row: usize| 10.0_f64.powf(SMALL[row].iter().rev().fold(0.0, |sum, a| sum * log_nm + a));
    match n {
        0 => share(2),
        1 => share(1) + share(3),
        // The fits for two charges hold above 20 nm; below, hardly any particle carries two.
        2 if d >= 20e-9 => share(0) + share(4),
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neutral_shares_of_both_laws() {
        let air = Air::reference();
        for (nm, boltzmann, small) in [(20.0, 0.89, 0.79), (30.0, 0.77, 0.70), (50.0, 0.60, 0.58)] {
            assert!((boltzmann_share(0, &air, nm * 1e-9) - boltzmann).abs() < 0.006, "Boltzmann {nm} nm");
            assert!((small_particle_share(0, nm * 1e-9) - small).abs() < 0.006, "small {nm} nm");
        }
    }

    #[test]
    fn shares_sum_to_one_and_have_no_step() {
        let air = Air::reference();
        for um in [0.001, 0.02, 0.03, 0.05, 0.1, 1.0, 10.0, 100.0] {
            let of = |um: f64| charge_states(ParticleCharge::Equilibrium, &air, Length::from_um(um));
            let total: f64 = of(um).iter().map(|(_, f)| f).sum();
            assert!((total - 1.0).abs() < 1e-12, "{um} um: {total}");
            assert!((of(um)[0].1 - of(um * 1.0001)[0].1).abs() < 1e-3, "step at {um} um");
        }
    }

    #[test]
    fn condensed_states_sum_as_all_of_them_do() {
        // Penetrations that fall with the root of the charge (image) or with the charge (Coulomb), weak to strong.
        let air = Air::reference();
        let (mut largest, mut below_1_um): (f64, f64) = (0.0, 0.0);
        for um in [0.1, 0.3, 1.0, 3.0, 10.0] {
            for power in [0.5, 0.7, 0.8, 0.9, 1.0] {
                for strength in [0.03, 0.1, 0.3, 1.0, 3.0, 10.0] {
                    let sum = |states: &[(i32, f64)]| -> f64 {
                        states.iter().map(|(n, f)| f * (-strength * f64::from(*n).powf(power)).exp()).sum()
                    };
                    let d = Length::from_um(um);
                    let all = sum(&charge_states(ParticleCharge::Equilibrium, &air, d));
                    let few = sum(&condensed_charge_states(ParticleCharge::Equilibrium, &air, d));
                    let miss = (few / all - 1.0).abs();
                    largest = largest.max(miss);
                    if um < 1.0 {
                        below_1_um = below_1_um.max(miss);
                    }
                }
            }
        }
        assert!(below_1_um < 1e-3, "{below_1_um}");
        assert!(largest < 7e-3, "{largest}");
    }

    #[test]
    fn mean_square_charge_of_one_micrometre() {
        // w/2 for a wide distribution: 4 pi eps0 d k T/(2 e^2) = 8.86 at 1 um, 296 K.
        let air = Air::reference();
        let mean: f64 = charge_states(ParticleCharge::Equilibrium, &air, Length::from_um(1.0))
            .iter()
            .map(|(n, f)| f64::from(n * n) * f)
            .sum();
        assert!((mean - 8.86).abs() < 0.02, "{mean}");
    }
}
