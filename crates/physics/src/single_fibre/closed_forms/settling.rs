//! Closed forms of settling.

use super::{Claimed, ClosedForm, Convention, Term};
use crate::refs;

pub(super) const SQUARE: ClosedForm = ClosedForm {
    name: "settling across the flow, square",
    term: Term::Settling,
    equation: "G^2",
    convention: Convention::Superficial,
    claimed: Claimed {
        solidity: [0.0035, 0.111],
        fibre_knudsen: [0.0, super::WITHOUT_SLIP],
        interception: [0.01, 1.0],
        stokes: None,
        peclet: None,
        settling: Some([1e-3, 1.0]),
        fibre_reynolds: None,
    },
    source: refs::HINDS_1999,
    formula: |g| Some(g.settling()?.powi(2)),
};
