//! How the filter is worn: the leak at its edge, and the breathing.

use moteweir_physics::breathing::{Inhalation, WorkLevel};
use moteweir_physics::leak::{FitReading, LeakError, LeakLaw, LeakShape, PowerLaw};
use moteweir_units::show::number;
use moteweir_units::{Area, Flow, Length, Pressure, Time};

use super::facts::of;
use super::input::{Input, Uncertain, given, uncertain_among};
use super::known::Known;
use super::ledger::{Ledger, default_si};
use crate::doubt::Doubt;
use crate::problem::{Fault, Span};
use crate::scenario::{
    BreathingAsWritten, Entry, FaceAsWritten, FitFactorAsWritten, PowerLawAsWritten, Quantity, SlitAsWritten,
    Written, keys,
};

/// How the filter is worn.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// Filtering area.
    pub area: Area,
    /// The leak at the edge.
    pub leak: Leak,
    /// Ways of breathing, at least one.
    pub breathing: Vec<Breathing>,
}

/// A leak as stated, with what is not known of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Leak {
    /// None stated: nothing passes at the edge.
    None,
    /// A gap along a part of the edge.
    Slit {
        /// Along the edge.
        length: Known<Length>,
        /// Between filter and face.
        gap: Known<Length>,
        /// The way of the air.
        depth: Known<Length>,
    },
    /// A round hole.
    Hole {
        /// Its diameter.
        diameter: Known<Length>,
    },
    /// A measured power law.
    PowerLaw {
        /// A flow.
        flow: Known<Flow>,
        /// Its pressure drop.
        pressure_drop: Known<Pressure>,
        /// Power of the flow, 1 to 2.
        exponent: Known<f64>,
    },
    /// The outcome of a fit test; the leak follows once the filter's pressure drop is known.
    FitFactor {
        /// Concentration outside over inside.
        value: Known<f64>,
        /// Flow of the test.
        flow: Flow,
        /// What the filter let through of the test's particles.
        filter_penetration: Known<f64>,
        /// What the leak is taken to look like at other flows.
        shape: LeakShape,
    },
}

/// A leak at some values of its inputs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeakAt {
    /// A law of the leak alone.
    Law(LeakLaw),
    /// A fit test, to be made a law beside a filter: [`FitReading::leak`].
    Fit(FitReading, LeakShape),
}

/// A way of breathing.
#[derive(Clone, Debug, PartialEq)]
pub struct Breathing {
    /// For people: the level of work, or the minute volume as written.
    pub name: String,
    /// The flow through an inhalation.
    pub inhalation: Inhalation,
}

impl Leak {
    /// The leak for a reader, such as `a slit 40 mm long, 0.20 mm (0.10 mm to 0.39 mm) wide and 12 mm deep`.
    pub fn words(&self) -> String {
        let mm = |known: &Known<Length>| in_unit(known.value.si(), known.doubt, (1e3, " mm"));
        match self {
            Self::None => "no leak".to_owned(),
            Self::Slit { length, gap, depth } => {
                format!("a slit {} long, {} wide and {} deep", mm(length), mm(gap), mm(depth))
            }
            Self::Hole { diameter } => format!("a hole of {}", mm(diameter)),
            Self::PowerLaw { flow, pressure_drop, exponent } => format!(
                "a leak of {} at {}, going with the power {} of the flow",
                in_unit(pressure_drop.value.si(), pressure_drop.doubt, (1.0, " Pa")),
                in_unit(flow.value.si(), flow.doubt, (6e4, " L/min")),
                in_unit(exponent.value, exponent.doubt, (1.0, "")),
            ),
            Self::FitFactor { value, flow, shape, .. } => format!(
                "a fit factor of {} at {} L/min, the leak taken as a {}",
                in_unit(value.value, value.doubt, (1.0, "")),
                no_finer(&number(flow.to_l_per_min(), 3)),
                if *shape == LeakShape::Hole { "hole" } else { "slit" },
            ),
        }
    }

    /// What is not known of the leak.
    pub fn unknowns(&self) -> Vec<Uncertain> {
        uncertain_among(match self {
            Self::None => Vec::new(),
            Self::Slit { length, gap, depth } => vec![
                (Input::LeakLength, length.value.si(), length.doubt),
                (Input::LeakGap, gap.value.si(), gap.doubt),
                (Input::LeakDepth, depth.value.si(), depth.doubt),
            ],
            Self::Hole { diameter } => vec![(Input::HoleDiameter, diameter.value.si(), diameter.doubt)],
            Self::PowerLaw { flow, pressure_drop, exponent } => vec![
                (Input::LeakFlow, flow.value.si(), flow.doubt),
                (Input::LeakPressureDrop, pressure_drop.value.si(), pressure_drop.doubt),
                (Input::LeakExponent, exponent.value, exponent.doubt),
            ],
            Self::FitFactor { value, filter_penetration, .. } => vec![
                (Input::FitFactor, value.value, value.doubt),
                (Input::FilterPenetration, filter_penetration.value, filter_penetration.doubt),
            ],
        })
    }

    /// The leak with some inputs at other values \[SI\]; the others at their central ones.
    ///
    /// # Errors
    /// Where no such leak can be, such as a gap above the length of its slit.
    pub fn with_inputs(&self, inputs: &[(Input, f64)]) -> Result<LeakAt, LeakError> {
        let at = |input, central: f64| given(inputs, input).unwrap_or(central);
        let length = |input, known: &Known<Length>| Length::from_si(at(input, known.value.si()));
        Ok(match self {
            Self::None => LeakAt::Law(LeakLaw::Sealed),
            Self::Slit { length: along, gap, depth } => LeakAt::Law(LeakLaw::slit(
                length(Input::LeakLength, along),
                length(Input::LeakGap, gap),
                length(Input::LeakDepth, depth),
            )?),
            Self::Hole { diameter } => {
                let across = length(Input::HoleDiameter, diameter).to_m();
                let area = Area::from_m2(std::f64::consts::FRAC_PI_4 * across * across);
                LeakAt::Law(LeakLaw::hole(area)?)
            }
            Self::PowerLaw { flow, pressure_drop, exponent } => {
                let law = PowerLaw::through(
                    Flow::from_si(at(Input::LeakFlow, flow.value.si())),
                    Pressure::from_si(at(Input::LeakPressureDrop, pressure_drop.value.si())),
                    at(Input::LeakExponent, exponent.value),
                )?;
                LeakAt::Law(LeakLaw::PowerLaw(law))
            }
            Self::FitFactor { value, flow, filter_penetration, shape } => {
                let reading = FitReading {
                    fit_factor: at(Input::FitFactor, value.value),
                    flow: *flow,
                    filter_penetration: at(Input::FilterPenetration, filter_penetration.value),
                    leak_penetration: 1.0,
                };
                LeakAt::Fit(reading, *shape)
            }
        })
    }
}

/// An SI value in a unit, `per_si` of which are one, with the ends of its 95 % band where it is not known.
fn in_unit(si: f64, doubt: Doubt, (per_si, unit): (f64, &str)) -> String {
    let text = |si: f64| format!("{}{unit}", number(si * per_si, 2));
    match doubt.ends(si) {
        None => format!("{}{unit}", no_finer(&number(si * per_si, 3))),
        Some((low, high)) => format!("{} ({} to {})", text(si), text(low), text(high)),
    }
}

/// A stated number without zeros behind its point, which nobody stated: `40` of `40.0`.
fn no_finer(number: &str) -> &str {
    if number.contains('.') && !number.contains('e') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    }
}

/// The checked face; `use_area` is that of `[use]`, with its place where it is stated.
pub(super) fn face(written: &FaceAsWritten, use_area: &UseArea, ledger: &mut Ledger<'_>) -> Option<Face> {
    if let (Some(place), true) = (written.area.span(), use_area.is_stated) {
        let fault = Fault::Twice { one: "use.area", other: "face.area", what: "the filtering area" };
        ledger.error(fault, place);
    }
    let leak = leak(written, ledger);
    let breathing = breathings(&written.breathing, ledger);
    Some(Face {
        area: written.area.value().map_or(use_area.area, |area| Area::from_si(area.si)),
        leak: leak?,
        breathing: breathing?,
    })
}

/// The area of `[use]`.
pub(super) struct UseArea {
    pub(super) area: Area,
    pub(super) is_stated: bool,
}

fn leak(written: &FaceAsWritten, ledger: &mut Ledger<'_>) -> Option<Leak> {
    use keys::Face as K;
    let spans = [
        (K::SLIT.name, written.slit.span()),
        (K::HOLE.name, written.hole.span()),
        (K::POWER_LAW.name, written.power_law.span()),
        (K::FIT_FACTOR.name, written.fit_factor.span()),
    ];
    let mut stated = spans.into_iter().filter_map(|(name, place)| Some((name, place?)));
    let Some((first, _)) = stated.next() else {
        ledger.assume(None, "leak", "none".to_owned(), super::Origin::Default);
        return Some(Leak::None);
    };
    if let Some((second, place)) = stated.next() {
        ledger.error(Fault::Twice { one: first, other: second, what: "the leak" }, place);
        return None;
    }
    let leak = match (&written.slit, &written.hole, &written.power_law, &written.fit_factor) {
        (Entry::Stated(slit), ..) => self::slit(slit),
        (_, Entry::Stated(hole), ..) => Leak::Hole { diameter: of(&hole.value).map(Length::from_si) },
        (.., Entry::Stated(law), _) => power_law(&law.value),
        (.., Entry::Stated(fit)) => fit_factor(&fit.value, ledger),
        _ => return None,
    };
    let place = written.slit.span().or(written.fit_factor.span()).unwrap_or_else(|| written.span.clone());
    note_doubts(written, ledger);
    is_possible(&leak, place, ledger).then_some(leak)
}

/// Notes the central values of what is stated of the leak as not known.
fn note_doubts(written: &FaceAsWritten, ledger: &mut Ledger<'_>) {
    let (slit, law) = (written.slit.value(), written.power_law.value());
    let fit = written.fit_factor.value();
    let stated = [
        (Input::LeakLength, slit.map(|slit| &slit.length)),
        (Input::LeakGap, slit.map(|slit| &slit.gap.value)),
        (Input::LeakDepth, slit.map(|slit| &slit.depth)),
        (Input::HoleDiameter, written.hole.value()),
        (Input::LeakFlow, law.map(|law| &law.flow)),
        (Input::LeakPressureDrop, law.map(|law| &law.pressure_drop)),
        (Input::LeakExponent, law.map(|law| &law.exponent)),
        (Input::FitFactor, fit.map(|fit| &fit.value.value)),
        (Input::FilterPenetration, fit.and_then(|fit| fit.filter_penetration.value())),
    ];
    for (input, quantity) in stated {
        if let Some(central) = quantity.and_then(Quantity::central_text) {
            ledger.assume(None, input.key(), central, super::Origin::Given);
        }
    }
}

fn slit(written: &Written<SlitAsWritten>) -> Leak {
    let SlitAsWritten { length, gap, depth } = &written.value;
    Leak::Slit {
        length: of(length).map(Length::from_si),
        gap: of(&gap.value).map(Length::from_si),
        depth: of(depth).map(Length::from_si),
    }
}

fn power_law(written: &PowerLawAsWritten) -> Leak {
    Leak::PowerLaw {
        flow: of(&written.flow).map(Flow::from_si),
        pressure_drop: of(&written.pressure_drop).map(Pressure::from_si),
        exponent: of(&written.exponent),
    }
}

fn fit_factor(written: &FitFactorAsWritten, ledger: &mut Ledger<'_>) -> Leak {
    use keys::FitFactor as K;
    let filter_penetration = written.filter_penetration.value().map_or_else(
        || {
            ledger.assume_default(&K::FILTER_PENETRATION);
            Known::default_of(default_si(&K::FILTER_PENETRATION))
        },
        of,
    );
    let shape = match ledger.choice(&written.like, &K::LIKE) {
        "slit" => LeakShape::Slit {
            length: Length::from_si(ledger.quantity(&written.length, &K::LENGTH)),
            depth: Length::from_si(ledger.quantity(&written.depth, &K::DEPTH)),
        },
        _ => LeakShape::Hole,
    };
    Leak::FitFactor {
        value: of(&written.value.value),
        flow: Flow::from_si(written.flow.si),
        filter_penetration,
        shape,
    }
}

/// Whether the leak can be, at its central values.
fn is_possible(leak: &Leak, place: Span, ledger: &mut Ledger<'_>) -> bool {
    let found = leak.with_inputs(&[]).and_then(|at| match at {
        LeakAt::Law(_) => Ok(()),
        LeakAt::Fit(reading, _) => reading.leak_share().map(|_| ()),
    });
    match found {
        Ok(()) => true,
        Err(error) => {
            ledger.error(Fault::ImpossibleLeak { error: Box::new(error) }, place);
            false
        }
    }
}

fn breathings(
    written: &Entry<Vec<Written<BreathingAsWritten>>>,
    ledger: &mut Ledger<'_>,
) -> Option<Vec<Breathing>> {
    match written {
        Entry::Broken(_) => None,
        Entry::Absent => {
            ledger.assume_default(&keys::Face::BREATHING);
            Some(vec![at(WorkLevel::Light)])
        }
        Entry::Stated(list) => {
            let read: Vec<_> = list.value.iter().map(|one| breathing(one, ledger)).collect();
            read.into_iter().collect()
        }
    }
}

fn at(level: WorkLevel) -> Breathing {
    Breathing { name: level.name().to_owned(), inhalation: Inhalation::at(level) }
}

fn breathing(written: &Written<BreathingAsWritten>, ledger: &mut Ledger<'_>) -> Option<Breathing> {
    let flow = |quantity: &Quantity| Flow::from_si(quantity.si);
    let (name, inhalation) = match &written.value {
        BreathingAsWritten::Level(name) => {
            return Some(at(WorkLevel::named(name).expect("a test finds every level of the table of keys")));
        }
        BreathingAsWritten::MinuteVolume(volume) => {
            (format!("{} a minute", volume.text), Inhalation::sine(flow(volume)))
        }
        BreathingAsWritten::Steady(steady) => {
            (format!("steady {}", steady.text), Inhalation::steady(flow(steady)))
        }
        BreathingAsWritten::Table { times, flows } => {
            if times.len() != flows.len() {
                let fault = Fault::UnequalLists {
                    one: keys::Breathing::TIMES.name,
                    entries: times.len(),
                    other: keys::Breathing::FLOWS.name,
                    others: flows.len(),
                };
                ledger.error(fault, written.span.clone());
                return None;
            }
            let rows: Vec<_> = times
                .iter()
                .zip(flows)
                .map(|(time, through)| (Time::from_si(time.value.si), flow(&through.value)))
                .collect();
            ("a measured breath".to_owned(), Inhalation::from_table(&rows))
        }
    };
    match inhalation {
        Ok(inhalation) => Some(Breathing { name, inhalation }),
        Err(error) => {
            ledger.error(Fault::ImpossibleBreath { error: Box::new(error) }, written.span.clone());
            None
        }
    }
}
