//! What the worn stacks of a case share, and the numbers of one family of them.

use std::ops::ControlFlow;

use moteweir_physics::air::Air;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::leak::{LeakError, LeakLaw, PowerLaw};
use moteweir_sim::quantile::{Progress, Sketch};
use moteweir_units::{Area, Flow, Length, Pressure};

use super::breath::{Breath, Divided, course};
use super::drawn::{Drawn, Shares, lowest};
use super::drops::{Drops, PressureCurve};
use super::family::{Family, MORE};
use super::kernels::{Kernels, Room};
use super::open::Open;
use super::through::{Ladder, Through, coarsest};
use super::worn::Sizes;
use crate::case::{Breathing, Case, Face, LeakAt};
use crate::draws::{Realiser, Slot};
use crate::predict::Surroundings;
use crate::report::{BestLayers, InwardLeakage, WornLayers};

/// What all families share.
pub(super) struct Bench<'a> {
    case: &'a Case,
    face: &'a Face,
    surroundings: &'a Surroundings,
    realiser: &'a Realiser<'a>,
    /// Sizes that inhaled shares are averaged over, with their weights.
    nodes: Vec<(Length, f64)>,
    seed: u64,
    draws: u64,
    ladder: Ladder,
    kernels: Kernels,
}

/// What a bench is made of.
pub(super) struct Parts<'a> {
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

/// A family at its central values: each number of layers, two more than asked for.
struct Central<'a> {
    family: &'a Family,
    drops: Vec<PressureCurve>,
    /// What gets through, one column a size.
    through: Vec<Through>,
    law: LeakLaw,
}

impl<'a> Bench<'a> {
    pub(super) fn new(parts: Parts<'a>) -> Self {
        let Parts { case, face, surroundings, realiser, nodes, seed, draws } = parts;
        let [_, highest] = peaks(face);
        let ladder = Ladder::from((highest / face.area).to_m_per_s());
        let kernels = Kernels::new(ladder, surroundings.headline(), surroundings.kind(), &nodes);
        Self { case, face, surroundings, realiser, nodes, seed, draws, ladder, kernels }
    }

    /// Wears a family in every way of breathing.
    pub(super) fn family(
        &self,
        family: &Family,
        watch: impl FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<FamilyFound, LeakError> {
        let middle = self.central(family)?;
        let averages: Vec<Through> =
            middle.through.iter().map(|through| through.averaged(&self.weights())).collect();
        let drawn = self.drawn(family, coarsest(&averages), watch);
        let open = Open::new(self.case, self.face, &family.sheets(family.asked(), false), self.seed);
        let (mut layers, mut best) = (Vec::new(), Vec::new());
        for (way, breathing) in self.face.breathing.iter().enumerate() {
            let breaths: Vec<Breath> = (0..middle.drops.len())
                .map(|stack| self.breath(&middle, stack, &middle.law, breathing))
                .collect::<Result<_, _>>()?;
            for (at, of_central) in breaths.iter().take(family.asked()).enumerate() {
                let worn = self.worn_layers(&middle, breathing, at, of_central, &drawn.inhaled[way][at])?;
                layers.push(WornLayers { open: open.shares(&drawn, way, at), ..worn });
            }
            if family.layered.is_some() {
                best.push(self.best(&middle, breathing, &breaths, drawn.probabilities(way)));
            }
        }
        Ok(FamilyFound { layers, best, drawn })
    }

    fn central<'f>(&self, family: &'f Family) -> Result<Central<'f>, LeakError> {
        let number = |_: Slot| 0.5;
        let largest = family.asked() + MORE;
        let counts = family.counts(largest, true);
        let layers = self.realiser.stack(&family.sheets(largest, true), &number).layers;
        let drops = self.drops(&layers);
        let leak = self.realiser.leak(&number).unwrap_or(LeakAt::Law(LeakLaw::Sealed));
        // A fit test was done with one mask: that of one layer.
        let law = drops.law(&leak, &counts[0])?;
        let curves: Vec<PressureCurve> = counts.iter().map(|c| drops.together(c)).collect();
        let (_, [slowest, _]) = self.divided(&curves, &law)?;
        let fastest = self.ladder.velocity(0);
        let rungs = self.ladder.for_peaks(1, [slowest, fastest]);
        let all: Vec<Length> = self.node_sizes().chain(self.surroundings.sizes().iter().copied()).collect();
        let setting = self.setting();
        let sizes = Sizes::new(&all, self.surroundings.kind(), &setting);
        let through = sizes.through(&layers, &counts, &setting, (self.ladder, rungs));
        Ok(Central { family, drops: curves, through, law })
    }

    fn setting(&self) -> Setting {
        self.surroundings.headline()
    }

    fn drops<'l>(&self, layers: &'l [Layer]) -> Drops<'l> {
        Drops::new(layers, self.setting(), self.face.area, peaks(self.face))
    }

    /// How every breath divides, by way of breathing and stack, and the face velocities at their peaks: the slowest and
    /// the fastest.
    fn divided(
        &self,
        curves: &[PressureCurve],
        law: &LeakLaw,
    ) -> Result<(Vec<Vec<Divided<'_>>>, [f64; 2]), LeakError> {
        let of_way = |breathing: &'a Breathing| {
            curves.iter().map(|curve| Divided::new(curve, law, &breathing.inhalation)).collect()
        };
        let all: Vec<Vec<Divided<'_>>> = self.face.breathing.iter().map(of_way).collect::<Result<_, _>>()?;
        let ends = all
            .iter()
            .flatten()
            .fold([f64::INFINITY, 0.0_f64], |[low, high], d| [low.min(d.fastest), high.max(d.fastest)]);
        Ok((all, ends))
    }

    /// Draws in which every sheet is a piece of its own, where the sheets of the material differ.
    fn drawn(&self, family: &Family, stride: usize, watch: impl FnMut(Progress) -> ControlFlow<()>) -> Drawn {
        let (asked, alike) = (family.asked(), family.is_alike(self.case));
        let (sheets, counts) = (family.sheets(asked, alike), family.counts(asked, alike));
        let draw = |index: u64, room: &mut Room| -> Option<Shares> {
            let number = |slot: Slot| slot.uniform(self.seed, index);
            let layers = self.realiser.stack(&sheets, &number).layers;
            let leak = self.realiser.leak(&number)?;
            let drops = self.drops(&layers);
            let law = drops.law(&leak, &counts[0]).ok()?;
            let curves: Vec<PressureCurve> = counts.iter().map(|c| drops.together(c)).collect();
            let (divided, ends) = self.divided(&curves, &law).ok()?;
            let rungs = self.ladder.for_peaks(stride, ends);
            let through = self.kernels.through(&layers, &counts, rungs, room);
            let shares = |stacks: &Vec<Divided<'_>>| {
                stacks.iter().zip(&through).map(|(d, through)| d.breath(through, 1).inhaled[0]).collect()
            };
            Some(divided.iter().map(shares).collect())
        };
        Drawn::make([self.face.breathing.len(), asked], self.draws, draw, watch)
    }

    fn node_sizes(&self) -> impl Iterator<Item = Length> {
        self.nodes.iter().map(|(d, _)| *d)
    }

    fn weights(&self) -> Vec<f64> {
        self.nodes.iter().map(|(_, weight)| *weight).collect()
    }

    fn average(&self, by_size: &[f64]) -> f64 {
        self.nodes.iter().zip(by_size).map(|((_, w), p)| w * p).sum()
    }

    /// A breath through one of the stacks, size by size.
    fn breath(
        &self,
        middle: &Central<'_>,
        stack: usize,
        law: &LeakLaw,
        breathing: &Breathing,
    ) -> Result<Breath, LeakError> {
        let columns = self.nodes.len() + self.surroundings.sizes().len();
        let divided = Divided::new(&middle.drops[stack], law, &breathing.inhalation)?;
        Ok(divided.breath(&middle.through[stack], columns))
    }

    fn worn_layers(
        &self,
        middle: &Central<'_>,
        breathing: &Breathing,
        at: usize,
        breath: &Breath,
        inhaled: &Sketch,
    ) -> Result<WornLayers, LeakError> {
        let sealed = self.breath(middle, at, &LeakLaw::Sealed, breathing)?;
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
            open: Vec::new(),
            diameter_m: self.surroundings.sizes().iter().map(|d| d.to_m()).collect(),
            total_inward_leakage_by_size: breath.inhaled[self.nodes.len()..].to_vec(),
            breath: course(&middle.drops[at], &middle.law, &breathing.inhalation)?,
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
        let half = halved(&middle.law, middle.drops[at].air());
        let with_half = half
            .and_then(|(_, law)| self.breath(middle, at, &law, breathing).ok())
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

/// The lowest and the highest peak flow of the ways of breathing.
fn peaks(face: &Face) -> [Flow; 2] {
    let peaks = || face.breathing.iter().map(|b| b.inhalation.peak_flow());
    let lowest = peaks().reduce(Flow::min).unwrap_or(Flow::from_m3_per_s(0.0));
    [lowest, peaks().reduce(Flow::max).unwrap_or(lowest)]
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
