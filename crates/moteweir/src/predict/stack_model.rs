//! A stack of a case as the physics sees it: the headline, the closures compared, and the variants of its unknowns.

use moteweir_physics::air::Air;
use moteweir_physics::closure::Closure;
use moteweir_physics::estimate::Estimate;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::range::Remarks;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::single_fibre::impaction::ImpactionSlices;
use moteweir_physics::stack::{ParticleKind, PreparedStack, Stack};
use moteweir_physics::worst_size::WorstSize;
use moteweir_units::{Length, Pressure, Velocity};

use super::ends::{self, Deviation, Ends};
use super::medium::{MediumFault, medium, unknowns};
use crate::case::{Case, Material};
use crate::report::Doubt;

/// Every how manyth size of a curve the unknown inputs are evaluated at; between, their deviation is interpolated.
const COARSE: usize = 4;

/// What all stacks of a case share.
#[derive(Debug)]
pub(crate) struct Surroundings {
    /// Slices of the impaction table that all stacks share.
    slices: ImpactionSlices,
    /// The air.
    pub air: Air,
    /// The particles.
    pub kind: ParticleKind,
    /// Which way the air flows.
    pub direction: FlowDirection,
    /// Headline closure.
    pub closure: Closure,
    /// Closures whose spread makes the band.
    pub compare: Vec<Closure>,
    /// Sizes of the curves.
    pub sizes: Vec<Length>,
}

impl Surroundings {
    pub(super) fn of(case: &Case) -> Self {
        let air = Air::new(case.air.temperature, case.air.pressure, case.air.relative_humidity);
        let p = &case.particles;
        Self {
            slices: ImpactionSlices::default(),
            air,
            kind: ParticleKind { density: p.density, charge: p.charge },
            direction: case.usage.direction,
            closure: case.model.closure,
            compare: case.model.compare.clone(),
            sizes: log_spaced(p.smallest.to_m(), p.largest.to_m(), p.points)
                .into_iter()
                .map(Length::from_m)
                .collect(),
        }
    }

    /// The same with so many sizes over the same range.
    pub(crate) fn of_case(case: &Case, sizes: usize) -> Self {
        let p = &case.particles;
        let sizes = log_spaced(p.smallest.to_m(), p.largest.to_m(), sizes).into_iter().map(Length::from_m);
        Self { sizes: sizes.collect(), ..Self::of(case) }
    }

    /// The headline closure.
    pub(crate) const fn closure(&self) -> Closure {
        self.closure
    }

    /// The air.
    pub(crate) const fn air(&self) -> &Air {
        &self.air
    }

    /// The particles.
    pub(crate) const fn kind(&self) -> &ParticleKind {
        &self.kind
    }

    /// Sizes of the curves.
    pub(crate) fn sizes(&self) -> &[Length] {
        &self.sizes
    }

    /// The setting of the headline closure.
    pub(crate) fn headline(&self) -> Setting {
        self.setting(self.closure)
    }

    pub(super) fn setting(&self, closure: Closure) -> Setting {
        Setting { closure, air: self.air, direction: self.direction }
    }

    fn range(&self) -> (Length, Length) {
        (self.sizes[0], self.sizes[self.sizes.len() - 1])
    }
}

/// Positive numbers spaced evenly in the logarithm, both ends included and exact; at least two.
pub(crate) fn log_spaced(first: f64, last: f64, points: usize) -> Vec<f64> {
    let (a, b) = (first.ln(), last.ln());
    let end = points - 1;
    (0..points)
        .map(|i| match i {
            0 => first,
            i if i == end => last,
            i => (a + (b - a) * i as f64 / end as f64).exp(),
        })
        .collect()
}

/// A stack with one unknown of one material at its ends.
#[derive(Clone, Debug)]
pub(super) struct Variants<S> {
    /// The material.
    material: String,
    /// The key that would state the unknown.
    key: &'static str,
    /// The stack at the ends.
    ends: Vec<S>,
}

impl<S> Variants<S> {
    fn map<T>(&self, f: impl Fn(&S) -> T) -> Variants<T> {
        Variants { material: self.material.clone(), key: self.key, ends: self.ends.iter().map(f).collect() }
    }
}

/// A stack with its variants.
#[derive(Clone, Debug)]
pub(super) struct StackModel<'a> {
    surroundings: &'a Surroundings,
    headline: Stack,
    compared: Vec<(Closure, Stack)>,
    unknowns: Vec<Variants<Stack>>,
    pub(super) remarks: Vec<String>,
}

impl<'a> StackModel<'a> {
    /// The model of layers of materials, each with how many times it comes.
    pub(super) fn new(
        layers: &[(&Material, u32)],
        surroundings: &'a Surroundings,
    ) -> Result<Self, Vec<MediumFault>> {
        let (headline, remarks) = built(layers, surroundings.closure, &surroundings.air)?;
        let compared = surroundings
            .compare
            .iter()
            .map(|&closure| Ok((closure, Stack::new(built(layers, closure, &surroundings.air)?.0))))
            .collect::<Result<Vec<_>, Vec<MediumFault>>>()?;
        let unknowns = variants(layers, &headline, surroundings);
        Ok(Self { surroundings, headline: Stack::new(headline), compared, unknowns, remarks })
    }

    /// Makes the stack and its variants ready for a face velocity.
    pub(super) fn at(&self, face_velocity: Velocity) -> ModelAtVelocity<'a> {
        let s = self.surroundings;
        let headline = s.setting(s.closure);
        let ready = |stack: &Stack| stack.prepare_with(&headline, face_velocity, &s.slices);
        ModelAtVelocity {
            surroundings: s,
            headline: ready(&self.headline),
            compared: self
                .compared
                .iter()
                .map(|(closure, stack)| stack.prepare_with(&s.setting(*closure), face_velocity, &s.slices))
                .collect(),
            unknowns: self.unknowns.iter().map(|unknown| unknown.map(ready)).collect(),
        }
    }

    /// Pressure drop of the headline at a face velocity.
    pub(super) fn pressure_drop(&self, face_velocity: Velocity) -> Pressure {
        let setting = self.surroundings.setting(self.surroundings.closure);
        Pressure::from_pa(self.headline.pressure_drop(&setting, face_velocity).value)
    }

    /// Notes where the headline leaves the ranges of its relations.
    pub(super) fn check(&self, face_velocity: Velocity, remarks: &mut Remarks) {
        let s = self.surroundings;
        let setting = s.setting(s.closure);
        self.headline.check(&setting, face_velocity, remarks);
        let prepared = self.headline.prepare_with(&setting, face_velocity, &s.slices);
        for &size in &s.sizes {
            prepared.check(size, &s.kind, remarks);
        }
    }
}

/// Layers with how many times each comes, and remarks on them.
type Built = (Vec<(Layer, u32)>, Vec<String>);

/// The layers of materials for a closure.
fn built(layers: &[(&Material, u32)], closure: Closure, air: &Air) -> Result<Built, Vec<MediumFault>> {
    let (mut built, mut remarks, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    for (material, times) in layers {
        match medium(material, closure, air) {
            Ok(m) => {
                built.push((m.layer, *times));
                remarks.extend(m.remark);
            }
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok((built, remarks)) } else { Err(faults) }
}

/// The stack with one material's unknown at one of its ends, for each unknown of each material. A material that
/// comes twice in a stack moves in both places: it is the same cloth.
fn variants(
    layers: &[(&Material, u32)],
    headline: &[(Layer, u32)],
    surroundings: &Surroundings,
) -> Vec<Variants<Stack>> {
    let mut seen: Vec<&str> = Vec::new();
    let mut all = Vec::new();
    for (material, _) in layers {
        if seen.contains(&material.name.as_str()) {
            continue;
        }
        seen.push(&material.name);
        for unknown in unknowns(material) {
            // An end that physics forbids, such as yarns that no longer fit, is no end of what is possible.
            let ends: Vec<Stack> = unknown
                .ends
                .iter()
                .filter_map(|end| medium(end, surroundings.closure, &surroundings.air).ok())
                .map(|end| {
                    Stack::new(layers.iter().zip(headline).map(|((other, times), (layer, _))| {
                        let layer = if other.name == material.name { &end.layer } else { layer };
                        (layer.clone(), *times)
                    }))
                })
                .collect();
            if !ends.is_empty() {
                all.push(Variants { material: material.name.clone(), key: unknown.key, ends });
            }
        }
    }
    all
}

/// A stack and its variants at one face velocity.
#[derive(Clone, Debug)]
pub(super) struct ModelAtVelocity<'a> {
    surroundings: &'a Surroundings,
    pub(super) headline: PreparedStack,
    compared: Vec<PreparedStack>,
    unknowns: Vec<Variants<PreparedStack>>,
}

impl ModelAtVelocity<'_> {
    /// Penetration of the headline at a size.
    pub(super) fn penetration(&self, size: Length) -> f64 {
        self.headline.penetration(size, &self.surroundings.kind).value
    }

    /// Penetration at a size with its ends.
    pub(super) fn ends(&self, size: Length) -> Ends {
        let value = self.penetration(size);
        ends::penetration_ends(value, &self.closures(size), self.input_deviation(size, value))
    }

    /// Penetration at every size of the curve, with its ends.
    pub(super) fn curve(&self) -> Vec<Ends> {
        let sizes = &self.surroundings.sizes;
        let values: Vec<f64> = sizes.iter().map(|&d| self.penetration(d)).collect();
        let last = sizes.len() - 1;
        let mut nodes: Vec<usize> = (0..=last).step_by(COARSE).collect();
        if nodes[nodes.len() - 1] != last {
            nodes.push(last);
        }
        let coarse: Vec<Deviation> =
            nodes.iter().map(|&i| self.input_deviation(sizes[i], values[i])).collect();
        (0..sizes.len())
            .map(|i| {
                let k = nodes.partition_point(|&n| n <= i).clamp(1, nodes.len() - 1);
                let share = (i - nodes[k - 1]) as f64 / (nodes[k] - nodes[k - 1]) as f64;
                let inputs = coarse[k - 1].towards(coarse[k], share);
                ends::penetration_ends(values[i], &self.closures(sizes[i]), inputs)
            })
            .collect()
    }

    /// The most penetrating size of the headline.
    pub(super) fn worst_size(&self) -> WorstSize {
        let (smallest, largest) = self.surroundings.range();
        self.headline.worst_size(smallest, largest, &self.surroundings.kind)
    }

    /// Pressure drop with its ends.
    pub(super) fn pressure_drop(&self) -> Ends {
        let closures: Vec<Estimate> =
            std::iter::once(&self.headline).chain(&self.compared).map(PreparedStack::pressure_drop).collect();
        let unknowns: Vec<Vec<f64>> = self
            .unknowns
            .iter()
            .map(|unknown| unknown.ends.iter().map(|s| s.pressure_drop().value).collect())
            .collect();
        ends::pressure_ends(closures[0].value, &closures, &unknowns)
    }

    /// What each unknown alone makes of the penetration at a size, the one that matters most first.
    pub(super) fn doubts(&self, size: Length) -> Vec<Doubt> {
        let kind = &self.surroundings.kind;
        let value = self.penetration(size);
        let mut doubts: Vec<Doubt> = self
            .unknowns
            .iter()
            .map(|unknown| {
                let ends = unknown.ends.iter().map(|s| s.penetration(size, kind).value);
                let (low, high) = ends.fold((value, value), |(l, h), p| (l.min(p), h.max(p)));
                Doubt {
                    material: unknown.material.clone(),
                    key: unknown.key,
                    penetration_low: low,
                    penetration_high: high,
                }
            })
            .collect();
        doubts.sort_by(|a, b| b.width().total_cmp(&a.width()));
        doubts
    }

    fn closures(&self, size: Length) -> Vec<Estimate> {
        let kind = &self.surroundings.kind;
        self.compared.iter().map(|s| s.penetration(size, kind)).collect()
    }

    fn input_deviation(&self, size: Length, value: f64) -> Deviation {
        let kind = &self.surroundings.kind;
        let unknowns: Vec<Vec<f64>> = self
            .unknowns
            .iter()
            .map(|unknown| unknown.ends.iter().map(|s| s.penetration(size, kind).value).collect())
            .collect();
        ends::input_deviation(value, &unknowns)
    }
}
