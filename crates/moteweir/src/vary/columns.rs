//! The numbers of one draw of a stack at one face velocity, in the order of a row.

use moteweir_physics::breathability::quality_factor;
use moteweir_physics::layer::Layer;
use moteweir_physics::stack::{PreparedStack, Stack};
use moteweir_units::{Length, Pressure, Velocity};

use crate::case::{Among, Case, Goal, Target};
use crate::predict::{Surroundings, peak};

/// A row: penetration at each size, then worst size, penetration there, pressure drop and quality factor there; then
/// 1 or 0 for each target.
#[derive(Debug)]
pub(super) struct Columns<'a> {
    surroundings: &'a Surroundings,
    velocity: Velocity,
    goals: Vec<GoalAt>,
    names: Vec<String>,
}

/// A goal with what its efficiency is averaged over.
#[derive(Debug)]
struct GoalAt {
    goal: Goal,
    nodes: Vec<(Length, f64)>,
}

/// Scalars behind the sizes.
const SCALARS: usize = 4;
/// Nodes of an average in a draw: neighbours of the aerosol's own nodes taken together.
const NODES: usize = 16;

impl<'a> Columns<'a> {
    pub(super) fn new(
        case: &Case,
        surroundings: &'a Surroundings,
        velocity: Velocity,
        targets: &[&Target],
    ) -> Self {
        let goals =
            targets.iter().map(|t| GoalAt { goal: t.goal, nodes: nodes(case, surroundings, &t.goal) });
        let names = targets.iter().map(|t| t.text.clone());
        Self { surroundings, velocity, goals: goals.collect(), names: names.collect() }
    }

    pub(super) fn sizes(&self) -> &[Length] {
        self.surroundings.sizes()
    }

    pub(super) fn quantities(&self) -> usize {
        self.sizes().len() + SCALARS
    }

    pub(super) fn targets(&self) -> usize {
        self.goals.len()
    }

    pub(super) fn width(&self) -> usize {
        self.quantities() + self.targets()
    }

    /// Columns of worst size, penetration there, pressure drop, quality factor there.
    pub(super) fn scalars(&self) -> [usize; SCALARS] {
        let first = self.sizes().len();
        [first, first + 1, first + 2, first + 3]
    }

    /// Columns whose quantiles decide how many draws are enough.
    pub(super) fn headline(&self) -> [usize; 2] {
        let [_, penetration, pressure, _] = self.scalars();
        [penetration, pressure]
    }

    /// Writes a row for the layers of a draw.
    pub(super) fn fill(&self, layers: &[Layer], row: &mut [f64]) {
        let stack = self.ready(layers);
        let sizes = self.sizes();
        for (cell, &size) in row.iter_mut().zip(sizes) {
            *cell = self.penetration(&stack, size);
        }
        let (worst, there) = peak(sizes, &row[..sizes.len()]);
        let pressure = stack.pressure_drop().value;
        let quality = quality_factor(there, Pressure::from_pa(pressure));
        for (cell, value) in row[sizes.len()..].iter_mut().zip([worst, there, pressure, quality]) {
            *cell = value;
        }
        let first = self.quantities();
        for (cell, goal) in row[first..].iter_mut().zip(&self.goals) {
            let holds = match goal.goal {
                Goal::Efficiency { at_least, among } => {
                    let through = if among == Among::Worst { there } else { self.through(&stack, goal) };
                    1.0 - through >= at_least
                }
                Goal::PressureDrop { at_most } => pressure <= at_most.to_pa(),
            };
            *cell = f64::from(u8::from(holds));
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

    /// Those numbers for the layers of a draw.
    pub(super) fn measures(&self, layers: &[Layer], measures: &mut [f64]) {
        let stack = self.ready(layers);
        let sizes = self.sizes();
        let through: Vec<f64> = sizes.iter().map(|&d| self.penetration(&stack, d)).collect();
        let (_, there) = peak(sizes, &through);
        let pressure = stack.pressure_drop().value.ln();
        if self.goals.is_empty() {
            measures[0] = log_exponent(there);
            measures[1] = pressure;
        }
        for (measure, goal) in measures.iter_mut().zip(&self.goals) {
            *measure = match goal.goal {
                Goal::PressureDrop { .. } => pressure,
                Goal::Efficiency { among: Among::Worst, .. } => log_exponent(there),
                Goal::Efficiency { .. } => log_exponent(self.through(&stack, goal)),
            };
        }
    }

    fn ready(&self, layers: &[Layer]) -> PreparedStack {
        let stack = Stack::new(layers.iter().map(|layer| (layer.clone(), 1)));
        stack.prepare(&self.surroundings.headline(), self.velocity)
    }

    fn penetration(&self, stack: &PreparedStack, size: Length) -> f64 {
        stack.penetration(size, self.surroundings.kind()).value
    }

    fn through(&self, stack: &PreparedStack, goal: &GoalAt) -> f64 {
        goal.nodes.iter().map(|&(d, w)| w * self.penetration(stack, d)).sum()
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
            let aerosol = case.channel_aerosol(channel);
            few(&aerosol.nodes_in_channel(channel.from, channel.to, air, density))
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
