//! How many layers: what each more buys and costs, with how sure one can be.

use std::sync::Arc;

use moteweir_physics::breathing::{Inhalation, WorkLevel};
use moteweir_physics::layer::{Layer, Setting};
use moteweir_sim::variation::kernel::{Cloths, Kernel, LogPenetrations, Scratch};
use moteweir_units::{Flow, Length, Velocity};
use rayon::prelude::*;

use super::asked::Asked;
use super::{few, sensitive};
use crate::case::{Case, Goal, Question, Target};
use crate::draws::{Realiser, Slot};
use crate::predict::{Surroundings, peak};
use crate::report::{Band, HowMany, HowManyStep, TargetReport};

/// Draws behind the bands where none are asked for.
const USUAL_DRAWS: u64 = 400;
/// Work levels whose breathing resistance is told, by their mean flow while inhaling.
const LEVELS: [WorkLevel; 3] = [WorkLevel::Rest, WorkLevel::Light, WorkLevel::Heavy];
/// Sizes that are always told.
const TOLD_SIZES_UM: [f64; 2] = [0.3, 1.0];

/// One draw of one number of layers.
#[derive(Clone, Debug)]
struct Drawn {
    worst: f64,
    told: [f64; 2],
    aerosol: f64,
    in_use: f64,
    levels: [f64; 3],
    limit: f64,
    /// Whether each target holds.
    held: Vec<bool>,
}

/// What the question brings to the run.
pub(super) struct Asking<'a> {
    pub(super) case: &'a Case,
    pub(super) surroundings: &'a Surroundings,
    pub(super) realiser: &'a Realiser<'a>,
    pub(super) cloths: &'a Arc<Cloths>,
    pub(super) seed: u64,
    pub(super) draws: Option<u64>,
}

/// Sizes that the question asks about beside the curve and the targets' own.
pub(super) fn sizes(case: &Case, surroundings: &Surroundings) -> Vec<Length> {
    if case.question.is_none() {
        return Vec::new();
    }
    let aerosol = aerosol(case, surroundings).into_iter().map(|(d, _)| d);
    TOLD_SIZES_UM.into_iter().map(Length::from_um).chain(aerosol).collect()
}

/// Targets that name no stack: they are about whatever is sewn.
pub(super) fn targets(case: &Case) -> Vec<&Target> {
    if case.question.is_none() {
        return Vec::new();
    }
    case.targets.iter().filter(|t| t.stacks.len() == case.stacks.len()).collect()
}

/// Answers the question of a case; `None` where it asks none.
pub(super) fn how_many(asking: &Asking<'_>) -> Option<HowMany> {
    let Asking { case, realiser, seed, .. } = *asking;
    let question = case.question.as_ref()?;
    let ready = Ready::new(asking, question);
    let draws = asking.draws.or(case.vary.draws).unwrap_or(USUAL_DRAWS).min(10 * USUAL_DRAWS);
    let central = ready.layers(realiser, &|_: Slot| 0.5, &mut ready.rooms());
    let drawn: Vec<Vec<Drawn>> = (0..draws)
        .into_par_iter()
        .map_init(
            || ready.rooms(),
            |rooms, index| ready.layers(realiser, &|slot: Slot| slot.uniform(seed, index), rooms),
        )
        .collect();
    let limit = question.resistance_at_most.as_ref();
    let steps: Vec<HowManyStep> = (0..question.most)
        .map(|n| ready.step(n, &central[n], &drawn, limit.map(|l| l.pressure_drop.to_pa())))
        .collect();
    let breathable = limit.is_some().then(|| {
        let sure = |step: &HowManyStep| step.under_limit_probability.unwrap_or(0.0);
        let most = steps.iter().take_while(|step| sure(step) >= 0.5).count();
        (most, if most == 0 { 0.0 } else { sure(&steps[most - 1]) })
    });
    let median = |step: &HowManyStep| step.mpps_penetration.q50;
    let worthwhile = 1 + steps
        .windows(2)
        .take_while(|pair| median(&pair[0]) - median(&pair[1]) >= question.gain_at_least)
        .count();
    let advised = breathable.map_or(worthwhile, |(most, _)| most.min(worthwhile)).max(1);
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Some(HowMany {
        material: case.materials[question.layers_of].name.clone(),
        between: between(case, question),
        draws,
        aerosol: case.aerosols.first().map(|a| a.name.clone()),
        resistance_limit: limit.map(|l| l.text.clone()),
        gain_at_least: question.gain_at_least,
        most_breathable: breathable.map(|b| count(b.0)),
        most_breathable_probability: breathable.map(|b| b.1),
        last_worthwhile: count(worthwhile),
        advised: count(advised),
        steps,
        sensitivity: ready.sensitivity(asking, advised, draws),
    })
}

/// The fixed layers in words.
fn between(case: &Case, question: &Question) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for &material in question.before.iter().chain(&question.after) {
        let name = &case.materials[material].name;
        if !names.contains(name) {
            names.push(name.clone());
        }
    }
    names
}

/// Nodes of the aerosol of interest.
fn aerosol(case: &Case, surroundings: &Surroundings) -> Vec<(Length, f64)> {
    case.aerosols.first().map_or_else(Vec::new, |a| {
        few(&a.aerosol.nodes(a.weighted_by, surroundings.air(), surroundings.kind().density))
    })
}

/// What the question asks, ready for draws.
struct Ready<'a> {
    case: &'a Case,
    setting: Setting,
    curve: &'a [Length],
    weights: Vec<f64>,
    /// Fixed sheets, then the layered ones.
    positions: Vec<usize>,
    fixed: usize,
    most: usize,
    /// Targets that name no stack.
    targets: Vec<&'a Target>,
    /// Velocities, that of use first, each with the positions of its targets.
    flows_asked: Vec<(Asked, Vec<usize>, Kernel)>,
    flows: [Flow; 3],
    limit_flow: Option<Flow>,
}

/// Room of one thread for each kernel, that of use first: scratch, one layer, layers so far, penetrations.
type Rooms = Vec<(Scratch, LogPenetrations, LogPenetrations, Vec<f64>)>;

impl<'a> Ready<'a> {
    fn new(asking: &Asking<'a>, question: &Question) -> Self {
        let Asking { case, surroundings, cloths, .. } = *asking;
        let setting = surroundings.headline();
        let targets = targets(case);
        let in_use = case.usage.flow / case.usage.area;
        let mut velocities: Vec<Velocity> = vec![in_use];
        velocities.extend(targets.iter().map(|t| t.face_velocity).filter(|v| *v != in_use));
        velocities.dedup();
        let flows_asked = velocities
            .into_iter()
            .map(|velocity| {
                let here: Vec<usize> =
                    (0..targets.len()).filter(|&t| targets[t].face_velocity == velocity).collect();
                let goals: Vec<&Target> = here.iter().map(|&t| targets[t]).collect();
                let asked = Asked::new(case, surroundings, velocity, &goals);
                let told = if velocity == in_use { sizes(case, surroundings) } else { Vec::new() };
                let all: Vec<Length> = asked.sizes().into_iter().chain(told).collect();
                let kernel = Kernel::with_cloths(&setting, velocity, &all, surroundings.kind(), cloths);
                (asked, here, kernel)
            })
            .collect();
        let curve = surroundings.sizes();
        let fixed: Vec<usize> = question.before.iter().chain(&question.after).copied().collect();
        Self {
            case,
            setting,
            curve,
            weights: aerosol(case, surroundings).into_iter().map(|(_, w)| w).collect(),
            fixed: fixed.len(),
            positions: fixed
                .into_iter()
                .chain(std::iter::repeat_n(question.layers_of, question.most))
                .collect(),
            most: question.most,
            targets,
            flows_asked,
            flows: LEVELS.map(|level| Inhalation::at(level).mean_flow()),
            limit_flow: question.resistance_at_most.as_ref().map(|l| l.flow),
        }
    }

    fn kernels(&self) -> impl Iterator<Item = &Kernel> {
        self.flows_asked.iter().map(|(_, _, kernel)| kernel)
    }

    fn rooms(&self) -> Rooms {
        let told = TOLD_SIZES_UM.len() + self.weights.len();
        self.flows_asked
            .iter()
            .enumerate()
            .map(|(n, (asked, _, kernel))| {
                let sizes = asked.sizes().len() + if n == 0 { told } else { 0 };
                (kernel.scratch(), kernel.empty(), kernel.empty(), vec![0.0; sizes])
            })
            .collect()
    }

    /// Every number of layers for the numbers of a draw; each sheet is one of its own.
    fn layers(
        &self,
        realiser: &Realiser<'_>,
        number: &impl Fn(Slot) -> f64,
        rooms: &mut Rooms,
    ) -> Vec<Drawn> {
        let layers = realiser.stack(&self.positions, number).layers;
        for (_, _, sum, _) in rooms.iter_mut() {
            sum.clear();
        }
        let mut drops = [0.0; 5];
        let mut before: Option<&Layer> = None;
        let mut found = Vec::with_capacity(self.most);
        let mut drops_of_one = drops;
        for (place, layer) in layers.iter().enumerate() {
            if before != Some(layer) {
                drops_of_one = self.drops(layer);
            }
            for (drop, of_one) in drops.iter_mut().zip(drops_of_one) {
                *drop += of_one;
            }
            for (kernel, (scratch, one, sum, _)) in self.kernels().zip(rooms.iter_mut()) {
                if before != Some(layer) {
                    one.clear();
                    kernel.add_layer(layer, 1.0, one, scratch);
                }
                sum.add(one, 1.0);
            }
            before = Some(layer);
            if place >= self.fixed {
                found.push(self.drawn(&layers[..=place], &drops, rooms));
            }
        }
        found
    }

    /// Pressure drops of a layer: in use, at the work levels, at the flow of the limit.
    fn drops(&self, layer: &Layer) -> [f64; 5] {
        let usage = &self.case.usage;
        let [rest, light, heavy] = self.flows;
        [Some(usage.flow), Some(rest), Some(light), Some(heavy), self.limit_flow].map(|flow| {
            flow.map_or(f64::NAN, |flow| layer.pressure_drop(&self.setting, flow / usage.area).value)
        })
    }

    /// What the layers added so far come to.
    fn drawn(&self, layers: &[Layer], drops: &[f64; 5], rooms: &mut Rooms) -> Drawn {
        for (kernel, (scratch, _, sum, through)) in self.kernels().zip(rooms.iter_mut()) {
            kernel.penetrations(sum, scratch, through);
        }
        let mut held = vec![false; self.targets.len()];
        for ((asked, here, _), (.., through)) in self.flows_asked.iter().zip(rooms.iter()) {
            for (goal, &target) in here.iter().enumerate() {
                let drop = || {
                    let velocity = self.targets[target].face_velocity;
                    layers.iter().map(|l| l.pressure_drop(&self.setting, velocity).value).sum()
                };
                held[target] = asked.holds(goal, through, drop);
            }
        }
        let through = &rooms[0].3;
        let told = &through[self.flows_asked[0].0.sizes().len()..];
        let [in_use, rest, light, heavy, limit] = *drops;
        Drawn {
            worst: peak(self.curve, &through[..self.curve.len()]).1,
            told: [told[0], told[1]],
            aerosol: self.weights.iter().zip(&told[TOLD_SIZES_UM.len()..]).map(|(w, p)| w * p).sum(),
            in_use,
            levels: [rest, light, heavy],
            limit,
            held,
        }
    }

    fn step(&self, n: usize, central: &Drawn, drawn: &[Vec<Drawn>], limit_pa: Option<f64>) -> HowManyStep {
        let band = |of: &dyn Fn(&Drawn) -> f64| {
            let mut values: Vec<f64> = drawn.iter().map(|d| of(&d[n])).collect();
            values.sort_by(f64::total_cmp);
            let at = |rank: f64| {
                let last = values.len().saturating_sub(1) as f64;
                values.iter().enumerate().find(|(i, _)| *i as f64 >= rank * last).map_or(f64::NAN, |v| *v.1)
            };
            Band { central: of(central), q025: at(0.025), q50: at(0.5), q975: at(0.975) }
        };
        let has_aerosol = !self.weights.is_empty();
        HowManyStep {
            layers: u32::try_from(n + 1).unwrap_or(u32::MAX),
            mpps_penetration: band(&|d| d.worst),
            penetration_300_nm: band(&|d| d.told[0]),
            penetration_1_um: band(&|d| d.told[1]),
            aerosol_penetration: has_aerosol.then(|| band(&|d| d.aerosol)),
            pressure_drop_pa: band(&|d| d.in_use),
            pressure_at_rest_pa: band(&|d| d.levels[0]),
            pressure_at_light_work_pa: band(&|d| d.levels[1]),
            pressure_at_heavy_work_pa: band(&|d| d.levels[2]),
            under_limit_probability: limit_pa.map(|limit| {
                drawn.iter().filter(|d| d[n].limit <= limit).count() as f64 / drawn.len().max(1) as f64
            }),
            targets: self.targets.iter().enumerate().map(|(t, target)| share(target, t, n, drawn)).collect(),
        }
    }

    /// What leaves most open at so many layers: about the first target that is an efficiency and names no stack, else
    /// about the worst size in use.
    fn sensitivity(
        &self,
        asking: &Asking<'_>,
        layers: usize,
        draws: u64,
    ) -> Vec<crate::report::SensitivityReport> {
        let Asking { case, surroundings, realiser, seed, .. } = *asking;
        let is_efficiency = |t: &&Target| matches!(t.goal, Goal::Efficiency { .. });
        let target = self.targets.iter().copied().find(is_efficiency);
        let asked = match target {
            Some(target) => Asked::new(case, surroundings, target.face_velocity, &[target]),
            None => Asked::new(case, surroundings, case.usage.flow / case.usage.area, &[]),
        };
        sensitive::of(case, &asked, realiser, &self.positions[..self.fixed + layers], seed, draws)
    }
}

/// The share of draws in which a target holds.
fn share(target: &Target, position: usize, n: usize, drawn: &[Vec<Drawn>]) -> TargetReport {
    let count = drawn.len().max(1) as f64;
    let probability = drawn.iter().filter(|d| d[n].held[position]).count() as f64 / count;
    TargetReport {
        text: target.text.clone(),
        about: target.goal.about(),
        probability,
        standard_error: (probability * (1.0 - probability) / count).sqrt(),
    }
}
