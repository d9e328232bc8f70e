//! Charge states of every size, arranged so that like-numbered states of all sizes lie side by side.

use moteweir_physics::air::Air;
use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::particle::Particle;
use moteweir_physics::stack::ParticleKind;

use super::sizes::GROUP;

/// The k-th charge state of each size that has so many, and of sizes between, with a share of 0.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    /// First size, counted from 0: a whole number of groups.
    pub start: usize,
    /// Where the slot's log-penetrations begin among all.
    pub offset: usize,
    /// Elementary charges.
    pub charges: Vec<f64>,
    /// Share of the particles of the size.
    pub shares: Vec<f64>,
}

/// All slots.
#[derive(Clone, Debug)]
pub(super) struct Channels {
    pub slots: Vec<Slot>,
    /// Number of charge of each state of each size, as the physics asks for it.
    pub states: Vec<Vec<i32>>,
    /// Log-penetrations in all.
    pub len: usize,
    /// Whether any particle carries charge.
    pub charged: bool,
}

impl Channels {
    pub(super) fn new(particles: &[Particle], kind: &ParticleKind, air: &Air) -> Self {
        let states: Vec<Vec<(i32, f64)>> =
            particles.iter().map(|p| condensed_charge_states(kind.charge, air, p.diameter())).collect();
        let end = particles.len().next_multiple_of(GROUP);
        let deepest = states.iter().map(Vec::len).max().unwrap_or(0);
        let (mut slots, mut len) = (Vec::with_capacity(deepest), 0);
        for k in 0..deepest {
            let first = states.iter().position(|states| states.len() > k).unwrap_or(0);
            let start = first / GROUP * GROUP;
            let state =
                |i: usize| states.get(i).and_then(|states| states.get(k)).copied().unwrap_or((0, 0.0));
            let charges: Vec<f64> = (start..end).map(|i| f64::from(state(i).0.abs())).collect();
            slots.push(Slot {
                start,
                offset: len,
                shares: (start..end).map(|i| state(i).1).collect(),
                charges,
            });
            len += end - start;
        }
        let states: Vec<Vec<i32>> =
            states.into_iter().map(|states| states.into_iter().map(|(n, _)| n).collect()).collect();
        let charged = states.iter().flatten().any(|n| *n != 0);
        Self { slots, states, len, charged }
    }

    /// Where a state of a size lies.
    pub(super) fn place(&self, size: usize, state: usize) -> usize {
        self.slots[state].offset + size - self.slots[state].start
    }
}
