//! Layers one behind the other: log-penetrations and pressure drops add, size by size and charge by charge.
//!
//! A particle keeps its charge through all layers, and its size. So the sum over charge states and any integral
//! over sizes comes after the product over layers, never before.

use moteweir_units::{Density, Length, Velocity};

use crate::charging::{ParticleCharge, charge_states, condensed_charge_states};
use crate::closure::Slices;
use crate::estimate::Estimate;
use crate::layer::{Layer, PreparedLayer, Setting};
use crate::particle::Particle;
use crate::range::Remarks;
use crate::worst_size::{WorstSize, worst_size};

/// Share of particles that a charge state has to hold to be looked at for remarks.
const MATTERS: f64 = 0.01;

/// The particles a stack is asked about, apart from their size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParticleKind {
    /// Density.
    pub density: Density,
    /// Charge.
    pub charge: ParticleCharge,
}

/// Layers with how many times each comes; the order does not matter to the result.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    layers: Vec<(Layer, u32)>,
}

/// A stack made ready for one setting and face velocity.
#[derive(Clone, Debug)]
pub struct PreparedStack {
    layers: Vec<(PreparedLayer, f64)>,
    setting: Setting,
}

impl Stack {
    /// From layers in the order of the flow; like layers are counted, not repeated.
    pub fn new(layers: impl IntoIterator<Item = (Layer, u32)>) -> Self {
        let mut counted: Vec<(Layer, u32)> = Vec::new();
        for (layer, times) in layers {
            match counted.iter_mut().find(|(known, _)| *known == layer) {
                Some((_, sum)) => *sum += times,
                None => counted.push((layer, times)),
            }
        }
        Self { layers: counted }
    }

    /// Makes the stack ready. The face velocity must be positive.
    pub fn prepare(&self, setting: &Setting, face_velocity: Velocity) -> PreparedStack {
        self.prepare_with(setting, face_velocity, &Slices::default())
    }

    /// As [`Stack::prepare`], with slices of the tables that other stacks share.
    pub fn prepare_with(&self, setting: &Setting, face_velocity: Velocity, slices: &Slices) -> PreparedStack {
        let prepare = |(layer, times): &(Layer, u32)| {
            (layer.prepare_with(setting, face_velocity, slices), f64::from(*times))
        };
        PreparedStack { layers: self.layers.iter().map(prepare).collect(), setting: *setting }
    }

    /// Pressure drop at a face velocity \[Pa\].
    pub fn pressure_drop(&self, setting: &Setting, face_velocity: Velocity) -> Estimate {
        self.layers.iter().fold(Estimate::exact(0.0), |sum, (layer, times)| {
            sum.plus(layer.pressure_drop(setting, face_velocity), f64::from(*times))
        })
    }

    /// Notes where the layers themselves leave the ranges of the relations.
    pub fn check(&self, setting: &Setting, face_velocity: Velocity, remarks: &mut Remarks) {
        for (layer, _) in &self.layers {
            layer.check(setting, face_velocity, remarks);
        }
    }
}

impl PreparedStack {
    /// Pressure drop \[Pa\].
    pub fn pressure_drop(&self) -> Estimate {
        self.layers
            .iter()
            .fold(Estimate::exact(0.0), |sum, (layer, times)| sum.plus(layer.pressure_drop(), *times))
    }

    /// Penetration \[-\] of particles of a mobility diameter.
    ///
    /// ```text
    /// P(d) = sum over n of f(n) x product over layers of P_i(d, n)
    /// ```
    pub fn penetration(&self, diameter: Length, kind: &ParticleKind) -> Estimate {
        let particle = Particle::new(&self.setting.air, diameter, kind.density);
        let states = condensed_charge_states(kind.charge, &self.setting.air, diameter);
        let charges: Vec<i32> = states.iter().map(|(n, _)| *n).collect();
        let mut through = vec![Estimate::exact(1.0); charges.len()];
        for (layer, times) in &self.layers {
            for (product, p) in through.iter_mut().zip(layer.penetrations(&particle, &charges)) {
                *product = Estimate {
                    low: product.low * p.low.powf(*times),
                    value: product.value * p.value.powf(*times),
                    high: product.high * p.high.powf(*times),
                };
            }
        }
        states
            .iter()
            .zip(through)
            .fold(Estimate::exact(0.0), |sum, ((_, share), p)| sum.plus(p, *share))
            .map_rising(|p| p.clamp(0.0, 1.0))
    }

    /// The most penetrating size between two diameters.
    pub fn worst_size(&self, smallest: Length, largest: Length, kind: &ParticleKind) -> WorstSize {
        worst_size(smallest, largest, |d| self.penetration(d, kind).value)
    }

    /// The prepared layers, each with how many times it comes.
    pub fn layers(&self) -> impl Iterator<Item = (&PreparedLayer, f64)> {
        self.layers.iter().map(|(layer, times)| (layer, *times))
    }

    /// Notes where particles of a diameter leave the ranges of the relations.
    pub fn check(&self, diameter: Length, kind: &ParticleKind, remarks: &mut Remarks) {
        let particle = Particle::new(&self.setting.air, diameter, kind.density);
        let states = charge_states(kind.charge, &self.setting.air, diameter);
        // The commonest state and the highest one that matters stand for all.
        let commonest = states.iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |s| s.0);
        let highest = states.iter().filter(|s| s.1 >= MATTERS).map(|s| s.0).max_by_key(|n| n.abs());
        let other = highest.filter(|n| *n != commonest);
        for (layer, _) in &self.layers {
            for n in std::iter::once(commonest).chain(other) {
                layer.check(&particle, n, remarks);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::Air;
    use crate::closure::Closure;
    use crate::fibre::FibreDiameters;
    use crate::single_fibre::electrostatic::Electret;
    use crate::single_fibre::gravity::FlowDirection;
    use crate::web::Web;
    use moteweir_units::{Solidity, SurfaceCharge};

    #[test]
    fn the_highest_charge_that_matters_is_looked_at_too() {
        let web = Web {
            solidity: Solidity::new(0.05).expect("inside 0..1"),
            thickness: Length::from_um(300.0),
            fibres: FibreDiameters::uniform(Length::from_um(5.0)),
            electret: Electret {
                surface_charge: SurfaceCharge::from_uc_per_m2(100.0),
                fibre_permittivity: 2.3,
                particle_permittivity: 3.0,
            },
            unevenness: 0.0,
            inhomogeneity: 1.0,
            drag_factor: None,
        };
        let setting =
            Setting { closure: Closure::LeeLiu, air: Air::reference(), direction: FlowDirection::Horizontal };
        let stack = Stack::new([(Layer::Web(web), 1)]).prepare(&setting, Velocity::from_cm_per_s(0.1));
        let warned = |charge| {
            let mut remarks = Remarks::default();
            let kind = ParticleKind { density: Density::from_kg_per_m3(1000.0), charge };
            stack.check(Length::from_um(0.1), &kind, &mut remarks);
            remarks.warnings().iter().any(|w| w.text.contains("charge parameter"))
        };
        // N of one charge lies between 50 and 100 here; at 0.1 um 42 % are neutral and a tenth carry two charges or more.
        assert!(!warned(ParticleCharge::Each(1)) && warned(ParticleCharge::Each(2)));
        assert!(warned(ParticleCharge::Equilibrium));
    }
}
