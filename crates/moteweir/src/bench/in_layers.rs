//! Are n layers the product of one? A channel that holds easy and hard sizes must show less.

use moteweir_sim::counting::{Bounds, CountingError, Fit, Layers, LayersFound, layers};
use moteweir_units::{Length, show};

use super::reading::Channel;
use super::results::Place;
use crate::report::LayersReport;

/// How the exponent -ln P goes with size where nothing is known of the material: between interception in coarse fibres
/// (2) and in fine ones or diffusion's end (1). A choice, no source.
const USUAL_POWER: f64 = 1.5;
/// How the room's numbers go with size per logarithm of size: Junge's law (1963, from memory).
const ROOM_POWER: f64 = -3.0;
/// Where `everything above` ends for lack of particles.
const LARGEST_UM: f64 = 10.0;
/// Where `everything below` begins for lack of a counter.
const SMALLEST_UM: f64 = 0.1;
/// Sizes a channel is averaged over.
const SIZES: usize = 64;

/// How much easier some sizes of a channel are caught than others.
#[derive(Clone, Copy)]
pub enum Expected<'a> {
    /// Not known: an exponent that grows with size to the power 1.5 over particles of a usual room.
    Usual,
    /// The exponents of the particles in every channel spread with this coefficient of variation.
    Spread(f64),
    /// The exponent of one layer at a size, by the physics of a material.
    Model {
        /// -ln P of one layer.
        exponent: &'a (dyn Fn(Length) -> f64 + Sync),
        /// The material, in words.
        of: &'a str,
    },
}

impl std::fmt::Debug for Expected<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Usual => f.write_str("Usual"),
            Self::Spread(spread) => f.debug_tuple("Spread").field(spread).finish(),
            Self::Model { of, .. } => f.debug_struct("Model").field("of", of).finish_non_exhaustive(),
        }
    }
}

impl Expected<'_> {
    /// -ln P of so many layers over so many times that of one, for a channel of which one lets `through`.
    fn ratio(&self, channel: &Channel, through: f64, times: f64) -> Option<f64> {
        if !(through > 0.0 && through < 1.0) {
            return None;
        }
        match self {
            Self::Spread(spread) => Some(of_spread(*spread, through, times)),
            Self::Usual => {
                of_sizes(channel, through, times, &|size: Length| size.to_um().powf(USUAL_POWER))
            }
            Self::Model { exponent, .. } => of_sizes(channel, through, times, exponent),
        }
    }

    fn words(&self) -> String {
        match self {
            Self::Usual => {
                "if the larger particles of a usual room are caught more easily, as interception does".to_owned()
            }
            Self::Spread(spread) => {
                format!("for particles whose capture spreads by {} in the channel", show::percent(*spread, 2))
            }
            Self::Model { of, .. } => format!("by the physics of {of} over the sizes of a usual room"),
        }
    }
}

/// The same for exponents that are gamma distributed with a coefficient of variation.
/// ```text
/// P_n = (1 + n s^2 K)^(-1/s^2)
/// ```
/// Derived: the mean of exp(-n k) over a gamma distribution of k of mean K.
fn of_spread(spread: f64, through: f64, times: f64) -> f64 {
    let v = spread * spread;
    if v < 1e-12 {
        return 1.0;
    }
    let vk = (-v * through.ln()).exp_m1();
    (times * vk).ln_1p() / (times * vk.ln_1p())
}

/// The same for exponents in proportion to a function of size, over the particles of a usual room.
fn of_sizes(
    channel: &Channel,
    through: f64,
    times: f64,
    shape: &dyn Fn(Length) -> f64,
) -> Option<f64> {
    let from = channel.from.map_or(SMALLEST_UM, Length::to_um);
    let to = channel.to.map_or_else(|| LARGEST_UM.max(3.0 * from), Length::to_um).max(1.000_001 * from);
    let at = |i: usize| (from.ln() + (to / from).ln() * (i as f64 + 0.5) / SIZES as f64).exp();
    let nodes: Vec<(f64, f64)> =
        (0..SIZES).map(|i| (at(i).powf(ROOM_POWER), shape(Length::from_um(at(i))))).collect();
    if nodes.iter().any(|(_, k)| !(k.is_finite() && *k > 0.0)) {
        return None;
    }
    let all: f64 = nodes.iter().map(|(w, _)| w).sum();
    let mean = |factor: f64| nodes.iter().map(|(w, k)| w * (-factor * k).exp()).sum::<f64>() / all;
    // The factor that gives one layer what was measured.
    let (mut low, mut high) = (-700.0_f64, 700.0_f64);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if mean(middle.exp()) > through { low = middle } else { high = middle }
    }
    let factor = (0.5 * (low + high)).exp();
    Some(mean(times * factor).ln() / (times * mean(factor).ln()))
}

/// Every pair of layers of the same thing, the fewest against each.
pub(super) fn in_layers(
    place: &Place<'_>,
    fit: &Fit,
    expected: &Expected<'_>,
) -> Result<Vec<LayersReport>, CountingError> {
    let subjects = &place.channel.subjects;
    let sample = |number: usize| place.subjects.sample(subjects[number], place.readings);
    let is_same = |a: usize, b: usize| {
        let (one, other) = (sample(a), sample(b));
        let velocity = |n: usize| place.subjects.all[subjects[n]].velocity;
        (&one.specimen, &one.side, &one.treatment) == (&other.specimen, &other.side, &other.treatment)
            && match (velocity(a), velocity(b)) {
                (Some(a), Some(b)) => (a / b).ln().abs() < 1.1_f64.ln(),
                (a, b) => a.is_some() == b.is_some(),
            }
    };
    let mut reports = Vec::new();
    for many in 0..subjects.len() {
        let fewer = (0..subjects.len())
            .filter(|&one| is_same(one, many) && sample(one).layers < sample(many).layers)
            .min_by_key(|&one| sample(one).layers);
        if let Some(one) = fewer {
            reports.push(pair(place, fit, expected, one, many)?);
        }
    }
    Ok(reports)
}

fn pair(
    place: &Place<'_>,
    fit: &Fit,
    expected: &Expected<'_>,
    one: usize,
    many: usize,
) -> Result<LayersReport, CountingError> {
    let subjects = &place.channel.subjects;
    let sample = |number: usize| place.subjects.sample(subjects[number], place.readings);
    let (fewer, more) = (sample(one).layers, sample(many).layers);
    let times = f64::from(more) / f64::from(fewer);
    let channel = place.edges();
    let must = |through: f64| expected.ratio(channel, through, times).unwrap_or(1.0);
    let question = Layers { one, many, layers: times };
    let LayersFound { ratio, expected: must_show, .. } =
        layers(fit, question, Some(&must), place.level)?;
    let through = |number| fit.penetration(number, place.level).map(|found| found.bounds.estimate);
    let what = super::reading::Sample { layers: 1, ..sample(one).clone() }.words();
    Ok(LayersReport {
        what,
        channel: place.words.to_owned(),
        fewer,
        more,
        product: through(one)?.powf(times),
        found: through(many)?,
        ratio: [ratio.estimate, ratio.low, ratio.high],
        expected: must_show,
        expected_from: expected.words(),
        verdict: verdict(&ratio, must_show).to_owned(),
    })
}

fn verdict(ratio: &Bounds, expected: Option<f64>) -> &'static str {
    let expected = expected.unwrap_or(1.0);
    if !(ratio.low.is_finite() && ratio.high.is_finite()) {
        "too few counts to tell"
    } else if ratio.low > 1.0 {
        "more than layers of one kind can: they differ, or pressed together they close each other's gaps"
    } else if ratio.high >= 1.0 && expected >= ratio.low {
        "as good as the product of one"
    } else if ratio.high >= 1.0 {
        "as good as the product of one; less loss than sizes caught so unequally would show"
    } else if ratio.high >= expected && ratio.low <= expected {
        "less than the product of one, by as much as the sizes in the channel must show: the first layer takes the easy \
         ones"
    } else if ratio.high < expected {
        "less than even the sizes in the channel explain: something passes the holder, or the layers differ"
    } else {
        "less than the product of one, though by less than sizes caught so unequally would show"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn above(um: f64) -> Channel {
        Channel { from: Some(Length::from_um(um)), to: None }
    }

    #[test]
    fn particles_all_alike_make_layers_a_product() {
        assert!((of_spread(0.0, 0.3, 3.0) - 1.0).abs() < 1e-15);
        let flat = of_sizes(&above(0.3), 0.3, 3.0, &|_| 1.0).unwrap();
        assert!((flat - 1.0).abs() < 1e-9, "{flat}");
    }

    #[test]
    fn the_first_layer_takes_the_easy_sizes() {
        // Exponential exponents (spread 1): P_n = 1/(1 + n K). P_1 = 1/2 means K = 1, P_3 = 1/4.
        let ratio = of_spread(1.0, 0.5, 3.0);
        assert!((ratio - 4.0_f64.ln() / (3.0 * 2.0_f64.ln())).abs() < 1e-12);
        let (few, many) = (Expected::Usual.ratio(&above(0.3), 0.7, 2.0), Expected::Usual.ratio(&above(0.3), 0.7, 4.0));
        assert!(few.unwrap() < 1.0 && many.unwrap() < few.unwrap(), "{few:?} {many:?}");
        let narrow = Channel { from: Some(Length::from_um(0.3)), to: Some(Length::from_um(0.32)) };
        assert!(Expected::Usual.ratio(&narrow, 0.7, 4.0).unwrap() > 0.999);
    }

    #[test]
    fn nothing_through_says_nothing() {
        assert_eq!(Expected::Usual.ratio(&above(0.3), 0.0, 2.0), None);
        assert_eq!(Expected::Spread(0.3).ratio(&above(0.3), 1.2, 2.0), None);
    }
}
