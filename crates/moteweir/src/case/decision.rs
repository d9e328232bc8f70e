//! What is to be decided: targets, how many layers, how many draws.

use moteweir_units::{Flow, Length, Pressure, Velocity};

use super::check::{Named, layers};
use super::ledger::{Ledger, default_count, default_si};
use super::{Aerosol, Channel, Usage};
use crate::near::nearest;
use crate::problem::Fault;
use crate::scenario::{
    Entry, LayerAsWritten, QuestionAsWritten, TargetAsWritten, VaryAsWritten, Written, keys,
};
use moteweir_units::text::{self, Dimension};

/// What stacks have to reach.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// In words, such as `at least 95 % of 0.3 um stopped at 5.3 cm/s`.
    pub text: String,
    /// Positions in [`super::Case::stacks`] of the stacks it is about.
    pub stacks: Vec<usize>,
    /// What has to hold.
    pub goal: Goal,
    /// Face velocity at which it has to hold.
    pub face_velocity: Velocity,
}

/// What has to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Goal {
    /// An efficiency at least this, 0 to 1.
    Efficiency {
        /// The efficiency.
        at_least: f64,
        /// Among which particles.
        among: Among,
    },
    /// A pressure drop at most this.
    PressureDrop {
        /// The pressure drop.
        at_most: Pressure,
    },
}

impl Goal {
    /// `efficiency` or `pressure_drop`.
    pub const fn about(&self) -> &'static str {
        match self {
            Self::Efficiency { .. } => "efficiency",
            Self::PressureDrop { .. } => "pressure_drop",
        }
    }
}

/// Particles among which an efficiency counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Among {
    /// The size that gets through most.
    Worst,
    /// One mobility diameter.
    Size(Length),
    /// An aerosol, by position in [`super::Case::aerosols`].
    Aerosol(usize),
    /// A channel, by position in [`super::Case::channels`].
    Channel(usize),
}

/// How many layers of a material?
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The material to be layered, by position in [`super::Case::materials`].
    pub layers_of: usize,
    /// Fixed layers upstream, by position, one entry a sheet.
    pub before: Vec<usize>,
    /// Fixed layers downstream, likewise.
    pub after: Vec<usize>,
    /// Most layers to try, 1 to 12.
    pub most: usize,
    /// What is still breathable, where stated.
    pub resistance_at_most: Option<ResistanceLimit>,
    /// What a layer more has to add to the efficiency at the worst size, as a fraction of all particles.
    pub gain_at_least: f64,
}

/// A pressure drop at a flow that must not be passed.
#[derive(Clone, Debug, PartialEq)]
pub struct ResistanceLimit {
    /// As written.
    pub text: String,
    /// The pressure drop.
    pub pressure_drop: Pressure,
    /// The flow, over the filtering area.
    pub flow: Flow,
}

/// How many draws are made of what is uncertain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vary {
    /// As many, where stated; else as many as the tolerance needs.
    pub draws: Option<u64>,
    /// Where the random numbers begin.
    pub seed: u64,
    /// Twice the standard error of a quantile, as a share of it, at which there are draws enough.
    pub tolerance: f64,
}

/// What targets are read against.
pub(super) struct TargetSetting<'a> {
    /// Names of the stacks, in the order of the file.
    pub(super) stacks: &'a [Option<String>],
    pub(super) aerosols: &'a [Aerosol],
    pub(super) channels: &'a [Channel],
    /// Whether every aerosol and channel of the file is in these lists.
    pub(super) is_whole: bool,
    pub(super) usage: &'a Usage,
}

pub(super) fn targets(
    written: &[TargetAsWritten],
    setting: &TargetSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Vec<Target> {
    written.iter().filter_map(|target| self::target(target, setting, ledger)).collect()
}

fn target(written: &TargetAsWritten, setting: &TargetSetting<'_>, ledger: &mut Ledger<'_>) -> Option<Target> {
    let stacks = target_stacks(written, setting, ledger);
    let velocity = target_velocity(written, setting, ledger);
    let goal = goal(written, setting, ledger);
    let (face_velocity, place) = velocity?;
    let (goal, words) = goal?;
    Some(Target { text: format!("{words} at {place}"), stacks: stacks?, goal, face_velocity })
}

/// The stacks that a target names; all where it names none.
fn target_stacks(
    written: &TargetAsWritten,
    setting: &TargetSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<Vec<usize>> {
    let names = match &written.stack {
        Entry::Absent => return Some((0..setting.stacks.len()).collect()),
        Entry::Broken(_) => return None,
        Entry::Stated(names) => &names.value,
    };
    let known = || setting.stacks.iter().flatten().map(String::as_str);
    let found: Vec<_> = names
        .iter()
        .map(|name| {
            let is_named = |other: &Option<String>| other.as_deref() == Some(name.value.trim());
            let position = setting.stacks.iter().position(is_named);
            if position.is_none() {
                unknown("stack", name, &known().collect::<Vec<_>>(), ledger);
            }
            position
        })
        .collect();
    found.into_iter().collect()
}

/// The face velocity of a target, and its words.
fn target_velocity(
    written: &TargetAsWritten,
    setting: &TargetSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<(Velocity, String)> {
    use keys::Target as K;
    let usage = setting.usage;
    match (&written.face_velocity, &written.flow) {
        (Entry::Absent, Entry::Absent) => {
            let velocity = usage.flow / usage.area;
            Some((velocity, format!("{} cm/s", super::facts::significant(velocity.to_cm_per_s()))))
        }
        (Entry::Stated(velocity), Entry::Absent) => {
            Some((Velocity::from_si(velocity.value.si), velocity.value.text.clone()))
        }
        (Entry::Absent, Entry::Stated(flow)) => {
            Some((Flow::from_si(flow.value.si) / usage.area, flow.value.text.clone()))
        }
        (Entry::Broken(_), Entry::Absent) | (Entry::Absent, Entry::Broken(_)) => None,
        (_, flow) => {
            let (one, other) = (K::FACE_VELOCITY.name, K::FLOW.name);
            let fault = Fault::Twice { one, other, what: "the velocity" };
            ledger.error(fault, flow.span().unwrap_or_else(|| written.span.clone()));
            None
        }
    }
}

/// What has to hold, and its words.
fn goal(
    written: &TargetAsWritten,
    setting: &TargetSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<(Goal, String)> {
    use keys::Target as K;
    match (&written.efficiency_at_least, &written.pressure_drop_at_most) {
        (Entry::Absent, Entry::Absent) => {
            let (section, key) = (keys::Target::SECTION.name, K::EFFICIENCY_AT_LEAST.name);
            let fault = Fault::MissingKey { section, key, example: K::EFFICIENCY_AT_LEAST.example };
            ledger.error(fault, written.span.clone());
            None
        }
        (Entry::Stated(efficiency), Entry::Absent) => {
            let (among, particles) = among(&written.at, setting, ledger)?;
            let words = format!("at least {} of {particles} stopped", efficiency.value.text);
            Some((Goal::Efficiency { at_least: efficiency.value.si, among }, words))
        }
        (Entry::Absent, Entry::Stated(pressure)) => {
            if let Some(place) = written.at.span() {
                let fault = Fault::GoesWith { key: K::AT.name, with: K::EFFICIENCY_AT_LEAST.name };
                ledger.error(fault, place);
                return None;
            }
            let at_most = Pressure::from_si(pressure.value.si);
            let words = format!("a pressure drop of at most {}", pressure.value.text);
            Some((Goal::PressureDrop { at_most }, words))
        }
        (Entry::Broken(_), Entry::Absent) | (Entry::Absent, Entry::Broken(_)) => None,
        (_, pressure) => {
            let (one, other) = (K::EFFICIENCY_AT_LEAST.name, K::PRESSURE_DROP_AT_MOST.name);
            let place = pressure.span().unwrap_or_else(|| written.span.clone());
            ledger.error(Fault::Twice { one, other, what: "the target" }, place);
            None
        }
    }
}

/// The particles of a target, and their words. A name goes before a size.
fn among(
    written: &Entry<String>,
    setting: &TargetSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<(Among, String)> {
    let worst = || (Among::Worst, "the worst size".to_owned());
    let name = match written {
        Entry::Broken(_) => return None,
        Entry::Absent => {
            ledger.assume_default(&keys::Target::AT);
            return Some(worst());
        }
        Entry::Stated(name) => name,
    };
    let word = name.value.as_str();
    if word == "worst" {
        return Some(worst());
    }
    if let Some(position) = setting.aerosols.iter().position(|aerosol| aerosol.name == word) {
        return Some((Among::Aerosol(position), word.to_owned()));
    }
    if let Some(position) = setting.channels.iter().position(|channel| channel.name == word) {
        return Some((Among::Channel(position), word.to_owned()));
    }
    if let Ok(si) = text::read(word, Dimension::Length) {
        let limits = keys::PARTICLE_SIZE;
        if limits.holds(si) {
            return Some((Among::Size(Length::from_si(si)), word.to_owned()));
        }
        let (lowest, highest) = (limits.lowest.to_owned(), limits.highest.to_owned());
        let fault = Fault::OutOfRange { key: keys::Target::AT.name, value: word.to_owned(), lowest, highest };
        ledger.error(fault, name.span.clone());
    } else if setting.is_whole {
        let names = setting.aerosols.iter().map(|aerosol| aerosol.name.as_str());
        let names = names.chain(setting.channels.iter().map(|channel| channel.name.as_str()));
        let fault = Fault::UnknownParticles {
            value: word.to_owned(),
            near: nearest(word, names.clone().chain(["worst"])).map(str::to_owned),
            known: names.map(str::to_owned).collect(),
        };
        ledger.error(fault, name.span.clone());
    }
    None
}

pub(super) fn question(
    written: &QuestionAsWritten,
    materials: &Named<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<Question> {
    use keys::Question as K;
    let layers_of = written.layers_of.stated().and_then(|name| materials.position(name, ledger));
    let mut fixed = |entry: &Entry<Vec<Entry<LayerAsWritten>>>| match entry {
        Entry::Absent => Some(Vec::new()),
        Entry::Broken(_) => None,
        Entry::Stated(list) => layers(&list.value, materials, ledger),
    };
    let (before, after) = (fixed(&written.before), fixed(&written.after));
    let most = written.most.value().copied().unwrap_or_else(|| default_count(&K::MOST));
    if written.most.is_absent() {
        ledger.assume_default(&K::MOST);
    }
    let gain_at_least = ledger.quantity(&written.gain_at_least, &K::GAIN_AT_LEAST);
    let resistance_at_most = written.resistance_at_most.value().map(|pair| ResistanceLimit {
        text: pair.text.clone(),
        pressure_drop: Pressure::from_si(pair.first_si),
        flow: Flow::from_si(pair.second_si),
    });
    Some(Question {
        layers_of: layers_of?,
        before: before?,
        after: after?,
        most: most as usize,
        resistance_at_most,
        gain_at_least,
    })
}

pub(super) fn vary(written: &VaryAsWritten) -> Vary {
    use keys::Vary as K;
    let seed = written.seed.value().copied().unwrap_or_else(|| default_count(&K::SEED));
    Vary {
        draws: written.draws.value().map(|draws| u64::from(*draws)),
        seed: u64::from(seed),
        tolerance: written.tolerance.value().map_or_else(|| default_si(&K::TOLERANCE), |share| share.si),
    }
}

fn unknown(kind: &'static str, name: &Written<String>, known: &[&str], ledger: &mut Ledger<'_>) {
    let fault = Fault::UnknownName {
        kind,
        name: name.value.clone(),
        near: nearest(&name.value, known.iter().copied()).map(str::to_owned),
        known: known.iter().map(|name| (*name).to_owned()).collect(),
    };
    ledger.error(fault, name.span.clone());
}
