//! Pressure drops of layers over face velocity: what decides how a flow divides between filter and leak.

use moteweir_physics::air::Air;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::leak::{LeakError, LeakLaw};
use moteweir_units::{Area, Flow, Pressure, Velocity};

use crate::case::LeakAt;
use crate::predict::log_spaced;

/// Slowest face velocity of the tables, over that of the lowest peak flow without a leak. Below, flow is laminar.
const SLOWEST: f64 = 1e-3;
/// Velocities a decade at which pressure drops are evaluated; between, pressure drop over velocity is a straight line,
/// so that the laminar and the inertial part of a law are met exactly.
const A_DECADE: f64 = 10.0;

/// Layers with their pressure drops.
pub(super) struct Drops<'a> {
    layers: &'a [Layer],
    setting: Setting,
    area: Area,
    velocities: Vec<f64>,
    /// Pressure drop over face velocity \[Pa s/m\] by layer, each over `velocities`.
    resistances: Vec<Vec<f64>>,
}

/// Pressure drop of so many of each layer over the flow through them.
#[derive(Clone, Debug)]
pub(super) struct PressureCurve {
    area: Area,
    air: Air,
    velocities: Vec<f64>,
    resistances: Vec<f64>,
}

impl<'a> Drops<'a> {
    /// For inhalations of which the gentlest and the hardest have these peak flows.
    pub(super) fn new(
        layers: &'a [Layer],
        setting: Setting,
        area: Area,
        [lowest, highest]: [Flow; 2],
    ) -> Self {
        let (slowest, fastest) = (SLOWEST * (lowest / area).to_m_per_s(), (highest / area).to_m_per_s());
        let velocities = nodes(slowest, fastest);
        let resistance =
            |layer: &Layer, v: f64| layer.pressure_drop(&setting, Velocity::from_m_per_s(v)).value / v;
        let resistances = layers
            .iter()
            .map(|layer| match layer {
                // In proportion to the velocity.
                Layer::Web(_) => vec![resistance(layer, fastest); velocities.len()],
                Layer::Weave(_) => velocities.iter().map(|&v| resistance(layer, v)).collect(),
            })
            .collect();
        Self { layers, setting, area, velocities, resistances }
    }

    /// So many of each layer, laid together.
    pub(super) fn together(&self, counts: &[u32]) -> PressureCurve {
        let mut sum = vec![0.0; self.velocities.len()];
        for (row, &count) in self.resistances.iter().zip(counts).filter(|(_, count)| **count > 0) {
            sum.iter_mut().zip(row).for_each(|(total, value)| *total += f64::from(count) * value);
        }
        PressureCurve {
            area: self.area,
            air: self.setting.air,
            velocities: self.velocities.clone(),
            resistances: sum,
        }
    }

    /// The law of a leak beside so many of each layer.
    pub(super) fn law(&self, leak: &LeakAt, counts: &[u32]) -> Result<LeakLaw, LeakError> {
        match leak {
            LeakAt::Law(law) => Ok(*law),
            LeakAt::Fit(reading, shape) => {
                reading.leak(*shape, |q| self.untabulated(counts, q), &self.setting.air)
            }
        }
    }

    /// Pressure drop of so many of each layer at a flow through the filter, whatever the flow.
    pub(super) fn untabulated(&self, counts: &[u32], flow: Flow) -> Pressure {
        let velocity = flow / self.area;
        if velocity.to_m_per_s() <= 0.0 {
            return Pressure::from_pa(0.0);
        }
        let each = self
            .layers
            .iter()
            .zip(counts)
            .filter(|(_, count)| **count > 0)
            .map(|(layer, &count)| f64::from(count) * layer.pressure_drop(&self.setting, velocity).value);
        Pressure::from_pa(each.sum())
    }
}

impl PressureCurve {
    /// The air.
    pub(super) const fn air(&self) -> &Air {
        &self.air
    }

    /// The face velocity of a flow through the filter \[m/s\].
    pub(super) fn velocity(&self, flow: Flow) -> f64 {
        (flow / self.area).to_m_per_s()
    }

    /// Pressure drop at a flow through the filter.
    pub(super) fn pressure(&self, flow: Flow) -> Pressure {
        let (nodes, velocity) = (&self.velocities, self.velocity(flow));
        let above = nodes.partition_point(|&v| v < velocity).clamp(1, nodes.len() - 1);
        let (low, high) = (nodes[above - 1], nodes[above]);
        let share = ((velocity - low) / (high - low)).max(0.0);
        let (a, b) = (self.resistances[above - 1], self.resistances[above]);
        Pressure::from_pa(velocity * (a + share * (b - a)))
    }
}

/// Velocities from the slowest to the fastest, evenly in the logarithm.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some tens of velocities")]
fn nodes(slowest: f64, fastest: f64) -> Vec<f64> {
    let steps = ((fastest / slowest).log10() * A_DECADE).ceil().clamp(1.0, 200.0);
    log_spaced(slowest, fastest, steps as usize + 1)
}
