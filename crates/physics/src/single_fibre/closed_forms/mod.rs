//! Closed forms of the literature, each with the range it is claimed for: to be compared, not to be computed with.
//!
//! A [`closure`](crate::closure) uses a few of them, joined as they belong together. Here every one stands alone, under
//! its author's name and on the velocity of its author's convention, so that the solved cell can say where it is right.
//!
//! ```
//! use moteweir_physics::single_fibre::closed_forms::{ALL, CellGroups, Term};
//! use moteweir_units::Solidity;
//!
//! let groups = CellGroups::new(Solidity::new(0.05).unwrap(), 0.0).with_interception(0.1).with_peclet(1e4);
//! let theory = ALL.iter().find(|form| form.name == "interception, small particles").unwrap();
//! assert_eq!(theory.term, Term::Interception);
//! assert!((theory.value(&groups).unwrap() - 0.010833).abs() < 1e-6);
//! assert!(theory.holds(&groups));
//! ```

mod charge;
mod diffusion;
mod groups;
mod impaction;
mod interception;
mod settling;
#[cfg(test)]
mod tests;

pub use charge::{BY_CHARGE, ChargeForce, ChargeForm};
pub use groups::{CellGroups, Claimed};

use crate::refs::Reference;

/// The fibre Knudsen number to which a form without slip is taken to be claimed.
const WITHOUT_SLIP: f64 = 0.02;

/// What a closed form stands for, and so what it is to be compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Term {
    /// Capture of points that diffuse.
    Diffusion,
    /// Capture of particles of a size that keep to their streamlines.
    Interception,
    /// Both together.
    DiffusionAndInterception,
    /// What inertia adds to interception.
    Impaction,
    /// Interception and inertia together.
    InterceptionAndImpaction,
    /// What settling across the flow adds to interception.
    Settling,
}

impl Term {
    /// For a table or a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Diffusion => "diffusion",
            Self::Interception => "interception",
            Self::DiffusionAndInterception => "diffusion and interception",
            Self::Impaction => "inertial increment",
            Self::InterceptionAndImpaction => "interception and inertia",
            Self::Settling => "settling across the flow",
        }
    }
}

/// Which velocity a form's groups are made with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Convention {
    /// The superficial velocity U0, which is the mean velocity of the cell.
    Superficial,
    /// The velocity between the fibres, U0/(1 - alpha), which also stands in the exponent of the penetration law.
    Interstitial,
}

/// A closed form.
#[derive(Clone, Copy, Debug)]
pub struct ClosedForm {
    /// What people call it.
    pub name: &'static str,
    /// What it stands for.
    pub term: Term,
    /// Its equation, in the symbols of the project's glossary.
    pub equation: &'static str,
    /// Its velocity.
    pub convention: Convention,
    /// The range it is claimed for.
    pub claimed: Claimed,
    /// Where it comes from.
    pub source: Reference,
    formula: fn(&CellGroups) -> Option<f64>,
}

impl ClosedForm {
    /// The value, referred to the fibre's diameter and the superficial velocity \[-\]; `None` where a group that the
    /// form asks for is not given, or the form has no value.
    ///
    /// A form of the interstitial convention is evaluated with groups over U0/(1 - alpha) and divided by (1 - alpha), as
    /// the penetration law does it, so that all values clear the same air.
    pub fn value(&self, groups: &CellGroups) -> Option<f64> {
        let value = match self.convention {
            Convention::Superficial => (self.formula)(groups)?,
            Convention::Interstitial => {
                let open = 1.0 - groups.cell().solidity();
                (self.formula)(&groups.faster(open.recip()))? / open
            }
        };
        value.is_finite().then_some(value)
    }

    /// Whether the form knows of slip on the fibre.
    pub fn has_slip(&self) -> bool {
        self.claimed.fibre_knudsen[1] > WITHOUT_SLIP
    }

    /// Whether the groups lie in the range that the form is claimed for.
    pub fn holds(&self, groups: &CellGroups) -> bool {
        self.claimed.contains(groups)
    }
}

/// Every form, by term.
pub const ALL: [ClosedForm; 23] = [
    diffusion::STECHKINA_FUCHS,
    diffusion::FAN,
    diffusion::THEORY,
    diffusion::FITTED,
    diffusion::FITTED_WITH_SLIP,
    diffusion::FITTED_AND_BOUND,
    diffusion::COMMERCIAL_MEDIA,
    diffusion::HANDBOOK,
    diffusion::FAN_WITH_SLIP,
    interception::SMALL_PARTICLES,
    interception::FITTED,
    interception::FITTED_WITH_SLIP,
    interception::DILUTE,
    interception::POWER,
    diffusion::SUM_WITH_CROSS_TERM,
    diffusion::SUM,
    diffusion::THEORY_SUM,
    impaction::STECHKINA_SQUARE_OF_TWICE_KU,
    impaction::STECHKINA_TWICE_SQUARE_OF_KU,
    impaction::LANDAHL_HERRMANN,
    impaction::GOUGEON,
    impaction::SUNEJA_LEE,
    settling::SQUARE,
];
