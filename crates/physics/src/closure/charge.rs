//! How charge acts on a particle at a fibre, and how it joins what the fibre catches without it: one law for all closures.

use super::{Groups, PreparedFibre, SingleFibre, Uncharged};
use crate::estimate::Estimate;
use crate::particle::Particle;
use crate::range::Remarks;
use crate::single_fibre::electret_law::{self, ChargeNumbers, Parts, joined, joining_spread};
use crate::single_fibre::{electrostatic, interception};

/// What draws a particle to a fibre, on the superficial velocity, whatever its number of charges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ChargeAction {
    /// A charged fibre: parameters of the Coulomb force on one elementary charge and of polarisation.
    Electret { coulomb_of_one: f64, polarisation: f64 },
    /// A neutral fibre: parameter of the image of one elementary charge.
    Image { of_one: f64 },
}

/// What draws a particle, and what that is joined with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Charge {
    action: ChargeAction,
    /// The interception parameter.
    interception: f64,
    /// The Stokes number on the superficial velocity.
    stokes: f64,
}

/// Interception with charge, and interception alone: exact, on the velocity of the closure.
#[derive(Clone, Copy, Debug)]
struct Drawn {
    joint: f64,
    still: f64,
}

impl PreparedFibre {
    /// How charge acts on a particle.
    pub(super) fn charge(&self, particle: &Particle, groups: &Groups) -> Charge {
        let electret = &self.surroundings.electret;
        let df = self.surroundings.fibre_diameter;
        let (air, velocity) = (&self.air, self.surroundings.face_velocity);
        let action = if self.is_charged() {
            ChargeAction::Electret {
                coulomb_of_one: electrostatic::coulomb_parameter(air, particle, 1, electret, velocity),
                polarisation: electrostatic::polarisation_parameter(air, particle, electret, df, velocity),
            }
        } else {
            let permittivity = electret.fibre_permittivity;
            let of_one = electrostatic::image_parameter(air, particle, 1, permittivity, df, velocity);
            ChargeAction::Image { of_one }
        };
        Charge { action, interception: groups.interception, stokes: groups.stokes * self.convention }
    }

    /// Adds capture by charge to what [`PreparedFibre::mechanical`] gave.
    ///
    /// ```text
    /// E = sqrt(E_m^2 + (U0/U)^2 (E_j^2 - E_R^2)/sqrt(1 + 4 x^2 Stk))
    /// ```
    /// the law of [`joined`]. E_m is the closure's own, without charge. E_j is what flow and charge catch in the cell:
    /// at a charged fibre [`ElectretLaw::joint_with_slip`](electret_law::ElectretLaw::joint_with_slip), at a neutral one
    /// exact interception E_R and the image force, joined by squares. In the cell the velocity is the superficial one,
    /// U0, so E_j, E_R, their charge numbers and Stk are on U0 in every closure. A fibre that clears a width W of the
    /// air that comes with U0 has
    ///
    /// ```text
    /// E = W/d_f on U0,   E = (U0/U) W/d_f on the velocity U of a closure
    /// ```
    /// since the flow U0 W is what either counts. The factor U0/U, 1 - alpha in the fitted set and 1 in the others, so
    /// brings the same width to all; the exponent of the fitted set, with its 1/(1 - alpha), takes it out again.
    ///
    /// Charge never lowers capture: what fills its cell by itself is not let through.
    ///
    /// The band is that of E_m, and beyond it the rule's own, [`joining_spread`].
    pub fn with_charge(&self, uncharged: &Uncharged, charges: i32) -> SingleFibre {
        SingleFibre {
            electrostatic: self.drawn(&uncharged.charge, charges).map_or(0.0, |d| d.joint - d.still),
            total: self.total_with_charge(uncharged, charges),
            ..uncharged.single
        }
    }

    /// The total of [`PreparedFibre::with_charge`] alone, for sums over charges and fibres.
    pub fn total_with_charge(&self, uncharged: &Uncharged, charges: i32) -> Estimate {
        let without = uncharged.single.total;
        let stokes = uncharged.charge.stokes;
        let Some(Drawn { joint, still }) = self.drawn(&uncharged.charge, charges) else { return without };
        let parts = |mechanical: f64| Parts { mechanical, joint, interception: still, stokes };
        let cap = |e: f64| e.min(uncharged.whole_cell);
        let together = without.map_rising(|e| joined(&self.cell, parts(e)));
        let spread = 1.0 + joining_spread(&self.cell, parts(without.value));
        Estimate {
            low: cap((together.low / spread).max(without.low)),
            value: cap(together.value),
            high: cap(together.high * spread),
        }
    }

    /// What is drawn in, where charge does anything.
    fn drawn(&self, charge: &Charge, charges: i32) -> Option<Drawn> {
        let n = f64::from(charges.abs());
        let still = interception::exact(&self.cell, charge.interception);
        let joint = match (charge.action, &self.electret_law) {
            (ChargeAction::Electret { coulomb_of_one, polarisation }, Some(law)) => {
                let numbers = ChargeNumbers { coulomb: n * coulomb_of_one, polarisation };
                law.joint_with_slip(&self.cell, numbers, charge.interception)
            }
            (ChargeAction::Image { of_one }, _) if charges != 0 => {
                still.hypot(electrostatic::image_in_cell(&self.cell, n * n * of_one))
            }
            _ => return None,
        };
        // Where charge hardly counts, or a particle fills the cell by itself, the table may be below interception.
        Some(Drawn { joint: self.convention * joint.max(still), still: self.convention * still })
    }

    /// Notes where a particle leaves the ranges of the joint law.
    pub(super) fn check_charge(&self, particle: &Particle, charges: i32, remarks: &mut Remarks) {
        let charge = self.charge(particle, &self.groups(particle));
        if let ChargeAction::Electret { coulomb_of_one, polarisation } = charge.action {
            remarks.check(electret_law::CHARGE_RANGE, f64::from(charges.abs()) * coulomb_of_one);
            remarks.check(electret_law::CHARGE_RANGE, polarisation);
            remarks.check(electret_law::SOLIDITY_RANGE, self.cell.solidity());
        }
    }
}
