//! The readings of one channel, as the statistics take them.

use moteweir_sim::counting::{self, Assumptions, CountingError, Fit};

use super::reading::{Readings, State};
use super::subjects::Subjects;

/// Readings of one state that are fitted one by one; more are added up in runs.
const MOST_READINGS: usize = 400;

/// Counts and time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Total {
    /// Particles.
    pub(super) counts: u64,
    /// How long was counted.
    pub(super) seconds: f64,
    /// What counts are divided by.
    pub(super) exposure: f64,
    /// Readings.
    pub(super) readings: usize,
}

/// One reading of one channel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    /// Position in [`Readings::readings`].
    pub(super) reading: usize,
    /// What it is of.
    pub(super) state: counting::State,
    /// Particles.
    pub(super) counts: u64,
}

/// The readings of one channel.
#[derive(Debug)]
pub(super) struct ByChannel<'a> {
    /// The readings.
    readings: &'a Readings,
    /// Position of the channel.
    pub(super) channel: usize,
    /// Readings that have it, in the order in which they were taken; `Sample` numbers are those of subjects.
    pub(super) seen: Vec<Seen>,
    /// Subjects that were counted in it, ascending.
    pub(super) subjects: Vec<usize>,
}

/// Splits readings by channel.
pub(super) fn by_channel<'a>(readings: &'a Readings, subjects: &Subjects) -> Vec<ByChannel<'a>> {
    let mut all: Vec<ByChannel<'a>> = (0..readings.channels.len())
        .map(|channel| ByChannel { readings, channel, seen: Vec::new(), subjects: Vec::new() })
        .collect();
    for (position, reading) in readings.readings.iter().enumerate() {
        let state = match reading.state {
            State::Open => counting::State::Open,
            State::Zero => counting::State::Zero,
            State::Blocked => counting::State::Blocked,
            State::Sample(_) => match subjects.of_reading(reading) {
                Some(subject) => counting::State::Sample(subject),
                None => continue,
            },
        };
        for count in readings.counts_of(reading) {
            all[count.channel as usize].seen.push(Seen { reading: position, state, counts: count.counts });
        }
    }
    for channel in &mut all {
        let mut present: Vec<usize> = channel.seen.iter().filter_map(Seen::subject).collect();
        present.sort_unstable();
        present.dedup();
        channel.subjects = present;
    }
    all
}

impl Seen {
    /// What was tested, if anything.
    pub(super) const fn subject(&self) -> Option<usize> {
        match self.state {
            counting::State::Sample(subject) => Some(subject),
            _ => None,
        }
    }
}

impl ByChannel<'_> {
    /// All readings of a state together.
    pub(super) fn total(&self, state: counting::State) -> Total {
        self.of(state).fold(Total::default(), |sum, seen| {
            let reading = &self.readings.readings[seen.reading];
            Total {
                counts: sum.counts + seen.counts,
                seconds: sum.seconds + reading.seconds,
                exposure: sum.exposure + reading.exposure(),
                readings: sum.readings + 1,
            }
        })
    }

    /// The readings of a state, in the order in which they were taken.
    pub(super) fn of(&self, state: counting::State) -> impl Iterator<Item = &Seen> {
        self.seen.iter().filter(move |seen| seen.state == state)
    }

    /// Whether so many readings were taken that neighbours are added up.
    pub(super) fn is_pooled(&self) -> bool {
        self.run_length() > 1
    }

    fn run_length(&self) -> usize {
        self.seen.len().div_ceil(MOST_READINGS * (self.subjects.len() + 1))
    }

    /// The joint model of all readings; subjects are numbered by their position in [`Self::subjects`].
    pub(super) fn fit(&self) -> Result<Fit, CountingError> {
        let runs = self.run_length();
        let states = [counting::State::Open, counting::State::Zero, counting::State::Blocked];
        let mut fitted: Vec<counting::Reading> =
            states.into_iter().flat_map(|state| self.runs(state, state, runs)).collect();
        for (number, &subject) in self.subjects.iter().enumerate() {
            let of_it = self.runs(counting::State::Sample(subject), counting::State::Sample(number), runs);
            fitted.extend(of_it);
        }
        Fit::new(&fitted, self.subjects.len(), Assumptions::STATED)
    }

    /// The readings of a state, so many neighbours added up to one.
    fn runs(&self, state: counting::State, called: counting::State, length: usize) -> Vec<counting::Reading> {
        let of_it: Vec<&Seen> = self.of(state).collect();
        of_it
            .chunks(length.max(1))
            .map(|run| {
                let (mut counts, mut exposure, mut moment) = (0, 0.0, 0.0);
                for seen in run {
                    let reading = &self.readings.readings[seen.reading];
                    counts += seen.counts;
                    exposure += reading.exposure();
                    moment += reading.exposure() * reading.middle_s;
                }
                counting::Reading { state: called, exposure, time: Some(moment / exposure), counts }
            })
            .collect()
    }
}
