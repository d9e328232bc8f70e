//! The most penetrating particle size: a continuous optimum, with care for flat curves and ends of the range.

use moteweir_units::Length;

/// Points of the scan that brackets every maximum.
const SCAN: usize = 129;
/// Golden section steps at the most: each keeps 0.618 of the bracket.
const REFINEMENTS: u32 = 60;
/// A size is known well enough to this share of itself: penetration is flat there.
const SIZE_TOLERANCE: f64 = 1e-5;
/// Maxima and sizes are called equal to the worst where ln P differs by less than this.
const FLAT: f64 = 0.01;

/// Where in the range of sizes the worst size lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Inside the range: a true maximum of penetration.
    Interior,
    /// At the smallest size of the range; the true maximum lies below it, or there is none.
    Smallest,
    /// At the largest size of the range.
    Largest,
}

impl Place {
    /// The name in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Interior => "interior",
            Self::Smallest => "smallest",
            Self::Largest => "largest",
        }
    }
}

/// The most penetrating size within a range.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstSize {
    /// Diameter at which most gets through.
    pub diameter: Length,
    /// Penetration there \[-\].
    pub penetration: f64,
    /// Interior maximum, or an end of the range.
    pub place: Place,
    /// Sizes round the worst between which penetration stays within 1 % of it.
    pub flat_from: Length,
    /// See `flat_from`.
    pub flat_to: Length,
    /// Other local maxima, each with its penetration, the highest first.
    pub rivals: Vec<(Length, f64)>,
}

/// Finds the most penetrating size in a range.
///
/// `penetration` is asked at any diameter from `smallest` to `largest` (both positive, smallest below largest) and
/// answers from 0 to 1. Every local maximum that 129 sizes, evenly spaced in the logarithm, can show is refined by
/// golden section. Sizes whose answer is not finite are passed over; where none is, the answer is the smallest size with
/// a penetration that is not a number.
pub fn worst_size(smallest: Length, largest: Length, penetration: impl Fn(Length) -> f64) -> WorstSize {
    let (first, last) = (smallest.to_m().ln(), largest.to_m().ln());
    let size = |i: usize| match i {
        0 => smallest,
        i if i == SCAN - 1 => largest,
        i => Length::from_m((first + (last - first) * i as f64 / (SCAN - 1) as f64).exp()),
    };
    let sizes: Vec<Length> = (0..SCAN).map(size).collect();
    let scanned: Vec<f64> = sizes.iter().map(|&d| penetration(d)).collect();
    worst_size_of_curve(&sizes, &scanned, penetration)
}

/// As [`worst_size`], from a curve that is known already: at least two rising sizes with the penetration at each, close
/// enough to show every maximum.
pub fn worst_size_of_curve(
    sizes: &[Length],
    penetrations: &[f64],
    penetration: impl Fn(Length) -> f64,
) -> WorstSize {
    let finite = |p: f64| if p.is_finite() { p } else { f64::NEG_INFINITY };
    let at = |log_d: f64| finite(penetration(Length::from_m(log_d.exp())));
    let scanned: Vec<f64> = penetrations.iter().map(|&p| finite(p)).collect();
    let end = sizes.len() - 1;
    let size = |i: usize| sizes[i].to_m().ln();
    let (first, last) = (size(0), size(end));
    let step = (last - first) / end as f64;
    let smallest = sizes[0];
    let mut peaks: Vec<(f64, f64, Place)> = Vec::new();
    for i in 0..=end {
        let left = if i == 0 { f64::NEG_INFINITY } else { scanned[i - 1] };
        let right = if i == end { f64::NEG_INFINITY } else { scanned[i + 1] };
        if scanned[i] > left && scanned[i] >= right {
            let (log_d, p) =
                refine(&at, size(i.saturating_sub(1)), size((i + 1).min(end)), (size(i), scanned[i]));
            peaks.push((log_d, p, place(log_d, first, last, step)));
        }
    }
    peaks.sort_by(|a, b| b.1.total_cmp(&a.1));
    let Some(&(log_d, p, place)) = peaks.first() else {
        return WorstSize {
            diameter: smallest,
            penetration: f64::NAN,
            place: Place::Smallest,
            flat_from: smallest,
            flat_to: smallest,
            rivals: Vec::new(),
        };
    };
    let near = |value: f64| value > 0.0 && value.ln() >= p.ln() - FLAT;
    let centre = (0..=end).take_while(|&i| size(i) <= log_d).last().unwrap_or(0);
    let from = (0..centre).rev().take_while(|&i| near(scanned[i])).last().map_or(log_d, size);
    let to = (centre + 1..=end).take_while(|&i| near(scanned[i])).last().map_or(log_d, size);
    WorstSize {
        diameter: Length::from_m(log_d.exp()),
        penetration: p,
        place,
        flat_from: Length::from_m(from.min(log_d).exp()),
        flat_to: Length::from_m(to.max(log_d).exp()),
        rivals: peaks[1..].iter().map(|&(d, p, _)| (Length::from_m(d.exp()), p)).collect(),
    }
}

fn place(log_d: f64, first: f64, last: f64, step: f64) -> Place {
    if log_d - first < 1e-6 * step {
        Place::Smallest
    } else if last - log_d < 1e-6 * step {
        Place::Largest
    } else {
        Place::Interior
    }
}

/// Golden section for a maximum between two sizes, never worse than the best that is known already.
fn refine(at: &impl Fn(f64) -> f64, mut low: f64, mut high: f64, known: (f64, f64)) -> (f64, f64) {
    let keep = 0.5 * (5.0_f64.sqrt() - 1.0);
    let mut best = known;
    let (mut a, mut b) = (high - keep * (high - low), low + keep * (high - low));
    let (mut pa, mut pb) = (at(a), at(b));
    for _ in 0..REFINEMENTS {
        for candidate in [(a, pa), (b, pb)] {
            if candidate.1 > best.1 {
                best = candidate;
            }
        }
        if high - low < SIZE_TOLERANCE {
            break;
        }
        if pa >= pb {
            (high, b, pb) = (b, a, pa);
            a = high - keep * (high - low);
            pa = at(a);
        } else {
            (low, a, pa) = (a, b, pb);
            b = low + keep * (high - low);
            pb = at(b);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range() -> (Length, Length) {
        (Length::from_um(0.01), Length::from_um(10.0))
    }

    #[test]
    fn a_smooth_maximum_is_found_between_the_points_of_the_scan() {
        let (a, b) = range();
        let worst = worst_size(a, b, |d| (-(d.to_um() / 0.2371).ln().powi(2)).exp());
        assert!((worst.diameter.to_um() / 0.2371 - 1.0).abs() < 2e-5);
        assert_eq!(worst.place, Place::Interior);
        assert!(worst.rivals.is_empty());
        assert!(worst.flat_from < worst.diameter && worst.diameter < worst.flat_to);
    }

    #[test]
    fn ends_are_called_ends() {
        let (a, b) = range();
        assert_eq!(worst_size(a, b, |d| (-d.to_um()).exp()).place, Place::Smallest);
        assert_eq!(worst_size(a, b, |d| 1.0 - (-d.to_um()).exp()).place, Place::Largest);
    }

    #[test]
    fn two_maxima_are_both_told() {
        let (a, b) = range();
        let bump = |d: Length, at: f64, high: f64| high * (-4.0 * (d.to_um() / at).ln().powi(2)).exp();
        let worst = worst_size(a, b, |d| bump(d, 0.05, 0.3) + bump(d, 2.0, 0.2));
        assert!((worst.diameter.to_um() / 0.05 - 1.0).abs() < 1e-3);
        assert_eq!(worst.rivals.len(), 1);
        assert!((worst.rivals[0].0.to_um() / 2.0 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn sizes_without_an_answer_are_passed_over() {
        let (a, b) = range();
        let nothing = worst_size(a, b, |_| f64::NAN);
        assert!(nothing.penetration.is_nan() && nothing.diameter == a && nothing.rivals.is_empty());
        let bump = |d: Length| (-(d.to_um() / 0.3).ln().powi(2)).exp();
        for hole in [0.05, 0.3, 5.0] {
            let worst =
                worst_size(a, b, |d| if (d.to_um() / hole).ln().abs() < 0.2 { f64::NAN } else { bump(d) });
            assert!(worst.penetration.is_finite() && worst.penetration > 0.9, "{hole}: {worst:?}");
        }
    }

    #[test]
    fn a_flat_curve_says_how_far_it_is_flat() {
        let (a, b) = range();
        let worst = worst_size(a, b, |_| 0.97);
        assert!((worst.flat_from.to_um() - 0.01).abs() < 1e-9 && (worst.flat_to.to_um() - 10.0).abs() < 1e-6);
    }
}
