//! From the text of a file of counts to checked readings.

use std::collections::HashMap;
use std::hash::{BuildHasher, RandomState};

use moteweir_units::Length;

use super::channels::{Counted, differenced, overlapping, same};
use super::columns::Column;
use super::fault::CountsFault;
use super::fields::Fields;
use super::reading::{Channel, ChannelCount, Reading, Readings, Sample, State};
use super::repeats::Repeats;
use super::table::{Layout, Row, row_span};
use crate::problem::{Problems, Span};
use crate::rows::Gathered;

/// Channels of a reading that are read; no counter has as many.
const MOST_CHANNELS: usize = 64;

/// Reads a file of counts: see [`Readings::read`].
pub(super) fn read(text: &str) -> Result<Readings, Problems> {
    let mut gathered = Gathered::default();
    if let Some(layout) = Layout::read(text, &mut gathered) {
        let mut gathering = Gathering::new(&layout);
        let mut repeats = Repeats::default();
        layout.rows(text, &mut gathered, |row, gathered| {
            gathering.take(row, gathered);
            repeats.take(row);
        });
        repeats.warn(text, &mut gathered);
        let readings = gathering.finish(text, &mut gathered);
        if !gathered.has_errors() {
            let warnings = gathered.into_problems();
            return Ok(Readings { warnings, ..readings });
        }
    }
    Err(Problems(gathered.into_problems()))
}

/// A channel with these edges \[um\], 0 and infinity where open.
pub(super) fn channel(from: f64, to: f64) -> Channel {
    Channel {
        from: (from > 0.0).then(|| Length::from_um(from)),
        to: to.is_finite().then(|| Length::from_um(to)),
    }
}

/// A row's counts, still in the order of the file.
struct Raw {
    reading: u32,
    counted: Counted,
}

/// Readings while the rows come in.
struct Gathering<'a> {
    layout: &'a Layout,
    readings: Vec<Reading>,
    /// Where the first row of each reading stands.
    places: Vec<u32>,
    rows: Vec<Raw>,
    specimens: Vec<Sample>,
    known_specimens: HashMap<Sample, u32>,
    /// Readings by the hash of their name and state; a hash that is taken by another goes to the next number.
    named: HashMap<u64, u32>,
    hasher: RandomState,
    /// The reading that rows without a name go on with, and where its rows begin.
    open_ended: Option<(u32, usize)>,
    first_flow: Option<u32>,
    first_without_flow: Option<u32>,
}

impl<'a> Gathering<'a> {
    fn new(layout: &'a Layout) -> Self {
        Self {
            layout,
            readings: Vec::new(),
            places: Vec::new(),
            rows: Vec::new(),
            specimens: Vec::new(),
            known_specimens: HashMap::new(),
            named: HashMap::new(),
            hasher: RandomState::new(),
            open_ended: None,
            first_flow: None,
            first_without_flow: None,
        }
    }

    fn take(&mut self, row: &Row<'_>, gathered: &mut Gathered) {
        let place = u32::try_from(row.from).unwrap_or(u32::MAX);
        let Some(fields) = Fields::read(row, self.layout, gathered) else { return };
        let state = match fields.state {
            State::Sample(_) => State::Sample(self.specimen(row, fields.layers)),
            other => other,
        };
        let name = row.field(Column::Reading);
        let reading = if name.is_empty() {
            self.unnamed(state, &fields, place)
        } else {
            self.of_name(name, state, &fields, place, row, gathered)
        };
        let flow = if fields.flow.is_some() { &mut self.first_flow } else { &mut self.first_without_flow };
        flow.get_or_insert(place);
        let counted = Counted { from: fields.from, to: fields.to, counts: fields.counts, place };
        self.rows.push(Raw { reading, counted });
    }

    fn specimen(&mut self, row: &Row<'_>, layers: u32) -> u32 {
        let or = |column: Column, default: &str| {
            let field = row.field(column);
            if field.is_empty() { default.to_owned() } else { field.to_owned() }
        };
        if let Some(last) = self.specimens.last()
            && last.layers == layers
            && last.is_as_written(
                row.field(Column::Specimen),
                row.field(Column::Side),
                row.field(Column::Treatment),
            )
        {
            return index(self.specimens.len() - 1);
        }
        let sample = Sample {
            specimen: or(Column::Specimen, super::reading::ONLY),
            side: or(Column::Side, ""),
            layers,
            treatment: or(Column::Treatment, super::treatment::AS_RECEIVED),
        };
        if let Some(&known) = self.known_specimens.get(&sample) {
            return known;
        }
        let new = index(self.specimens.len());
        self.specimens.push(sample.clone());
        self.known_specimens.insert(sample, new);
        new
    }

    /// The reading of a row without a name: the one before, unless something differs or the channel was there.
    fn unnamed(&mut self, state: State, fields: &Fields, place: u32) -> u32 {
        if let Some((reading, first_row)) = self.open_ended {
            let before = &self.readings[reading as usize];
            let is_new_channel =
                |raw: &Raw| !same(raw.counted.from, fields.from) || !same(raw.counted.to, fields.to);
            if before.state == state
                && fields.disagrees(before).is_none()
                && self.rows[first_row..].iter().all(is_new_channel)
            {
                return reading;
            }
        }
        let reading = self.add(None, state, fields, place);
        self.open_ended = Some((reading, self.rows.len()));
        reading
    }

    fn of_name(
        &mut self,
        name: &str,
        state: State,
        fields: &Fields,
        place: u32,
        row: &Row<'_>,
        gathered: &mut Gathered,
    ) -> u32 {
        self.open_ended = None;
        if let Some(last) = self.readings.last()
            && last.name.as_deref() == Some(name)
            && last.state == state
            && fields.disagrees(last).is_none()
        {
            return index(self.readings.len() - 1);
        }
        let mut key = self.hasher.hash_one((name, state));
        let known = loop {
            let Some(&known) = self.named.get(&key) else {
                let reading = self.add(Some(name.into()), state, fields, place);
                self.named.insert(key, reading);
                return reading;
            };
            let before = &self.readings[known as usize];
            if before.name.as_deref() == Some(name) && before.state == state {
                break known;
            }
            key = key.wrapping_add(1);
        };
        if let Some((column, there)) = fields.disagrees(&self.readings[known as usize]) {
            let here = row.field(column).to_owned();
            let here = if here.is_empty() { "not given".to_owned() } else { here };
            let first_line = row.line_of(self.places[known as usize] as usize);
            let fault = CountsFault::Disagrees { column: column.name(), here, there, first_line };
            gathered.error(fault, row.place(column));
        }
        known
    }

    fn add(&mut self, name: Option<Box<str>>, state: State, fields: &Fields, place: u32) -> u32 {
        self.readings.push(Reading {
            name,
            line: 0,
            state,
            seconds: fields.seconds,
            middle_s: 0.0,
            flow: fields.flow,
            face_velocity: fields.face_velocity,
            first: 0,
            channels: 0,
        });
        self.places.push(place);
        index(self.readings.len() - 1)
    }

    /// Checks what rows say together.
    fn finish(mut self, text: &str, gathered: &mut Gathered) -> Readings {
        self.number(text);
        self.check_flows(text, gathered);
        self.named = HashMap::new();
        let mut rows = std::mem::take(&mut self.rows);
        rows.sort_by_key(|raw| raw.reading);
        let mut found = Channels::default();
        let mut counts = Vec::with_capacity(rows.len());
        let mut overlap = None;
        for of_reading in rows.chunk_by(|a, b| a.reading == b.reading) {
            let mut channels: Vec<Counted> = of_reading.iter().map(|raw| raw.counted).collect();
            if !is_distinct(&mut channels, text, gathered) {
                continue;
            }
            if let Err((fault, place)) = differenced(&mut channels) {
                gathered.error(fault, row_span(text, place as usize));
                continue;
            }
            overlap = overlap.or_else(|| overlapping(&channels));
            channels.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
            let reading = &mut self.readings[of_reading[0].reading as usize];
            reading.first = index(counts.len());
            reading.channels = index(channels.len());
            counts.extend(channels.iter().map(|c| found.count(c, reading.state)));
        }
        if let Some((one, other, place)) = overlap {
            gathered.warning(CountsFault::Overlap { one, other }, row_span(text, place as usize));
        }
        self.check_states(&found, text, gathered);
        let Self { readings, specimens, .. } = self;
        found.sorted(Readings { readings, channels: Vec::new(), specimens, warnings: Vec::new(), counts })
    }

    /// Lines and times.
    fn number(&mut self, text: &str) {
        let (mut line, mut at, mut clock) = (1_u32, 0, 0.0);
        for (reading, &place) in self.readings.iter_mut().zip(&self.places) {
            let start = row_span(text, place as usize).start;
            line += index(text[at..start].bytes().filter(|&b| b == b'\n').count());
            at = start;
            reading.line = line;
            reading.middle_s = clock + 0.5 * reading.seconds;
            clock += reading.seconds;
        }
    }

    fn check_flows(&self, text: &str, gathered: &mut Gathered) {
        if let (Some(_), Some(without)) = (self.first_flow, self.first_without_flow) {
            gathered.error(CountsFault::FlowMissing, row_span(text, without as usize));
        }
    }

    /// Whether there is something to compare with.
    fn check_states(&self, found: &Channels, text: &str, gathered: &mut Gathered) {
        if gathered.has_errors() {
            return; // a row that could not be read may be the one that lacks
        }
        let has = |is: fn(&State) -> bool| self.readings.iter().any(|reading| is(&reading.state));
        let end = text.trim_end().len();
        if self.readings.is_empty() {
            return gathered.error(CountsFault::NoRows, end..end);
        }
        let (opens, samples) = (has(|s| *s == State::Open), has(|s| matches!(s, State::Sample(_))));
        if !opens {
            gathered.error(CountsFault::NoOpen, end..end);
        }
        if !samples {
            gathered.error(CountsFault::NoSample, end..end);
        }
        if opens && samples {
            for (channel, place) in found.without_open() {
                let fault = CountsFault::NoOpenIn { channel: channel.words() };
                gathered.error(fault, row_span(text, place as usize));
            }
        }
    }
}

/// Whether no channel comes twice and there are not too many.
fn is_distinct(channels: &mut [Counted], text: &str, gathered: &mut Gathered) -> bool {
    if channels.len() > MOST_CHANNELS {
        let place = channels[MOST_CHANNELS].place as usize;
        gathered.error(CountsFault::TooManyChannels { most: MOST_CHANNELS }, row_span(text, place));
        return false;
    }
    let edges = |c: &Counted| (c.from.to_bits(), c.to.to_bits());
    channels.sort_by_key(|c| (edges(c), c.place));
    let mut distinct = true;
    for same in channels.chunk_by(|a, b| edges(a) == edges(b)) {
        for again in &same[1..] {
            let first_line = line_of(text, row_span(text, same[0].place as usize));
            gathered.error(CountsFault::Duplicate { first_line }, row_span(text, again.place as usize));
            distinct = false;
        }
    }
    distinct
}

fn line_of(text: &str, span: Span) -> usize {
    text[..span.start].matches('\n').count() + 1
}

/// A position in a list of what a text of less than 4 GB holds.
fn index(position: usize) -> u32 {
    u32::try_from(position).unwrap_or(u32::MAX)
}

/// The channels there are, and whether each was counted open and through a sample.
#[derive(Default)]
struct Channels {
    known: HashMap<(u64, u64), u32>,
    edges: Vec<(f64, f64)>,
    is_open: Vec<bool>,
    first_sample: Vec<Option<u32>>,
}

impl Channels {
    fn count(&mut self, counted: &Counted, state: State) -> ChannelCount {
        let edges = (counted.from.to_bits(), counted.to.to_bits());
        let channel = *self.known.entry(edges).or_insert_with(|| {
            self.edges.push((counted.from, counted.to));
            self.is_open.push(false);
            self.first_sample.push(None);
            index(self.edges.len() - 1)
        });
        match state {
            State::Open => self.is_open[channel as usize] = true,
            State::Sample(_) => {
                self.first_sample[channel as usize].get_or_insert(counted.place);
            }
            State::Zero | State::Blocked => {}
        }
        ChannelCount { channel, counts: counted.counts }
    }

    /// Channels that were counted through a sample but never open, with a row of each.
    fn without_open(&self) -> impl Iterator<Item = (Channel, u32)> {
        (0..self.edges.len()).filter(|&i| !self.is_open[i]).filter_map(|i| {
            let (from, to) = self.edges[i];
            Some((channel(from, to), self.first_sample[i]?))
        })
    }

    /// The readings with channels in the order of their sizes.
    fn sorted(self, mut readings: Readings) -> Readings {
        let mut order: Vec<usize> = (0..self.edges.len()).collect();
        let edges = |&i: &usize| self.edges[i];
        order.sort_by(|a, b| {
            let (a, b) = (edges(a), edges(b));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        let mut rank = vec![0; order.len()];
        order.iter().enumerate().for_each(|(position, &i)| rank[i] = index(position));
        readings.channels = order.iter().map(edges).map(|(from, to)| channel(from, to)).collect();
        for count in &mut readings.counts {
            count.channel = rank[count.channel as usize];
        }
        readings
    }
}
