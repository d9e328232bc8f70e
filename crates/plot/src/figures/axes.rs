//! Axes and words that several figures share.

use crate::kit::{Axis, Scale, TickText, number_text, significant_text};

/// Metres to micrometres.
pub(super) const UM: f64 = 1e6;
/// Metres per second to centimetres per second.
pub(super) const CM_PER_S: f64 = 1e2;

/// Where in the range of sizes the most penetrating one lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SizeEnd {
    /// Between the ends: a true worst size.
    Interior,
    /// At the smallest size: smaller ones may penetrate more.
    Smallest,
    /// At the largest size: larger ones may penetrate more.
    Largest,
}

/// A logarithmic axis of particle diameter over sizes in metres.
pub(super) fn diameter_axis<'a>(sizes: impl Iterator<Item = &'a [f64]>) -> Axis {
    over(Axis::log("particle diameter (µm, mobility)", "particle_diameter_um"), sizes, UM)
}

/// A logarithmic axis of face velocity over velocities in metres per second.
pub(super) fn velocity_axis<'a>(velocities: impl Iterator<Item = &'a [f64]>) -> Axis {
    over(Axis::log("face velocity (cm/s)", "face_velocity_cm_per_s"), velocities, CM_PER_S)
}

/// An axis from the least to the greatest of the values, each times a factor; as it is where they span nothing.
fn over<'a>(axis: Axis, values: impl Iterator<Item = &'a [f64]>, factor: f64) -> Axis {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values.flatten().filter(|value| value.is_finite() && **value > 0.0) {
        low = low.min(value * factor);
        high = high.max(value * factor);
    }
    if low < high { axis.from_to(low, high) } else { axis }
}

/// An even axis of efficiency, 0 to 100 %.
pub(super) fn even_efficiency_axis(what: &str, column: &str) -> Axis {
    Axis { text: TickText::Percent, ..Axis::linear(format!("efficiency {what}"), column).from_to(0.0, 1.0) }
}

/// An axis of penetration that reads as efficiency, each further nine as far from the last, down to `floor`. Beyond
/// seven nines nobody counts them, and it reads as penetration.
pub(super) fn nines_axis(what: &str, column: &str, floor: f64, ceiling: f64) -> Axis {
    let countable = floor > MANY_NINES;
    let (label, text) = if countable {
        (format!("efficiency {what}"), TickText::EfficiencyOfPenetration)
    } else {
        (format!("penetration {what}, less of it higher (–)"), TickText::Number)
    };
    Axis { scale: Scale::LogFalling, text, ..Axis::log(label, column).from_to(floor, ceiling) }
}

/// Ends of an axis in nines: from beyond the penetration at the worst size to the decade above the greatest, three
/// decades at least.
pub(super) fn nines_ends(worst: f64, greatest: f64) -> (f64, f64) {
    let ceiling = decade_above(greatest);
    (decade_below(worst / 3.0).min(ceiling / 1000.0).max(LEAST_DRAWN), ceiling.max(1000.0 * LEAST_DRAWN))
}

/// Below this a penetration has lost its digits, and an axis ends.
const LEAST_DRAWN: f64 = 1e-250;

/// Penetration below which efficiencies are no longer readable as percent.
const MANY_NINES: f64 = 0.5e-7;

/// Above this efficiency an even axis squeezes what matters into its last tenth: nines then get room of their own.
pub(super) const EVEN_UP_TO: f64 = 0.8;

/// The same where many media stand in one panel.
const COMPARED_EVEN_UP_TO: f64 = 0.98;

/// Least penetration that a panel of many media goes down to: 99.9999 %.
const COMPARED_FLOOR: f64 = 1e-6;

/// The axis for the efficiencies of many media, one slice of penetrations each: even from 0 to 100 % while at least half
/// of them stay below [`COMPARED_EVEN_UP_TO`], else in nines down to at most [`COMPARED_FLOOR`].
pub(super) fn compared_efficiency_axis<'a>(
    what: &str,
    column: &str,
    media: impl Iterator<Item = &'a [f64]>,
) -> Axis {
    let (mut best, mut most) = (Vec::new(), 0.0_f64);
    for penetrations in media {
        let shown = || penetrations.iter().copied().filter(|p| *p > 0.0);
        best.push(shown().fold(1.0, f64::min));
        most = shown().fold(most, f64::max);
    }
    let poor = best.iter().filter(|through| 1.0 - **through < COMPARED_EVEN_UP_TO).count();
    if 2 * poor >= best.len() {
        return even_efficiency_axis(what, &format!("efficiency_{column}"));
    }
    let least = best.into_iter().fold(1.0, f64::min);
    let floor = decade_below(least).max(COMPARED_FLOOR);
    let ceiling = decade_above(most).clamp(10.0 * floor, 1.0);
    nines_axis(what, &format!("penetration_{column}"), floor, ceiling)
}

/// Height of a penetration on an axis of efficiency: even ones carry the efficiency, those in nines the penetration.
pub(super) fn height(axis: &Axis, penetration: f64) -> f64 {
    if axis.scale == Scale::Linear { 1.0 - penetration } else { penetration }
}

/// A band between two penetrations on such an axis, lower end first.
pub(super) fn heights(axis: &Axis, x: f64, low: f64, high: f64) -> (f64, f64, f64) {
    let (a, b) = (height(axis, low), height(axis, high));
    (x, a.min(b), a.max(b))
}

/// The power of ten at or below a positive value.
pub(super) fn decade_below(value: f64) -> f64 {
    libm::pow(10.0, libm::floor(libm::log10(value) + 1e-9))
}

/// The power of ten at or above a positive value.
pub(super) fn decade_above(value: f64) -> f64 {
    libm::pow(10.0, libm::ceil(libm::log10(value) - 1e-9))
}

/// `5.3 cm/s`.
pub(super) fn velocity_text(face_velocity_m_per_s: f64) -> String {
    format!("{} cm/s", number_text(rounded(face_velocity_m_per_s * CM_PER_S)))
}

/// `0.21 µm`.
pub(super) fn diameter_text(diameter_m: f64) -> String {
    format!("{} µm", significant_text(diameter_m * UM, 2))
}

/// To three significant digits: 85 L/min through 150 cm² is 9.44 cm/s and not 9.44444.
fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

/// Pairs of sizes in micrometres and values.
pub(super) fn against_um(sizes_m: &[f64], values: &[f64]) -> Vec<(f64, f64)> {
    sizes_m.iter().zip(values).map(|(size, value)| (size * UM, *value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn velocities_and_sizes_read_as_they_are_spoken() {
        assert_eq!(velocity_text(0.053), "5.3 cm/s");
        assert_eq!(velocity_text(0.0944444), "9.44 cm/s");
        assert_eq!(velocity_text(0.1), "10 cm/s");
        assert_eq!(diameter_text(2.134e-7), "0.21 µm");
        assert_eq!(diameter_text(1e-8), "0.010 µm");
    }

    #[test]
    fn many_media_share_an_even_axis_until_most_are_good() {
        let of = |media: &[&[f64]]| compared_efficiency_axis("at 0.3 µm", "at_300_nm", media.iter().copied());
        let axis = of(&[&[0.9, 0.5], &[0.8, 0.03], &[0.5, 1e-5]]);
        assert_eq!((axis.scale, axis.label.as_str()), (Scale::Linear, "efficiency at 0.3 µm"));
        let axis = of(&[&[0.9, 3e-4], &[0.01, 0.001], &[0.8, 0.6]]);
        assert_eq!((axis.scale, axis.column.as_str()), (Scale::LogFalling, "penetration_at_300_nm"));
        let (floor, ceiling) = axis.range.expect("set");
        assert!((floor / 1e-4 - 1.0).abs() < 1e-9 && (ceiling - 1.0).abs() < 1e-9, "{floor} {ceiling}");
        let axis = of(&[&[1e-24, 1e-30]]);
        let (floor, ceiling) = axis.range.expect("set");
        assert!(floor >= COMPARED_FLOOR && floor < ceiling, "{floor} {ceiling}");
    }

    #[test]
    fn beyond_seven_nines_an_axis_speaks_of_penetration() {
        assert_eq!(nines_axis("at 0.3 µm", "p", 1e-7, 1.0).label, "efficiency at 0.3 µm");
        assert_eq!(nines_axis("at 0.3 µm", "p", 1e-8, 1.0).text, TickText::Number);
    }

    #[test]
    fn decades_enclose_a_value_and_keep_a_power_of_ten() {
        for (value, below, above) in [(3e-4, 1e-4, 1e-3), (1e-3, 1e-3, 1e-3), (0.7, 0.1, 1.0)] {
            assert!((decade_below(value) / below - 1.0).abs() < 1e-12, "{value}");
            assert!((decade_above(value) / above - 1.0).abs() < 1e-12, "{value}");
        }
    }
}
