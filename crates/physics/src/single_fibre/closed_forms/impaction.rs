//! Closed forms of impaction.
//!
//! Not here: forms for fibre Reynolds numbers above 30 (Ilias and Douglas 1989), where the cell's creeping flow ends.

use super::{CellGroups, Claimed, ClosedForm, Convention, Term};
use crate::refs;
use crate::single_fibre::impaction::published::{Prefactor, stechkina};

const STRAIGHT: Claimed = Claimed {
    solidity: [0.0035, 0.111],
    fibre_knudsen: [0.0, super::WITHOUT_SLIP],
    interception: [0.01, 0.4],
    stokes: Some([0.01, 2.0]),
    peclet: None,
    settling: None,
    fibre_reynolds: None,
};

pub(super) const STECHKINA_SQUARE_OF_TWICE_KU: ClosedForm = ClosedForm {
    name: "impaction, straight line over (2 Ku)^2",
    term: Term::Impaction,
    equation: "J Stk/(2 Ku)^2, J = (29.6 - 28 alpha^0.62) R^2 - 27.5 R^2.8",
    convention: Convention::Superficial,
    claimed: STRAIGHT,
    source: refs::TAN_2014,
    formula: |g| straight(g, Prefactor::SquareOfTwiceKu),
};

pub(super) const STECHKINA_TWICE_SQUARE_OF_KU: ClosedForm = ClosedForm {
    name: "impaction, straight line over 2 Ku^2",
    term: Term::Impaction,
    equation: "J Stk/(2 Ku^2), J as above",
    convention: Convention::Superficial,
    claimed: STRAIGHT,
    source: refs::HINDS_1999,
    formula: |g| straight(g, Prefactor::TwiceSquareOfKu),
};

pub(super) const LANDAHL_HERRMANN: ClosedForm = ClosedForm {
    name: "impaction, isolated cylinder",
    term: Term::Impaction,
    equation: "S^3/(S^3 + 0.77 S^2 + 0.22), S = 2 Stk (over the radius; uncertain)",
    convention: Convention::Superficial,
    claimed: Claimed { stokes: Some([0.05, 10.0]), solidity: [0.0035, 0.02], ..STRAIGHT },
    source: refs::LANDAHL_HERRMANN_1949,
    formula: |g| {
        let s = 2.0 * g.stokes()?;
        Some(s.powi(3) / (s.powi(3) + 0.77 * s * s + 0.22))
    },
};

pub(super) const GOUGEON: ClosedForm = ClosedForm {
    name: "impaction, power 3/2",
    term: Term::Impaction,
    equation: "0.0334 Stk^(3/2)",
    convention: Convention::Superficial,
    claimed: Claimed { stokes: Some([0.5, 4.1]), fibre_reynolds: Some([0.03, 0.25]), ..STRAIGHT },
    source: refs::GOUGEON_1996,
    formula: |g| Some(0.0334 * g.stokes()?.powf(1.5)),
};

pub(super) const SUNEJA_LEE: ClosedForm = ClosedForm {
    name: "interception and impaction, Reynolds number below 500",
    term: Term::InterceptionAndImpaction,
    equation: "[Stk/(Stk + 1.53 - 0.23 ln Re + 0.0167 ln^2 Re)]^2 + 2 R/(3 Stk) (uncertain)",
    convention: Convention::Superficial,
    claimed: Claimed { stokes: Some([1.0, 10.0]), fibre_reynolds: Some([0.1, 500.0]), ..STRAIGHT },
    source: refs::SUNEJA_LEE_1974,
    formula: |g| {
        let (stokes, log) = (g.stokes()?, g.fibre_reynolds()?.ln());
        let share = stokes / (stokes + 1.53 - 0.23 * log + 0.0167 * log * log);
        Some(share * share + 2.0 * g.interception() / (3.0 * stokes))
    },
};

fn straight(g: &CellGroups, prefactor: Prefactor) -> Option<f64> {
    let cell = g.cell();
    Some(stechkina(cell.solidity(), cell.kuwabara_factor(), g.stokes()?, g.interception(), prefactor))
}
