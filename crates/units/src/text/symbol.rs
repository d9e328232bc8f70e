//! The table of unit symbols.

use super::Dimension as D;
use super::vector::{DIMENSIONLESS, Vector};

/// A unit's size is `times / per * 10^ten` in SI; the three are whole numbers, so that no digit is lost on the way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Symbol {
    pub(super) text: &'static str,
    pub(super) vector: Vector,
    pub(super) times: f64,
    pub(super) per: f64,
    pub(super) ten: i32,
}

const fn symbol(text: &'static str, vector: Vector, times: f64, per: f64, ten: i32) -> Symbol {
    Symbol { text, vector, times, per, ten }
}

const LENGTH: Vector = D::Length.vector();
const VOLUME: Vector = Vector { length: 3, ..DIMENSIONLESS };
const MASS: Vector = D::Mass.vector();
const TIME: Vector = D::Time.vector();
const TEMPERATURE: Vector = D::Temperature.vector();
const PRESSURE: Vector = D::Pressure.vector();
const VELOCITY: Vector = D::Velocity.vector();
const FLOW: Vector = D::Flow.vector();
const BASIS_WEIGHT: Vector = D::BasisWeight.vector();
const LINEAR_DENSITY: Vector = D::LinearDensity.vector();
const THREAD_COUNT: Vector = D::ThreadCount.vector();
const CHARGE: Vector = D::Charge.vector();
const FORCE: Vector = Vector { length: 1, mass: 1, time: -2, ..DIMENSIONLESS };

/// Every symbol that is read, with the micro sign written `u`.
pub(super) const SYMBOLS: [Symbol; 93] = [
    symbol("m", LENGTH, 1.0, 1.0, 0),
    symbol("cm", LENGTH, 1.0, 1.0, -2),
    symbol("dm", LENGTH, 1.0, 1.0, -1),
    symbol("mm", LENGTH, 1.0, 1.0, -3),
    symbol("um", LENGTH, 1.0, 1.0, -6),
    symbol("micron", LENGTH, 1.0, 1.0, -6),
    symbol("microns", LENGTH, 1.0, 1.0, -6),
    symbol("nm", LENGTH, 1.0, 1.0, -9),
    symbol("km", LENGTH, 1.0, 1.0, 3),
    symbol("in", LENGTH, 254.0, 1.0, -4),
    symbol("inch", LENGTH, 254.0, 1.0, -4),
    symbol("mil", LENGTH, 254.0, 1.0, -7),
    symbol("thou", LENGTH, 254.0, 1.0, -7),
    symbol("ft", LENGTH, 3048.0, 1.0, -4),
    symbol("yd", LENGTH, 9144.0, 1.0, -4),
    symbol("L", VOLUME, 1.0, 1.0, -3),
    symbol("l", VOLUME, 1.0, 1.0, -3),
    symbol("mL", VOLUME, 1.0, 1.0, -6),
    symbol("ml", VOLUME, 1.0, 1.0, -6),
    symbol("cc", VOLUME, 1.0, 1.0, -6),
    symbol("g", MASS, 1.0, 1.0, -3),
    symbol("mg", MASS, 1.0, 1.0, -6),
    symbol("ug", MASS, 1.0, 1.0, -9),
    symbol("kg", MASS, 1.0, 1.0, 0),
    symbol("oz", MASS, 28349523125.0, 1.0, -12),
    symbol("lb", MASS, 45359237.0, 1.0, -8),
    symbol("s", TIME, 1.0, 1.0, 0),
    symbol("sec", TIME, 1.0, 1.0, 0),
    symbol("ms", TIME, 1.0, 1.0, -3),
    symbol("us", TIME, 1.0, 1.0, -6),
    symbol("min", TIME, 60.0, 1.0, 0),
    symbol("h", TIME, 3600.0, 1.0, 0),
    symbol("hr", TIME, 3600.0, 1.0, 0),
    symbol("hour", TIME, 3600.0, 1.0, 0),
    symbol("hours", TIME, 3600.0, 1.0, 0),
    symbol("day", TIME, 86400.0, 1.0, 0),
    symbol("days", TIME, 86400.0, 1.0, 0),
    symbol("K", TEMPERATURE, 1.0, 1.0, 0),
    symbol("degC", TEMPERATURE, 1.0, 1.0, 0), // a difference; a temperature is read with its zero
    symbol("°C", TEMPERATURE, 1.0, 1.0, 0),
    symbol("degF", TEMPERATURE, 5.0, 9.0, 0),
    symbol("°F", TEMPERATURE, 5.0, 9.0, 0),
    symbol("Pa", PRESSURE, 1.0, 1.0, 0),
    symbol("daPa", PRESSURE, 1.0, 1.0, 1),
    symbol("hPa", PRESSURE, 1.0, 1.0, 2),
    symbol("kPa", PRESSURE, 1.0, 1.0, 3),
    symbol("MPa", PRESSURE, 1.0, 1.0, 6),
    symbol("mbar", PRESSURE, 1.0, 1.0, 2),
    symbol("bar", PRESSURE, 1.0, 1.0, 5),
    symbol("atm", PRESSURE, 101325.0, 1.0, 0),
    symbol("mmH2O", PRESSURE, 980665.0, 1.0, -5),
    symbol("cmH2O", PRESSURE, 980665.0, 1.0, -4),
    symbol("inH2O", PRESSURE, 980665.0 * 254.0, 1.0, -6),
    symbol("mmHg", PRESSURE, 133322387415.0, 1.0, -9), // conventional: 13595.1 kg/m3 x 9.80665 m/s2
    symbol("inHg", PRESSURE, 133322387415.0 * 254.0, 1.0, -10),
    symbol("psi", PRESSURE, 6894757293168.0, 1.0, -9), // to 13 digits
    symbol("N", FORCE, 1.0, 1.0, 0),
    symbol("mN", FORCE, 1.0, 1.0, -3),
    symbol("fpm", VELOCITY, 3048.0, 60.0, -4),
    symbol("cfm", FLOW, 28316846592.0, 60.0, -12), // a cubic foot of 3048^3 x 10^-12 m3
    symbol("CFM", FLOW, 28316846592.0, 60.0, -12),
    symbol("lpm", FLOW, 1.0, 60.0, -3),
    symbol("LPM", FLOW, 1.0, 60.0, -3),
    symbol("gsm", BASIS_WEIGHT, 1.0, 1.0, -3),
    symbol("GSM", BASIS_WEIGHT, 1.0, 1.0, -3),
    symbol("osy", BASIS_WEIGHT, 28349523125.0, 83612736.0, -4), // ounces per square yard
    symbol("tex", LINEAR_DENSITY, 1.0, 1.0, -6),
    symbol("ktex", LINEAR_DENSITY, 1.0, 1.0, -3),
    symbol("dtex", LINEAR_DENSITY, 1.0, 1.0, -7),
    symbol("mtex", LINEAR_DENSITY, 1.0, 1.0, -9),
    symbol("denier", LINEAR_DENSITY, 1.0, 9.0, -6),
    symbol("den", LINEAR_DENSITY, 1.0, 9.0, -6),
    symbol("Ne", LINEAR_DENSITY, 1.0, 1.0, 0), // an inverse scale; `read` converts it
    symbol("epi", THREAD_COUNT, 1.0, 254.0, 4),
    symbol("ppi", THREAD_COUNT, 1.0, 254.0, 4),
    symbol("C", CHARGE, 1.0, 1.0, 0),
    symbol("mC", CHARGE, 1.0, 1.0, -3),
    symbol("uC", CHARGE, 1.0, 1.0, -6),
    symbol("nC", CHARGE, 1.0, 1.0, -9),
    symbol("pC", CHARGE, 1.0, 1.0, -12),
    symbol("fC", CHARGE, 1.0, 1.0, -15),
    symbol("e", CHARGE, 1602176634.0, 1.0, -28),
    symbol("%", DIMENSIONLESS, 1.0, 1.0, -2),
    symbol("percent", DIMENSIONLESS, 1.0, 1.0, -2),
    symbol("thread", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("threads", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("end", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("ends", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("pick", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("picks", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("yarn", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("yarns", DIMENSIONLESS, 1.0, 1.0, 0),
    symbol("number", DIMENSIONLESS, 1.0, 1.0, 0),
];

/// The symbol written `text`, either code point of the micro sign read as `u`.
pub(super) fn find(text: &str) -> Option<&'static Symbol> {
    let plain = text.replace(['\u{b5}', '\u{3bc}'], "u").replace('\u{2103}', "°C");
    SYMBOLS.iter().find(|symbol| symbol.text == plain)
}
