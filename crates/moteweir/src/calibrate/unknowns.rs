//! What is not known of the materials, as numbers that are standard normal before the data.

use moteweir_physics::air::Air;
use moteweir_physics::closure::Closure;
use moteweir_physics::layer::Layer;

use super::share_below;
use crate::case::{Case, Input, Uncertain};
use crate::predict::medium;

/// One unknown.
#[derive(Clone, Debug)]
pub(super) struct Unknown {
    pub(super) material: usize,
    pub(super) uncertain: Uncertain,
}

impl Unknown {
    /// The value of a number.
    pub(super) fn value(&self, normal: f64) -> f64 {
        self.uncertain.quantile(share_below(normal))
    }
}

/// The unknowns of the materials that were measured, those of one material side by side.
#[derive(Clone, Debug)]
pub(super) struct Unknowns {
    pub(super) all: Vec<Unknown>,
    /// Materials that were measured, in the order of the case.
    pub(super) materials: Vec<usize>,
    /// Where the unknowns of each of them lie.
    pub(super) ranges: Vec<std::ops::Range<usize>>,
}

impl Unknowns {
    pub(super) fn of(case: &Case, measured: impl Iterator<Item = usize>) -> Self {
        let mut materials: Vec<usize> = measured.collect();
        materials.sort_unstable();
        materials.dedup();
        let (mut all, mut ranges) = (Vec::new(), Vec::new());
        for &material in &materials {
            let first = all.len();
            let unknowns = case.materials[material].unknowns();
            all.extend(unknowns.into_iter().map(|uncertain| Unknown { material, uncertain }));
            ranges.push(first..all.len());
        }
        Self { all, materials, ranges }
    }

    /// The layer of a measured material, by its place among them; `None` where no such layer can be.
    pub(super) fn layer(
        &self,
        case: &Case,
        place: usize,
        normals: &[f64],
        closure: Closure,
        air: &Air,
    ) -> Option<Layer> {
        let inputs: Vec<(Input, f64)> = self.all[self.ranges[place].clone()]
            .iter()
            .zip(normals)
            .map(|(unknown, normal)| (unknown.uncertain.input, unknown.value(*normal)))
            .collect();
        let material = case.materials[self.materials[place]].with_inputs(&inputs)?;
        let medium = medium(&material, closure, air, case.particles.relative_permittivity).ok()?;
        Some(match medium.layer {
            // One reading: the open and the tight one stand for what the unknowns have numbers for.
            Layer::Weave(mut weave) => {
                weave.ends = [weave.fabric; 2];
                Layer::Weave(weave)
            }
            web @ Layer::Web(_) => web,
        })
    }
}
