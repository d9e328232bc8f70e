//! What gets through drawn filters over face velocity, by the fast kernel: one for each rung, made when first asked.

use std::sync::{Arc, OnceLock};

use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::stack::ParticleKind;
use moteweir_sim::variation::kernel::{Cloths, Kernel, LogPenetrations, Scratch};
use moteweir_units::{Length, Velocity};

use super::through::{Ladder, Rungs, Through};

/// The kernels of a ladder, for the average over some sizes.
pub(super) struct Kernels {
    ladder: Ladder,
    setting: Setting,
    kind: ParticleKind,
    sizes: Vec<Length>,
    /// Weight of each size in the average.
    weights: Vec<f64>,
    cloths: Arc<Cloths>,
    by_rung: Vec<OnceLock<Kernel>>,
}

/// Room for one draw; one for each thread.
#[derive(Default)]
pub(super) struct Room {
    kept: Option<Kept>,
}

struct Kept {
    scratch: Scratch,
    /// ln P of each layer of the draw at one rung.
    layers: Vec<LogPenetrations>,
    sum: LogPenetrations,
    through: Vec<f64>,
}

impl Kernels {
    pub(super) fn new(
        ladder: Ladder,
        setting: Setting,
        kind: &ParticleKind,
        nodes: &[(Length, f64)],
    ) -> Self {
        let sizes: Vec<Length> = nodes.iter().map(|(size, _)| *size).collect();
        Self {
            ladder,
            cloths: Arc::new(Cloths::new(&setting, &sizes, kind)),
            setting,
            kind: *kind,
            sizes,
            weights: nodes.iter().map(|(_, weight)| *weight).collect(),
            by_rung: (0..Ladder::rungs()).map(|_| OnceLock::new()).collect(),
        }
    }

    /// What gets through on average, of so many of each layer, for every stack of counts: one column.
    ///
    /// Each layer is worked out once for each rung, equal layers once for all.
    pub(super) fn through(
        &self,
        layers: &[Layer],
        counts: &[Vec<u32>],
        rungs: Rungs,
        room: &mut Room,
    ) -> Vec<Through> {
        let mut found = vec![Vec::with_capacity(rungs.count()); counts.len()];
        for place in rungs.places() {
            let kernel = self.kernel(place);
            let kept = room.kept.get_or_insert_with(|| Kept::new(kernel, self.sizes.len()));
            kept.learn(kernel, layers);
            for (found, counts) in found.iter_mut().zip(counts) {
                found.push(kept.average(kernel, counts, &self.weights));
            }
        }
        found.iter().map(|through| Through::new(self.ladder, rungs, 1, through)).collect()
    }

    fn kernel(&self, place: usize) -> &Kernel {
        self.by_rung[place].get_or_init(|| {
            let velocity = Velocity::from_m_per_s(self.ladder.velocity(place));
            Kernel::with_cloths(&self.setting, velocity, &self.sizes, &self.kind, &self.cloths)
        })
    }
}

impl Kept {
    fn new(kernel: &Kernel, sizes: usize) -> Self {
        Self { scratch: kernel.scratch(), layers: Vec::new(), sum: kernel.empty(), through: vec![0.0; sizes] }
    }

    /// Works out every layer.
    fn learn(&mut self, kernel: &Kernel, layers: &[Layer]) {
        self.layers.resize_with(self.layers.len().max(layers.len()), || kernel.empty());
        for (place, layer) in layers.iter().enumerate() {
            let (upstream, here) = self.layers.split_at_mut(place);
            here[0].clear();
            match layers[..place].iter().position(|known| known == layer) {
                Some(same) => here[0].add(&upstream[same], 1.0),
                None => kernel.add_layer(layer, 1.0, &mut here[0], &mut self.scratch),
            }
        }
    }

    /// Penetration of so many of each, averaged over the sizes.
    fn average(&mut self, kernel: &Kernel, counts: &[u32], weights: &[f64]) -> f64 {
        self.sum.clear();
        for (layer, &count) in self.layers.iter().zip(counts).filter(|(_, count)| **count > 0) {
            self.sum.add(layer, f64::from(count));
        }
        kernel.penetrations(&self.sum, &mut self.scratch, &mut self.through);
        weights.iter().zip(&self.through).map(|(weight, p)| weight * p).sum()
    }
}
