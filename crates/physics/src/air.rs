//! Air: viscosity, density and mean free path at a temperature, pressure and humidity.

use moteweir_units::{Density, Length, Pressure, Temperature, Viscosity};

use crate::constants::GAS_CONSTANT_DRY_AIR;

/// Viscosity of the set at its reference temperature \[Pa s\].
const REFERENCE_VISCOSITY: f64 = 1.83245e-5;
/// Reference temperature of the set \[K\].
const REFERENCE_TEMPERATURE: f64 = 296.15;
/// Sutherland temperature of the set \[K\].
const SUTHERLAND_TEMPERATURE: f64 = 110.4;
/// Mean free path at the reference temperature and pressure \[m\].
const REFERENCE_MEAN_FREE_PATH: f64 = 67.3e-9;
/// Reference pressure of the set \[Pa\].
const REFERENCE_PRESSURE: f64 = 101_325.0;

/// Air as the models see it; built once, then read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    temperature: Temperature,
    pressure: Pressure,
    viscosity: Viscosity,
    density: Density,
    mean_free_path: Length,
}

impl Air {
    /// Air at a temperature, an absolute pressure and a relative humidity (0 to 1).
    ///
    /// ```text
    /// viscosity       mu = mu0 (T/T0)^1.5 (T0 + S)/(T + S),      mu0 = 1.83245e-5 Pa s, T0 = 296.15 K, S = 110.4 K
    /// mean free path  l = l0 (T/T0)^2 (p0/p) (T0 + S)/(T + S),   l0 = 67.3 nm at p0 = 101 325 Pa
    /// density         rho = (p - 0.378 p_v)/(287.05 T),          p_v = humidity x saturation pressure
    /// ```
    /// Source: [`crate::refs::ISO_15900`] for viscosity and mean free path, which belong together and to the slip
    /// correction of [`crate::slip`]; saturation pressure from [`crate::refs::BUCK_1996`].
    /// Valid from about 250 to 350 K. Leaves out: the effect of humidity on viscosity and mean free path, below
    /// 0.6 % up to 25 degrees Celsius and 50 %, about 2 % in saturated air at 30 degrees.
    pub fn new(temperature: Temperature, pressure: Pressure, relative_humidity: f64) -> Self {
        let t = temperature.to_kelvin();
        let p = pressure.to_pa();
        let sutherland = (REFERENCE_TEMPERATURE + SUTHERLAND_TEMPERATURE) / (t + SUTHERLAND_TEMPERATURE);
        let ratio = t / REFERENCE_TEMPERATURE;
        let vapour = relative_humidity * saturation_pressure(temperature).to_pa();
        Self {
            temperature,
            pressure,
            viscosity: Viscosity::from_pa_s(REFERENCE_VISCOSITY * ratio.powf(1.5) * sutherland),
            density: Density::from_kg_per_m3((p - 0.378 * vapour) / (GAS_CONSTANT_DRY_AIR * t)),
            mean_free_path: Length::from_m(
                REFERENCE_MEAN_FREE_PATH * ratio * ratio * (REFERENCE_PRESSURE / p) * sutherland,
            ),
        }
    }

    /// Air with stated properties, for worked examples that state their own.
    pub fn with_properties(
        temperature: Temperature,
        pressure: Pressure,
        viscosity: Viscosity,
        density: Density,
        mean_free_path: Length,
    ) -> Self {
        Self { temperature, pressure, viscosity, density, mean_free_path }
    }

    /// Dry air at 296.15 K and 101 325 Pa.
    pub fn reference() -> Self {
        Self::new(Temperature::from_kelvin(REFERENCE_TEMPERATURE), Pressure::from_pa(REFERENCE_PRESSURE), 0.0)
    }

    /// Absolute temperature \[K\].
    pub const fn temperature(&self) -> Temperature {
        self.temperature
    }

    /// Absolute pressure \[Pa\].
    pub const fn pressure(&self) -> Pressure {
        self.pressure
    }

    /// Dynamic viscosity \[Pa s\].
    pub const fn viscosity(&self) -> Viscosity {
        self.viscosity
    }

    /// Density \[kg/m3\].
    pub const fn density(&self) -> Density {
        self.density
    }

    /// Mean free path \[m\].
    pub const fn mean_free_path(&self) -> Length {
        self.mean_free_path
    }

    /// Fibre Knudsen number, 2 x mean free path / fibre diameter.
    pub fn fibre_knudsen(&self, fibre_diameter: Length) -> f64 {
        2.0 * (self.mean_free_path / fibre_diameter)
    }
}

/// Saturation pressure of water vapour over water \[Pa\].
///
/// ```text
/// p_sat = 611.21 exp[(18.678 - t/234.5) t/(257.14 + t)],   t in degrees Celsius
/// ```
/// Source: [`crate::refs::BUCK_1996`], from memory. Valid from 0 to 100 degrees Celsius.
pub fn saturation_pressure(temperature: Temperature) -> Pressure {
    let t = temperature.to_celsius();
    Pressure::from_pa(611.21 * ((18.678 - t / 234.5) * t / (257.14 + t)).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn humid_air_is_lighter() {
        let room = Air::new(Temperature::from_celsius(23.0), Pressure::from_pa(101_325.0), 0.5);
        assert!((room.density().to_kg_per_m3() - 1.1857).abs() < 1e-4);
        assert!((saturation_pressure(room.temperature()).to_pa() - 2810.0).abs() < 1.0);
    }

    #[test]
    fn the_reference_state_is_the_reference_state() {
        let air = Air::reference();
        assert!((air.viscosity().to_pa_s() - 1.83245e-5).abs() < 1e-20);
        assert!((air.mean_free_path().to_nm() - 67.3).abs() < 1e-12);
    }
}
