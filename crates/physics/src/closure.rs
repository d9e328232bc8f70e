//! Closures: complete, named sets of single-fibre expressions that belong together.
//!
//! Terms of one set are never mixed with another's, and each set carries its own velocity: the fitted set takes the
//! interstitial velocity U0/(1 - alpha) in Pe, Stk and G and 1/(1 - alpha) in the exponent, as its authors did; the
//! cell takes the superficial velocity U0 and no (1 - alpha), because the mean velocity over a whole cell, fibre
//! included, is U0.
//!
//! Charge is one law for all of them, that of the cell, brought to the set's velocity: see
//! [`PreparedFibre::with_charge`].

use std::f64::consts::PI;
use std::sync::Arc;

use moteweir_units::{Length, Solidity, Velocity};

use crate::air::Air;
use crate::cell::KuwabaraCell;
use crate::estimate::Estimate;
use crate::particle::Particle;
use crate::range::{Notice, Remarks};
use crate::single_fibre::electret_law::ElectretLaw;
use crate::single_fibre::electrostatic::Electret;
use crate::single_fibre::gravity::{self, FlowDirection};
use crate::single_fibre::impaction::{self, ImpactionSlice};
use crate::single_fibre::{diffusion, interception, resolved};

mod charge;
mod slices;
mod solved;
#[cfg(test)]
mod tests;

use charge::Charge;
pub use slices::Slices;

/// The low end of the inertial increment in the fitted set, whose other terms are about 0.6 of the cell's.
const FITTED_INCREMENT_SHARE: f64 = 0.6;
/// What two sums of the same terms may differ by.
const ROUNDING: f64 = 1e-12;

/// A named set of single-fibre expressions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Closure {
    /// Fitted to real, uneven filters: the default for webs.
    LeeLiu,
    /// The ideal, perfectly even array of Kuwabara's cell in closed forms.
    KuwabaraCell,
    /// The same cell as solved, without the closed forms' own errors: an optimistic bound for webs.
    Resolved,
}

impl Closure {
    /// Those whose spread makes the band where a scenario does not say: fitted to real webs, and the even array as solved.
    pub const USUALLY_COMPARED: [Self; 2] = [Self::LeeLiu, Self::Resolved];

    /// All closures of this version.
    pub const ALL: [Self; 3] = [Self::LeeLiu, Self::KuwabaraCell, Self::Resolved];

    /// The name in scenario files and outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::LeeLiu => "lee-liu",
            Self::KuwabaraCell => "kuwabara-cell",
            Self::Resolved => "resolved",
        }
    }

    /// Whether it is of a perfectly even web, so that an inhomogeneity factor applies to it.
    pub const fn is_ideal_cell(self) -> bool {
        matches!(self, Self::KuwabaraCell | Self::Resolved)
    }

    /// Face velocity over the velocity that its groups are made with, U0/U: 1 - alpha in the fitted set, else 1.
    pub const fn convention(self, solidity: Solidity) -> f64 {
        match self {
            Self::LeeLiu => 1.0 - solidity.fraction(),
            Self::KuwabaraCell | Self::Resolved => 1.0,
        }
    }

    /// The closure of a name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.name() == name)
    }
}

/// What a single fibre is asked: its surroundings, at one face velocity.
#[derive(Clone, Copy, Debug)]
pub struct FibreSurroundings {
    /// The web's solidity.
    pub solidity: Solidity,
    /// The fibre's diameter.
    pub fibre_diameter: Length,
    /// The face velocity of the layer.
    pub face_velocity: Velocity,
    /// Which way the air flows.
    pub direction: FlowDirection,
    /// Charge on the fibres and permittivities.
    pub electret: Electret,
}

/// Single-fibre efficiency of one particle by mechanism \[-\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SingleFibre {
    /// Diffusion.
    pub diffusion: f64,
    /// Interception.
    pub interception: f64,
    /// What diffusion and interception gain together; 0 in the fitted set.
    pub cross: f64,
    /// Inertial increment; slightly negative before it grows.
    pub impaction: f64,
    /// What settling adds to interception; negative against an upward flow.
    pub gravity: f64,
    /// Charge alone: what it and interception catch together, without interception.
    pub electrostatic: f64,
    /// All together, with the closure's own band.
    pub total: Estimate,
}

impl SingleFibre {
    /// All terms divided by a factor.
    #[must_use]
    pub(crate) fn over(self, factor: f64) -> Self {
        Self {
            diffusion: self.diffusion / factor,
            interception: self.interception / factor,
            cross: self.cross / factor,
            impaction: self.impaction / factor,
            gravity: self.gravity / factor,
            electrostatic: self.electrostatic / factor,
            total: self.total.map_rising(|e| e / factor),
        }
    }
}

/// Capture without charge, and how charge would act: what all charge states of a particle share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncharged {
    /// Capture without charge.
    pub single: SingleFibre,
    whole_cell: f64,
    charge: Charge,
}

/// Dimensionless groups of a particle at a fibre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Groups {
    /// Peclet number U d_f/D.
    pub peclet: f64,
    /// Stokes number rho d_p^2 Cc U/(18 mu d_f).
    pub stokes: f64,
    /// Interception parameter d_p/d_f.
    pub interception: f64,
    /// Settling velocity over velocity.
    pub settling: f64,
    /// Fibre Knudsen number 2 l/d_f.
    pub fibre_knudsen: f64,
    /// Fibre Reynolds number rho_g U d_f/mu.
    pub fibre_reynolds: f64,
}

/// A closure made ready for one fibre diameter, solidity and face velocity; then asked particle by particle.
#[derive(Clone, Debug)]
pub struct PreparedFibre {
    closure: Closure,
    air: Air,
    surroundings: FibreSurroundings,
    cell: KuwabaraCell,
    fibre_knudsen: f64,
    /// The velocity of the closure's convention.
    velocity: Velocity,
    /// The face velocity over it.
    convention: f64,
    impaction: ImpactionSlice,
    /// The solved cell, with [`Closure::Resolved`].
    resolved: Option<resolved::Slice>,
    /// The law of charge, where the fibre has some.
    electret_law: Option<Arc<ElectretLaw>>,
}

impl PreparedFibre {
    /// Makes a closure ready. The face velocity must be positive.
    pub fn new(closure: Closure, air: &Air, surroundings: FibreSurroundings) -> Self {
        Self::with_slices(closure, air, surroundings, &Slices::default())
    }

    /// As [`PreparedFibre::new`] with slices of the tables that other fibres share.
    pub fn with_slices(
        closure: Closure,
        air: &Air,
        surroundings: FibreSurroundings,
        slices: &Slices,
    ) -> Self {
        let fibre_knudsen = air.fibre_knudsen(surroundings.fibre_diameter);
        let solidity = surroundings.solidity;
        let charged = surroundings.electret.surface_charge.to_c_per_m2().abs() > 0.0;
        let convention = closure.convention(solidity);
        Self {
            closure,
            air: *air,
            surroundings,
            cell: KuwabaraCell::new(solidity, fibre_knudsen),
            fibre_knudsen,
            velocity: surroundings.face_velocity / convention,
            convention,
            impaction: slices.impaction(solidity),
            resolved: (closure == Closure::Resolved).then(|| slices.cell(solidity, fibre_knudsen)),
            electret_law: charged.then(|| slices.charge(solidity)),
        }
    }

    /// The groups of a particle, on the velocity of the closure's convention.
    pub fn groups(&self, particle: &Particle) -> Groups {
        let df = self.surroundings.fibre_diameter;
        let u = self.velocity.to_m_per_s();
        let mu = self.air.viscosity().to_pa_s();
        Groups {
            peclet: u * df.to_m() / particle.diffusivity().to_m2_per_s(),
            stokes: particle.relaxation_time().to_s() * u / df.to_m(),
            interception: particle.diameter() / df,
            settling: particle.settling_velocity().to_m_per_s() / u,
            fibre_knudsen: self.fibre_knudsen,
            fibre_reynolds: self.air.density().to_kg_per_m3() * u * df.to_m() / mu,
        }
    }

    /// Single-fibre efficiency of a particle with a number of elementary charges.
    pub fn efficiency(&self, particle: &Particle, charges: i32) -> SingleFibre {
        self.with_charge(&self.mechanical(particle), charges)
    }

    /// What all charge states of a particle share: capture without charge, and how charge would act.
    ///
    /// ```text
    /// E = E_D + E_DR + max(0, E_RG - E_R + min(E_R + E_I, 1 + R))
    /// ```
    /// The bracket is at most (1 + R) [`gravity::crossing`], the sweep of a particle that goes straight on, and the
    /// whole at most b [`gravity::arrival`], all particles that come into the cell.
    ///
    /// Of the solved cell diffusion and inertia are no sum; see [`resolved::Slice::composed`].
    pub fn mechanical(&self, particle: &Particle) -> Uncharged {
        let groups = self.groups(particle);
        if let Some(cell) = &self.resolved {
            return self.solved(cell, &groups, particle);
        }
        let r = groups.interception;
        let (by_diffusion, by_interception, cross) = self.carried_by_air(&groups);
        let with_gravity =
            gravity::with_interception(by_interception, r, groups.settling, self.surroundings.direction);
        let increment = self.increment(&groups);
        let settled = with_gravity - by_interception;
        let limit = 1.0 + r;
        let most_carried = limit * gravity::crossing(groups.settling, self.surroundings.direction);
        let whole_cell = self.whole_cell(particle);
        let total = increment.map_rising(|i| {
            let carried = (settled + (by_interception + i).min(limit)).max(0.0).min(most_carried);
            (by_diffusion + cross + carried).min(whole_cell)
        });
        let single = SingleFibre {
            diffusion: by_diffusion,
            interception: by_interception,
            cross,
            impaction: increment.value.min(limit - by_interception),
            gravity: settled,
            electrostatic: 0.0,
            total,
        };
        Uncharged { single, whole_cell, charge: self.charge(particle, &groups) }
    }

    /// Whether a charge number changes anything: on charged fibres or for charged particles.
    pub fn feels_charge(&self, charges: i32) -> bool {
        charges != 0 || self.is_charged()
    }

    /// Notes where a particle leaves the ranges of this closure's relations.
    pub fn check(&self, particle: &Particle, charges: i32, remarks: &mut Remarks) {
        let groups = self.groups(particle);
        if self.resolved.is_none() {
            remarks.check(diffusion::PECLET_RANGE, groups.peclet);
        }
        match self.closure {
            Closure::LeeLiu => remarks.check(interception::SLIP_RANGE, groups.fibre_knudsen),
            Closure::KuwabaraCell => remarks.check(interception::CELL_SLIP_RANGE, groups.fibre_knudsen),
            Closure::Resolved => {}
        }
        match &self.resolved {
            Some(cell) => self.check_solved(cell, &groups, remarks),
            None => self.check_impaction(&groups, remarks),
        }
        if interception::is_sieved(&self.cell, groups.interception) {
            remarks.say(Notice::Sieved);
        }
        if !self.arrives(particle) {
            remarks.say(Notice::SettlesOut);
        }
        let result = self.efficiency(particle, charges);
        if self.arrives(particle) && result.total.high >= self.whole_cell(particle) {
            remarks.say(Notice::WholeCellSwept);
        }
        if result.interception + result.impaction >= (1.0 - ROUNDING) * (1.0 + groups.interception)
            && !interception::is_sieved(&self.cell, groups.interception)
        {
            remarks.say(Notice::GeometricLimit);
        }
        if self.is_charged() {
            self.check_charge(particle, charges, remarks);
        }
    }

    fn check_impaction(&self, groups: &Groups, remarks: &mut Remarks) {
        remarks.check(impaction::SOLIDITY_RANGE, self.cell.solidity());
        let [of_stokes, of_interception] = self.impaction.ranges();
        remarks.check(of_stokes, groups.stokes);
        // Where inertia adds nothing, a particle too small for the table is no matter.
        if groups.stokes > impaction::NEGLIGIBLE_STOKES
            && !interception::is_sieved(&self.cell, groups.interception)
        {
            remarks.check(of_interception, groups.interception);
        }
    }

    /// Exponent of the penetration law for one unit of single-fibre efficiency, solidity and thickness apart \[1/m\]:
    ///
    /// ```text
    /// -ln P = E 4 alpha t/(pi d_f^2) d_f [ /(1 - alpha) in the fitted set ] / arrival
    /// ```
    /// This returns `d_f [ /(1 - alpha) ] / arrival` for a particle \[m\].
    pub(crate) fn cleared_width(&self, particle: &Particle) -> f64 {
        self.surroundings.fibre_diameter.to_m() / self.convention / self.arrival(particle)
    }

    /// Whether particles reach the layer at all: not where they fall faster than an upward flow carries them.
    pub(crate) fn arrives(&self, particle: &Particle) -> bool {
        self.arrival(particle) > 0.0
    }

    fn arrival(&self, particle: &Particle) -> f64 {
        let settling =
            particle.settling_velocity().to_m_per_s() / self.surroundings.face_velocity.to_m_per_s();
        gravity::arrival(settling, self.surroundings.direction)
    }

    fn is_charged(&self) -> bool {
        self.surroundings.electret.surface_charge.to_c_per_m2().abs() > 0.0
    }

    /// All particles that come into the cell, over the fibre's width.
    fn whole_cell(&self, particle: &Particle) -> f64 {
        self.cell.edge_radius() * self.arrival(particle)
    }

    /// Diffusion, interception and their cross term.
    fn carried_by_air(&self, groups: &Groups) -> (f64, f64, f64) {
        let r = groups.interception;
        match self.closure {
            Closure::LeeLiu => (
                diffusion::fitted(&self.cell, self.fibre_knudsen, groups.peclet),
                interception::fitted(&self.cell, self.fibre_knudsen, r),
                0.0,
            ),
            Closure::KuwabaraCell | Closure::Resolved => (
                diffusion::array(&self.cell, groups.peclet),
                interception::exact(&self.cell, r),
                diffusion::cross_term(&self.cell, groups.peclet, r),
            ),
        }
    }

    /// The inertial increment: the particle enters with the uniform velocity; with the local fluid velocity is the
    /// other end, and the fitted set also carries its usual share of the cell.
    fn increment(&self, groups: &Groups) -> Estimate {
        let increment = self.impaction.increment(groups.stokes, groups.interception);
        let cell = Estimate::spanning(increment.uniform, increment.uniform, increment.fluid);
        match self.closure {
            Closure::KuwabaraCell | Closure::Resolved => cell,
            Closure::LeeLiu => {
                let derated = cell.map_rising(|i| FITTED_INCREMENT_SHARE * i);
                cell.widened_by(derated)
            }
        }
    }
}

/// Length of fibre in a unit of a web's volume \[m/m3\]: 4 alpha/(pi <d_f^2>).
pub fn fibre_length_per_volume(solidity: Solidity, mean_square_diameter_m2: f64) -> f64 {
    4.0 * solidity.fraction() / (PI * mean_square_diameter_m2)
}
