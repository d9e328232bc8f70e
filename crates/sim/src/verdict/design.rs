//! Where a closed form is asked.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::closed_forms::{CellGroups, Claimed, ClosedForm, Term};
use moteweir_units::Solidity;

use crate::random::{Purpose, Sobol};

const POINTS: Purpose = Purpose::named("verdict on closed forms");
/// Solidity, fibre Knudsen number, interception, Stokes, Peclet and Reynolds number.
const DIMENSIONS: usize = 6;
/// Particles larger than this share of the room in the cell are left to sieving.
const ROOM: f64 = 0.9;
/// What is sampled on a logarithmic axis starts here where its range starts at 0.
const LEAST: f64 = 1e-3;

/// The group that a form depends on most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MainGroup {
    /// Pe = U d_f/D.
    Peclet,
    /// R = d_p/d_f.
    Interception,
    /// Stk over the fibre's diameter.
    Stokes,
    /// Settling speed over U.
    Settling,
}

impl MainGroup {
    /// Of what a form stands for.
    pub const fn of(term: Term) -> Self {
        match term {
            Term::Diffusion | Term::DiffusionAndInterception => Self::Peclet,
            Term::Interception => Self::Interception,
            Term::Impaction | Term::InterceptionAndImpaction => Self::Stokes,
            Term::Settling => Self::Settling,
        }
    }

    /// Its symbol.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Peclet => "Pe",
            Self::Interception => "R",
            Self::Stokes => "Stk",
            Self::Settling => "G",
        }
    }

    /// For an axis.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Peclet => "Peclet number",
            Self::Interception => "interception parameter",
            Self::Stokes => "Stokes number",
            Self::Settling => "settling velocity over air velocity",
        }
    }

    /// All that is asked, claimed or not.
    pub const fn whole(self) -> [f64; 2] {
        match self {
            Self::Peclet => [1.0, 1e8],
            Self::Interception => [3e-3, 3.0],
            Self::Stokes => [3e-3, 30.0],
            Self::Settling => [1e-4, 3.0],
        }
    }

    pub(super) fn value(self, groups: &CellGroups) -> f64 {
        match self {
            Self::Peclet => groups.peclet().unwrap_or(f64::NAN),
            Self::Interception => groups.interception(),
            Self::Stokes => groups.stokes().unwrap_or(f64::NAN),
            Self::Settling => groups.settling().unwrap_or(f64::NAN),
        }
    }
}

/// The points at which a form is asked: the claimed range, the main group over its whole range. Particles that the cell
/// has no room for are left out. A form without slip is asked where there is none.
pub(super) fn points(form: &ClosedForm, count: u32, seed: u64) -> Vec<CellGroups> {
    let sobol = Sobol::new(DIMENSIONS, seed, POINTS, 0);
    let mut place = [0.0; DIMENSIONS];
    (0..count)
        .filter_map(|number| {
            sobol.point(number, &mut place);
            let groups = at(&form.claimed, form.has_slip(), MainGroup::of(form.term), &place)?;
            (groups.interception() < ROOM * groups.cell().largest_interception()).then_some(groups)
        })
        .collect()
}

fn at(claimed: &Claimed, with_slip: bool, main: MainGroup, place: &[f64; DIMENSIONS]) -> Option<CellGroups> {
    let limits = |group: MainGroup, claimed: [f64; 2]| if group == main { main.whole() } else { claimed };
    let solidity = Solidity::new(logarithmic(claimed.solidity, place[0]))?;
    // Even in the number itself: half of all fibres in air are thicker than the middle of the range.
    let thinnest = if with_slip { claimed.fibre_knudsen[1] } else { 0.0 };
    let mut groups = CellGroups::new(solidity, thinnest * place[1]);
    let sizes = limits(MainGroup::Interception, claimed.interception);
    if sizes[1] > 0.0 {
        let room = KuwabaraCell::new(solidity, 0.0).largest_interception();
        groups = groups.with_interception(logarithmic(sizes, place[2]).min(room));
    }
    if let Some(claimed) = claimed.stokes {
        groups = groups.with_stokes(logarithmic(limits(MainGroup::Stokes, claimed), place[3]));
    }
    if let Some(claimed) = claimed.peclet {
        groups = groups.with_peclet(logarithmic(limits(MainGroup::Peclet, claimed), place[4]));
    }
    if let Some(claimed) = claimed.settling {
        groups = groups.with_settling(logarithmic(limits(MainGroup::Settling, claimed), place[3]));
    }
    if let Some(claimed) = claimed.fibre_reynolds {
        // The cell's flow is that of creeping air: Reynolds numbers above 1 are not its business.
        groups = groups.with_fibre_reynolds(logarithmic([claimed[0], claimed[1].min(1.0)], place[5]));
    }
    Some(groups)
}

fn logarithmic([low, high]: [f64; 2], share: f64) -> f64 {
    let low = if low > 0.0 { low } else { LEAST * high };
    low * (high / low).powf(share)
}
