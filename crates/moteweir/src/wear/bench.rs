//! What the worn stacks of a case share, and the numbers of one family of them.

use std::ops::ControlFlow;

use moteweir_physics::air::Air;
use moteweir_physics::leak::{LeakError, LeakLaw, PowerLaw};
use moteweir_sim::quantile::{Progress, Sketch};
use moteweir_units::{Area, Flow, Length, Pressure};

use super::breath::{Breath, breath, course};
use super::drawn::{Drawn, Shares, lowest};
use super::family::{Family, MORE};
use super::worn::{Together, Worn};
use crate::case::{Breathing, Case, Face, LeakAt};
use crate::draws::{Realiser, Slot};
use crate::predict::Surroundings;
use crate::report::{BestLayers, InwardLeakage, WornLayers};

/// What all families share.
pub(super) struct Bench<'a> {
    pub(super) case: &'a Case,
    pub(super) face: &'a Face,
    pub(super) surroundings: &'a Surroundings,
    pub(super) realiser: &'a Realiser<'a>,
    /// Sizes that inhaled shares are averaged over, with their weights.
    pub(super) nodes: Vec<(Length, f64)>,
    pub(super) seed: u64,
    pub(super) draws: u64,
}

/// One family in every way of breathing.
pub(super) struct FamilyFound {
    pub(super) layers: Vec<WornLayers>,
    pub(super) best: Vec<BestLayers>,
    pub(super) drawn: Drawn,
}

/// A family at its central values.
struct Central<'a> {
    family: &'a Family,
    /// Each number of layers, two more than asked for.
    stacks: Vec<Together<'a>>,
    law: LeakLaw,
}

impl Bench<'_> {
    /// Wears a family in every way of breathing; `None` draws where there are none to make.
    pub(super) fn family(
        &self,
        family: &Family,
        watch: impl FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<FamilyFound, LeakError> {
        let central = |_: Slot| 0.5;
        let largest = family.asked() + MORE;
        let sizes: Vec<Length> = self.node_sizes().chain(self.surroundings.sizes().iter().copied()).collect();
        let worn = self.worn(&family.sheets(largest, true), &sizes, &central);
        let counts = family.counts(largest, true);
        let leak = self.realiser.leak(&central).unwrap_or(LeakAt::Law(LeakLaw::Sealed));
        // A fit test was done with one mask: that of one layer.
        let law = worn.law(&leak, &counts[0])?;
        let stacks = counts.iter().map(|c| worn.together(c)).collect();
        let middle = Central { family, stacks, law };
        let drawn = self.drawn(family, watch);
        let (mut layers, mut best) = (Vec::new(), Vec::new());
        for (way, breathing) in self.face.breathing.iter().enumerate() {
            let breaths: Vec<Breath> = middle
                .stacks
                .iter()
                .map(|stack| breath(stack, &middle.law, &breathing.inhalation))
                .collect::<Result<_, _>>()?;
            for (at, of_central) in breaths.iter().take(family.asked()).enumerate() {
                layers.push(self.worn_layers(&middle, breathing, at, of_central, &drawn.inhaled[way][at])?);
            }
            if family.layered.is_some() {
                best.push(self.best(&middle, breathing, &breaths, drawn.probabilities(way)));
            }
        }
        Ok(FamilyFound { layers, best, drawn })
    }

    /// Sheets with their tables, for the flows of every way of breathing.
    fn worn(&self, sheets: &[usize], sizes: &[Length], number: &impl Fn(Slot) -> f64) -> Worn {
        let peaks = || self.face.breathing.iter().map(|b| b.inhalation.peak_flow());
        let lowest = peaks().reduce(Flow::min).unwrap_or(Flow::from_m3_per_s(0.0));
        let highest = peaks().reduce(Flow::max).unwrap_or(lowest);
        let layers = self.realiser.stack(sheets, number).layers;
        let s = self.surroundings;
        Worn::over(layers, s.headline(), s.kind(), sizes, self.face.area, [lowest, highest])
    }

    /// Draws in which every sheet is a piece of its own, where the sheets of the material differ.
    fn drawn(&self, family: &Family, watch: impl FnMut(Progress) -> ControlFlow<()>) -> Drawn {
        let sizes: Vec<Length> = self.node_sizes().collect();
        let (asked, alike) = (family.asked(), family.is_alike(self.case));
        let (sheets, counts) = (family.sheets(asked, alike), family.counts(asked, alike));
        let draw = |index: u64| -> Option<Shares> {
            let number = |slot: Slot| slot.uniform(self.seed, index);
            let worn = self.worn(&sheets, &sizes, &number);
            let leak = self.realiser.leak(&number)?;
            let law = worn.law(&leak, &counts[0]).ok()?;
            let stacks: Vec<Together<'_>> = counts.iter().map(|c| worn.together(c)).collect();
            let share = |stack: &Together<'_>, breathing: &Breathing| {
                breath(stack, &law, &breathing.inhalation).ok().map(|b| self.average(&b.inhaled))
            };
            let of_way = |breathing: &Breathing| stacks.iter().map(|stack| share(stack, breathing)).collect();
            self.face.breathing.iter().map(of_way).collect()
        };
        Drawn::make([self.face.breathing.len(), asked], self.draws, draw, watch)
    }

    fn node_sizes(&self) -> impl Iterator<Item = Length> {
        self.nodes.iter().map(|(d, _)| *d)
    }

    fn average(&self, by_size: &[f64]) -> f64 {
        self.nodes.iter().zip(by_size).map(|((_, w), p)| w * p).sum()
    }

    fn worn_layers(
        &self,
        middle: &Central<'_>,
        breathing: &Breathing,
        at: usize,
        breath: &Breath,
        inhaled: &Sketch,
    ) -> Result<WornLayers, LeakError> {
        let stack = &middle.stacks[at];
        let sealed = super::breath::breath(stack, &LeakLaw::Sealed, &breathing.inhalation)?;
        // A run that was broken off before its first draws has no quantiles.
        let quantile = |rank| inhaled.quantile(rank).unwrap_or(f64::NAN);
        Ok(WornLayers {
            stack: middle.family.name.clone(),
            breathing: breathing.name.clone(),
            layers: middle.family.layers(at),
            total_inward_leakage: InwardLeakage {
                q025: quantile(0.025),
                q50: quantile(0.5),
                q975: quantile(0.975),
                central: self.average(&breath.inhaled),
            },
            filter_penetration: self.average(&breath.through_filter),
            leak_share_of_flow: breath.leak_share,
            peak_flow_m3_per_s: breathing.inhalation.peak_flow().to_m3_per_s(),
            peak_pressure_pa: breath.peak_pressure.to_pa(),
            mean_pressure_pa: breath.mean_pressure.to_pa(),
            work_j_per_l: breath.work_j_per_l,
            without_leak_penetration: self.average(&sealed.through_filter),
            without_leak_peak_pressure_pa: sealed.peak_pressure.to_pa(),
            diameter_m: self.surroundings.sizes().iter().map(|d| d.to_m()).collect(),
            total_inward_leakage_by_size: breath.inhaled[self.nodes.len()..].to_vec(),
            breath: course(stack, &middle.law, &breathing.inhalation)?,
        })
    }

    fn best(
        &self,
        middle: &Central<'_>,
        breathing: &Breathing,
        breaths: &[Breath],
        probability: Vec<f64>,
    ) -> BestLayers {
        let shares: Vec<f64> = breaths.iter().map(|b| self.average(&b.inhaled)).collect();
        let at = lowest(&shares[..middle.family.asked()]);
        let half = halved(&middle.law, middle.stacks[at].air());
        let with_half = half
            .and_then(|(_, law)| breath(&middle.stacks[at], &law, &breathing.inhalation).ok())
            .map_or(f64::NAN, |b| self.average(&b.inhaled));
        let (layers_low, layers_high) = middle_of(&probability);
        BestLayers {
            stack: middle.family.name.clone(),
            breathing: breathing.name.clone(),
            layers: middle.family.layers(at),
            layers_low,
            layers_high,
            probability,
            total_inward_leakage: shares[at],
            halving: half.map(|(what, _)| what),
            with_half_the_leak: with_half,
            with_two_layers_more: shares[at + MORE],
        }
    }
}

/// The numbers of layers, from 1, between which 95 % of the draws have their best.
fn middle_of(probability: &[f64]) -> (u32, u32) {
    let at = |rank: f64| {
        let mut below = 0.0;
        let found = probability.iter().position(|p| {
            below += p;
            below >= rank
        });
        u32::try_from(found.map_or(probability.len(), |position| position + 1)).unwrap_or(u32::MAX)
    };
    (at(0.025), at(0.975 - 1e-9))
}

/// What half the leak is called, and the leak with half the gap, half the area, or half the flow at the same pressure;
/// nothing where it is sealed or wide open.
fn halved(law: &LeakLaw, air: &Air) -> Option<(&'static str, LeakLaw)> {
    match law {
        LeakLaw::Sealed | LeakLaw::Open => None,
        LeakLaw::Slit(slit) => LeakLaw::slit(slit.length(), slit.gap() * 0.5, slit.depth())
            .ok()
            .map(|law| ("halving the gap", law)),
        LeakLaw::Hole { area } => LeakLaw::hole(Area::from_m2(0.5 * area.to_m2()))
            .ok()
            .map(|law| ("halving the area of the hole", law)),
        LeakLaw::PowerLaw(power) => {
            let pressure = Pressure::from_pa(50.0);
            let flow: Flow = law.flow_at(pressure, air) * 0.5;
            PowerLaw::through(flow, pressure, power.exponent())
                .ok()
                .map(|law| ("halving the leak", LeakLaw::PowerLaw(law)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nineteen_in_twenty_draws_lie_between_the_ends() {
        assert_eq!(middle_of(&[0.02, 0.50, 0.46, 0.02]), (2, 3));
        assert_eq!(middle_of(&[0.03, 0.94, 0.03]), (1, 3));
        assert_eq!(middle_of(&[0.0, 1.0]), (2, 2));
    }
}
