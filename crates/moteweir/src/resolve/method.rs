//! The ways of solving a particle at a fibre.

use moteweir_physics::single_fibre::closed_forms::Term;

use super::CellQuestion;

/// A way of solving.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// The concentration round the fibre: diffusion and interception, no inertia.
    Cell,
    /// Limiting trajectories: interception and inertia, no diffusion.
    Trajectories,
    /// Random histories of single particles: everything at once.
    Langevin,
    /// What the solvers found before, interpolated and joined by rule: what `closure = "resolved"` computes with.
    Atlas,
}

impl Method {
    /// All methods.
    pub const ALL: [Self; 4] = [Self::Cell, Self::Trajectories, Self::Langevin, Self::Atlas];

    /// The name on the command line and in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cell => "cell",
            Self::Trajectories => "trajectories",
            Self::Langevin => "langevin",
            Self::Atlas => "atlas",
        }
    }

    /// For a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cell => "the concentration round the fibre, solved on a grid",
            Self::Trajectories => "limiting trajectories",
            Self::Langevin => "random histories of single particles",
            Self::Atlas => "the atlas of solved cells",
        }
    }

    /// The method of a name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|method| method.name() == name)
    }

    /// The quickest method that leaves out nothing that the question asks about.
    pub fn that_leaves_nothing_out(question: &CellQuestion) -> Self {
        let groups = question.groups();
        match (groups.stokes(), groups.peclet()) {
            (Some(_), Some(_)) => Self::Langevin,
            (Some(_), None) => Self::Trajectories,
            (None, _) => Self::Cell,
        }
    }

    /// What its answer is to be compared with.
    pub(super) fn terms(self, question: &CellQuestion) -> &'static [Term] {
        let groups = question.groups();
        let point = groups.interception() <= 0.0;
        let (diffuses, is_heavy) = (groups.peclet().is_some(), groups.stokes().is_some());
        match self {
            Self::Trajectories if is_heavy => &[Term::InterceptionAndImpaction],
            Self::Trajectories => &[Term::Interception],
            Self::Langevin | Self::Atlas if is_heavy && diffuses => &[],
            Self::Langevin | Self::Atlas if is_heavy => &[Term::InterceptionAndImpaction],
            _ if !diffuses => &[Term::Interception],
            _ if point => &[Term::Diffusion],
            _ => &[Term::DiffusionAndInterception],
        }
    }
}
