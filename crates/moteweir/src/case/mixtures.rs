//! Aerosols and counter channels of a case.

use moteweir_physics::aerosol::{self, DiameterKind, Mode, Shape, Weighting, count_median};
use moteweir_physics::air::Air;
use moteweir_physics::particle::{aerodynamic_diameter, mobility_diameter};
use moteweir_units::Length;

use super::aerosol::{Aerosol, Channel};
use super::ledger::Ledger;
use super::{AirConditions, Particles};
use crate::near::nearest;
use crate::problem::{Fault, Span};
use crate::scenario::{
    AerosolAsWritten, BinAsWritten, ChannelAsWritten, Entry, ModeAsWritten, Written, keys,
};

/// Edges of neighbouring bins closer than this are one edge.
const SAME_EDGE: f64 = 1e-9;

pub(super) fn aerosols(written: &[AerosolAsWritten], ledger: &mut Ledger<'_>) -> Vec<Aerosol> {
    let names: Vec<_> = written.iter().map(|aerosol| named(&aerosol.name)).collect();
    ledger.distinct("aerosols", &names);
    written.iter().filter_map(|aerosol| self::aerosol(aerosol, ledger)).collect()
}

fn aerosol(written: &AerosolAsWritten, ledger: &mut Ledger<'_>) -> Option<Aerosol> {
    use keys::Aerosol as K;
    let stated_by = weighting(ledger.choice(&written.kind, &K::KIND));
    let shape = shape(written, stated_by, ledger);
    let diameter = diameter(ledger.choice(&written.diameter, &K::DIAMETER));
    Some(Aerosol {
        name: written.name.value()?.clone(),
        weighted_by: written.weighted_by.value().map_or(stated_by, |word| weighting(word)),
        aerosol: aerosol::Aerosol { shape: shape?, diameter },
    })
}

fn shape(written: &AerosolAsWritten, stated_by: Weighting, ledger: &mut Ledger<'_>) -> Option<Shape> {
    match (&written.modes, &written.bins) {
        (Entry::Absent, Entry::Absent) => {
            let (key, example) = (keys::Aerosol::MODES.name, keys::Aerosol::MODES.example);
            let fault = Fault::MissingKey { section: keys::Aerosol::SECTION.name, key, example };
            ledger.error(fault, written.name.span().unwrap_or_else(|| written.span.clone()));
            None
        }
        (Entry::Stated(modes), Entry::Absent) => modes_of(modes, stated_by, ledger),
        (Entry::Absent, Entry::Stated(bins)) => bins_of(bins, stated_by, ledger),
        (Entry::Absent, Entry::Broken(_)) | (Entry::Broken(_), Entry::Absent) => None,
        (_, bins) => {
            let fault = Fault::Twice { one: "modes", other: "bins", what: "the sizes" };
            ledger.error(fault, bins.span().unwrap_or_else(|| written.span.clone()));
            None
        }
    }
}

/// Modes by number from modes by any weighting: the median by Hatch and Choate, the number as share over the mean
/// particle's weight, `CMD^q exp(q^2 ln^2 GSD / 2)`.
fn modes_of(
    written: &Written<Vec<Written<ModeAsWritten>>>,
    stated_by: Weighting,
    ledger: &mut Ledger<'_>,
) -> Option<Shape> {
    let q = stated_by.power();
    let mut modes: Vec<Mode> = Vec::new();
    for mode in &written.value {
        let ModeAsWritten { median, gsd, share } = &mode.value;
        let median = count_median(Length::from_si(median.si), *gsd, stated_by);
        let weight = median.to_um().powf(q) * (0.5 * (q * gsd.ln()).powi(2)).exp();
        modes.push(Mode { median, gsd: *gsd, share: share.unwrap_or(1.0) / weight });
    }
    let total: f64 = modes.iter().map(|mode| mode.share).sum();
    if total <= 0.0 {
        ledger.error(Fault::NoShare, written.span.clone());
        return None;
    }
    for mode in &mut modes {
        mode.share /= total;
    }
    Some(Shape::Modes(modes))
}

/// Bins by number from bins by any weighting, each even over ln d; gaps between them are empty bins.
fn bins_of(
    written: &Written<Vec<Written<BinAsWritten>>>,
    stated_by: Weighting,
    ledger: &mut Ledger<'_>,
) -> Option<Shape> {
    let mut bins: Vec<&BinAsWritten> = written.value.iter().map(|bin| &bin.value).collect();
    bins.sort_by(|a, b| a.from.value.si.total_cmp(&b.from.value.si));
    let mut is_sound = true;
    let (mut edges, mut numbers): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for bin in bins {
        let (from, to) = (bin.from.value.si, bin.to.value.si);
        if from >= to {
            is_sound = false;
            ledger.error(not_below(&bin.from.value.text, &bin.to.value.text), bin.from.span.clone());
            continue;
        }
        let reached = edges.last().copied().unwrap_or(0.0);
        if from < reached * (1.0 - SAME_EDGE) {
            is_sound = false;
            let fault = Fault::Overlap { from: bin.from.value.text.clone() };
            ledger.error(fault, bin.from.span.clone());
            continue;
        }
        if from > reached * (1.0 + SAME_EDGE) {
            numbers.extend((!edges.is_empty()).then_some(0.0));
            edges.push(from);
        }
        edges.push(to);
        numbers.push(bin.share / mean_weight(from, to, stated_by));
    }
    if is_sound && numbers.iter().sum::<f64>() <= 0.0 {
        ledger.error(Fault::NoShare, written.span.clone());
        return None;
    }
    let edges = edges.into_iter().map(Length::from_si).collect();
    is_sound.then_some(Shape::Bins { edges, numbers })
}

/// Mean of the weight (d/um)^q over ln d between two diameters in metres.
fn mean_weight(from: f64, to: f64, weighting: Weighting) -> f64 {
    let q = weighting.power();
    if q == 0.0 {
        return 1.0;
    }
    ((to * 1e6).powf(q) - (from * 1e6).powf(q)) / (q * (to / from).ln())
}

/// What channels are read against.
pub(super) struct ChannelSetting<'a> {
    pub(super) written_aerosols: &'a [AerosolAsWritten],
    pub(super) air: &'a AirConditions,
    pub(super) particles: &'a Particles,
}

pub(super) fn channels(
    written: &[ChannelAsWritten],
    setting: &ChannelSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Vec<Channel> {
    let names: Vec<_> = written.iter().map(|channel| named(&channel.name)).collect();
    ledger.distinct("channels", &names);
    written.iter().filter_map(|channel| self::channel(channel, setting, ledger)).collect()
}

fn channel(
    written: &ChannelAsWritten,
    setting: &ChannelSetting<'_>,
    ledger: &mut Ledger<'_>,
) -> Option<Channel> {
    if let (Entry::Stated(from), Entry::Stated(to)) = (&written.from, &written.to)
        && from.value.si >= to.value.si
    {
        ledger.error(not_below(&from.value.text, &to.value.text), from.span.clone());
    }
    let kind = diameter(ledger.choice(&written.diameter, &keys::Channel::DIAMETER));
    let aerosol = match written.aerosol.stated() {
        Some(name) => Some(position(name, setting.written_aerosols, ledger)?),
        None => None,
    };
    let counted = aerosol.map(|position| &setting.written_aerosols[position]);
    let aerosol_kind = counted.and_then(|aerosol| aerosol.diameter.value()).copied().map(diameter);
    let edge = |si: f64| setting.edge(si, kind, aerosol_kind.unwrap_or(DiameterKind::Mobility));
    let from = written.from.stated()?;
    let lower = edge(from.value.si);
    if written.to.is_absent() && aerosol.is_none() && lower >= setting.particles.largest {
        let high = format!("{} um", setting.particles.largest.to_um());
        let fault = Fault::NotBelow { lower: "from", low: from.value.text.clone(), upper: "largest", high };
        ledger.error(fault, from.span.clone());
    }
    Some(Channel {
        name: written.name.value()?.clone(),
        edges: match written.to.value() {
            Some(to) => format!("{} to {}", from.value.text, to.text),
            None => format!("above {}", from.value.text),
        },
        diameter: kind,
        from: lower,
        to: written.to.value().map(|to| edge(to.si)),
        aerosol,
    })
}

impl ChannelSetting<'_> {
    /// A diameter of one kind as the same particle's diameter of another; optical ones are taken as mobility.
    pub(super) fn edge(&self, si: f64, from: DiameterKind, to: DiameterKind) -> Length {
        let AirConditions { temperature, pressure, relative_humidity } = *self.air;
        let air = Air::new(temperature, pressure, relative_humidity);
        let (size, density) = (Length::from_si(si), self.particles.density);
        match (from == DiameterKind::Aerodynamic, to == DiameterKind::Aerodynamic) {
            (true, false) => mobility_diameter(&air, size, density),
            (false, true) => aerodynamic_diameter(&air, size, density),
            _ => size,
        }
    }
}

/// Where in the list the aerosol of a name is; noted where there is none.
fn position(name: &Written<String>, aerosols: &[AerosolAsWritten], ledger: &mut Ledger<'_>) -> Option<usize> {
    let found = aerosols.iter().position(|aerosol| aerosol.name.value() == Some(&name.value));
    if found.is_none() {
        let names = || aerosols.iter().filter_map(|aerosol| aerosol.name.value()).map(String::as_str);
        let fault = Fault::UnknownName {
            kind: "aerosol",
            name: name.value.clone(),
            near: nearest(&name.value, names()).map(str::to_owned),
            known: names().map(str::to_owned).collect(),
        };
        ledger.error(fault, name.span.clone());
    }
    found
}

fn not_below(from: &str, to: &str) -> Fault {
    Fault::NotBelow { lower: "from", low: from.to_owned(), upper: "to", high: to.to_owned() }
}

/// A name with its place.
pub(super) fn named(entry: &Entry<String>) -> Option<(&str, Span)> {
    entry.stated().map(|name| (name.value.as_str(), name.span.clone()))
}

fn weighting(word: &str) -> Weighting {
    match word {
        "area" => Weighting::Area,
        "mass" => Weighting::Mass,
        _ => Weighting::Number,
    }
}

pub(super) fn diameter(word: &str) -> DiameterKind {
    match word {
        "aerodynamic" => DiameterKind::Aerodynamic,
        "optical" => DiameterKind::Optical,
        _ => DiameterKind::Mobility,
    }
}
