//! What was measured, by what it was measured on: channels of counts, points of curves, resistances.

use moteweir_physics::aerosol::DiameterKind;
use moteweir_physics::air::Air;
use moteweir_physics::particle::mobility_diameter;
use moteweir_units::{Length, Velocity};

use super::fault::CalibrationFault;
use crate::bench::treatment::Treatment;
use crate::bench::{Channel, Sample, State};
use crate::case::{Bench, Case, Specimen};

/// Velocities that differ by less than this share are one.
const SAME_VELOCITY: f64 = 0.01;
/// A measured value without a stated uncertainty is taken to have this relative one.
pub(super) const UNSTATED: f64 = 0.10;
/// A channel without a lower edge begins at this share of its upper one.
const NO_LOWER_EDGE: f64 = 0.5;

/// Something that air was sucked through, at one velocity.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Test {
    pub(super) specimen: Specimen,
    /// How a reader knows it.
    pub(super) name: String,
    /// Position in [`Evidence::velocities`].
    pub(super) velocity: usize,
    /// Materials, each with its sheets.
    pub(super) sheets: Vec<(usize, f64)>,
    /// Whether its charge was taken away.
    pub(super) discharged: bool,
    pub(super) layers: u32,
    /// Position in [`Evidence::files`] of where it was read.
    pub(super) file: usize,
    /// As the counts or the curve name it.
    pub(super) side: String,
    pub(super) treatment: String,
}

/// What a counter sucked through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Through {
    Open,
    Test(usize),
    Zero,
    Blocked,
}

/// Counts of a reading in one channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Counted {
    pub(super) through: Through,
    pub(super) exposure: f64,
    pub(super) seconds: f64,
    /// Along the session, which is 1 long; the mean of the open readings is at 0.
    pub(super) position: f64,
    pub(super) counts: f64,
    pub(super) line: u32,
}

/// A channel with its readings.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct CountedChannel {
    pub(super) words: String,
    /// Edges, as mobility diameters \[m\].
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) readings: Vec<Counted>,
}

/// A point of a measured curve.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct CurvePoint {
    pub(super) test: usize,
    pub(super) diameter: f64,
    pub(super) ln_p: f64,
    pub(super) deviation: f64,
    pub(super) file: String,
    pub(super) line: usize,
}

/// A pressure drop.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Resisted {
    pub(super) name: String,
    pub(super) sheets: Vec<(usize, f64)>,
    pub(super) velocity: Velocity,
    pub(super) ln_dp: f64,
    pub(super) deviation: f64,
    pub(super) text: String,
}

/// All that was measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Evidence {
    /// Files that penetrations were read from, the bench's counts first.
    pub(super) files: Vec<String>,
    pub(super) velocities: Vec<Velocity>,
    pub(super) tests: Vec<Test>,
    pub(super) channels: Vec<CountedChannel>,
    pub(super) points: Vec<CurvePoint>,
    pub(super) resisted: Vec<Resisted>,
    /// What is left out or assumed, each once.
    pub(super) remarks: Vec<String>,
}

impl Evidence {
    /// Particles of all channels that the counter saw in a reading.
    pub(super) fn seen(&self, reading: &Counted) -> f64 {
        let all = self.channels.iter().flat_map(|channel| &channel.readings);
        let same = |other: &&Counted| other.line == reading.line;
        all.filter(same).map(|other| other.counts).sum()
    }

    pub(super) fn of(case: &Case, air: &Air) -> Result<Self, CalibrationFault> {
        let mut evidence = Self::default();
        if let Some(bench) = &case.bench {
            evidence.add_counts(case, bench, air)?;
            for r in &bench.resistances {
                evidence.resisted.push(Resisted {
                    name: name_of(case, r.specimen, r.layers),
                    sheets: counted_sheets(&case.sheets_of(r.specimen, r.layers)),
                    velocity: r.face_velocity,
                    ln_dp: r.pressure_drop.to_pa().ln(),
                    deviation: r.relative_uncertainty,
                    text: r.text.clone(),
                });
            }
        }
        evidence.add_curves(case);
        if case.bench.is_none() && case.measured.is_empty() {
            return Err(CalibrationFault::NothingMeasured);
        }
        if evidence.channels.is_empty() && evidence.points.is_empty() && evidence.resisted.is_empty() {
            return Err(CalibrationFault::NothingUsable {
                why: "there are no counts through a sample, no penetrations and no pressure drops",
            });
        }
        Ok(evidence)
    }

    /// Readings that the predictive check goes through.
    pub(super) fn len(&self) -> usize {
        self.channels.iter().map(|c| c.readings.len()).sum::<usize>()
            + self.points.len()
            + self.resisted.len()
    }

    fn add_counts(&mut self, case: &Case, bench: &Bench, air: &Air) -> Result<(), CalibrationFault> {
        let Some(file) = &bench.counts else { return Ok(()) };
        let readings = &file.readings;
        // A test for each sample and velocity, in the order of the readings; None where it cannot be used.
        let mut of_reading = Vec::new();
        for reading in &readings.readings {
            of_reading.push(match reading.state {
                State::Open => Some(Through::Open),
                State::Zero => Some(Through::Zero),
                State::Blocked => Some(Through::Blocked),
                State::Sample(sample) => {
                    let velocity =
                        reading.face_velocity.or_else(|| bench.face_velocity()).ok_or_else(|| {
                            CalibrationFault::NoVelocity { name: file.name.clone(), line: reading.line }
                        })?;
                    let sample = sample as usize;
                    self.test_of(
                        case,
                        file.specimens[sample],
                        &readings.specimens[sample],
                        velocity,
                        &file.name,
                    )
                    .map(Through::Test)
                }
            });
        }
        for (number, channel) in readings.channels.iter().enumerate() {
            let (from, to) = edges(channel, case, bench, air);
            let mut counted: Vec<Counted> = readings
                .readings
                .iter()
                .zip(&of_reading)
                .filter_map(|(reading, through)| {
                    let of = readings.counts_of(reading).iter().find(|c| c.channel as usize == number)?;
                    Some(Counted {
                        through: (*through)?,
                        exposure: reading.exposure(),
                        seconds: reading.seconds,
                        position: reading.middle_s,
                        counts: of.counts as f64,
                        line: reading.line,
                    })
                })
                .collect();
            place_along(&mut counted);
            if counted.iter().any(|c| matches!(c.through, Through::Test(_))) {
                self.channels.push(CountedChannel { words: channel.words(), from, to, readings: counted });
            }
        }
        Ok(())
    }

    fn test_of(
        &mut self,
        case: &Case,
        specimen: Specimen,
        sample: &Sample,
        velocity: Velocity,
        file: &str,
    ) -> Option<usize> {
        let discharged = self.discharged(&sample.specimen, &sample.treatment)?;
        let name = treated(name_of(case, specimen, sample.layers), discharged, &sample.treatment);
        let velocity = self.velocity(velocity);
        let test = Test {
            specimen,
            name,
            velocity,
            sheets: counted_sheets(&case.sheets_of(specimen, sample.layers)),
            discharged,
            layers: sample.layers,
            file: self.file(file),
            side: sample.side.clone(),
            treatment: sample.treatment.clone(),
        };
        Some(self.test(test))
    }

    /// Whether the charge of a specimen was taken away; none, with a remark, where nobody knows what was done to it.
    fn discharged(&mut self, specimen: &str, treatment: &str) -> Option<bool> {
        match Treatment::of(treatment) {
            Treatment::AsReceived => Some(false),
            Treatment::Discharged => Some(true),
            Treatment::Unknown => {
                self.remark(format!(
                    "readings of \"{specimen}\", {treatment}: left out, what that did to the material is not modelled; \
                     give it a material of its own"
                ));
                None
            }
        }
    }

    fn add_curves(&mut self, case: &Case) {
        for measured in &case.measured {
            let specimen = case.specimen_name(measured.specimen);
            let Some(discharged) = self.discharged(specimen, &measured.treatment) else { continue };
            let sheets = counted_sheets(&case.sheets_of(measured.specimen, measured.layers));
            let bare = name_of(case, measured.specimen, measured.layers);
            let name = treated(bare, discharged, &measured.treatment);
            let mut unstated = false;
            for row in &measured.penetrations {
                if row.is_limit {
                    self.remark(format!(
                        "{}: limits, where nothing was counted downstream, are shown and left out here",
                        measured.file
                    ));
                    continue;
                }
                let velocity = self.velocity(row.face_velocity);
                let file = self.file(&measured.file);
                let test = self.test(Test {
                    specimen: measured.specimen,
                    name: name.clone(),
                    velocity,
                    sheets: sheets.clone(),
                    discharged,
                    layers: measured.layers,
                    file,
                    side: measured.side.clone(),
                    treatment: measured.treatment.clone(),
                });
                unstated |= row.uncertainty_of_ln_p().is_none();
                self.points.push(CurvePoint {
                    test,
                    diameter: row.diameter.to_m(),
                    ln_p: row.penetration.ln(),
                    deviation: row.uncertainty_of_ln_p().unwrap_or(UNSTATED),
                    file: measured.file.clone(),
                    line: row.line,
                });
            }
            for row in &measured.flows {
                unstated |= row.relative_uncertainty.is_none();
                self.resisted.push(Resisted {
                    name: name.clone(),
                    sheets: sheets.clone(),
                    velocity: row.face_velocity,
                    ln_dp: row.pressure_drop.to_pa().ln(),
                    deviation: row.relative_uncertainty.unwrap_or(UNSTATED),
                    text: format!("{}, line {}", measured.file, row.line),
                });
            }
            if unstated {
                self.remark(format!("{}: no uncertainty stated, 10 % taken", measured.file));
            }
        }
    }

    /// The position of a file, a new one where there is none of its name.
    fn file(&mut self, name: &str) -> usize {
        self.files.iter().position(|known| known == name).unwrap_or_else(|| {
            self.files.push(name.to_owned());
            self.files.len() - 1
        })
    }

    /// The position of a velocity, a new one where there is none like it.
    pub(super) fn velocity(&mut self, velocity: Velocity) -> usize {
        let like = |known: &Velocity| (*known / velocity).ln().abs() < SAME_VELOCITY;
        self.velocities.iter().position(like).unwrap_or_else(|| {
            self.velocities.push(velocity);
            self.velocities.len() - 1
        })
    }

    /// The position of a test, a new one where there is none like it.
    pub(super) fn test(&mut self, test: Test) -> usize {
        self.tests.iter().position(|known| *known == test).unwrap_or_else(|| {
            self.tests.push(test);
            self.tests.len() - 1
        })
    }

    fn remark(&mut self, text: String) {
        if !self.remarks.contains(&text) {
            self.remarks.push(text);
        }
    }
}

/// How a reader knows so many layers of a specimen.
pub(super) fn name_of(case: &Case, specimen: Specimen, layers: u32) -> String {
    let name = case.specimen_name(specimen);
    if layers == 1 { name.to_owned() } else { format!("{layers} x {name}") }
}

/// The name of a specimen, with what was done to it where that took its charge away.
fn treated(name: String, discharged: bool, treatment: &str) -> String {
    if discharged { format!("{name}, {treatment}") } else { name }
}

/// Each material with how many sheets it has.
pub(super) fn counted_sheets(sheets: &[usize]) -> Vec<(usize, f64)> {
    let mut counted: Vec<(usize, f64)> = Vec::new();
    for &material in sheets {
        match counted.iter_mut().find(|(known, _)| *known == material) {
            Some((_, times)) => *times += 1.0,
            None => counted.push((material, 1.0)),
        }
    }
    counted
}

/// Places readings along the session from the seconds at their middles: 1 long from the first to the last that sees the
/// room, the mean of the open ones at 0. The likelihood of the counts has the same clock.
fn place_along(counted: &mut [Counted]) {
    let seeing = || counted.iter().filter(|c| c.through != Through::Zero).map(|c| c.position);
    let (first, last) = seeing().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), t| (a.min(t), b.max(t)));
    let open: Vec<f64> = counted.iter().filter(|c| c.through == Through::Open).map(|c| c.position).collect();
    let centre = open.iter().sum::<f64>() / open.len().max(1) as f64;
    let length = if last > first { last - first } else { 1.0 };
    for c in counted {
        c.position = (c.position - centre) / length;
    }
}

/// Edges of a channel as mobility diameters \[m\].
fn edges(channel: &Channel, case: &Case, bench: &Bench, air: &Air) -> (f64, f64) {
    let mobility = |edge: Length| match bench.counter.diameter {
        DiameterKind::Mobility | DiameterKind::Optical => edge.to_m(),
        DiameterKind::Aerodynamic => mobility_diameter(air, edge, case.particles.density).to_m(),
    };
    let to = channel.to.map_or_else(|| mobility(bench.counter.largest), mobility);
    let from = channel.from.map_or(NO_LOWER_EDGE * to, mobility);
    (from, to.max(1.05 * from))
}
