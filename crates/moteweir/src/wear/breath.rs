//! One worn stack through one breath.

use moteweir_physics::breathing::Inhalation;
use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::layer::{Layer, PreparedLayer, Setting};
use moteweir_physics::leak::{LeakError, LeakLaw, split};
use moteweir_physics::particle::Particle;
use moteweir_physics::stack::ParticleKind;
use moteweir_units::{Area, Flow, Length, Pressure, Velocity};
use ndarray::Array2;

use crate::case::LeakAt;

/// Face velocities at which the layers are evaluated; between, the exponent is a power of the velocity.
const VELOCITIES: usize = 9;
/// Slowest and fastest of them, over that of the peak flow without a leak.
const SLOWEST: f64 = 1e-3;

/// Layers of a draw, with their exponents tabulated over face velocity for the sizes asked about.
pub(crate) struct Worn {
    area: Area,
    setting: Setting,
    layers: Vec<Layer>,
    velocities: Vec<f64>,
    sizes: Vec<SizeStates>,
    /// Logarithms of exponents by layer and size, each over charge state and velocity.
    exponents: Vec<Vec<Array2<f64>>>,
}

struct SizeStates {
    particle: Particle,
    states: Vec<(i32, f64)>,
}

/// What a breath through a number of layers comes to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Breath {
    /// Inhaled share at each size.
    pub(super) inhaled: Vec<f64>,
    /// Share through the filter at each size, weighted with the filter's flow.
    pub(super) through_filter: Vec<f64>,
    /// Share of the inhaled air that goes past the edge.
    pub(super) leak_share: f64,
    pub(super) peak_pressure: Pressure,
    pub(super) mean_pressure: Pressure,
    pub(super) work_j_per_l: f64,
}

impl Worn {
    /// Tabulates layers up to the peak flow of an inhalation.
    pub(crate) fn new(
        layers: Vec<Layer>,
        setting: Setting,
        kind: &ParticleKind,
        sizes: &[Length],
        area: Area,
        peak: Flow,
    ) -> Self {
        let air = &setting.air;
        let fastest = (peak / area).to_m_per_s();
        let velocities = crate::predict::log_spaced(fastest * SLOWEST, fastest, VELOCITIES);
        let sizes: Vec<SizeStates> = sizes
            .iter()
            .map(|&d| SizeStates {
                particle: Particle::new(air, d, kind.density),
                states: condensed_charge_states(kind.charge, air, d),
            })
            .collect();
        let mut worn = Self { area, setting, layers, velocities, sizes, exponents: Vec::new() };
        worn.exponents = worn.layers.iter().map(|layer| worn.table(layer)).collect();
        worn
    }

    fn table(&self, layer: &Layer) -> Vec<Array2<f64>> {
        let slices = moteweir_physics::single_fibre::impaction::ImpactionSlices::default();
        let ready: Vec<PreparedLayer> = self
            .velocities
            .iter()
            .map(|&v| layer.prepare_with(&self.setting, Velocity::from_m_per_s(v), &slices))
            .collect();
        self.sizes
            .iter()
            .map(|size| {
                let charges: Vec<i32> = size.states.iter().map(|(n, _)| *n).collect();
                let mut table = Array2::zeros((charges.len(), ready.len()));
                for (mut column, layer) in table.columns_mut().into_iter().zip(&ready) {
                    let through = layer.penetrations(&size.particle, &charges);
                    column
                        .iter_mut()
                        .zip(through)
                        .for_each(|(k, p)| *k = (-p.value.ln()).clamp(f64::MIN_POSITIVE, 700.0).ln());
                }
                table
            })
            .collect()
    }

    /// Pressure drop of so many of each layer at a flow through the filter.
    pub(crate) fn pressure(&self, counts: &[u32], flow: Flow) -> Pressure {
        let velocity = flow / self.area;
        if velocity.to_m_per_s() <= 0.0 {
            return Pressure::from_pa(0.0);
        }
        let each = self
            .layers
            .iter()
            .zip(counts)
            .map(|(layer, &count)| f64::from(count) * layer.pressure_drop(&self.setting, velocity).value);
        Pressure::from_pa(each.sum())
    }

    /// Penetration of so many of each layer at each size and a face velocity.
    pub(crate) fn penetration(&self, counts: &[u32], velocity: f64) -> Vec<f64> {
        let first = self.velocities[0];
        let step = (self.velocities[1] / first).ln();
        let last = self.velocities.len() - 2;
        let at = ((velocity / first).ln() / step).clamp(0.0, (last + 1) as f64);
        let cell = (0..=last).rev().find(|&k| at >= k as f64).unwrap_or(0);
        let share = at - cell as f64;
        self.sizes
            .iter()
            .enumerate()
            .map(|(size, states)| {
                let through = |state: usize| -> f64 {
                    let exponent: f64 = self
                        .exponents
                        .iter()
                        .zip(counts)
                        .map(|(layer, &count)| {
                            let k = layer[size].row(state);
                            f64::from(count) * (k[cell] + share * (k[cell + 1] - k[cell])).exp()
                        })
                        .sum();
                    (-exponent).exp()
                };
                states.states.iter().enumerate().map(|(state, (_, f))| f * through(state)).sum()
            })
            .collect()
    }

    /// The law of a leak beside so many of each layer.
    pub(super) fn law(&self, leak: &LeakAt, counts: &[u32]) -> Result<LeakLaw, LeakError> {
        match leak {
            LeakAt::Law(law) => Ok(*law),
            LeakAt::Fit(reading, shape) => {
                reading.leak(*shape, |q| self.pressure(counts, q), &self.setting.air)
            }
        }
    }

    /// A breath through so many of each layer beside a leak.
    pub(super) fn breath(
        &self,
        counts: &[u32],
        law: &LeakLaw,
        inhalation: &Inhalation,
    ) -> Result<Breath, LeakError> {
        let mut breath = Breath {
            inhaled: vec![0.0; self.sizes.len()],
            through_filter: vec![0.0; self.sizes.len()],
            leak_share: 0.0,
            peak_pressure: Pressure::from_pa(0.0),
            mean_pressure: Pressure::from_pa(0.0),
            work_j_per_l: 0.0,
        };
        let mut filtered = 0.0;
        for moment in inhalation.moments() {
            let divided = split(moment.flow, |q| self.pressure(counts, q), law, &self.setting.air)?;
            let share = divided.share();
            let through = self.penetration(counts, (divided.filter / self.area).to_m_per_s());
            let by_filter = moment.of_volume * (1.0 - share);
            filtered += by_filter;
            for (i, p) in through.iter().enumerate() {
                breath.inhaled[i] += by_filter * p + moment.of_volume * share;
                breath.through_filter[i] += by_filter * p;
            }
            breath.leak_share += moment.of_volume * share;
        }
        if filtered > 0.0 {
            breath.through_filter.iter_mut().for_each(|p| *p /= filtered);
        }
        let drop = |q: Flow| {
            split(q, |f| self.pressure(counts, f), law, &self.setting.air)
                .map_or(Pressure::from_pa(0.0), |s| s.pressure_drop)
        };
        let effort = inhalation.effort(drop);
        breath.peak_pressure = effort.peak;
        breath.mean_pressure = effort.mean;
        breath.work_j_per_l = effort.work_j_per_l;
        Ok(breath)
    }
}
