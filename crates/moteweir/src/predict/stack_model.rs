//! A stack of a case as the physics sees it: the headline, the closures compared, and the variants of its unknowns.

use moteweir_physics::air::Air;
use moteweir_physics::closure::{Closure, Slices};
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::range::Remarks;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_units::{Length, Pressure, Velocity};

use super::at_velocity::ModelAtVelocity;
use super::medium::{Medium, MediumFault, medium, unknowns};
use crate::case::{Case, Input, Material};

/// What all stacks of a case share.
#[derive(Debug)]
pub(crate) struct Surroundings {
    /// Slices of the impaction table that all stacks share.
    slices: Slices,
    /// The air.
    pub air: Air,
    /// The particles.
    pub kind: ParticleKind,
    /// Relative permittivity of the particles.
    particle_permittivity: f64,
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
            slices: Slices::default(),
            air,
            kind: ParticleKind { density: p.density, charge: p.charge },
            particle_permittivity: p.relative_permittivity,
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

    /// The layer of a material for the headline closure.
    pub(super) fn medium(&self, material: &Material) -> Result<Medium, MediumFault> {
        self.medium_for(material, self.closure)
    }

    /// The layer of a material for a closure.
    fn medium_for(&self, material: &Material, closure: Closure) -> Result<Medium, MediumFault> {
        medium(material, closure, &self.air, self.particle_permittivity)
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

    pub(super) fn range(&self) -> (Length, Length) {
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

/// A layer with one unknown of its material at its ends.
#[derive(Clone, Debug)]
pub(super) struct Variants<L> {
    /// The material.
    pub(super) material: String,
    /// The unknown.
    pub(super) input: Input,
    /// Position of the layer among the distinct ones of the stack.
    pub(super) position: usize,
    /// The layer at the ends.
    pub(super) ends: Vec<L>,
}

impl<L> Variants<L> {
    fn map<T>(&self, f: impl Fn(&L) -> T) -> Variants<T> {
        Variants {
            material: self.material.clone(),
            input: self.input,
            position: self.position,
            ends: self.ends.iter().map(f).collect(),
        }
    }
}

/// A stack with its variants.
#[derive(Debug)]
pub(super) struct StackModel<'a> {
    surroundings: &'a Surroundings,
    /// The distinct layers of the headline, each with how many times it comes, in the order of the stack's materials.
    layers: Vec<(Layer, u32)>,
    /// The stack under the closures compared, but for the headline's.
    compared: Vec<(Closure, Stack)>,
    unknowns: Vec<Variants<Layer>>,
    pub(super) remarks: Vec<String>,
}

impl<'a> StackModel<'a> {
    /// The model of layers of distinct materials, each with how many times it comes.
    pub(super) fn new(
        layers: &[(&Material, u32)],
        surroundings: &'a Surroundings,
    ) -> Result<Self, Vec<MediumFault>> {
        let (headline, remarks) = built(layers, surroundings.closure, surroundings)?;
        let others = surroundings.compare.iter().filter(|&&closure| closure != surroundings.closure);
        let compared = others
            .map(|&closure| Ok((closure, Stack::new(built(layers, closure, surroundings)?.0))))
            .collect::<Result<Vec<_>, Vec<MediumFault>>>()?;
        let unknowns = variants(layers, surroundings);
        Ok(Self { surroundings, layers: headline, compared, unknowns, remarks })
    }

    /// Makes the stack and its variants ready for a face velocity.
    pub(super) fn at(&self, face_velocity: Velocity) -> ModelAtVelocity<'a> {
        let s = self.surroundings;
        let headline = s.setting(s.closure);
        let ready = |layer: &Layer| layer.prepare_with(&headline, face_velocity, &s.slices);
        ModelAtVelocity {
            surroundings: s,
            layers: self.layers.iter().map(|(layer, times)| (ready(layer), f64::from(*times))).collect(),
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
        let each = self
            .layers
            .iter()
            .map(|(layer, times)| f64::from(*times) * layer.pressure_drop(&setting, face_velocity).value);
        Pressure::from_pa(each.sum())
    }

    /// Notes where the headline leaves the ranges of its relations.
    pub(super) fn check(&self, face_velocity: Velocity, remarks: &mut Remarks) {
        let s = self.surroundings;
        let setting = s.setting(s.closure);
        let stack = Stack::new(self.layers.iter().cloned());
        stack.check(&setting, face_velocity, remarks);
        let prepared = stack.prepare_with(&setting, face_velocity, &s.slices);
        for &size in &s.sizes {
            prepared.check(size, &s.kind, remarks);
        }
    }
}

/// Layers with how many times each comes, and remarks on them.
type Built = (Vec<(Layer, u32)>, Vec<String>);

/// The layers of materials for a closure.
fn built(
    layers: &[(&Material, u32)],
    closure: Closure,
    surroundings: &Surroundings,
) -> Result<Built, Vec<MediumFault>> {
    let (mut built, mut remarks, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    for (material, times) in layers {
        match surroundings.medium_for(material, closure) {
            Ok(m) => {
                built.push((m.layer, *times));
                remarks.extend(m.remark);
            }
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok((built, remarks)) } else { Err(faults) }
}

/// The layers with one unknown at its ends, for each unknown of each material. A material that comes twice in a
/// stack is counted, so it moves in both places: it is the same cloth.
fn variants(layers: &[(&Material, u32)], surroundings: &Surroundings) -> Vec<Variants<Layer>> {
    let mut all = Vec::new();
    for (position, (material, _)) in layers.iter().enumerate() {
        for unknown in unknowns(material) {
            // An end that physics forbids, such as yarns that no longer fit, is no end of what is possible.
            let ends: Vec<Layer> = unknown
                .ends
                .iter()
                .filter_map(|end| surroundings.medium(end).ok())
                .map(|end| end.layer)
                .collect();
            if !ends.is_empty() {
                all.push(Variants { material: material.name.clone(), input: unknown.input, position, ends });
            }
        }
    }
    all
}
