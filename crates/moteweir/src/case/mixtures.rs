//! Aerosols and counter channels of a case.

use moteweir_units::Length;

use super::aerosol::{Aerosol, Bin, Channel, DiameterKind, Mode, Sizes, Weighting};
use super::ledger::Ledger;
use crate::near::nearest;
use crate::problem::{Fault, Span};
use crate::scenario::{
    AerosolAsWritten, BinAsWritten, ChannelAsWritten, Entry, ModeAsWritten, Written, keys,
};

pub(super) fn aerosols(written: &[AerosolAsWritten], ledger: &mut Ledger<'_>) -> Vec<Aerosol> {
    let names: Vec<_> = written.iter().map(|aerosol| named(&aerosol.name)).collect();
    ledger.distinct("aerosols", &names);
    written.iter().filter_map(|aerosol| self::aerosol(aerosol, ledger)).collect()
}

fn aerosol(written: &AerosolAsWritten, ledger: &mut Ledger<'_>) -> Option<Aerosol> {
    use keys::Aerosol as K;
    let sizes = sizes(written, ledger);
    let stated_by = weighting(written.kind.value().copied());
    if written.kind.is_absent() {
        ledger.assume_default(&K::KIND);
    }
    if written.diameter.is_absent() {
        ledger.assume_default(&K::DIAMETER);
    }
    Some(Aerosol {
        name: written.name.value()?.clone(),
        stated_by,
        weighted_by: written.weighted_by.value().map_or(stated_by, |word| weighting(Some(word))),
        diameter: diameter(written.diameter.value().copied(), DiameterKind::Mobility),
        sizes: sizes?,
    })
}

fn sizes(written: &AerosolAsWritten, ledger: &mut Ledger<'_>) -> Option<Sizes> {
    match (&written.modes, &written.bins) {
        (Entry::Absent, Entry::Absent) => {
            let (key, example) = (keys::Aerosol::MODES.name, keys::Aerosol::MODES.example);
            let fault = Fault::MissingKey { section: keys::Aerosol::SECTION.name, key, example };
            ledger.error(fault, written.name.span().unwrap_or_else(|| written.span.clone()));
            None
        }
        (Entry::Stated(modes), Entry::Absent) => modes_of(&modes.value, &modes.span, ledger),
        (Entry::Absent, Entry::Stated(bins)) => bins_of(&bins.value, &bins.span, ledger),
        (Entry::Absent, Entry::Broken(_)) | (Entry::Broken(_), Entry::Absent) => None,
        (_, bins) => {
            let fault = Fault::Twice { one: "modes", other: "bins", what: "the sizes" };
            ledger.error(fault, bins.span().unwrap_or_else(|| written.span.clone()));
            None
        }
    }
}

fn modes_of(written: &[Written<ModeAsWritten>], span: &Span, ledger: &mut Ledger<'_>) -> Option<Sizes> {
    let total = total(written.iter().map(|mode| mode.value.share.unwrap_or(1.0)), span, ledger)?;
    let modes = written.iter().map(|mode| Mode {
        median: Length::from_si(mode.value.median.si),
        gsd: mode.value.gsd,
        share: mode.value.share.unwrap_or(1.0) / total,
    });
    Some(Sizes::Modes(modes.collect()))
}

fn bins_of(written: &[Written<BinAsWritten>], span: &Span, ledger: &mut Ledger<'_>) -> Option<Sizes> {
    let mut is_ordered = true;
    for bin in written {
        let (from, to) = (&bin.value.from, &bin.value.to);
        if from.value.si >= to.value.si {
            is_ordered = false;
            ledger.error(not_below(&from.value.text, &to.value.text), from.span.clone());
        }
    }
    let total = total(written.iter().map(|bin| bin.value.share), span, ledger)?;
    let bins = written.iter().map(|bin| Bin {
        from: Length::from_si(bin.value.from.value.si),
        to: Length::from_si(bin.value.to.value.si),
        share: bin.value.share / total,
    });
    is_ordered.then(|| Sizes::Bins(bins.collect()))
}

/// The sum of shares, which has to be above 0.
fn total(shares: impl Iterator<Item = f64>, span: &Span, ledger: &mut Ledger<'_>) -> Option<f64> {
    let total: f64 = shares.sum();
    if total > 0.0 {
        return Some(total);
    }
    ledger.error(Fault::NoShare, span.clone());
    None
}

pub(super) fn channels(
    written: &[ChannelAsWritten],
    aerosols: &[AerosolAsWritten],
    ledger: &mut Ledger<'_>,
) -> Vec<Channel> {
    let names: Vec<_> = written.iter().map(|channel| named(&channel.name)).collect();
    ledger.distinct("channels", &names);
    written.iter().filter_map(|channel| self::channel(channel, aerosols, ledger)).collect()
}

fn channel(
    written: &ChannelAsWritten,
    aerosols: &[AerosolAsWritten],
    ledger: &mut Ledger<'_>,
) -> Option<Channel> {
    if let (Entry::Stated(from), Entry::Stated(to)) = (&written.from, &written.to)
        && from.value.si >= to.value.si
    {
        ledger.error(not_below(&from.value.text, &to.value.text), from.span.clone());
    }
    if written.diameter.is_absent() {
        ledger.assume_default(&keys::Channel::DIAMETER);
    }
    let aerosol = written.aerosol.stated().map(|name| position(name, aerosols, ledger));
    Some(Channel {
        name: written.name.value()?.clone(),
        from: Length::from_si(written.from.value()?.si),
        to: written.to.value().map(|to| Length::from_si(to.si)),
        diameter: diameter(written.diameter.value().copied(), DiameterKind::Optical),
        aerosol: aerosol.flatten(),
    })
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

fn weighting(word: Option<&str>) -> Weighting {
    match word {
        Some("area") => Weighting::Area,
        Some("mass") => Weighting::Mass,
        _ => Weighting::Number,
    }
}

fn diameter(word: Option<&str>, otherwise: DiameterKind) -> DiameterKind {
    match word {
        Some("mobility") => DiameterKind::Mobility,
        Some("aerodynamic") => DiameterKind::Aerodynamic,
        Some("optical") => DiameterKind::Optical,
        _ => otherwise,
    }
}
