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
            Self::Image { of_one } => {
                let parameter = n * n * of_one;
                let image = match closure {
                    Closure::LeeLiu => electrostatic::image_fitted(parameter),
                    Closure::KuwabaraCell => electrostatic::image_in_cell(cell, parameter),
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
    let all = power(carried) + power(charge[0]) + power(charge[1]);
    // Half the time of a general power, and this is asked for every charge of every fibre.
    if all > 0.0 { (all.ln() / 2.5).exp() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_forces_together_catch_what_the_joint_solutions_say() {
        // Solidity 0.05: polarisation at N = 0.1 with interception at R = 0.3; Coulomb and polarisation at N = 0.3.
        assert!((jointly(0.199 - 0.109, [0.0, 0.109]) / 0.131 - 1.0).abs() < 0.03);
        assert!((jointly(0.0, [0.425 - 0.217, 0.217]) / 0.289 - 1.0).abs() < 0.03);
    }
}
