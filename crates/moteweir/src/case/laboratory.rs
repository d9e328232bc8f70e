//! From `[bench]` and `[[measured]]` as written, and the files that they name, to what was measured.

use moteweir_physics::aerosol::DiameterKind;
use moteweir_physics::air::Air;
use moteweir_units::{Flow, Length, Pressure, Time, Velocity};

use super::aerosol::Aerosol;
use super::bench::{Bench, Counter, CountsFile, Resistance, Room};
use super::ledger::Ledger;
use super::measured::Measured;
use super::mixtures::{ChannelSetting, diameter};
use super::specimen::{Specimen, Specimens};
use super::{AirConditions, ReadingKind};
use crate::bench::Readings;
use crate::bench::treatment::AS_RECEIVED;
use crate::curves::Curve;
use crate::doubt::Doubt;
use crate::files::Files;
use crate::problem::{Fault, Problem, Span};
use crate::scenario::{BenchAsWritten, Entry, MeasuredAsWritten, ResistanceAsWritten, Written, keys};

/// Edges closer than this are one edge.
const SAME_EDGE: f64 = 1e-6;
/// What counts call the specimen that they do not name.
const UNNAMED: &str = "sample";

/// What measurements are read against.
pub(super) struct Laboratory<'a> {
    pub(super) specimens: &'a Specimens<'a>,
    pub(super) files: &'a Files,
    pub(super) sizes: &'a ChannelSetting<'a>,
    pub(super) aerosols: &'a [Aerosol],
}

impl Laboratory<'_> {
    pub(super) fn measured(&self, written: &[MeasuredAsWritten], ledger: &mut Ledger<'_>) -> Vec<Measured> {
        written.iter().filter_map(|measured| self.curve(measured, ledger)).collect()
    }

    fn curve(&self, written: &MeasuredAsWritten, ledger: &mut Ledger<'_>) -> Option<Measured> {
        let specimen = written.specimen.stated().and_then(|name| self.specimens.position(name, ledger));
        let file = written.file.stated()?;
        let curve = match Curve::read(self.text(file, ledger)?) {
            Ok(curve) => {
                note(curve.warnings.clone(), &file.value, ledger);
                curve
            }
            Err(problems) => {
                note(problems.0, &file.value, ledger);
                return None;
            }
        };
        // Pressure drops have no sizes, so nothing is assumed of their kind.
        let kind = match (&written.diameter, curve.penetrations.is_empty()) {
            (Entry::Absent, true) => DiameterKind::Mobility,
            _ => diameter(ledger.choice(&written.diameter, &keys::Measured::DIAMETER)),
        };
        let mut penetrations = curve.penetrations;
        let aerosol = self.aerosols.iter().find(|aerosol| written.aerosol.value() == Some(&aerosol.name));
        for point in &mut penetrations {
            let mean = aerosol.zip(point.channel).and_then(|(of, channel)| self.mean_of(of, channel, kind));
            let stated = || self.sizes.edge(point.stated_diameter.to_m(), kind, DiameterKind::Mobility);
            point.diameter = mean.unwrap_or_else(stated);
        }
        let treatment = match &written.treatment {
            Entry::Stated(words) => words.value.clone(),
            Entry::Absent | Entry::Broken(_) => AS_RECEIVED.to_owned(),
        };
        let word = |entry: &Entry<String>| entry.value().cloned();
        Some(Measured {
            file: file.value.clone(),
            specimen: specimen?,
            layers: written.layers.value().copied().unwrap_or(1),
            side: word(&written.side).unwrap_or_default(),
            treatment,
            aerosol: word(&written.aerosol),
            diameter: kind,
            source: word(&written.source),
            date: word(&written.date),
            instrument: word(&written.instrument),
            conditioning: word(&written.conditioning),
            penetrations,
            flows: curve.flows,
        })
    }

    /// The mean of ln d of an aerosol's particles in a channel, as a mobility diameter; none where it has none there.
    fn mean_of(&self, aerosol: &Aerosol, (from, to): (Length, Length), kind: DiameterKind) -> Option<Length> {
        let AirConditions { temperature, pressure, relative_humidity } = *self.sizes.air;
        let air = Air::new(temperature, pressure, relative_humidity);
        let edge = |edge: Length| self.sizes.edge(edge.to_m(), kind, aerosol.aerosol.diameter);
        let density = self.sizes.particles.density;
        let nodes = aerosol.aerosol.nodes_in_channel(edge(from), Some(edge(to)), &air, density);
        let sum: f64 = nodes.iter().map(|(size, weight)| weight * size.to_m().ln()).sum();
        let weights: f64 = nodes.iter().map(|(_, weight)| weight).sum();
        (weights > 0.0).then(|| Length::from_m((sum / weights).exp()))
    }

    /// The text of a file; noted at the key where there is none.
    fn text(&self, file: &Written<String>, ledger: &mut Ledger<'_>) -> Option<&str> {
        match self.files.text(&file.value) {
            Ok(text) => Some(text),
            Err(why) => {
                let fault = Fault::UnreadFile { name: file.value.clone(), why: why.clone() };
                ledger.error(fault, file.span.clone());
                None
            }
        }
    }

    /// A bench. Complete only without errors in the ledger.
    pub(super) fn bench(&self, written: &BenchAsWritten, ledger: &mut Ledger<'_>) -> Bench {
        use keys::Bench as K;
        if written.counts.is_absent() && written.resistances.is_empty() {
            let (section, key) = (K::SECTION.name, &K::COUNTS);
            let fault = Fault::MissingKey { section, key: key.name, example: key.example };
            ledger.error(fault, written.span.clone());
        }
        if let (Entry::Stated(hole), true) = (&written.hole, written.pump.is_absent()) {
            ledger.error(Fault::GoesWith { key: K::HOLE.name, with: K::PUMP.name }, hole.span.clone());
        }
        let counter = counter(written, ledger);
        let counts = written.counts.stated().and_then(|file| self.counts(file, ledger));
        if let (Some(counts), Some(channels)) = (&counts, written.channels.stated()) {
            unknown_edges(counts, &counter, &channels.span, ledger);
        }
        Bench {
            counts,
            counter,
            room: room(&written.slope, ledger),
            hole: written.hole.value().map(|hole| Length::from_si(hole.si)),
            pump: written.pump.value().map(|pump| Flow::from_si(pump.si)),
            resistances: written.resistances.iter().filter_map(|r| self.resistance(r, ledger)).collect(),
        }
    }

    fn counts(&self, file: &Written<String>, ledger: &mut Ledger<'_>) -> Option<CountsFile> {
        let text = self.text(file, ledger)?;
        let readings = match Readings::read(text) {
            Ok(readings) => {
                note(readings.warnings.clone(), &file.value, ledger);
                readings
            }
            Err(problems) => {
                note(problems.0, &file.value, ledger);
                return None;
            }
        };
        let mut specimens = Vec::new();
        for (position, sample) in readings.specimens.iter().enumerate() {
            let unnamed = (sample.specimen == UNNAMED).then(|| self.specimens.only()).flatten();
            let place = place_of(&readings, position, text);
            let found =
                unnamed.or_else(|| self.specimens.in_file(&sample.specimen, (&file.value, place), ledger));
            specimens.extend(found);
        }
        let (name, place) = (file.value.clone(), file.span.clone());
        Some(CountsFile { name, place, readings, specimens })
    }

    fn resistance(&self, written: &ResistanceAsWritten, ledger: &mut Ledger<'_>) -> Option<Resistance> {
        use keys::Resistance as K;
        let specimen: Option<Specimen> =
            written.specimen.stated().and_then(|name| self.specimens.position(name, ledger));
        let (pair, kind) = match (&written.pressure_drop, &written.air_permeability) {
            (Entry::Stated(pair), Entry::Absent) => (pair, ReadingKind::PressureDrop),
            (Entry::Absent, Entry::Stated(pair)) => (pair, ReadingKind::AirPermeability),
            (Entry::Absent, Entry::Absent) => {
                let (section, key) = (K::SECTION.name, &K::PRESSURE_DROP);
                let fault = Fault::MissingKey { section, key: key.name, example: key.example };
                ledger.error(fault, written.span.clone());
                return None;
            }
            (Entry::Broken(_), Entry::Absent) | (Entry::Absent, Entry::Broken(_)) => return None,
            (_, other) => {
                let (one, two) = (K::PRESSURE_DROP.name, K::AIR_PERMEABILITY.name);
                let fault = Fault::Twice { one, other: two, what: "the resistance" };
                ledger.error(fault, other.span().unwrap_or_else(|| written.span.clone()));
                return None;
            }
        };
        let (first, second) = (pair.value.first_si, pair.value.second_si);
        let (pressure, velocity) =
            if kind == ReadingKind::PressureDrop { (first, second) } else { (second, first) };
        Some(Resistance {
            specimen: specimen?,
            layers: written.layers.value().copied().unwrap_or(1),
            kind,
            pressure_drop: Pressure::from_si(pressure),
            face_velocity: Velocity::from_si(velocity),
            relative_uncertainty: ledger.quantity(&written.uncertainty, &K::UNCERTAINTY),
            text: pair.value.text.clone(),
        })
    }
}

fn note(problems: Vec<Problem>, file: &str, ledger: &mut Ledger<'_>) {
    ledger.problems.extend(problems.into_iter().map(|problem| problem.in_file(file)));
}

fn counter(written: &BenchAsWritten, ledger: &mut Ledger<'_>) -> Counter {
    use keys::Bench as K;
    if let (Some(_), Some(span)) = (written.dead_time.span(), written.most.span()) {
        let (one, other) = (K::DEAD_TIME.name, K::MOST.name);
        ledger.error(Fault::Twice { one, other, what: "how many the counter can tell apart" }, span);
    }
    let mut edges: Vec<Length> = Vec::new();
    for edge in written.channels.value().into_iter().flatten() {
        if edges.last().is_some_and(|last| edge.value.si <= last.to_m()) {
            ledger.error(Fault::NotRising { size: edge.value.text.clone() }, edge.span.clone());
        }
        edges.push(Length::from_si(edge.value.si));
    }
    let largest = Length::from_si(ledger.quantity(&written.largest, &K::LARGEST));
    if let (Some(last), Some(edge)) = (edges.last(), written.channels.value().and_then(|all| all.last()))
        && *last > largest
    {
        let high = written.largest.value().map_or("10 um", |largest| largest.text.as_str()).to_owned();
        let low = edge.value.text.clone();
        let fault = Fault::NotBelow { lower: K::CHANNELS.name, low, upper: K::LARGEST.name, high };
        ledger.error(fault, edge.span.clone());
    }
    Counter {
        diameter: diameter(ledger.choice(&written.diameter, &K::DIAMETER)),
        edges,
        largest,
        sizing: ledger.quantity(&written.sizing, &K::SIZING),
        resolution: ledger.quantity(&written.resolution, &K::RESOLUTION),
        dead_time: written.dead_time.value().map(|time| Time::from_si(time.si)),
        most_per_m3: written.most.value().map(|most| most.si),
    }
}

fn room(slope: &Entry<crate::scenario::Quantity>, ledger: &mut Ledger<'_>) -> Room {
    let key = &keys::Bench::SLOPE;
    match slope {
        Entry::Stated(slope) => Room { slope: slope.value.si, doubt: slope.value.doubt },
        Entry::Absent | Entry::Broken(_) => {
            let default = ledger.assume_default(key);
            let (slope, give_or_take) =
                default.split_once(", give or take ").expect("a test reads the default of the slope");
            let number = |text: &str| text.parse().expect("a test reads the default of the slope");
            let doubt = Doubt::About { give_or_take: number(give_or_take), lowest: 0.0, highest: 8.0 };
            Room { slope: number(slope), doubt }
        }
    }
}

/// Notes edges of the counts that are none of the counter's.
fn unknown_edges(counts: &CountsFile, counter: &Counter, place: &Span, ledger: &mut Ledger<'_>) {
    let is_known = |edge: &Length| {
        counter
            .edges
            .iter()
            .chain([&counter.largest])
            .any(|known| (known.to_m() / edge.to_m() - 1.0).abs() < SAME_EDGE)
    };
    let edges = counts.readings.channels.iter().flat_map(|channel| [channel.from, channel.to]).flatten();
    let mut unknown: Vec<Length> = edges.filter(|edge| !is_known(edge)).collect();
    unknown.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
    unknown.dedup();
    for edge in unknown {
        let size = format!("{} um", (edge.to_um() * 1e6).round() / 1e6);
        ledger.error(Fault::NoSuchEdge { size, file: counts.name.clone() }, place.clone());
    }
}

/// The row of a counts' text that names one of its specimens first.
fn place_of(readings: &Readings, specimen: usize, text: &str) -> Span {
    let is_of = |state: crate::bench::State| matches!(state, crate::bench::State::Sample(at) if at as usize == specimen);
    let line =
        readings.readings.iter().find(|reading| is_of(reading.state)).map_or(1, |reading| reading.line);
    let start = text.split_inclusive('\n').take((line as usize).saturating_sub(1)).map(str::len).sum();
    let row = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    start..start + row.trim_end().len()
}
