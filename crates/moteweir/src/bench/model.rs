//! One layer of a material by the physics, for what several layers must show in a broad channel.

use moteweir_physics::air::Air;
use moteweir_physics::layer::Setting;
use moteweir_physics::stack::{ParticleKind, PreparedStack, Stack};
use moteweir_units::{Length, Velocity};

use crate::case::Case;
use crate::predict::{MediumFault, medium};

/// One layer of the first material of a case at a face velocity, at its central values under the headline closure.
#[derive(Debug)]
pub struct LayerModel {
    stack: PreparedStack,
    kind: ParticleKind,
}

impl LayerModel {
    /// The layer of the first material of the first stack; none where the case has no stack.
    ///
    /// # Errors
    /// Where no layer can be made of the material.
    pub fn new(case: &Case, velocity: Velocity) -> Result<Option<Self>, MediumFault> {
        let first = case.stacks.first().and_then(|stack| stack.layers.first());
        let Some(material) = first.and_then(|&material| case.materials.get(material)) else {
            return Ok(None);
        };
        let air = Air::new(case.air.temperature, case.air.pressure, case.air.relative_humidity);
        let closure = case.model.closure;
        let layer = medium(material, closure, &air, case.particles.relative_permittivity)?.layer;
        let setting = Setting { closure, air, direction: case.usage.direction };
        let stack = Stack::new([(layer, 1)]).prepare(&setting, velocity);
        Ok(Some(Self {
            stack,
            kind: ParticleKind { density: case.particles.density, charge: case.particles.charge },
        }))
    }

    /// -ln P at a size.
    pub fn exponent(&self, size: Length) -> f64 {
        -self.stack.penetration(size, &self.kind).value.ln()
    }
}
