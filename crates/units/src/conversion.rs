//! Conversion factors to SI, each stated once.
//!
//! Exact where a unit is defined so (inch, pound, hour); the water columns are the conventional ones.

/// Pascals in a conventional millimetre of water: 1000 kg/m3 x 9.80665 m/s2 x 1 mm.
pub const PASCALS_PER_MM_H2O: f64 = 9.80665;
/// Pascals in a conventional inch of water: 25.4 of the millimetres above.
pub const PASCALS_PER_INCH_H2O: f64 = 25.4 * PASCALS_PER_MM_H2O;
/// Metres in an inch (exact).
pub const METRES_PER_INCH: f64 = 0.0254;
/// Metres in a foot (exact).
pub const METRES_PER_FOOT: f64 = 0.3048;
/// Metres in a yard (exact).
pub const METRES_PER_YARD: f64 = 0.9144;
/// Kilograms in an avoirdupois ounce (exact).
pub const KILOGRAMS_PER_OUNCE: f64 = 0.028349523125;
/// Metres per second in a foot per minute (exact).
pub const METRES_PER_SECOND_PER_FOOT_PER_MINUTE: f64 = METRES_PER_FOOT / 60.0;
/// Cubic metres per second in a litre per minute (exact).
pub const CUBIC_METRES_PER_SECOND_PER_LITRE_PER_MINUTE: f64 = 1e-3 / 60.0;
/// Tex times the English cotton count: 453.59237 g over 840 x 0.9144 m, in g/km.
pub const TEX_TIMES_COTTON_COUNT: f64 = 453.59237 / (840.0 * METRES_PER_YARD) * 1000.0;
/// 0 degrees Celsius in kelvin (exact).
pub const CELSIUS_ZERO_KELVIN: f64 = 273.15;
/// The elementary charge in coulombs (SI 2019, exact).
pub const COULOMBS_PER_ELEMENTARY_CHARGE: f64 = 1.602176634e-19;
