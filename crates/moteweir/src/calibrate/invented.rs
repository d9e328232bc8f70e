//! Counts made up by the model itself, from parameters kept in the comments of their file.
//!
//! Lines of a counts file that begin with `#=` are TOML together:
//!
//! ```text
//! #= seed = 5                     where the random numbers begin
//! #= slope = 3.1                  of the room: dN/dln d ~ d^-slope
//! #= room = 40                    particles a second for each unit of ln d at 1 um
//! #= sizing = 0.03                how far the size scale is off, in ln d
//! #= dispersion = 0.04            coefficient of variation between readings
//! #= drift = -0.05                of ln of the room over the session
//! #= misfit = 1.0                 of what the model may be off by, in its standard deviations: a draw of it times this
//! #= [truth."craft felt"]         true values, in the units of the calibration's report
//! #= fibre_diameter = 16.2
//! ```

use std::collections::BTreeMap;
use std::fmt::Write;

use moteweir_sim::counting::Nuisances;
use moteweir_sim::inference::{Model, replicate};
use moteweir_sim::random::{Purpose, Stream};
use serde::Deserialize;

use super::counts::CountsOfChannel;
use super::evidence::Evidence;
use super::fault::CalibrationFault;
use super::forward::Forward;
use super::outlook::Outlook;
use super::parameters::unit;
use crate::bench::{Readings, State};
use crate::case::Case;
use crate::predict::Surroundings;

/// The mark of a line of parameters.
const MARK: &str = "#=";
const COUNT: Purpose = Purpose::named("invented count");
const MISFIT: Purpose = Purpose::named("invented misfit");
const FILES: Purpose = Purpose::named("invented level of the readings");
/// Numbers beyond these stand for no value that matters.
const FURTHEST: f64 = 8.0;

/// Parameters of an invented bench.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
struct Invention {
    seed: u64,
    slope: f64,
    room: f64,
    #[serde(default)]
    sizing: f64,
    #[serde(default)]
    dispersion: f64,
    #[serde(default)]
    drift: f64,
    #[serde(default)]
    misfit: f64,
    #[serde(default)]
    truth: BTreeMap<String, BTreeMap<String, f64>>,
}

/// Why a bench cannot be made up.
#[derive(Debug, thiserror::Error)]
pub enum InventionFault {
    /// There is no file of counts to fill.
    #[error("the scenario's [bench] names no file of counts to fill")]
    NoCounts,
    /// The parameters cannot be read.
    #[error("the lines that begin with `#=` in the file of counts: {0}")]
    Parameters(#[from] toml::de::Error),
    /// A true value of something that is not unknown.
    #[error("`{name}` of \"{material}\" is not among what the scenario does not know")]
    NotUnknown {
        /// The material.
        material: String,
        /// The key.
        name: String,
    },
    /// The readings cannot be used.
    #[error(transparent)]
    Calibration(#[from] CalibrationFault),
}

/// The counts file of a case filled with invented counts: its comments, then a row a channel of a reading.
///
/// # Errors
/// Where there is no such file, or its parameters do not fit the case.
pub fn invent(case: &Case, text: &str) -> Result<String, InventionFault> {
    let file = case.bench.as_ref().and_then(|b| b.counts.as_ref()).ok_or(InventionFault::NoCounts)?;
    let lines = text.lines().filter_map(|line| line.strip_prefix(MARK));
    let invention: Invention = toml::from_str(&lines.collect::<Vec<_>>().join("\n"))?;
    let surroundings = Surroundings::of_case(case, Outlook::SIZES);
    let evidence = Evidence::of(case, surroundings.air())?;
    let forward = Forward::new(case, &surroundings, evidence).map_err(CalibrationFault::Counting)?;
    let at = numbers(&forward, &invention)?;
    let counts = counted(&forward, &at, &invention);
    Ok(written(&file.readings, text, &counts))
}

/// The true numbers.
fn numbers(forward: &Forward<'_>, invention: &Invention) -> Result<Vec<f64>, InventionFault> {
    let mut at = vec![0.0; forward.dimension()];
    for (material, values) in &invention.truth {
        for (name, value) in values {
            let place = forward.unknowns.all.iter().position(|u| {
                forward.case.materials[u.material].name == *material && u.uncertain.input.key() == name
            });
            let place = place.ok_or_else(|| InventionFault::NotUnknown {
                material: material.clone(),
                name: name.clone(),
            })?;
            let unknown = &forward.unknowns.all[place];
            let si = value / unit(unknown.uncertain.input).1;
            at[place] = inverse(|z| unknown.value(z), si);
        }
    }
    let sight = forward.numbers.sight.clone();
    if !sight.is_empty() {
        at[sight.start] = inverse(|z| forward.sight_values(z, 0.0).0, invention.slope);
        at[sight.start + 1] = inverse(|z| forward.sight_values(0.0, z).1, invention.sizing);
    }
    for (place, misfit) in forward.misfits.iter().enumerate() {
        let mut stream = Stream::new(invention.seed, MISFIT, place as u64);
        for number in misfit.numbers.clone() {
            at[number] = invention.misfit * stream.normal();
        }
    }
    let mut stream = Stream::new(invention.seed, FILES, 0);
    for number in forward.numbers.files.clone() {
        at[number] = invention.misfit * stream.normal();
    }
    Ok(at)
}

/// The number at which a rising function has a value; an end where it lies outside, 0 where it does not rise.
fn inverse(of: impl Fn(f64) -> f64, value: f64) -> f64 {
    let (mut low, mut high) = (-FURTHEST, FURTHEST);
    if of(low) >= of(high) {
        return 0.0;
    }
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if of(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Counts by channel and reading, each with the line of its reading.
fn counted(forward: &Forward<'_>, at: &[f64], invention: &Invention) -> Vec<Vec<(u32, f64)>> {
    let mut work = forward.room();
    forward.log_likelihood(at, None, &mut work);
    let of = |channel: usize| {
        let seen = work.ln_seen(channel);
        let likelihood = &forward.likelihoods[channel];
        let reading = |(number, r): (usize, &super::evidence::Counted)| {
            let nuisances = Nuisances {
                ln_room: (invention.room * r.seconds / r.exposure).ln() + seen,
                drift: invention.drift,
                dispersion: invention.dispersion,
                background: 0.0,
                leak: 0.0,
            };
            let mean = CountsOfChannel::expected(r, &nuisances, |test| work.through[channel][test]);
            let index = (channel as u64) << 32 | number as u64;
            (r.line, replicate(mean, invention.dispersion, &mut Stream::new(invention.seed, COUNT, index)))
        };
        likelihood.readings.iter().enumerate().map(reading).collect()
    };
    (0..forward.likelihoods.len()).map(of).collect()
}

fn written(readings: &Readings, text: &str, counts: &[Vec<(u32, f64)>]) -> String {
    let comments = text.lines().filter(|line| line.starts_with('#'));
    let mut out = comments.fold(String::new(), |out, line| out + line + "\n");
    out.push_str("reading,state,specimen,side,layers,treatment,from_um,to_um,seconds,litres_per_minute,face_velocity_cm_per_s,counts\n");
    let um = |edge: Option<moteweir_units::Length>| edge.map_or_else(String::new, |d| rounded(d.to_um()));
    for (number, reading) in readings.readings.iter().enumerate() {
        for (channel, counted) in readings.channels.iter().zip(counts) {
            let Some((_, count)) = counted.iter().find(|(line, _)| *line == reading.line) else { continue };
            let sample = match reading.state {
                State::Sample(sample) => {
                    let s = &readings.specimens[sample as usize];
                    format!("{},{},{},{}", s.specimen, s.side, s.layers, s.treatment)
                }
                _ => ",,,".to_owned(),
            };
            let name = reading.name.as_ref().map_or_else(|| (number + 1).to_string(), ToString::to_string);
            let flow = reading.flow.map_or_else(String::new, |f| rounded(f.to_l_per_min()));
            let velocity = reading.face_velocity.map_or_else(String::new, |v| rounded(v.to_cm_per_s()));
            let row = [
                name,
                reading.state.word().to_owned(),
                sample,
                um(channel.from),
                um(channel.to),
                rounded(reading.seconds),
                flow,
                velocity,
                count.to_string(),
            ];
            // Writing to a text cannot fail.
            let _ = writeln!(out, "{}", row.join(","));
        }
    }
    out
}

/// Six digits, no zeros at the end.
fn rounded(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
