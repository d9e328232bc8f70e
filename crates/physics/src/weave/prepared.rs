//! A cloth at one face velocity, asked particle by particle.

use moteweir_units::{Length, Solidity, Velocity};

use super::fabric::Fabric;
use super::split::Split;
use super::{Weave, pore_capture, rebound};
use crate::air::Air;
use crate::closure::{Closure, FibreSurroundings, Groups, PreparedFibre, SingleFibre, Slices, Uncharged};
use crate::estimate::Estimate;
use crate::layer::Setting;
use crate::particle::Particle;
use crate::range::{Notice, Range, Remarks};
use crate::refs;
use crate::single_fibre::gravity::{self, FlowDirection};
use crate::web::uneven_penetration;

/// Reynolds numbers of hairs at which the closures' flow holds.
pub const HAIR_REYNOLDS_RANGE: Range = Range {
    relation: "capture by hairs across pores",
    quantity: "fibre Reynolds number",
    low: 0.0,
    high: 1.0,
    source: refs::KUWABARA_1959,
};

/// A share of touches that stick below this is worth a notice.
const STICKS_SURELY: f64 = 0.95;
/// The model's value of entry impaction, as a share of its high end; the low end is nothing.
const ENTRY_VALUE: f64 = 0.5;

/// A weave made ready for one closure and face velocity.
#[derive(Clone, Debug)]
pub struct PreparedWeave {
    usual: PreparedFabric,
    ends: Vec<PreparedFabric>,
    face_velocity: Velocity,
    direction: FlowDirection,
}

/// What the pores do with a particle; shares of the particles that come with their air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PorePath {
    /// Share that gets past diffusion to the sides.
    pub past_diffusion: f64,
    /// Share caught on the rim for its width.
    pub rim: f64,
    /// Share that inertia carries onto the face round the mouth.
    pub entry: Estimate,
    /// Share that gets past the hairs.
    pub past_hairs: Estimate,
    /// Share that gets through it all.
    pub penetration: Estimate,
}

/// A particle's two ways through a cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paths {
    /// Through the pores; `None` where there are none.
    pub pores: Option<PorePath>,
    /// Penetration of the yarns.
    pub yarns: Estimate,
}

impl PreparedWeave {
    pub(super) fn new(weave: &Weave, setting: &Setting, face_velocity: Velocity, slices: &Slices) -> Self {
        let ready = |fabric: &Fabric| PreparedFabric::new(weave, fabric, setting, face_velocity, slices);
        let ends = weave.ends.iter().filter(|end| **end != weave.fabric).map(ready).collect();
        Self { usual: ready(&weave.fabric), ends, face_velocity, direction: setting.direction }
    }

    /// Pressure drop \[Pa\]; the band is that of the open and the tight reading of the cloth.
    pub fn pressure_drop(&self) -> Estimate {
        self.over_ends(|fabric| Estimate::exact(fabric.split.pressure_drop_pa))
    }

    /// How the air divides between pores and yarns.
    pub const fn split(&self) -> Split {
        self.usual.split
    }

    /// Penetration of a particle at each of a list of charge numbers; mechanical terms are evaluated once.
    pub fn penetrations(&self, particle: &Particle, charges: &[i32]) -> Vec<Estimate> {
        if !self.arrives(particle) {
            return vec![Estimate::exact(0.0); charges.len()];
        }
        let mut result = self.usual.penetrations(particle, charges);
        for end in &self.ends {
            for (sum, other) in result.iter_mut().zip(end.penetrations(particle, charges)) {
                *sum = sum.widened_by(other);
            }
        }
        result
    }

    /// Penetration of a particle of a charge.
    pub fn penetration(&self, particle: &Particle, charges: i32) -> Estimate {
        if !self.arrives(particle) {
            return Estimate::exact(0.0);
        }
        self.over_ends(|fabric| {
            let touched = fabric.touched(particle);
            fabric.mixed(&fabric.paths(particle, charges, &touched))
        })
    }

    /// A particle's two ways through the cloth.
    pub fn paths(&self, particle: &Particle, charges: i32) -> Paths {
        self.usual.paths(particle, charges, &self.usual.touched(particle))
    }

    /// Single-fibre efficiency of the fibres in the yarns.
    pub fn single_fibre(&self, particle: &Particle, charges: i32) -> SingleFibre {
        self.usual.yarns.fibre.efficiency(particle, charges)
    }

    /// Groups of a particle at the fibres in the yarns.
    pub fn groups(&self, particle: &Particle) -> Groups {
        self.usual.yarns.fibre.groups(particle)
    }

    /// Notes where a particle leaves the ranges of the relations.
    pub fn check(&self, particle: &Particle, charges: i32, remarks: &mut Remarks) {
        self.usual.yarns.fibre.check(particle, charges, remarks);
        let Some(pores) = &self.usual.pores else { return };
        if particle.diameter().to_m() >= pores.diameter {
            remarks.say(Notice::Sieved);
        }
        if let Some(hairs) = &pores.hairs {
            hairs.fibre.check(particle, charges, remarks);
            if rebound::least_adhesion(&hairs.fibre.groups(particle)) < STICKS_SURELY {
                remarks.say(Notice::ReboundInPores);
            }
        }
    }

    /// Whether particles reach the cloth at all: not where they fall faster than an upward flow carries them.
    fn arrives(&self, particle: &Particle) -> bool {
        let settling = particle.settling_velocity() / self.face_velocity;
        gravity::arrival(settling, self.direction) > 0.0
    }

    fn over_ends(&self, of: impl Fn(&PreparedFabric) -> Estimate) -> Estimate {
        self.ends.iter().fold(of(&self.usual), |sum, end| sum.widened_by(of(end)))
    }
}

/// Fibres of one diameter in the way of the air.
#[derive(Clone, Debug)]
struct Fibres {
    fibre: PreparedFibre,
    length_over_area: f64,
}

impl Fibres {
    fn new(
        closure: Closure,
        air: &Air,
        surroundings: FibreSurroundings,
        thickness: Length,
        slices: &Slices,
    ) -> Self {
        let length_over_area = pore_capture::fibre_length_over_area(
            surroundings.solidity.fraction(),
            thickness.to_m(),
            surroundings.fibre_diameter.to_m(),
        );
        Self { fibre: PreparedFibre::with_slices(closure, air, surroundings, slices), length_over_area }
    }

    fn exponent(&self, mechanical: &Uncharged, particle: &Particle, charges: i32) -> Estimate {
        if !self.fibre.arrives(particle) {
            // The slow air of these fibres brings none of them.
            return Estimate::exact(f64::INFINITY);
        }
        let weight = self.length_over_area * self.fibre.cleared_width(particle);
        self.fibre.total_with_charge(mechanical, charges).map_rising(|e| e * weight)
    }
}

/// The pores at their velocity.
#[derive(Clone, Debug)]
struct PreparedPores {
    diameter: f64,
    length: f64,
    velocity: f64,
    face_velocity: f64,
    open_share: f64,
    hairs: Option<Fibres>,
}

/// One reading of a cloth at one face velocity.
#[derive(Clone, Debug)]
struct PreparedFabric {
    split: Split,
    yarns: Fibres,
    pores: Option<PreparedPores>,
}

/// Mechanical capture by both kinds of fibre and by the bare pores, which all charge states of a particle share.
struct Touched {
    yarns: Uncharged,
    pores: Option<TouchedPores>,
}

/// What pores do to a particle before charge is asked.
struct TouchedPores {
    past_diffusion: f64,
    rim: f64,
    entry: Estimate,
    hairs: Option<Uncharged>,
}

impl PreparedFabric {
    fn new(
        weave: &Weave,
        fabric: &Fabric,
        setting: &Setting,
        face_velocity: Velocity,
        slices: &Slices,
    ) -> Self {
        let air = &setting.air;
        let split = Split::new(fabric, weave.fibre_diameter, air, face_velocity);
        let at = |solidity: Solidity, face_velocity: Velocity| FibreSurroundings {
            solidity,
            fibre_diameter: weave.fibre_diameter,
            face_velocity,
            direction: setting.direction,
            electret: weave.electret,
        };
        let yarns = Fibres::new(
            Closure::KuwabaraCell,
            air,
            at(fabric.yarn_solidity, split.yarn_velocity),
            fabric.yarn_path(),
            slices,
        );
        let hairs = Solidity::new(weave.hairs).map(|solidity| {
            let surroundings = at(solidity, split.pore_velocity);
            Fibres::new(setting.closure, air, surroundings, fabric.thickness, slices)
        });
        let pores = fabric.pores.filter(|_| split.pore_share_of_flow > 0.0).map(|pores| PreparedPores {
            diameter: pores.diameter.to_m(),
            length: fabric.thickness.to_m(),
            velocity: split.pore_velocity.to_m_per_s(),
            face_velocity: face_velocity.to_m_per_s(),
            open_share: pores.open_area() / split.pore_share_of_flow,
            hairs,
        });
        Self { split, yarns, pores }
    }

    fn touched(&self, particle: &Particle) -> Touched {
        Touched {
            yarns: self.yarns.fibre.mechanical(particle),
            pores: self.pores.as_ref().map(|pores| pores.touched(particle)),
        }
    }

    fn penetrations(&self, particle: &Particle, charges: &[i32]) -> Vec<Estimate> {
        let touched = self.touched(particle);
        charges.iter().map(|&n| self.mixed(&self.paths(particle, n, &touched))).collect()
    }

    fn paths(&self, particle: &Particle, charges: i32, touched: &Touched) -> Paths {
        let yarns = self.yarns.exponent(&touched.yarns, particle, charges);
        Paths {
            pores: self
                .pores
                .as_ref()
                .zip(touched.pores.as_ref())
                .map(|(pores, touched)| pores.path(particle, charges, touched)),
            yarns: yarns.map_falling(even_penetration),
        }
    }

    /// Both ways, each weighted with its share of the flow.
    fn mixed(&self, paths: &Paths) -> Estimate {
        let Some(pores) = paths.pores else { return paths.yarns };
        let share = self.split.pore_share_of_flow;
        Estimate::exact(0.0).plus(pores.penetration, share).plus(paths.yarns, 1.0 - share)
    }
}

impl PreparedPores {
    fn touched(&self, particle: &Particle) -> TouchedPores {
        let x = pore_capture::tube_parameter(
            particle.diffusivity().to_m2_per_s(),
            self.length,
            self.diameter,
            self.velocity,
        );
        let most = pore_capture::entry_impaction(
            particle.relaxation_time().to_s(),
            self.face_velocity,
            self.diameter,
            self.open_share,
        );
        TouchedPores {
            past_diffusion: pore_capture::through_tube(x),
            rim: pore_capture::rim_interception(particle.diameter().to_m(), self.diameter),
            entry: Estimate { low: 0.0, value: ENTRY_VALUE * most, high: most },
            hairs: self.hairs.as_ref().map(|hairs| hairs.fibre.mechanical(particle)),
        }
    }

    fn path(&self, particle: &Particle, charges: i32, touched: &TouchedPores) -> PorePath {
        let TouchedPores { past_diffusion, rim, entry, .. } = *touched;
        let past_hairs = self.past_hairs(particle, charges, touched.hairs.as_ref());
        let unhindered = past_diffusion * (1.0 - rim);
        PorePath {
            past_diffusion,
            rim,
            entry,
            past_hairs,
            penetration: Estimate {
                low: unhindered * (1.0 - entry.high) * past_hairs.low,
                value: unhindered * (1.0 - entry.value) * past_hairs.value,
                high: unhindered * (1.0 - entry.low) * past_hairs.high,
            },
        }
    }

    /// Past the hairs; at the high end particles that may bounce do.
    fn past_hairs(&self, particle: &Particle, charges: i32, mechanical: Option<&Uncharged>) -> Estimate {
        let (Some(hairs), Some(mechanical)) = (&self.hairs, mechanical) else {
            return Estimate::exact(1.0);
        };
        let sticking = rebound::least_adhesion(&hairs.fibre.groups(particle));
        let exponent = hairs.exponent(mechanical, particle, charges);
        Estimate { low: exponent.low * sticking, ..exponent }.map_falling(even_penetration)
    }
}

fn even_penetration(exponent: f64) -> f64 {
    uneven_penetration(exponent, 0.0)
}
