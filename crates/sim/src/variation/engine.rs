//! Draws of whole stacks into quantiles.

use std::ops::{ControlFlow, Range};
use std::sync::{Arc, Mutex, PoisonError};

use moteweir_physics::layer::Layer;
use moteweir_physics::stack::Stack;
use moteweir_units::Length;

use super::kernel::{Cloths, Kernel, LogPenetrations, Scratch};
use super::question::{DrawnStack, Layout, Question, Sampler, VariationError, WorstSearch};
use super::unevenness::{Arrangement, Spots};
use super::worst::{self, Worst};
use crate::quantile::{self, Draws, Outcome, Plan, Progress};

/// What a run found, and where its quantities stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Variation {
    /// Distributions of all quantities, and how often targets held.
    pub outcome: Outcome,
    /// Where each quantity stands in the outcome.
    pub layout: Layout,
}

/// Draws stacks until enough is known.
///
/// The quantities are those of [`Layout`], of [`Question::layout`]. Draws are worked on in fixed batches, in parallel,
/// and folded in their order: the same seed gives the same bits on any number of threads, and the first draws of a
/// longer run are those of a shorter one. `watch` is told of the progress and may break the run off; what was drawn
/// until then stands. Memory does not grow with the number of draws.
///
/// # Errors
/// A question without sizes or flow, or a plan that cannot be carried out.
pub fn vary(
    question: &Question,
    sampler: &impl Sampler,
    draws: Draws,
    watch: impl FnMut(Progress) -> ControlFlow<()>,
) -> Result<Variation, VariationError> {
    question.check()?;
    Drawing::new(question).vary(sampler, draws, watch)
}

/// A question made ready, for draws one by one: what [`vary`] runs, and designs of sensitivity as well.
#[derive(Debug)]
pub struct Drawing<'a> {
    question: &'a Question,
    kernel: Kernel,
    ln_curve: Vec<f64>,
    /// What threads work with, between draws: a bench remembers layers, which are worked out alike on any.
    benches: Mutex<Vec<Bench>>,
}

/// One place of the stack as it was in the draw before.
#[derive(Clone, Debug)]
struct Known {
    layer: Layer,
    /// ln P of the layer; of the even layer in a stack whose layers touch.
    logarithms: LogPenetrations,
    /// Pressure drop \[Pa\], of the even layer likewise.
    pressure_drop: f64,
}

/// What one thread works with.
#[derive(Debug)]
struct Bench {
    scratch: Scratch,
    sum: LogPenetrations,
    layers: Vec<(Layer, u32)>,
    known: Vec<Known>,
    penetrations: Vec<f64>,
}

impl<'a> Drawing<'a> {
    /// Makes a question ready. It has to be one that [`vary`] would take.
    pub fn new(question: &'a Question) -> Self {
        let sizes = sizes(question);
        Self::on(question, Kernel::new(&question.setting, question.face_velocity, &sizes, &question.kind))
    }

    /// As [`Drawing::new`], with lattices of woven cloths that questions at other velocities share.
    pub fn with_cloths(question: &'a Question, cloths: &Arc<Cloths>) -> Self {
        let Question { setting, face_velocity, kind, .. } = question;
        let sizes = sizes(question);
        Self::on(question, Kernel::with_cloths(setting, *face_velocity, &sizes, kind, cloths))
    }

    fn on(question: &'a Question, kernel: Kernel) -> Self {
        let ln_curve = question.curve.iter().map(|size| libm::log(size.to_m())).collect();
        Self { question, kernel, ln_curve, benches: Mutex::default() }
    }

    /// As [`vary`].
    ///
    /// # Errors
    /// As [`vary`].
    pub fn vary(
        &self,
        sampler: &impl Sampler,
        draws: Draws,
        watch: impl FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<Variation, VariationError> {
        self.question.check()?;
        let layout = self.question.layout(sampler.extras());
        let plan = Plan { quantities: layout.len(), targets: sampler.targets(), draws };
        let outcome = quantile::run(&plan, |indices, rows| self.rows(sampler, indices, rows), watch)?;
        Ok(Variation { outcome, layout })
    }

    /// Draws the stacks of a range of indices and writes a row for each: the quantities of [`Layout`], then the targets.
    pub fn rows(&self, sampler: &impl Sampler, indices: Range<u64>, rows: &mut [f64]) {
        let width = self.question.layout(sampler.extras()).len() + sampler.targets();
        let free = self.benches.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut bench = free.unwrap_or_else(|| self.bench());
        for (index, row) in indices.zip(rows.chunks_exact_mut(width)) {
            self.row(sampler, index, &mut bench, row);
        }
        self.benches.lock().unwrap_or_else(PoisonError::into_inner).push(bench);
    }

    fn bench(&self) -> Bench {
        Bench {
            scratch: self.kernel.scratch(),
            sum: self.kernel.empty(),
            layers: Vec::new(),
            known: Vec::new(),
            penetrations: vec![0.0; self.question.curve.len() + self.question.further.len()],
        }
    }

    fn row(&self, sampler: &impl Sampler, index: u64, bench: &mut Bench, row: &mut [f64]) {
        let layout = self.question.layout(sampler.extras());
        bench.layers.clear();
        sampler.layers(index, &mut bench.layers);
        for place in 0..bench.layers.len() {
            self.learn(place, bench);
        }
        let pressure_drop_pa = match self.question.arrangement {
            Arrangement::Apart => Self::apart(bench),
            arrangement => Self::in_contact(arrangement, bench),
        };
        self.kernel.penetrations(&bench.sum, &mut bench.scratch, &mut bench.penetrations);
        let (curve, further) = bench.penetrations.split_at(self.question.curve.len());
        let worst = self.worst(curve, &bench.layers);
        let stack = DrawnStack {
            layers: &bench.layers,
            curve,
            further,
            pressure_drop_pa,
            worst,
            quality_factor_per_pa: -libm::log(worst.penetration) / pressure_drop_pa,
        };
        let (quantities, held) = row.split_at_mut(layout.len());
        quantities[..bench.penetrations.len()].copy_from_slice(&bench.penetrations);
        quantities[layout.pressure_drop()] = stack.pressure_drop_pa;
        quantities[layout.worst_size()] = worst.diameter_m;
        quantities[layout.worst_penetration()] = worst.penetration;
        quantities[layout.quality_factor()] = stack.quality_factor_per_pa;
        sampler.judge(index, &stack, &mut quantities[layout.extra(0)..], held);
    }

    /// Works out the layer at a place, unless it is the one of the draw before, or that of a place upstream.
    fn learn(&self, place: usize, bench: &mut Bench) {
        let Bench { scratch, layers, known, .. } = bench;
        let layer = &layers[place].0;
        if known.get(place).is_some_and(|known| known.layer == *layer) {
            return;
        }
        if place == known.len() {
            let logarithms = self.kernel.empty();
            known.push(Known { layer: layer.clone(), logarithms, pressure_drop: 0.0 });
        }
        let (upstream, here) = known.split_at_mut(place);
        let known = &mut here[0];
        if let Some(same) = upstream.iter().find(|known| known.layer == *layer) {
            known.layer.clone_from(layer);
            known.logarithms.clear();
            known.logarithms.add(&same.logarithms, 1.0);
            known.pressure_drop = same.pressure_drop;
            return;
        }
        known.layer.clone_from(layer);
        known.pressure_drop = layer.pressure_drop(&self.question.setting, self.question.face_velocity).value;
        if self.question.arrangement == Arrangement::Apart {
            known.logarithms.clear();
            self.kernel.add_layer(layer, 1.0, &mut known.logarithms, scratch);
        } else {
            known.pressure_drop /= 1.0 - unevenness(layer) * unevenness(layer);
            self.kernel.set_even(layer, &mut known.logarithms, scratch);
        }
    }

    /// Adds the layers up, each evened out; the pressure drop \[Pa\].
    fn apart(bench: &mut Bench) -> f64 {
        bench.sum.clear();
        let mut pressure_drop = 0.0;
        for ((_, times), known) in bench.layers.iter().zip(&bench.known) {
            bench.sum.add(&known.logarithms, f64::from(*times));
            pressure_drop += f64::from(*times) * known.pressure_drop;
        }
        pressure_drop
    }

    /// Brings the layers together, spot by spot; the pressure drop \[Pa\].
    fn in_contact(arrangement: Arrangement, bench: &mut Bench) -> f64 {
        let places: Vec<&Known> = bench
            .layers
            .iter()
            .zip(&bench.known)
            .flat_map(|((_, times), known)| std::iter::repeat_n(known, *times as usize))
            .collect();
        let spots = Spots::new(
            places.iter().map(|known| (known.pressure_drop, unevenness(&known.layer))),
            arrangement,
        );
        let logarithm = |channel: usize| {
            libm::log(spots.penetration(|place| -places[place].logarithms.logarithms()[channel]))
        };
        bench.sum.set(logarithm);
        spots.pressure_drop()
    }

    fn worst(&self, curve: &[f64], layers: &[(Layer, u32)]) -> Worst {
        let (highest, worst) = worst::of_curve(&self.ln_curve, curve);
        if self.question.worst == WorstSearch::Parabola {
            return worst;
        }
        let last = curve.len() - 1;
        let (from, to) = (highest.saturating_sub(1), (highest + 1).min(last));
        let stack =
            Stack::new(layers.iter().cloned()).prepare(&self.question.setting, self.question.face_velocity);
        let exact = stack.worst_size(self.question.curve[from], self.question.curve[to], &self.question.kind);
        let penetration = match self.question.arrangement {
            Arrangement::Apart => exact.penetration,
            _ => worst.penetration,
        };
        Worst { diameter_m: exact.diameter.to_m(), penetration }
    }
}

fn sizes(question: &Question) -> Vec<Length> {
    question.curve.iter().chain(&question.further).copied().collect()
}

/// Coefficient of variation of a layer's local basis weight; a fabric's two paths are its own unevenness.
const fn unevenness(layer: &Layer) -> f64 {
    match layer {
        Layer::Web(web) => web.unevenness,
        Layer::Weave(_) => 0.0,
    }
}
