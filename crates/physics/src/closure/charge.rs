//! How charge acts on a particle at a fibre, and how it joins what the fibre catches without it: one law for all closures.

use super::{Groups, PreparedFibre, SingleFibre, Uncharged};
use crate::estimate::Estimate;
use crate::particle::Particle;
use crate::range::Remarks;
use crate::single_fibre::electret_law::{self, ChargeNumbers};
use crate::single_fibre::{electrostatic, interception};

/// What draws a particle to a fibre, on the superficial velocity, whatever its number of charges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ChargeAction {
    /// A charged fibre: parameters of the Coulomb force on one elementary charge and of polarisation.
    Electret { coulomb_of_one: f64, polarisation: f64 },
    /// A neutral fibre: the square of what the image of one elementary charge catches.
    Image { square_of_one: f64 },
}

/// What draws a particle, and what that is joined with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Charge {
    action: ChargeAction,
    /// The interception parameter.
    size: f64,
    /// Exact interception.
    still: f64,
    /// The Stokes number on the superficial velocity.
    stokes: f64,
    /// What a square of the cell comes to in the closure's, inertia holding particles off.
    weight: f64,
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
            ChargeAction::Image { square_of_one: electrostatic::image_in_cell(&self.cell, of_one).powi(2) }
        };
        let stokes = groups.stokes * self.convention;
        let weight = self.convention * self.convention / electret_law::held_off(&self.cell, stokes);
        let size = groups.interception;
        Charge { action, size, still: interception::exact(&self.cell, size), stokes, weight }
    }

    /// Adds capture by charge to what [`PreparedFibre::mechanical`] gave.
    ///
    /// ```text
    /// E = sqrt(E_m^2 + (U0/U)^2 (E_j^2 - E_R^2)/sqrt(1 + 4 x^2 Stk))
    /// ```
    /// the law of [`joined`](electret_law::joined). E_m is the closure's own, without charge. E_j is what flow and charge catch in the cell:
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
    /// The band is that of E_m, and beyond it the rule's own, [`joining_spread`](electret_law::joining_spread).
    pub fn with_charge(&self, uncharged: &Uncharged, charges: i32) -> SingleFibre {
        let still = uncharged.charge.still;
        let joint = (still * still + self.drawn(&uncharged.charge, charges)).sqrt();
        SingleFibre {
            electrostatic: self.convention * (joint - still),
            total: self.total_with_charge(uncharged, charges),
            ..uncharged.single
        }
    }

    /// The total of [`PreparedFibre::with_charge`] alone, for sums over charges and fibres.
    pub fn total_with_charge(&self, uncharged: &Uncharged, charges: i32) -> Estimate {
        let Uncharged { single, whole_cell, charge } = uncharged;
        let without = single.total;
        let drawn = charge.weight * self.drawn(charge, charges);
        if drawn <= 0.0 {
            return without;
        }
        let joined = without.map_rising(|e| (e * e + drawn).sqrt());
        let spread = 1.0 + electret_law::spread(without.value, joined.value, drawn, charge.stokes);
        Estimate {
            low: (joined.low / spread).max(without.low).min(*whole_cell),
            value: joined.value.min(*whole_cell),
            high: (joined.high * spread).min(*whole_cell),
        }
    }

    /// E_j^2 - E_R^2, in the cell.
    fn drawn(&self, charge: &Charge, charges: i32) -> f64 {
        let n = f64::from(charges.abs());
        match charge.action {
            ChargeAction::Electret { coulomb_of_one, polarisation } => {
                let numbers = ChargeNumbers { coulomb: n * coulomb_of_one, polarisation };
                let law = self.electret_law.as_ref();
                let joint = law.map_or(0.0, |law| law.joint_with_slip(&self.cell, numbers, charge.size));
                // Where charge hardly counts, or a particle fills the cell by itself, the table may be below interception.
                (joint * joint - charge.still * charge.still).max(0.0)
            }
            ChargeAction::Image { square_of_one } => n * n * square_of_one,
        }
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
