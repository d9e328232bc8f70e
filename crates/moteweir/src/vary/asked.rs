//! What a run asks of every draw: sizes of the curve, sizes behind targets, and how targets are judged.

use moteweir_physics::layer::Layer;
use moteweir_sim::variation::{Arrangement, DrawnStack, Question, Sampler, WorstSearch};
use moteweir_units::{Length, Velocity};

use crate::case::{Among, Case, Goal, Target};
use crate::draws::{Realiser, Slot};
use crate::predict::{Surroundings, peak};

/// Nodes of an average in a draw: neighbours of the aerosol's own nodes taken together.
const NODES: usize = 14;
/// Where only the worst size is asked of a curve, every third size of it will do: a parabola finds the maximum.
const EVERY: usize = 3;

/// The question of a stack at one face velocity, and its goals.
#[derive(Debug)]
pub(super) struct Asked {
    pub(super) question: Question,
    goals: Vec<GoalAt>,
    names: Vec<String>,
}

/// A goal with where its sizes stand among the further ones, and their weights.
#[derive(Debug)]
struct GoalAt {
    goal: Goal,
    first: usize,
    weights: Vec<f64>,
}

impl Asked {
    pub(super) fn new(
        case: &Case,
        surroundings: &Surroundings,
        velocity: Velocity,
        targets: &[&Target],
    ) -> Self {
        let mut further = Vec::new();
        let goals = targets
            .iter()
            .map(|t| {
                let nodes = nodes(case, surroundings, &t.goal);
                let first = further.len();
                further.extend(nodes.iter().map(|(d, _)| *d));
                GoalAt { goal: t.goal, first, weights: nodes.iter().map(|(_, w)| *w).collect() }
            })
            .collect();
        let question = Question {
            setting: surroundings.headline(),
            kind: *surroundings.kind(),
            face_velocity: velocity,
            curve: surroundings.sizes().to_vec(),
            further,
            arrangement: Arrangement::Apart,
            worst: WorstSearch::Parabola,
        };
        Self { question, goals, names: targets.iter().map(|t| t.text.clone()).collect() }
    }

    /// The same question with no more sizes than the numbers of [`Asked::measure_names`] need: what a design asks ten
    /// thousand times. The further sizes keep their places.
    pub(super) fn brief(&self) -> Question {
        let asks_worst = self.goals.is_empty() || self.goals.iter().any(|g| g.goal.is_about_the_worst());
        let curve = &self.question.curve;
        let brief = if asks_worst { every_third(curve) } else { curve.iter().copied().take(2).collect() };
        Question { curve: brief, ..self.question.clone() }
    }

    /// As [`Asked::brief`], with the worst size in any case.
    pub(super) fn brief_with_worst(&self) -> Question {
        Question { curve: every_third(&self.question.curve), ..self.question.clone() }
    }

    /// All sizes, those of the curve first.
    pub(super) fn sizes(&self) -> Vec<Length> {
        self.question.curve.iter().chain(&self.question.further).copied().collect()
    }

    /// Whether a goal holds for penetrations that begin with those at [`Asked::sizes`].
    pub(super) fn holds(&self, goal: usize, through: &[f64], pressure_drop: impl FnOnce() -> f64) -> bool {
        let goal = &self.goals[goal];
        let (curve, further) = through.split_at(self.question.curve.len());
        match goal.goal {
            Goal::PressureDrop { at_most } => pressure_drop() <= at_most.to_pa(),
            Goal::Efficiency { at_least, among: Among::Worst } => {
                1.0 - peak(&self.question.curve, curve).1 >= at_least
            }
            Goal::Efficiency { at_least, .. } => 1.0 - goal.averaged(further) >= at_least,
        }
    }

    /// What the sensitivity is asked of: the number of each target; where there are none, the efficiency at the worst
    /// size and the pressure drop.
    pub(super) fn measure_names(&self) -> Vec<String> {
        if self.names.is_empty() {
            return vec!["efficiency at the worst size".to_owned(), "pressure drop".to_owned()];
        }
        self.names.clone()
    }

    /// 1 where a target holds, 0 where not.
    fn judge(&self, stack: &DrawnStack<'_>, held: &mut [f64]) {
        for (cell, goal) in held.iter_mut().zip(&self.goals) {
            let holds = match goal.goal {
                Goal::Efficiency { at_least, among } => 1.0 - goal.through(stack, among) >= at_least,
                Goal::PressureDrop { at_most } => stack.pressure_drop_pa <= at_most.to_pa(),
            };
            *cell = f64::from(u8::from(holds));
        }
    }

    /// The numbers that the sensitivity is asked of: logarithms of exponents and of pressure drops.
    fn measure(&self, stack: &DrawnStack<'_>, measures: &mut [f64]) {
        if self.goals.is_empty() {
            measures[0] = log_exponent(stack.worst.penetration);
            measures[1] = stack.pressure_drop_pa.ln();
        }
        for (measure, goal) in measures.iter_mut().zip(&self.goals) {
            *measure = match goal.goal {
                Goal::PressureDrop { .. } => stack.pressure_drop_pa.ln(),
                Goal::Efficiency { among, .. } => log_exponent(goal.through(stack, among)),
            };
        }
    }
}

impl Goal {
    const fn is_about_the_worst(&self) -> bool {
        matches!(self, Self::Efficiency { among: Among::Worst, .. })
    }
}

impl GoalAt {
    fn through(&self, stack: &DrawnStack<'_>, among: Among) -> f64 {
        if among == Among::Worst {
            return stack.worst.penetration;
        }
        self.averaged(stack.further)
    }

    /// The average over the goal's own among the further sizes.
    fn averaged(&self, further: &[f64]) -> f64 {
        self.weights.iter().zip(&further[self.first..]).map(|(w, p)| w * p).sum()
    }
}

/// Draws a stack by its streams of random numbers and judges the targets.
pub(super) struct Judged<'a> {
    pub(super) asked: &'a Asked,
    pub(super) layers: &'a [usize],
    pub(super) realiser: &'a Realiser<'a>,
    pub(super) seed: u64,
}

impl Sampler for Judged<'_> {
    fn layers(&self, index: u64, layers: &mut Vec<(Layer, u32)>) {
        let drawn = self.realiser.stack(self.layers, &|slot: Slot| slot.uniform(self.seed, index));
        layers.extend(drawn.layers.into_iter().map(|layer| (layer, 1)));
    }

    fn targets(&self) -> usize {
        self.asked.goals.len()
    }

    fn judge(&self, _: u64, stack: &DrawnStack<'_>, _: &mut [f64], held: &mut [f64]) {
        self.asked.judge(stack, held);
    }
}

/// Makes one stack of given numbers and measures it.
pub(super) struct Measured<'a, N> {
    pub(super) asked: &'a Asked,
    pub(super) layers: &'a [usize],
    pub(super) realiser: &'a Realiser<'a>,
    pub(super) number: N,
}

impl<N: Fn(Slot) -> f64 + Sync> Sampler for Measured<'_, N> {
    fn layers(&self, _: u64, layers: &mut Vec<(Layer, u32)>) {
        let made = self.realiser.stack(self.layers, &self.number);
        layers.extend(made.layers.into_iter().map(|layer| (layer, 1)));
    }

    fn extras(&self) -> usize {
        self.asked.measure_names().len()
    }

    fn judge(&self, _: u64, stack: &DrawnStack<'_>, extras: &mut [f64], _: &mut [f64]) {
        self.asked.measure(stack, extras);
    }
}

/// Sizes and weights that an efficiency is averaged over.
fn nodes(case: &Case, surroundings: &Surroundings, goal: &Goal) -> Vec<(Length, f64)> {
    let (air, density) = (surroundings.air(), surroundings.kind().density);
    let Goal::Efficiency { among, .. } = goal else { return Vec::new() };
    match among {
        Among::Worst => Vec::new(),
        Among::Size(size) => vec![(*size, 1.0)],
        Among::Aerosol(position) => {
            let aerosol = &case.aerosols[*position];
            few(&aerosol.aerosol.nodes(aerosol.weighted_by, air, density))
        }
        Among::Channel(position) => {
            let channel = &case.channels[*position];
            few(&case.channel_aerosol(channel).nodes_in_channel(channel.from, channel.to, air, density))
        }
    }
}

/// The same average with fewer sizes: neighbours taken together at their weighted mean logarithm.
pub(crate) fn few(nodes: &[(Length, f64)]) -> Vec<(Length, f64)> {
    let each = nodes.len().div_ceil(NODES).max(1);
    nodes
        .chunks(each)
        .filter_map(|group| {
            let weight: f64 = group.iter().map(|(_, w)| w).sum();
            let mean = group.iter().map(|(d, w)| w * d.to_m().ln()).sum::<f64>() / weight;
            (weight > 0.0).then(|| (Length::from_m(mean.exp()), weight))
        })
        .collect()
}

/// Every third size of a curve, and its last.
fn every_third(curve: &[Length]) -> Vec<Length> {
    let last = curve.len().saturating_sub(1);
    let kept = |i: usize| i.is_multiple_of(EVERY) || i == last;
    curve.iter().enumerate().filter(|(i, _)| kept(*i)).map(|(_, size)| *size).collect()
}

fn log_exponent(penetration: f64) -> f64 {
    (-penetration.ln()).clamp(f64::MIN_POSITIVE, 700.0).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fewer_nodes_average_a_smooth_function_alike() {
        let many: Vec<(Length, f64)> = (0..97)
            .map(|i| {
                let z = -5.5 + 11.0 * f64::from(i) / 96.0;
                (Length::from_um(0.2 * (0.6 * z).exp()), (-0.5 * z * z).exp())
            })
            .collect();
        let total: f64 = many.iter().map(|(_, w)| w).sum();
        let average =
            |nodes: &[(Length, f64)]| nodes.iter().map(|(d, w)| w / total * (-d.to_um()).exp()).sum::<f64>();
        assert!((average(&few(&many)) / average(&many) - 1.0).abs() < 2e-3);
    }
}
