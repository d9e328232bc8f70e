//! How charge acts on a particle at a fibre, and how it joins what the fibre catches without it.

use super::Closure;
use crate::cell::KuwabaraCell;
use crate::estimate::Estimate;
use crate::single_fibre::electrostatic::{self, SolidityShift};

/// How charge acts on a particle, whatever its number of charges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ChargeAction {
    /// A charged fibre: parameter of the Coulomb force on one elementary charge, efficiency of polarisation.
    Electret { coulomb_of_one: f64, polarisation: Estimate, shift: SolidityShift },
    /// A neutral fibre: parameter of the image of one elementary charge.
    Image { of_one: f64 },
    /// Any fibre in the solved cell.
    Solved(SolvedForces),
}

/// What draws a particle with one elementary charge to a fibre in the solved cell, and what it is joined with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SolvedForces {
    /// Parameter of the Coulomb force; 0 at a neutral fibre.
    pub(super) coulomb_of_one: f64,
    /// Parameter of polarisation; 0 at a neutral fibre.
    pub(super) polarisation: f64,
    /// Parameter of the image force; 0 at a charged fibre, whose own forces outweigh it.
    pub(super) image_of_one: f64,
    pub(super) interception: f64,
    pub(super) stokes: f64,
}

impl ChargeAction {
    /// Capture by the Coulomb force or the image, and by polarisation, each alone.
    pub(super) fn terms(&self, closure: Closure, cell: &KuwabaraCell, charges: i32) -> ChargeTerms {
        let n = f64::from(charges.abs());
        let [first, second] = match *self {
            Self::Electret { coulomb_of_one, polarisation, shift } => {
                [shift.coulomb(n * coulomb_of_one), polarisation]
            }
            Self::Image { .. } if charges == 0 => [Estimate::exact(0.0); 2],
            // Joined by its own law; see `solved`.
            Self::Solved(_) => [Estimate::exact(0.0); 2],
            Self::Image { of_one } => {
                let parameter = n * n * of_one;
                let image = match closure {
                    Closure::LeeLiu => electrostatic::image_fitted(parameter),
                    Closure::KuwabaraCell | Closure::Resolved => {
                        electrostatic::image_in_cell(cell, parameter)
                    }
                };
                [Estimate::exact(image), Estimate::exact(0.0)]
            }
        };
        ChargeTerms { first, second }
    }
}

/// Capture by the Coulomb force or the image, and by polarisation, each alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ChargeTerms {
    first: Estimate,
    second: Estimate,
}

impl ChargeTerms {
    /// Whether charge does nothing at all.
    pub(super) fn are_none(&self) -> bool {
        self.first.high + self.second.high <= 0.0
    }

    /// Both, and what is carried by flow, inertia and gravity, together: between the largest and the sum.
    pub(super) fn jointly_with(&self, carried: f64) -> f64 {
        jointly(carried, [self.first.value, self.second.value])
    }

    /// The larger of the two at its low end.
    pub(super) fn larger_low(&self) -> f64 {
        self.first.low.max(self.second.low)
    }

    /// The sum of the two at their high ends.
    pub(super) fn high_sum(&self) -> f64 {
        self.first.high + self.second.high
    }
}

/// What several deterministic forces catch together; between the largest and the sum.
fn jointly(carried: f64, charge: [f64; 2]) -> f64 {
    let power = |e: f64| e * e * e.sqrt();
    let (by_flow, by_charge) = (power(carried), power(charge[0]) + power(charge[1]));
    if by_charge < SMALL_SHARE * by_flow {
        // (1 + x)^(2/5) by its series: most charges of most particles, without a logarithm.
        let x = by_charge / by_flow;
        return carried * (1.0 + x * (0.4 - x * (0.12 - 0.064 * x)));
    }
    let all = by_flow + by_charge;
    // Half the time of a general power, and this is asked for every charge of every fibre.
    if all > 0.0 { (all.ln() / 2.5).exp() } else { 0.0 }
}

/// Below this share of what flow carries, charge is small: the series is then good to 4e-10.
const SMALL_SHARE: f64 = 0.01;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_series_joins_the_power() {
        for e in [0.9, 1.0, 1.1_f64] {
            // A share of 0.01 in the power of 2.5 is 0.158 in the efficiency.
            let charge = e * 0.01_f64.powf(0.4);
            let exact = (1.0 + charge.powf(2.5)).powf(0.4);
            assert!((jointly(1.0, [charge, 0.0]) / exact - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn two_forces_together_catch_what_the_joint_solutions_say() {
        // Solidity 0.05: polarisation at N = 0.1 with interception at R = 0.3; Coulomb and polarisation at N = 0.3.
        assert!((jointly(0.199 - 0.109, [0.0, 0.109]) / 0.131 - 1.0).abs() < 0.03);
        assert!((jointly(0.0, [0.425 - 0.217, 0.217]) / 0.289 - 1.0).abs() < 0.03);
    }
}
