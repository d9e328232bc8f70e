//! Closed forms of interception.

use super::{Claimed, ClosedForm, Convention, Term};
use crate::refs;
use crate::single_fibre::interception;

const WITHOUT_SLIP: Claimed = Claimed {
    solidity: [0.0086, 0.151],
    fibre_knudsen: [0.0, super::WITHOUT_SLIP],
    interception: [0.01, 1.0],
    stokes: None,
    peclet: None,
    settling: None,
    fibre_reynolds: None,
};

pub(super) const SMALL_PARTICLES: ClosedForm = ClosedForm {
    name: "interception, small particles",
    term: Term::Interception,
    equation: "((1 - alpha)/Ku) R^2/(1 + R)",
    // Free of any velocity: the theory of the cell; what the fitted family makes of it is the next form.
    convention: Convention::Superficial,
    claimed: WITHOUT_SLIP,
    source: refs::TAN_2014,
    formula: |g| Some(interception::small_particle(g.cell(), g.interception())),
};

pub(super) const FITTED: ClosedForm = ClosedForm {
    name: "interception, fitted",
    term: Term::Interception,
    equation: "0.6 ((1 - alpha)/Ku) R^2/(1 + R)",
    convention: Convention::Interstitial,
    claimed: WITHOUT_SLIP,
    source: refs::LEE_LIU_1982,
    formula: |g| Some(0.6 * interception::small_particle(g.cell(), g.interception())),
};

pub(super) const FITTED_WITH_SLIP: ClosedForm = ClosedForm {
    name: "interception, fitted, with slip",
    term: Term::Interception,
    equation: "0.6 ((1 - alpha)/Ku) R^2/(1 + R) (1 + 1.996 Kn_f/R)",
    convention: Convention::Interstitial,
    claimed: Claimed { fibre_knudsen: [0.0, 0.1], ..WITHOUT_SLIP },
    source: refs::LIU_RUBOW_1990,
    formula: |g| Some(interception::fitted(g.cell(), g.fibre_knudsen(), g.interception())),
};

pub(super) const DILUTE: ClosedForm = ClosedForm {
    name: "interception, very open webs",
    term: Term::Interception,
    equation: "[2 (1 + R) ln(1 + R) - (1 + R) + 1/(1 + R)]/(2 Ku)",
    convention: Convention::Superficial,
    claimed: Claimed { solidity: [0.003, 0.05], ..WITHOUT_SLIP },
    source: refs::TAN_2014,
    formula: |g| {
        let reach = 1.0 + g.interception();
        let flow = 2.0 * reach * reach.ln() - reach + reach.recip();
        Some(flow / (2.0 * g.cell().kuwabara_factor()))
    },
};

pub(super) const POWER: ClosedForm = ClosedForm {
    name: "interception, power of 1 + R",
    term: Term::Interception,
    equation: "((1 - alpha)/Ku) R^2/(1 + R)^m, m = 2/(3 (1 - alpha))",
    convention: Convention::Superficial,
    claimed: WITHOUT_SLIP,
    source: refs::LEE_GIESEKE_1980,
    formula: |g| {
        let power = 2.0 / (3.0 * (1.0 - g.cell().solidity()));
        let r = g.interception();
        Some(g.shear() * r * r / (1.0 + r).powf(power))
    },
};
