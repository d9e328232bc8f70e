//! Counts as they were taken: readings, channels, samples.

use moteweir_units::show::Show;
use moteweir_units::{Flow, Length, Velocity};

use super::treatment::AS_RECEIVED;
use crate::problem::{Problem, Problems};

/// Readings of a particle counter, checked: every channel that was counted through a sample was counted open too.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// In the order in which they were taken, which is that of the file.
    pub readings: Vec<Reading>,
    /// Channels after cumulative ones were differenced, by lower edge, then by upper edge.
    pub channels: Vec<Channel>,
    /// What was tested, each once, in the order of the file.
    pub specimens: Vec<Sample>,
    /// What is odd but usable, sorted by position.
    pub warnings: Vec<Problem>,
    /// Counts by reading, then by channel.
    pub(super) counts: Vec<ChannelCount>,
}

/// One reading: the counter sucked for a while, in all its channels.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Its number or name, where the file gives one.
    pub name: Option<Box<str>>,
    /// Line of its first row, from 1.
    pub line: u32,
    /// What the counter sucked through.
    pub state: State,
    /// How long was counted \[s\].
    pub seconds: f64,
    /// Its middle on a clock that runs while the counter counts \[s\].
    pub middle_s: f64,
    /// Flow through the counter; given in all readings or in none.
    pub flow: Option<Flow>,
    /// Face velocity through the sample.
    pub face_velocity: Option<Velocity>,
    /// Where its counts begin.
    pub(super) first: u32,
    /// How many there are.
    pub(super) channels: u32,
}

/// What the counter sucked through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// Nothing: the room.
    Open,
    /// A sample: position in [`Readings::specimens`].
    Sample(u32),
    /// A filter that stops everything: what the counter counts in clean air.
    Zero,
    /// A foil instead of the sample: what leaks past the holder.
    Blocked,
}

/// What was tested.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Sample {
    /// Material or stack.
    pub specimen: String,
    /// Which side faces the room; empty where it is not said.
    pub side: String,
    /// How many layers, from 1.
    pub layers: u32,
    /// What was done to it.
    pub treatment: String,
}

/// A range of sizes; at least one edge is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Channel {
    /// Lower edge; `None` where everything below the upper one is counted.
    pub from: Option<Length>,
    /// Upper edge; `None` where everything above the lower one is counted.
    pub to: Option<Length>,
}

/// What a reading counted in a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChannelCount {
    /// Position in [`Readings::channels`].
    pub channel: u32,
    /// Particles.
    pub counts: u64,
}

impl Readings {
    /// Reads a file of counts.
    ///
    /// # Errors
    /// Every problem with its place in the text, up to a number that somebody reads; the last then says how many more
    /// there are.
    pub fn read(text: &str) -> Result<Self, Problems> {
        super::read::read(text)
    }

    /// What a reading counted, by channel.
    pub fn counts_of(&self, reading: &Reading) -> &[ChannelCount] {
        let first = reading.first as usize;
        &self.counts[first..first + reading.channels as usize]
    }

    /// The readings that have a channel, each with its counts there.
    pub fn of_channel(&self, channel: usize) -> impl Iterator<Item = (&Reading, u64)> {
        self.readings.iter().filter_map(move |reading| {
            let counts = self.counts_of(reading).iter().find(|count| count.channel as usize == channel)?;
            Some((reading, counts.counts))
        })
    }
}

impl Reading {
    /// What counts are divided by: litres sucked where the flow is known, else seconds; the same in all readings.
    pub fn exposure(&self) -> f64 {
        self.flow.map_or(self.seconds, |flow| flow.to_l_per_min() * self.seconds / 60.0)
    }
}

impl State {
    /// The word in a file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Sample(_) => "sample",
            Self::Zero => "zero",
            Self::Blocked => "blocked",
        }
    }
}

impl Channel {
    /// In words: `0.3 to 0.5 um`, `above 1 um`, `below 0.5 um`.
    pub fn words(&self) -> String {
        match (self.from, self.to) {
            (Some(from), Some(to)) => {
                let (from, to) = (size(from), size(to));
                let same_unit = from.rsplit_once(' ').filter(|(_, unit)| to.ends_with(&format!(" {unit}")));
                format!("{} to {to}", same_unit.map_or(from.as_str(), |(number, _)| number))
            }
            (Some(from), None) => format!("above {}", size(from)),
            (None, Some(to)) => format!("below {}", size(to)),
            (None, None) => "all sizes".to_owned(),
        }
    }
}

/// A size with the digits that matter.
pub(crate) fn size(size: Length) -> String {
    let text = size.show(3);
    match text.split_once(' ') {
        Some((number, unit)) if number.contains('.') => {
            format!("{} {unit}", number.trim_end_matches('0').trim_end_matches('.'))
        }
        _ => text,
    }
}

impl Sample {
    /// In words: `felt, fuzzy side, 2 layers, washed 5 times`; what says nothing is left out.
    pub fn words(&self) -> String {
        let mut parts = vec![self.specimen.clone()];
        if !self.side.is_empty() {
            parts.push(format!("{} side", self.side));
        }
        if self.layers != 1 {
            parts.push(format!("{} layers", self.layers));
        }
        if self.treatment != AS_RECEIVED {
            parts.push(self.treatment.clone());
        }
        parts.join(", ")
    }

    /// Whether fields of a row, empty ones included, name this sample, layers apart.
    pub(super) fn is_as_written(&self, specimen: &str, side: &str, treatment: &str) -> bool {
        let is =
            |field: &str, default: &str, value: &str| value == if field.is_empty() { default } else { field };
        is(specimen, ONLY, &self.specimen) && self.side == side && is(treatment, AS_RECEIVED, &self.treatment)
    }
}

/// The name of the only specimen.
pub(super) const ONLY: &str = "sample";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn channels_in_words() {
        let um = |x: f64| Some(Length::from_um(x));
        for (from, to, words) in [
            (um(0.3), um(0.5), "0.3 to 0.5 um"),
            (um(0.05), um(1.0), "50 nm to 1 um"),
            (um(10.0), None, "above 10 um"),
            (None, um(0.5), "below 0.5 um"),
        ] {
            assert_eq!(Channel { from, to }.words(), words);
        }
    }
}
