//! From readings to what gets through, how sure that is, and what can be told apart.

use moteweir_sim::counting::{self, Comparison, Fit, Ranking, Verdict, compare_all};
use moteweir_units::{Length, Velocity, show};

use super::by_channel::{ByChannel, by_channel};
use super::coincidence::Instrument;
use super::flag::{Flag, said};
use super::flags::flags;
use super::in_layers::{Expected, in_layers};
use super::reading::{Channel, Readings};
use super::subjects::Subjects;
use crate::report::{
    COUNTS_FORMAT, CountsComparison, CountsRanking, CountsReport, CountsResult, WarningReport,
};

/// Things tested in one channel of which every pair is compared.
const MOST_COMPARED: usize = 40;
/// Ratios below this are told as a percentage more.
const SMALL: f64 = 1.5;

/// How counts are judged.
#[derive(Clone, Copy, Debug)]
pub struct CountsOptions<'a> {
    /// Share of repetitions in which an interval holds the true value, above 0 and below 1.
    pub level: f64,
    /// What is known of the counter.
    pub instrument: Instrument,
    /// How much easier some sizes of a channel are caught than others.
    pub expected: Expected<'a>,
}

/// Why nothing could be computed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CountsError {
    /// A level that is none.
    #[error(
        "a level of {level} cannot be had: it lies above 0 and below 1, such as 0.95, and no higher than 0.9999"
    )]
    Level {
        /// As given.
        level: f64,
    },
    /// The statistics cannot take the readings of a channel.
    #[error("the channel {channel}: {source}")]
    Channel {
        /// The channel, in words.
        channel: String,
        /// Why.
        source: counting::CountingError,
    },
}

/// What the readings say: penetration of everything tested in every channel, comparisons, layers, flags.
///
/// # Errors
/// As [`CountsError`].
pub fn counts(readings: &Readings, options: &CountsOptions<'_>) -> Result<CountsReport, CountsError> {
    let level = options.level;
    if !(level > 0.0 && level <= 0.9999) {
        return Err(CountsError::Level { level });
    }
    let subjects = Subjects::of(readings);
    let channels = by_channel(readings, &subjects);
    let flagged = flags(readings, &subjects, &channels, &options.instrument);
    let mut report = CountsReport {
        format: COUNTS_FORMAT,
        level,
        results: Vec::new(),
        comparisons: Vec::new(),
        warnings: said(&flagged).into_iter().map(warning).collect(),
        rankings: Vec::new(),
        layers: Vec::new(),
    };
    report.warnings.extend(assumptions(readings, &channels));
    for channel in channels.iter().filter(|channel| !channel.subjects.is_empty()) {
        let words = readings.channels[channel.channel].words();
        let place = Place { readings, subjects: &subjects, channel, words: &words, level };
        let first = report.results.len();
        let fit = match channel.fit() {
            Ok(fit) => Some(fit),
            Err(counting::CountingError::NothingOpen) => None,
            Err(source) => return Err(CountsError::Channel { channel: words, source }),
        };
        let wrong = |source| CountsError::Channel { channel: words.clone(), source };
        for (number, &subject) in channel.subjects.iter().enumerate() {
            report.results.push(place.result(fit.as_ref(), number, subject, &flagged).map_err(wrong)?);
        }
        if let Some(fit) = fit {
            place.compare(&fit, first, &mut report).map_err(wrong)?;
            report.layers.extend(in_layers(&place, &fit, &options.expected).map_err(wrong)?);
        }
    }
    Ok(report)
}

/// One channel of one file.
pub(super) struct Place<'a> {
    pub(super) readings: &'a Readings,
    pub(super) subjects: &'a Subjects,
    pub(super) channel: &'a ByChannel<'a>,
    pub(super) words: &'a str,
    pub(super) level: f64,
}

impl Place<'_> {
    pub(super) fn edges(&self) -> &Channel {
        &self.readings.channels[self.channel.channel]
    }

    fn result(
        &self,
        fit: Option<&Fit>,
        number: usize,
        subject: usize,
        flagged: &[Flag],
    ) -> Result<CountsResult, counting::CountingError> {
        let sample = self.subjects.sample(subject, self.readings);
        let (open, through) =
            (self.channel.total(counting::State::Open), self.channel.total(counting::State::Sample(subject)));
        let found = fit.map(|fit| fit.penetration(number, self.level)).transpose()?;
        let mut notes: Vec<String> = Vec::new();
        match &found {
            None => notes.push("nothing was counted open: nothing can be said".to_owned()),
            Some(found) => {
                if found.nothing_counted {
                    notes.push("nothing came through: a limit, on one side".to_owned());
                }
                if found.covers_counting_only {
                    notes.push("no state was read twice: the interval covers counting only".to_owned());
                }
            }
        }
        let concerns = |flag: &&Flag| flag.concerns(subject, self.channel.channel);
        notes.extend(flagged.iter().filter(concerns).map(Flag::note));
        let bounds = found.map(|found| found.bounds);
        let edges = self.edges();
        Ok(CountsResult {
            specimen: sample.specimen.clone(),
            side: sample.side.clone(),
            layers: sample.layers,
            treatment: sample.treatment.clone(),
            from_m: edges.from.map(Length::to_m),
            to_m: edges.to.map(Length::to_m),
            face_velocity_m_per_s: self.subjects.all[subject].velocity.map(Velocity::to_m_per_s),
            open_counts: open.counts,
            open_seconds: open.seconds,
            sample_counts: through.counts,
            sample_seconds: through.seconds,
            penetration: bounds.map(|b| b.estimate),
            penetration_low: bounds.map(|b| b.low),
            penetration_high: bounds.map(|b| b.high).filter(|high| high.is_finite()),
            method: found.map_or("none", |found| found.method.name()),
            notes,
        })
    }

    /// Compares all pairs of the channel; results of it begin at `first`.
    fn compare(
        &self,
        fit: &Fit,
        first: usize,
        report: &mut CountsReport,
    ) -> Result<(), counting::CountingError> {
        let subjects = &self.channel.subjects;
        if subjects.len() < 2 {
            return Ok(());
        }
        if subjects.len() > MOST_COMPARED {
            report.warnings.push(WarningReport {
                kind: "too many to compare".to_owned(),
                text: format!(
                    "{} things were tested in the channel {}: pairs are compared up to {MOST_COMPARED}, so none were",
                    subjects.len(),
                    self.words
                ),
            });
            return Ok(());
        }
        let numbers: Vec<usize> = (0..subjects.len()).collect();
        let Ranking { order, groups, comparisons, .. } = compare_all(fit, &numbers, self.level)?;
        let at = |number: usize| first + number;
        let like_best = comparisons
            .iter()
            .filter(|pair| pair.verdict == Verdict::NotTold && Some(&pair.a) == order.first())
            .map(|pair| at(pair.b))
            .collect();
        report.rankings.push(CountsRanking {
            channel: self.words.to_owned(),
            order: order.iter().copied().map(at).collect(),
            groups: groups.into_iter().map(|group| group.into_iter().map(at).collect()).collect(),
            like_best,
            pairs: comparisons.len(),
        });
        for comparison in &comparisons {
            let is_pair = |pair: &[usize]| pair == [comparison.a, comparison.b];
            let is_neighbours = order.windows(2).any(is_pair);
            report.comparisons.push(CountsComparison { is_neighbours, ..self.comparison(comparison) });
        }
        Ok(())
    }

    fn comparison(&self, comparison: &Comparison) -> CountsComparison {
        let name = |number: usize| self.subjects.words(self.channel.subjects[number], self.readings);
        let (a, b) = (name(comparison.a), name(comparison.b));
        let verdict = match comparison.verdict {
            Verdict::ALower => format!("{a} lets fewer through"),
            Verdict::BLower => format!("{b} lets fewer through"),
            Verdict::NotTold if comparison.detectable < SMALL => {
                let percent = show::percent(comparison.detectable - 1.0, 1);
                format!(
                    "no difference seen; {percent} more through one than through the other would have been"
                )
            }
            Verdict::NotTold if comparison.detectable.is_finite() => format!(
                "no difference seen; {} times as many through one as through the other would have been",
                show::number(comparison.detectable, 2)
            ),
            Verdict::NotTold => "no difference seen; none would have been with so few counts".to_owned(),
        };
        let edges = self.edges();
        CountsComparison {
            a,
            b,
            from_m: edges.from.map(Length::to_m),
            to_m: edges.to.map(Length::to_m),
            ratio: comparison.ratio.estimate,
            ratio_low: comparison.ratio.low,
            ratio_high: comparison.ratio.high,
            verdict,
            is_told: comparison.verdict != Verdict::NotTold,
            is_neighbours: false,
        }
    }
}

fn warning((kind, text): (&'static str, String)) -> WarningReport {
    WarningReport { kind: kind.to_owned(), text }
}

/// What the intervals rest on.
fn assumptions(readings: &Readings, channels: &[ByChannel<'_>]) -> Vec<WarningReport> {
    let mut all = Vec::new();
    if channels.iter().any(ByChannel::is_pooled) {
        all.push(WarningReport {
            kind: "readings added up".to_owned(),
            text: format!(
                "There are {} readings: neighbours of one kind were added up before the model saw them.",
                readings.readings.len()
            ),
        });
    }
    all
}
