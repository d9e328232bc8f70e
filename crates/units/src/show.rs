//! Printing of quantities with as many digits as are known, in the units that people of the trade use.
//!
//! `digits` is a count of significant digits throughout; 0 is taken as 1. Nothing prints as `-0`, and no fraction
//! below one prints as `100 %`, nor one above nothing as `0 %`.

use crate::fraction::{Efficiency, Penetration};
use crate::quantity::{
    Area, BasisWeight, Density, Flow, Length, LinearDensity, Mass, Pressure, Resistance, SurfaceCharge,
    Temperature, ThreadCount, Time, Velocity,
};

/// More decimals of a percentage than these are never known; beyond them "over" and "under" are printed.
const MOST_PERCENT_DECIMALS: usize = 6;

/// A quantity that prints with a unit of the trade.
pub trait Show: Copy {
    /// The quantity with its unit, such as `24 Pa`.
    fn show(self, digits: usize) -> String;
}

/// A number with `digits` significant digits: `0.320`, `24`, `12300`, `1.2e-9`.
///
/// ```
/// use moteweir_units::show::number;
///
/// assert_eq!(number(0.32049, 3), "0.320");
/// assert_eq!(number(-0.0, 2), "0");
/// ```
pub fn number(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let decimals = digits.max(1) - 1;
    let scientific = format!("{value:.decimals$e}");
    let Some(exponent) = scientific.split_once('e').and_then(|(_, exponent)| exponent.parse::<i32>().ok())
    else {
        return scientific; // not finite
    };
    if !(-4..=8).contains(&exponent) {
        return scientific;
    }
    let places = i32::try_from(decimals).unwrap_or(i32::MAX).saturating_sub(exponent);
    match usize::try_from(places) {
        Ok(places) => format!("{value:.places$}"),
        Err(_) => format!("{:.0}", scientific.parse().unwrap_or(value)), // 12345 to three digits is 12300
    }
}

/// A percentage with `digits` significant digits of the fraction, more where it would print as a whole.
///
/// ```
/// use moteweir_units::show::percent;
///
/// assert_eq!(percent(0.0312, 2), "3.1 %");
/// assert_eq!(percent(0.9996, 2), "99.96 %");
/// ```
pub fn percent(fraction: f64, digits: usize) -> String {
    let decimals = percent_decimals(fraction.abs(), digits);
    if fraction > 0.0 && fraction < 1.0 {
        inner_percent(fraction, 1.0 - fraction, decimals)
    } else if fraction == 0.0 {
        "0 %".to_owned()
    } else {
        format!("{:.decimals$} %", 100.0 * fraction)
    }
}

/// An efficiency in percent, no finer than `digits` significant digits of the penetration behind it.
///
/// Where less than 1e-16 gets through, the fraction caught has lost it: print from the penetration by
/// [`percent_caught`].
///
/// ```
/// use moteweir_units::{Efficiency, show::percent_efficiency};
///
/// let efficiency = Efficiency::new(0.99972).unwrap();
/// assert_eq!(percent_efficiency(efficiency, 1), "99.97 %");
/// ```
pub fn percent_efficiency(efficiency: Efficiency, digits: usize) -> String {
    caught(efficiency.fraction(), efficiency.penetration().fraction(), digits)
}

/// The efficiency that belongs to a penetration, in percent, no finer than `digits` significant digits of the penetration.
pub fn percent_caught(penetration: Penetration, digits: usize) -> String {
    caught(penetration.efficiency().fraction(), penetration.fraction(), digits)
}

fn caught(efficiency: f64, penetration: f64, digits: usize) -> String {
    if penetration == 0.0 {
        return "100 %".to_owned();
    }
    if efficiency == 0.0 && penetration >= 1.0 {
        return "0 %".to_owned();
    }
    inner_percent(efficiency, penetration, percent_decimals(penetration, digits))
}

/// Decimals of a percentage that show `digits` significant digits of the fraction.
fn percent_decimals(fraction: f64, digits: usize) -> usize {
    let exponent = libm::floor(libm::log10(100.0 * fraction));
    let digits = digits.max(1) as f64;
    (0..MOST_PERCENT_DECIMALS)
        .find(|&decimals| decimals as f64 >= digits - 1.0 - exponent)
        .unwrap_or(MOST_PERCENT_DECIMALS)
}

/// A fraction between nothing and all, with at least the `decimals` given and enough to be seen as between.
fn inner_percent(fraction: f64, complement: f64, decimals: usize) -> String {
    let unit = |places: usize| 0.5 * libm::exp10(-(places as f64));
    let seen = |places: &usize| 100.0 * fraction >= unit(*places) && 100.0 * complement > unit(*places);
    match (decimals..=MOST_PERCENT_DECIMALS).find(seen) {
        Some(places) => format!("{:.places$} %", 100.0 * fraction),
        None if complement < fraction => {
            format!("over {:.MOST_PERCENT_DECIMALS$} %", 100.0 - 2.0 * unit(MOST_PERCENT_DECIMALS))
        }
        None => format!("under {:.MOST_PERCENT_DECIMALS$} %", 2.0 * unit(MOST_PERCENT_DECIMALS)),
    }
}

/// A thickness, always in millimetres: `0.20 mm`.
pub fn thickness(thickness: Length, digits: usize) -> String {
    with_unit(thickness.to_mm(), "mm", digits)
}

/// An air permeability as the trade prints it, always in mm/s: `350 mm/s`.
pub fn air_permeability(velocity: Velocity, digits: usize) -> String {
    with_unit(velocity.to_mm_per_s(), "mm/s", digits)
}

fn with_unit(value: f64, unit: &str, digits: usize) -> String {
    format!("{} {unit}", number(value, digits))
}

impl Show for Length {
    fn show(self, digits: usize) -> String {
        match self.si().abs() {
            size if size > 0.0 && size < 0.1e-6 => with_unit(self.to_nm(), "nm", digits),
            size if size < 1e-3 => with_unit(self.to_um(), "um", digits),
            size if size < 0.1 => with_unit(self.to_mm(), "mm", digits),
            size if size < 10.0 => with_unit(self.to_cm(), "cm", digits),
            _ => with_unit(self.to_m(), "m", digits),
        }
    }
}

impl Show for Area {
    fn show(self, digits: usize) -> String {
        if self.si().abs() < 1.0 {
            with_unit(self.to_cm2(), "cm2", digits)
        } else {
            with_unit(self.to_m2(), "m2", digits)
        }
    }
}

impl Show for Mass {
    fn show(self, digits: usize) -> String {
        match self.si().abs() {
            size if size > 0.0 && size < 0.1e-3 => with_unit(self.si() * 1e6, "mg", digits),
            size if size < 1.0 => with_unit(self.to_g(), "g", digits),
            _ => with_unit(self.to_kg(), "kg", digits),
        }
    }
}

impl Show for Time {
    fn show(self, digits: usize) -> String {
        match self.si().abs() {
            size if size < 120.0 => with_unit(self.to_s(), "s", digits),
            size if size < 7200.0 => with_unit(self.to_s() / 60.0, "min", digits),
            _ => with_unit(self.to_s() / 3600.0, "h", digits),
        }
    }
}

impl Show for Temperature {
    /// In degrees Celsius; the digits are those of the Celsius number.
    fn show(self, digits: usize) -> String {
        with_unit(self.to_celsius(), "degC", digits)
    }
}

impl Show for Pressure {
    fn show(self, digits: usize) -> String {
        if self.si().abs() < 10_000.0 {
            with_unit(self.to_pa(), "Pa", digits)
        } else {
            with_unit(self.to_kpa(), "kPa", digits)
        }
    }
}

impl Show for Velocity {
    fn show(self, digits: usize) -> String {
        match self.si().abs() {
            size if size > 0.0 && size < 1e-3 => with_unit(self.to_mm_per_s(), "mm/s", digits),
            size if size < 1.0 => with_unit(self.to_cm_per_s(), "cm/s", digits),
            _ => with_unit(self.to_m_per_s(), "m/s", digits),
        }
    }
}

impl Show for Flow {
    fn show(self, digits: usize) -> String {
        if self.to_l_per_min().abs() < 1000.0 {
            with_unit(self.to_l_per_min(), "L/min", digits)
        } else {
            with_unit(self.to_m3_per_s() * 3600.0, "m3/h", digits)
        }
    }
}

impl Show for LinearDensity {
    /// Fibres in dtex, yarns in tex.
    fn show(self, digits: usize) -> String {
        if self.to_tex().abs() < 5.0 {
            with_unit(self.to_dtex(), "dtex", digits)
        } else {
            with_unit(self.to_tex(), "tex", digits)
        }
    }
}

impl Show for BasisWeight {
    fn show(self, digits: usize) -> String {
        with_unit(self.to_g_per_m2(), "g/m2", digits)
    }
}

impl Show for Density {
    fn show(self, digits: usize) -> String {
        with_unit(self.to_kg_per_m3(), "kg/m3", digits)
    }
}

impl Show for ThreadCount {
    fn show(self, digits: usize) -> String {
        with_unit(self.to_per_cm(), "/cm", digits)
    }
}

impl Show for SurfaceCharge {
    fn show(self, digits: usize) -> String {
        with_unit(self.to_uc_per_m2(), "uC/m2", digits)
    }
}

impl Show for Resistance {
    fn show(self, digits: usize) -> String {
        with_unit(self.to_pa_s_per_m(), "Pa s/m", digits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::{Dimension, FromText};

    #[test]
    fn numbers_keep_their_significant_digits() {
        for (value, digits, expected) in [
            (0.32049, 2, "0.32"),
            (0.32049, 3, "0.320"),
            (24.0, 2, "24"),
            (24.04, 3, "24.0"),
            (9.96, 2, "10"),
            (99.6, 2, "100"),
            (12345.0, 3, "12300"),
            (-1.25, 2, "-1.2"),
            (0.0, 3, "0"),
            (-0.0, 3, "0"),
            (1.23e-9, 2, "1.2e-9"),
            (7.0e12, 1, "7e12"),
            (3.7, 0, "4"),
            (f64::INFINITY, 2, "inf"),
        ] {
            assert_eq!(number(value, digits), expected, "{value} to {digits}");
        }
    }

    #[test]
    fn percentages_never_claim_all_or_nothing() {
        for (fraction, digits, expected) in [
            (0.45, 2, "45 %"),
            (0.0312, 2, "3.1 %"),
            (0.00031, 1, "0.03 %"),
            (0.996, 2, "99.6 %"),
            (0.999999, 2, "99.9999 %"),
            (0.99999999999, 2, "over 99.999999 %"),
            (1e-12, 2, "under 0.000001 %"),
            (0.0, 2, "0 %"),
            (1.0, 2, "100 %"),
            (1.2, 2, "120 %"),
        ] {
            assert_eq!(percent(fraction, digits), expected, "{fraction} to {digits}");
        }
    }

    #[test]
    fn an_efficiency_is_as_fine_as_its_penetration() {
        for (penetration, digits, expected) in [
            (0.0003, 1, "99.97 %"),
            (0.000312, 2, "99.969 %"),
            (0.29, 2, "71 %"),
            (0.05, 1, "95 %"),
            (0.004, 1, "99.6 %"),
            (0.96, 2, "4 %"),
            (0.9969, 2, "0.3 %"),
            (1e-20, 2, "over 99.999999 %"),
            (0.0, 2, "100 %"),
            (1.0, 2, "0 %"),
        ] {
            let penetration = Penetration::new(penetration).expect("a fraction");
            assert_eq!(percent_caught(penetration, digits), expected, "{penetration:?} to {digits}");
        }
        let efficiency = Efficiency::new(0.9997).expect("a fraction");
        assert_eq!(percent_efficiency(efficiency, 1), "99.97 %");
    }

    #[test]
    fn quantities_in_units_of_the_trade() {
        assert_eq!(Length::from_um(0.32).show(2), "0.32 um");
        assert_eq!(Length::from_nm(32.0).show(2), "32 nm");
        assert_eq!(Length::from_mm(1.1).show(2), "1.1 mm");
        assert_eq!(Length::from_cm(15.0).show(2), "15 cm");
        assert_eq!(Length::from_m(-0.0).show(2), "0 um");
        assert_eq!(thickness(Length::from_um(200.0), 2), "0.20 mm");
        assert_eq!(Area::from_cm2(150.0).show(3), "150 cm2");
        assert_eq!(Mass::from_g(1.8).show(3), "1.80 g");
        assert_eq!(Time::from_s(1800.0).show(2), "30 min");
        assert_eq!(Temperature::from_celsius(22.0).show(2), "22 degC");
        assert_eq!(Pressure::from_pa(24.3).show(2), "24 Pa");
        assert_eq!(Pressure::from_pa(101325.0).show(6), "101.325 kPa");
        assert_eq!(Velocity::from_cm_per_s(5.3).show(2), "5.3 cm/s");
        assert_eq!(air_permeability(Velocity::from_m_per_s(0.35), 2), "350 mm/s");
        assert_eq!(Flow::from_l_per_min(85.0).show(2), "85 L/min");
        assert_eq!(Flow::from_m3_per_s(0.5).show(2), "1800 m3/h");
        assert_eq!(BasisWeight::from_g_per_m2(120.0).show(3), "120 g/m2");
        assert_eq!(Density::from_g_per_cm3(0.91).show(3), "910 kg/m3");
        assert_eq!(LinearDensity::from_dtex(1.7).show(2), "1.7 dtex");
        assert_eq!(LinearDensity::from_tex(20.0).show(2), "20 tex");
        assert_eq!(ThreadCount::from_per_cm(30.0).show(2), "30 /cm");
        assert_eq!(SurfaceCharge::from_uc_per_m2(20.0).show(2), "20 uC/m2");
        assert_eq!(Resistance::from_pa_s_per_m(480.0).show(2), "480 Pa s/m");
    }

    fn reads_back<T: FromText + Show>(si: impl Fn(T) -> f64, from_si: impl Fn(f64) -> T) {
        for power in -9..=4 {
            for value in [1.0, 2.54, 9.876543] {
                let quantity = value * 10_f64.powi(power);
                let text = from_si(quantity).show(12);
                let back = si(T::read(&text).unwrap_or_else(|error| panic!("{text}: {error}")));
                // A temperature is printed on a shifted scale, whose twelve digits are of some 300 K.
                let size =
                    if T::DIMENSION == Dimension::Temperature { quantity.max(300.0) } else { quantity };
                assert!((back - quantity).abs() <= 1e-11 * size, "{quantity:e} -> {text} -> {back:e}");
            }
        }
    }

    #[test]
    fn what_is_printed_reads_back() {
        reads_back(Length::si, Length::from_si);
        reads_back(Area::si, Area::from_si);
        reads_back(Mass::si, Mass::from_si);
        reads_back(Time::si, Time::from_si);
        reads_back(Temperature::si, Temperature::from_si);
        reads_back(Pressure::si, Pressure::from_si);
        reads_back(Velocity::si, Velocity::from_si);
        reads_back(Flow::si, Flow::from_si);
        reads_back(BasisWeight::si, BasisWeight::from_si);
        reads_back(Density::si, Density::from_si);
        reads_back(LinearDensity::si, LinearDensity::from_si);
        reads_back(ThreadCount::si, ThreadCount::from_si);
        reads_back(SurfaceCharge::si, SurfaceCharge::from_si);
        reads_back(Resistance::si, Resistance::from_si);
    }
}
