//! A filter at its central values over face velocity, size by size, by the physics itself.

use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::closure::Slices;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::particle::Particle;
use moteweir_physics::stack::ParticleKind;
use moteweir_units::{Length, Velocity};
use rayon::prelude::*;

use super::through::{Ladder, Rungs, Through};

/// Sizes with their charge states and the shares of these.
pub(super) struct Sizes(Vec<(Particle, Vec<i32>, Vec<f64>)>);

impl Sizes {
    pub(super) fn new(sizes: &[Length], kind: &ParticleKind, setting: &Setting) -> Self {
        let of = |&diameter: &Length| {
            let states = condensed_charge_states(kind.charge, &setting.air, diameter);
            let (charges, shares) = states.into_iter().unzip();
            (Particle::new(&setting.air, diameter, kind.density), charges, shares)
        };
        Self(sizes.iter().map(of).collect())
    }

    /// What gets through so many of each layer, for every stack of counts: one column a size.
    pub(super) fn through(
        &self,
        layers: &[Layer],
        counts: &[Vec<u32>],
        setting: &Setting,
        (ladder, rungs): (Ladder, Rungs),
    ) -> Vec<Through> {
        let places: Vec<usize> = rungs.places().collect();
        let by_rung: Vec<Vec<Vec<f64>>> = places
            .par_iter()
            .map_init(Slices::default, |slices, &place| {
                let velocity = Velocity::from_m_per_s(ladder.velocity(place));
                let exponents: Vec<Vec<f64>> =
                    layers.iter().map(|layer| self.exponents(layer, setting, velocity, slices)).collect();
                counts.iter().map(|counts| self.penetrations(&exponents, counts)).collect()
            })
            .collect();
        let of_stack = |stack: usize| {
            let all: Vec<f64> = by_rung.iter().flat_map(|stacks| stacks[stack].iter().copied()).collect();
            Through::new(ladder, rungs, self.0.len(), &all)
        };
        (0..counts.len()).map(of_stack).collect()
    }

    /// -ln P of a layer by size and charge state.
    fn exponents(&self, layer: &Layer, setting: &Setting, velocity: Velocity, slices: &Slices) -> Vec<f64> {
        let ready = layer.prepare_with(setting, velocity, slices);
        let of = |(particle, charges, _): &(Particle, Vec<i32>, Vec<f64>)| {
            ready.penetrations(particle, charges).into_iter().map(|p| -p.value.ln()).collect::<Vec<f64>>()
        };
        self.0.iter().flat_map(of).collect()
    }

    /// Penetration of each size: the sum over charge states after the product over layers.
    fn penetrations(&self, exponents: &[Vec<f64>], counts: &[u32]) -> Vec<f64> {
        let mut state = 0;
        let mut next = || {
            let there = exponents.iter().zip(counts).filter(|(_, count)| **count > 0);
            let sum: f64 = there.map(|(row, &count)| f64::from(count) * row[state]).sum();
            state += 1;
            sum
        };
        self.0.iter().map(|(_, _, shares)| shares.iter().map(|share| share * (-next()).exp()).sum()).collect()
    }
}
