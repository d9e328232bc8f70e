//! Constants of nature and of the standard atmosphere, each once, with unit and source.

/// Boltzmann constant \[J/K\]; SI 2019, exact.
pub const BOLTZMANN: f64 = 1.380649e-23;
/// Elementary charge \[C\]; SI 2019, exact.
pub const ELEMENTARY_CHARGE: f64 = moteweir_units::conversion::COULOMBS_PER_ELEMENTARY_CHARGE;
/// Electric constant \[F/m\]; CODATA 2018.
pub const ELECTRIC_CONSTANT: f64 = 8.8541878e-12;
/// Standard gravity \[m/s2\]; 3rd CGPM 1901, exact.
pub const STANDARD_GRAVITY: f64 = 9.80665;
/// Specific gas constant of dry air \[J/(kg K)\]; 8.314462618 / 28.9647e-3.
pub const GAS_CONSTANT_DRY_AIR: f64 = 287.05;
/// Density that defines the aerodynamic diameter \[kg/m3\].
pub const UNIT_DENSITY: f64 = 1000.0;
