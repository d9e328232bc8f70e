//! Are n layers the product of one? A channel that holds easy and hard sizes must show less.

use moteweir_sim::counting::{CountingError, Fit, Layers, LayersFound, LayersVerdict, layers};
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
/// An interval whose ends differ by this factor tells little. A choice, no source.
const WIDE: f64 = 2.0;
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
    /// What more layers must show in a channel; none where the physics gives no number.
    fn of(&self, channel: &Channel, times: f64) -> Option<Expectation> {
        match self {
            Self::Spread(spread) => Some(Expectation::of_spread(*spread, times)),
            Self::Usual => {
                Expectation::of_sizes(channel, times, &|size: Length| size.to_um().powf(USUAL_POWER))
            }
            Self::Model { exponent, .. } => Expectation::of_sizes(channel, times, exponent),
        }
    }

    fn words(&self) -> String {
        match self {
            Self::Usual => {
                "if the larger particles of a usual room are caught more easily, as interception does"
                    .to_owned()
            }
            Self::Spread(spread) => {
                format!("for particles whose capture spreads by {} in the channel", show::percent(*spread, 2))
            }
            Self::Model { of, .. } => format!("by the physics of {of} over the sizes of a usual room"),
        }
    }
}

/// -ln P of more layers over so many times that of fewer, against the exponent of the fewer.
#[derive(Clone, Debug, PartialEq)]
struct Expectation {
    /// Logarithms of -ln P of the fewer layers, rising, each with the ratio.
    nodes: Vec<(f64, f64)>,
}

impl Expectation {
    /// For exponents that are gamma distributed with a coefficient of variation.
    /// ```text
    /// P_n = (1 + n s^2 K)^(-1/s^2)
    /// ```
    /// Derived: the mean of exp(-n k) over a gamma distribution of k of mean K.
    fn of_spread(spread: f64, times: f64) -> Self {
        let v = spread * spread;
        let exponent = |factor: f64| if v < 1e-12 { factor } else { (v * factor).ln_1p() / v };
        Self::of(times, exponent)
    }

    /// For exponents in proportion to a function of size, over the particles of a usual room.
    fn of_sizes(channel: &Channel, times: f64, shape: &dyn Fn(Length) -> f64) -> Option<Self> {
        let from = channel.from.map_or(SMALLEST_UM, Length::to_um);
        let to = channel.to.map_or_else(|| LARGEST_UM.max(3.0 * from), Length::to_um).max(1.000_001 * from);
        let at = |i: usize| (from.ln() + (to / from).ln() * (i as f64 + 0.5) / SIZES as f64).exp();
        let mut sizes: Vec<(f64, f64)> =
            (0..SIZES).map(|i| (at(i).powf(ROOM_POWER), shape(Length::from_um(at(i))))).collect();
        let all: f64 = sizes.iter().map(|(w, _)| w).sum();
        let mean: f64 = sizes.iter().map(|(w, k)| w * k).sum::<f64>() / all;
        if !(mean.is_finite() && mean > 0.0) || sizes.iter().any(|(_, k)| *k < 0.0) {
            return None;
        }
        for (w, k) in &mut sizes {
            (*w, *k) = (*w / all, *k / mean);
        }
        let through = |factor: f64| sizes.iter().map(|(w, k)| w * (-factor * k).exp()).sum::<f64>();
        Some(Self::of(times, |factor| -through(factor).ln()))
    }

    /// From -ln P as a function of a factor before all exponents.
    fn of(times: f64, exponent: impl Fn(f64) -> f64) -> Self {
        const STEPS: i32 = 160;
        let factor = |i: i32| 10_f64.powf(-4.0 + 7.0 * f64::from(i) / f64::from(STEPS));
        let nodes = (0..=STEPS).filter_map(|i| {
            let (few, many) = (exponent(factor(i)), exponent(times * factor(i)));
            let is_usable = few > 0.0 && many.is_finite();
            is_usable.then(|| (few.ln(), many / (times * few)))
        });
        Self { nodes: nodes.collect() }
    }

    /// The ratio where the fewer layers let this much through; 1, the product, where nothing or everything comes through.
    fn ratio(&self, through: f64) -> f64 {
        let at = (-through.ln()).ln();
        let after = self.nodes.partition_point(|(x, _)| *x <= at);
        match (after.checked_sub(1).map(|before| self.nodes[before]), self.nodes.get(after)) {
            (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (at - x0) / (x1 - x0),
            (Some((_, y)), None) if at.is_finite() => y,
            _ => 1.0,
        }
    }
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
    let expectation = expected.of(channel, times);
    let must = |through: f64| expectation.as_ref().map_or(1.0, |expectation| expectation.ratio(through));
    let question = Layers { one, many, layers: times };
    let found = layers(fit, question, Some(&must), place.level)?;
    let through = |number| fit.penetration(number, place.level).map(|found| found.bounds.estimate);
    let what = super::reading::Sample { layers: 1, ..sample(one).clone() }.words();
    Ok(LayersReport {
        what,
        channel: place.words.to_owned(),
        fewer,
        more,
        product: through(one)?.powf(times),
        found: through(many)?,
        ratio: [found.ratio.estimate, found.ratio.low, found.ratio.high],
        expected: found.expected.filter(|_| expectation.is_some()),
        expected_from: expected.words(),
        verdict: verdict(&found).to_owned(),
    })
}

fn verdict(found: &LayersFound) -> &'static str {
    let ratio = &found.ratio;
    let holds_product = ratio.low <= 1.0 && ratio.high >= 1.0;
    match found.verdict {
        _ if !ratio.low.is_finite() => "too few counts to tell",
        LayersVerdict::AsExpected if holds_product && ratio.high > WIDE * ratio.low => {
            "not told from the product of one, with so wide an interval"
        }
        LayersVerdict::AsExpected if holds_product => "as good as the product of one",
        LayersVerdict::AsExpected => {
            "less than the product of one, by as much as the sizes in the channel must show: the first layer takes the \
             easy ones"
        }
        LayersVerdict::LetsMoreThrough => {
            "less than even the sizes in the channel explain: something passes the holder, or the layers differ"
        }
        LayersVerdict::LetsLessThrough if ratio.low > 1.0 => {
            "more than layers of one kind can: they differ, or pressed together they close each other's gaps"
        }
        LayersVerdict::LetsLessThrough => {
            "as good as the product of one, better than sizes caught so unequally would be"
        }
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
        assert!((Expectation::of_spread(0.0, 3.0).ratio(0.3) - 1.0).abs() < 1e-12);
        let flat = Expectation::of_sizes(&above(0.3), 3.0, &|_| 1.0).unwrap();
        assert!((flat.ratio(0.3) - 1.0).abs() < 1e-9, "{flat:?}");
    }

    #[test]
    fn the_first_layer_takes_the_easy_sizes() {
        // Exponential exponents (spread 1): P_n = 1/(1 + n K). P_1 = 1/2 means K = 1, P_3 = 1/4.
        let ratio = Expectation::of_spread(1.0, 3.0).ratio(0.5);
        assert!((ratio / (4.0_f64.ln() / (3.0 * 2.0_f64.ln())) - 1.0).abs() < 1e-4, "{ratio}");
        let usual = |times| Expected::Usual.of(&above(0.3), times).unwrap().ratio(0.7);
        assert!(usual(2.0) < 1.0 && usual(4.0) < usual(2.0));
        let narrow = Channel { from: Some(Length::from_um(0.3)), to: Some(Length::from_um(0.32)) };
        assert!(Expected::Usual.of(&narrow, 4.0).unwrap().ratio(0.7) > 0.999);
    }

    #[test]
    fn nothing_or_everything_through_says_nothing() {
        let usual = Expected::Usual.of(&above(0.3), 2.0).unwrap();
        for through in [0.0, 1.0, 1.2] {
            assert!((usual.ratio(through) - 1.0).abs() < 1e-12, "{through}");
        }
    }
}
