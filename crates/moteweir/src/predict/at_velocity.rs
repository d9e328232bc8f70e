//! A stack and its variants at one face velocity: curves, worst size, pressure drop, each with its ends.

use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::estimate::Estimate;
use moteweir_physics::layer::PreparedLayer;
use moteweir_physics::particle::Particle;
use moteweir_physics::stack::PreparedStack;
use moteweir_physics::worst_size::{WorstSize, worst_size, worst_size_of_curve};
use moteweir_units::Length;
use ndarray::{Array2, ArrayView1};

use super::ends::{self, Deviation, Ends};
use super::peak::peak;
use super::stack_model::{Surroundings, Variants};
use crate::report::Doubt;

/// Every how manyth size of a curve the unknown inputs are evaluated at; between, their deviation is interpolated.
const COARSE: usize = 6;

/// Sizes of a curve that show every maximum.
const ENOUGH_SIZES: usize = 97;

/// A stack and its variants at one face velocity.
#[derive(Debug)]
pub(super) struct ModelAtVelocity<'a> {
    pub(super) surroundings: &'a Surroundings,
    /// The distinct layers of the headline, each with how many times it comes.
    pub(super) layers: Vec<(PreparedLayer, f64)>,
    /// The stack under the other closures.
    pub(super) compared: Vec<PreparedStack>,
    pub(super) unknowns: Vec<Variants<PreparedLayer>>,
}

/// What the layers of the headline do to one size, charge state by charge state.
struct AtSize {
    particle: Particle,
    charges: Vec<i32>,
    shares: Vec<f64>,
    /// Penetration of all sheets of each layer, by charge state.
    layers: Vec<Vec<Estimate>>,
}

impl AtSize {
    fn penetration(&self) -> Estimate {
        let mut sum = Estimate::exact(0.0);
        for (state, share) in self.shares.iter().enumerate() {
            let through = self.layers.iter().fold(Estimate::exact(1.0), |product, layer| {
                let p = layer[state];
                Estimate {
                    low: product.low * p.low,
                    value: product.value * p.value,
                    high: product.high * p.high,
                }
            });
            sum = sum.plus(through, *share);
        }
        sum.map_rising(|p| p.clamp(0.0, 1.0))
    }

    /// Penetration with another layer in one place.
    fn with(&self, position: usize, layer: &PreparedLayer, times: f64) -> f64 {
        let other = layer.penetrations(&self.particle, &self.charges);
        let through = |state: usize| -> f64 {
            let rest = self.layers.iter().enumerate().filter(|(i, _)| *i != position);
            rest.map(|(_, l)| l[state].value).product::<f64>() * other[state].value.powf(times)
        };
        let sum: f64 = self.shares.iter().enumerate().map(|(state, f)| f * through(state)).sum();
        sum.clamp(0.0, 1.0)
    }
}

/// The headline's curve with its ends, and the worst size with its own.
#[derive(Clone, Debug)]
pub(super) struct CurveEnds {
    /// Every size of the case.
    pub(super) sizes: Vec<Ends>,
    /// The most penetrating size.
    pub(super) worst: WorstSize,
    /// Penetration there; each closure and variant at its own worst size.
    pub(super) at_worst: Ends,
    /// What each unknown alone does at the worst sizes, the most doubtful first.
    pub(super) doubts: Vec<Doubt>,
}

impl ModelAtVelocity<'_> {
    /// Penetration of the headline at a size.
    pub(super) fn penetration(&self, size: Length) -> f64 {
        self.at(size).penetration().value
    }

    /// Penetration at a size with its ends.
    pub(super) fn ends(&self, size: Length) -> Ends {
        let at = self.at(size);
        let headline = at.penetration();
        let inputs = ends::input_deviation(headline.value, &self.varied(&at));
        ends::penetration_ends(headline.value, &ArrayView1::from(&self.closures(headline, size)), inputs)
    }

    /// Penetration at every size of the curve and at the worst, with their ends.
    pub(super) fn curve(&self) -> CurveEnds {
        let sizes = &self.surroundings.sizes();
        let at: Vec<AtSize> = sizes.iter().map(|&d| self.at(d)).collect();
        let headline: Vec<Estimate> = at.iter().map(AtSize::penetration).collect();
        let mut closures = Array2::from_elem((sizes.len(), 1 + self.compared.len()), Estimate::exact(0.0));
        for ((mut row, &size), &h) in closures.outer_iter_mut().zip(sizes.iter()).zip(&headline) {
            row.iter_mut().zip(self.closures(h, size)).for_each(|(cell, e)| *cell = e);
        }
        let nodes = coarse_nodes(sizes.len());
        let varied: Vec<Vec<Vec<f64>>> = nodes.iter().map(|&i| self.varied(&at[i])).collect();
        let deviations: Vec<Deviation> = nodes
            .iter()
            .zip(&varied)
            .map(|(&i, unknowns)| ends::input_deviation(headline[i].value, unknowns))
            .collect();
        let of = |i: usize| {
            let k = nodes.partition_point(|&n| n <= i).clamp(1, nodes.len() - 1);
            let share = (i - nodes[k - 1]) as f64 / (nodes[k] - nodes[k - 1]) as f64;
            let inputs = deviations[k - 1].towards(deviations[k], share);
            ends::penetration_ends(headline[i].value, &closures.row(i), inputs)
        };
        let worst = if sizes.len() >= ENOUGH_SIZES {
            let curve: Vec<f64> = headline.iter().map(|e| e.value).collect();
            worst_size_of_curve(sizes, &curve, |d| self.penetration(d))
        } else {
            self.worst_size()
        };
        let (at_worst, doubts) = self.at_worst(&worst, &closures, &nodes, &varied);
        CurveEnds { sizes: (0..sizes.len()).map(of).collect(), worst, at_worst, doubts }
    }

    /// The most penetrating size of the headline, and penetration there with its ends.
    pub(super) fn worst(&self) -> (WorstSize, Ends) {
        let curve = self.curve();
        (curve.worst, curve.at_worst)
    }

    /// The most penetrating size of the headline.
    pub(super) fn worst_size(&self) -> WorstSize {
        let (smallest, largest) = self.surroundings.range();
        worst_size(smallest, largest, |d| self.penetration(d))
    }

    /// Pressure drop with its ends.
    pub(super) fn pressure_drop(&self) -> Ends {
        let headline = self
            .layers
            .iter()
            .fold(Estimate::exact(0.0), |sum, (layer, times)| sum.plus(layer.pressure_drop(), *times));
        let closures: Vec<Estimate> =
            std::iter::once(headline).chain(self.compared.iter().map(PreparedStack::pressure_drop)).collect();
        let unknowns: Vec<Vec<f64>> = self
            .unknowns
            .iter()
            .map(|unknown| {
                let (layer, times) = &self.layers[unknown.position];
                let rest = headline.value - times * layer.pressure_drop().value;
                unknown.ends.iter().map(|end| rest + times * end.pressure_drop().value).collect()
            })
            .collect();
        ends::pressure_ends(headline.value, &closures, &unknowns)
    }

    fn at(&self, size: Length) -> AtSize {
        let s = self.surroundings;
        let particle = Particle::new(s.air(), size, s.kind().density);
        let (charges, shares): (Vec<i32>, Vec<f64>) =
            condensed_charge_states(s.kind().charge, s.air(), size).into_iter().unzip();
        let layers = self
            .layers
            .iter()
            .map(|(layer, times)| {
                let one = layer.penetrations(&particle, &charges);
                one.into_iter().map(|p| p.map_rising(|p| p.powf(*times))).collect()
            })
            .collect();
        AtSize { particle, charges, shares, layers }
    }

    /// Penetration with each unknown at each of its ends.
    fn varied(&self, at: &AtSize) -> Vec<Vec<f64>> {
        let of = |unknown: &Variants<PreparedLayer>| {
            let times = self.layers[unknown.position].1;
            unknown.ends.iter().map(|end| at.with(unknown.position, end, times)).collect()
        };
        self.unknowns.iter().map(of).collect()
    }

    fn closures(&self, headline: Estimate, size: Length) -> Vec<Estimate> {
        let kind = self.surroundings.kind();
        let others = self.compared.iter().map(|stack| stack.penetration(size, kind));
        std::iter::once(headline).chain(others).collect()
    }

    /// Ends of the penetration at the worst size, each closure and variant at its own; `closures` is by size and
    /// closure, `varied` by coarse node, unknown and end.
    fn at_worst(
        &self,
        worst: &WorstSize,
        closures: &Array2<Estimate>,
        nodes: &[usize],
        varied: &[Vec<Vec<f64>>],
    ) -> (Ends, Vec<Doubt>) {
        let sizes = self.surroundings.sizes();
        let top = |of: &dyn Fn(&Estimate) -> f64, closure: usize| {
            let curve: Vec<f64> = closures.column(closure).iter().map(of).collect();
            peak(sizes, &curve).1
        };
        let models: Vec<Estimate> = (0..=self.compared.len())
            .map(|closure| Estimate {
                low: top(&|e| e.low, closure),
                value: worst.penetration,
                high: top(&|e| e.high, closure),
            })
            .collect();
        let coarse: Vec<Length> = nodes.iter().map(|&i| sizes[i]).collect();
        let unknowns: Vec<Vec<f64>> = self
            .unknowns
            .iter()
            .enumerate()
            .map(|(u, unknown)| {
                let end = |e: usize| {
                    let curve: Vec<f64> = varied.iter().map(|node| node[u][e]).collect();
                    peak(&coarse, &curve).1
                };
                (0..unknown.ends.len()).map(end).collect()
            })
            .collect();
        let inputs = ends::input_deviation(worst.penetration, &unknowns);
        let mut doubts: Vec<Doubt> = self
            .unknowns
            .iter()
            .zip(&unknowns)
            .map(|(unknown, ends)| Doubt {
                material: unknown.material.clone(),
                key: unknown.input.key(),
                quantity: unknown.input.words(),
                measure: unknown.input.measure(),
                penetration_low: ends.iter().copied().fold(worst.penetration, f64::min),
                penetration_high: ends.iter().copied().fold(worst.penetration, f64::max),
            })
            .collect();
        doubts.sort_by(|a, b| b.width().total_cmp(&a.width()));
        (ends::penetration_ends(worst.penetration, &ArrayView1::from(&models), inputs), doubts)
    }
}

/// Positions of a coarser grid, both ends included.
fn coarse_nodes(sizes: usize) -> Vec<usize> {
    let last = sizes - 1;
    let mut nodes: Vec<usize> = (0..=last).step_by(COARSE).collect();
    if nodes[nodes.len() - 1] != last {
        nodes.push(last);
    }
    nodes
}
