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

/// A group that a range can be stated in. The main group of a form is the one that it depends on most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Group {
    /// Pe = U d_f/D.
    Peclet,
    /// R = d_p/d_f.
    Interception,
    /// Stk over the fibre's diameter.
    Stokes,
    /// Settling speed over U.
    Settling,
    /// Kn_f Pe^(1/3), about the mean free path over the thickness of the layer in which particles diffuse.
    SlipInLayer,
    /// Solidity.
    Solidity,
}

impl Group {
    /// The main group of what a form stands for.
    pub const fn main_of(term: Term) -> Self {
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
            Self::SlipInLayer => "Kn_f Pe^(1/3)",
            Self::Solidity => "alpha",
        }
    }

    /// For an axis.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Peclet => "Peclet number",
            Self::Interception => "interception parameter",
            Self::Stokes => "Stokes number",
            Self::Settling => "settling velocity over air velocity",
            Self::SlipInLayer => "slip over the diffusion layer",
            Self::Solidity => "solidity",
        }
    }

    /// All that is asked, claimed or not.
    pub const fn whole(self) -> [f64; 2] {
        match self {
            Self::Peclet => [1.0, 1e8],
            Self::Interception => [3e-3, 3.0],
            Self::Stokes => [3e-3, 30.0],
            Self::Settling => [1e-4, 3.0],
            Self::SlipInLayer => [0.01, 100.0],
            Self::Solidity => [0.003, 0.2],
        }
    }

    pub(super) fn value(self, groups: &CellGroups) -> f64 {
        match self {
            Self::Peclet => groups.peclet().unwrap_or(f64::NAN),
            Self::Interception => groups.interception(),
            Self::Stokes => groups.stokes().unwrap_or(f64::NAN),
            Self::Settling => groups.settling().unwrap_or(f64::NAN),
            Self::SlipInLayer => groups.fibre_knudsen() * groups.peclet().map_or(f64::NAN, f64::cbrt),
            Self::Solidity => groups.cell().solidity(),
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
            let groups = at(&form.claimed, form.has_slip(), Group::main_of(form.term), &place)?;
            (groups.interception() < ROOM * groups.cell().largest_interception()).then_some(groups)
        })
        .collect()
}

fn at(claimed: &Claimed, with_slip: bool, main: Group, place: &[f64; DIMENSIONS]) -> Option<CellGroups> {
    let limits = |group: Group, claimed: [f64; 2]| if group == main { main.whole() } else { claimed };
    let solidity = Solidity::new(logarithmic(claimed.solidity, place[0]))?;
    // Even in the number itself: half of all fibres in air are thicker than the middle of the range.
    let thinnest = if with_slip { claimed.fibre_knudsen[1] } else { 0.0 };
    let mut groups = CellGroups::new(solidity, thinnest * place[1]);
    let sizes = limits(Group::Interception, claimed.interception);
    if sizes[1] > 0.0 {
        let room = KuwabaraCell::new(solidity, 0.0).largest_interception();
        groups = groups.with_interception(logarithmic(sizes, place[2]).min(room));
    }
    if let Some(claimed) = claimed.stokes {
        groups = groups.with_stokes(logarithmic(limits(Group::Stokes, claimed), place[3]));
    }
    if let Some(claimed) = claimed.peclet {
        groups = groups.with_peclet(logarithmic(limits(Group::Peclet, claimed), place[4]));
    }
    if let Some(claimed) = claimed.settling {
        groups = groups.with_settling(logarithmic(limits(Group::Settling, claimed), place[3]));
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
