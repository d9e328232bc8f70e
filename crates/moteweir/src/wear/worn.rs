//! Layers tabulated over face velocity: what a filter does at any flow of a breath.

use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::layer::{Layer, PreparedLayer, Setting};
use moteweir_physics::leak::{LeakError, LeakLaw};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::impaction::ImpactionSlices;
use moteweir_physics::stack::ParticleKind;
use moteweir_units::{Area, Flow, Length, Pressure, Velocity};

use crate::case::LeakAt;
use crate::predict::log_spaced;

/// Slowest face velocity of the tables, over that of the peak flow without a leak.
const SLOWEST: f64 = 1e-3;
/// Velocities a decade at which exponents are evaluated; between, they are powers of the velocity.
const EXPONENTS_A_DECADE: f64 = 6.0;
/// Velocities a decade at which pressure drops are evaluated; between, pressure drop over velocity is a straight line,
/// so that the laminar and the inertial part of a law are met exactly.
const DROPS_A_DECADE: f64 = 10.0;

/// Layers with exponents and pressure drops tabulated over face velocity.
pub(crate) struct Worn {
    area: Area,
    setting: Setting,
    layers: Vec<Layer>,
    velocities: Vec<f64>,
    sizes: Vec<SizeStates>,
    /// Exponents by layer, each over velocity, size and charge state, the last fastest.
    exponents: Vec<Vec<f64>>,
    slow_velocities: Vec<f64>,
    /// Pressure drop over face velocity \[Pa s/m\] by layer, each over `slow_velocities`.
    resistances: Vec<Vec<f64>>,
}

struct SizeStates {
    particle: Particle,
    states: Vec<(i32, f64)>,
}

/// So many of each layer, laid together.
pub(crate) struct Together<'a> {
    worn: &'a Worn,
    /// Logarithms of the exponents over velocity, size and charge state.
    exponents: Vec<f64>,
    resistances: Vec<f64>,
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
        Self::over(layers, setting, kind, sizes, area, [peak; 2])
    }

    /// As [`Worn::new`], for inhalations of which the gentlest and the hardest have these peak flows.
    pub(super) fn over(
        layers: Vec<Layer>,
        setting: Setting,
        kind: &ParticleKind,
        sizes: &[Length],
        area: Area,
        [lowest, highest]: [Flow; 2],
    ) -> Self {
        let air = &setting.air;
        let (slowest, fastest) = (SLOWEST * (lowest / area).to_m_per_s(), (highest / area).to_m_per_s());
        let sizes: Vec<SizeStates> = sizes
            .iter()
            .map(|&d| SizeStates {
                particle: Particle::new(air, d, kind.density),
                states: condensed_charge_states(kind.charge, air, d),
            })
            .collect();
        let mut worn = Self {
            area,
            setting,
            layers,
            velocities: nodes(slowest, fastest, EXPONENTS_A_DECADE),
            slow_velocities: nodes(slowest, fastest, DROPS_A_DECADE),
            sizes,
            exponents: Vec::new(),
            resistances: Vec::new(),
        };
        // A lock round shared slices would be fought over: each draw has its own.
        let slices = ImpactionSlices::default();
        worn.exponents = worn.layers.iter().map(|layer| worn.exponents_of(layer, &slices)).collect();
        worn.resistances = worn.layers.iter().map(|layer| worn.resistances_of(layer)).collect();
        worn
    }

    fn exponents_of(&self, layer: &Layer, slices: &ImpactionSlices) -> Vec<f64> {
        let charges: Vec<Vec<i32>> =
            self.sizes.iter().map(|size| size.states.iter().map(|(n, _)| *n).collect()).collect();
        let mut table = Vec::new();
        for &velocity in &self.velocities {
            let ready: PreparedLayer =
                layer.prepare_with(&self.setting, Velocity::from_m_per_s(velocity), slices);
            for (size, charges) in self.sizes.iter().zip(&charges) {
                let through = ready.penetrations(&size.particle, charges);
                table.extend(through.iter().map(|p| (-p.value.ln()).clamp(f64::MIN_POSITIVE, 700.0)));
            }
        }
        table
    }

    fn resistances_of(&self, layer: &Layer) -> Vec<f64> {
        self.slow_velocities
            .iter()
            .map(|&v| layer.pressure_drop(&self.setting, Velocity::from_m_per_s(v)).value / v)
            .collect()
    }

    /// Pressure drop of so many of each layer at a flow through the filter, untabulated.
    pub(crate) fn pressure(&self, counts: &[u32], flow: Flow) -> Pressure {
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

    /// Penetration of so many of each layer at each size and a face velocity.
    pub(crate) fn penetration(&self, counts: &[u32], velocity: f64) -> Vec<f64> {
        self.together(counts).penetration(velocity)
    }

    /// So many of each layer, laid together.
    pub(super) fn together(&self, counts: &[u32]) -> Together<'_> {
        let exponents = summed(&self.exponents, counts);
        Together {
            worn: self,
            exponents: exponents.into_iter().map(|k| k.max(f64::MIN_POSITIVE).ln()).collect(),
            resistances: summed(&self.resistances, counts),
        }
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
}

impl Together<'_> {
    /// The air.
    pub(super) const fn air(&self) -> &moteweir_physics::air::Air {
        &self.worn.setting.air
    }

    /// The filtering area.
    pub(super) const fn area(&self) -> Area {
        self.worn.area
    }

    /// Pressure drop at a flow through the filter.
    pub(super) fn pressure(&self, flow: Flow) -> Pressure {
        let (nodes, velocity) = (&self.worn.slow_velocities, (flow / self.worn.area).to_m_per_s());
        let above = nodes.partition_point(|&v| v < velocity).clamp(1, nodes.len() - 1);
        let (low, high) = (nodes[above - 1], nodes[above]);
        // Below the slowest the flow is laminar.
        let share = ((velocity - low) / (high - low)).max(0.0);
        let (a, b) = (self.resistances[above - 1], self.resistances[above]);
        Pressure::from_pa(velocity * (a + share * (b - a)))
    }

    /// Penetration at each size and a face velocity; at the ends of the table beyond it.
    pub(super) fn penetration(&self, velocity: f64) -> Vec<f64> {
        let nodes = &self.worn.velocities;
        let above = nodes.partition_point(|&v| v < velocity).clamp(1, nodes.len() - 1);
        let (low, high) = (nodes[above - 1], nodes[above]);
        let share = ((velocity / low).ln() / (high / low).ln()).clamp(0.0, 1.0);
        let width = self.exponents.len() / nodes.len();
        let (from, to) = (&self.exponents[(above - 1) * width..], &self.exponents[above * width..]);
        let mut at = from.iter().zip(to);
        self.worn
            .sizes
            .iter()
            .map(|size| {
                let states = size.states.iter().zip(&mut at);
                states.map(|((_, f), (a, b))| f * (-(a + share * (b - a)).exp()).exp()).sum()
            })
            .collect()
    }
}

/// Velocities from the slowest to the fastest, evenly in the logarithm.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some tens of velocities")]
fn nodes(slowest: f64, fastest: f64, a_decade: f64) -> Vec<f64> {
    let steps = ((fastest / slowest).log10() * a_decade).ceil().clamp(1.0, 200.0);
    log_spaced(slowest, fastest, steps as usize + 1)
}

/// The sum of so many of each row.
fn summed(rows: &[Vec<f64>], counts: &[u32]) -> Vec<f64> {
    let mut sum = vec![0.0; rows.first().map_or(0, Vec::len)];
    for (row, &count) in rows.iter().zip(counts).filter(|(_, count)| **count > 0) {
        sum.iter_mut().zip(row).for_each(|(total, value)| *total += f64::from(count) * value);
    }
    sum
}
