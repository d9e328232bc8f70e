//! Closed forms of diffusion, and of diffusion with interception.

use super::{CellGroups, Claimed, ClosedForm, Convention, Term};
use crate::refs;
use crate::single_fibre::{diffusion, interception};

/// Solidities of ordinary filters that the cell theories were made for (from memory).
const ORDINARY: [f64; 2] = [0.0035, 0.111];
/// Solidities of the filters that the fitted family was made with (from memory).
const FITTED_FILTERS: [f64; 2] = [0.0086, 0.151];
/// Peclet numbers of a thin layer.
const THIN: [f64; 2] = [100.0, 1e8];

const POINTS: Claimed = Claimed {
    solidity: ORDINARY,
    fibre_knudsen: [0.0, super::WITHOUT_SLIP],
    interception: [0.0, 0.0],
    stokes: None,
    peclet: Some(THIN),
    settling: None,
    fibre_reynolds: None,
};

const FITTED_POINTS: Claimed = Claimed { solidity: FITTED_FILTERS, ..POINTS };

pub(super) const STECHKINA_FUCHS: ClosedForm = ClosedForm {
    name: "diffusion, two terms",
    term: Term::Diffusion,
    equation: "2.9 Ku^(-1/3) Pe^(-2/3) + 0.624/Pe",
    convention: Convention::Superficial,
    claimed: POINTS,
    source: refs::STECHKINA_FUCHS_1966,
    formula: |g| Some(diffusion::array(g.cell(), g.peclet()?)),
};

pub(super) const FAN: ClosedForm = ClosedForm {
    name: "diffusion, fan model",
    term: Term::Diffusion,
    equation: "2.7 Pe^(-2/3)",
    convention: Convention::Superficial,
    claimed: Claimed { solidity: [0.01, 0.15], ..POINTS },
    source: refs::KIRSCH_FUCHS_1968,
    formula: |g| Some(2.7 * minus_two_thirds(g.peclet()?)),
};

pub(super) const THEORY: ClosedForm = ClosedForm {
    name: "diffusion, theory of the fitted family",
    term: Term::Diffusion,
    equation: "2.6 ((1 - alpha)/Ku)^(1/3) Pe^(-2/3)",
    convention: Convention::Interstitial,
    claimed: FITTED_POINTS,
    source: refs::LEE_LIU_1982,
    formula: |g| Some(2.6 * g.shear().cbrt() * minus_two_thirds(g.peclet()?)),
};

pub(super) const FITTED: ClosedForm = ClosedForm {
    name: "diffusion, fitted",
    term: Term::Diffusion,
    equation: "1.6 ((1 - alpha)/Ku)^(1/3) Pe^(-2/3)",
    convention: Convention::Interstitial,
    claimed: FITTED_POINTS,
    source: refs::LEE_LIU_1982,
    formula: |g| Some(1.6 * g.shear().cbrt() * minus_two_thirds(g.peclet()?)),
};

pub(super) const FITTED_WITH_SLIP: ClosedForm = ClosedForm {
    name: "diffusion, fitted, with slip",
    term: Term::Diffusion,
    equation: "1.6 ((1 - alpha)/Ku)^(1/3) Pe^(-2/3) [1 + 0.388 Kn_f ((1 - alpha) Pe/Ku)^(1/3)]",
    convention: Convention::Interstitial,
    claimed: Claimed { fibre_knudsen: [0.0, 0.1], ..FITTED_POINTS },
    source: refs::LIU_RUBOW_1990,
    formula: |g| fitted_with_slip(g),
};

pub(super) const FITTED_AND_BOUND: ClosedForm = ClosedForm {
    name: "diffusion, fitted, with slip and bound",
    term: Term::Diffusion,
    equation: "the line above, E0, as E0/(1 + E0)",
    convention: Convention::Interstitial,
    claimed: Claimed { fibre_knudsen: [0.0, 0.1], peclet: Some([1.0, 1e8]), ..FITTED_POINTS },
    source: refs::PAYET_1992,
    formula: |g| Some(diffusion::fitted(g.cell(), g.fibre_knudsen(), g.peclet()?)),
};

pub(super) const COMMERCIAL_MEDIA: ClosedForm = ClosedForm {
    name: "diffusion, commercial media",
    term: Term::Diffusion,
    equation: "0.84 Pe^(-0.43)",
    convention: Convention::Superficial,
    claimed: Claimed {
        solidity: [0.03, 0.08],
        fibre_knudsen: [0.0, 0.1],
        peclet: Some([1.0, 1e3]),
        ..POINTS
    },
    source: refs::WANG_2007,
    formula: |g| Some(0.84 * g.peclet()?.powf(-0.43)),
};

pub(super) const HANDBOOK: ClosedForm = ClosedForm {
    name: "diffusion, handbook",
    term: Term::Diffusion,
    equation: "2 Pe^(-2/3)",
    convention: Convention::Superficial,
    claimed: POINTS,
    source: refs::HINDS_1999,
    formula: |g| Some(2.0 * minus_two_thirds(g.peclet()?)),
};

pub(super) const FAN_WITH_SLIP: ClosedForm = ClosedForm {
    name: "diffusion, fan model with slip",
    term: Term::Diffusion,
    equation: "2.7 Pe^(-2/3) [1 + 0.39 k_f^(-1/3) Pe^(1/3) Kn_f] + 0.624/Pe, k_f = -(1/2) ln alpha - 0.52 + 0.64 alpha + 1.43 (1 - alpha) Kn_f",
    convention: Convention::Superficial,
    claimed: Claimed { solidity: [0.01, 0.15], fibre_knudsen: [0.0, 1.0], ..POINTS },
    source: refs::KIRSCH_STECHKINA_1978,
    formula: |g| {
        let (pe, kn, alpha) = (g.peclet()?, g.fibre_knudsen(), g.cell().solidity());
        let drag = -0.5 * alpha.ln() - 0.52 + 0.64 * alpha + 1.43 * (1.0 - alpha) * kn;
        Some(2.7 * minus_two_thirds(pe) * (1.0 + 0.39 * (pe / drag).cbrt() * kn) + 0.624 / pe)
    },
};

const SIZED: Claimed = Claimed { interception: [0.01, 1.0], ..POINTS };

pub(super) const SUM_WITH_CROSS_TERM: ClosedForm = ClosedForm {
    name: "two terms + exact interception + cross term",
    term: Term::DiffusionAndInterception,
    equation: "2.9 Ku^(-1/3) Pe^(-2/3) + 0.624/Pe + E_R + 1.24 R^(2/3)/(Ku Pe)^(1/2)",
    convention: Convention::Superficial,
    claimed: SIZED,
    source: refs::STECHKINA_1969,
    formula: |g| {
        let (pe, r) = (g.peclet()?, g.interception());
        Some(
            diffusion::array(g.cell(), pe)
                + interception::exact(g.cell(), r)
                + diffusion::cross_term(g.cell(), pe, r),
        )
    },
};

pub(super) const SUM: ClosedForm = ClosedForm {
    name: "two terms + exact interception",
    term: Term::DiffusionAndInterception,
    equation: "2.9 Ku^(-1/3) Pe^(-2/3) + 0.624/Pe + E_R",
    convention: Convention::Superficial,
    claimed: SIZED,
    source: refs::STECHKINA_FUCHS_1966,
    formula: |g| {
        Some(diffusion::array(g.cell(), g.peclet()?) + interception::exact(g.cell(), g.interception()))
    },
};

pub(super) const THEORY_SUM: ClosedForm = ClosedForm {
    name: "theory of the fitted family, sum",
    term: Term::DiffusionAndInterception,
    equation: "2.6 x^(1/3) Pe^(-2/3) + x R^2/(1 + R), x = (1 - alpha)/Ku",
    convention: Convention::Interstitial,
    claimed: Claimed { solidity: FITTED_FILTERS, ..SIZED },
    source: refs::LEE_LIU_1982,
    formula: |g| {
        Some(
            2.6 * g.shear().cbrt() * minus_two_thirds(g.peclet()?)
                + interception::small_particle(g.cell(), g.interception()),
        )
    },
};

fn minus_two_thirds(peclet: f64) -> f64 {
    peclet.cbrt() / peclet
}

fn fitted_with_slip(g: &CellGroups) -> Option<f64> {
    let pe = g.peclet()?;
    let x_pe_third = (g.shear() * pe).cbrt();
    Some(1.6 * x_pe_third / pe * (1.0 + 0.388 * g.fibre_knudsen() * x_pe_third))
}
