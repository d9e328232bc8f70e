//! Air, particles, closures and use of a case.

use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_units::{Area, Density, Flow, Length, Pressure, Temperature, Velocity};

use super::known::Origin;
use super::ledger::{Ledger, default_count};
use super::{AirConditions, FaceVelocity, ModelChoice, Particles, Usage};
use crate::near::nearest;
use crate::operating_points::OperatingPoint;
use crate::problem::Fault;
use crate::scenario::{
    AirAsWritten, ChargeAsWritten, Entry, ModelAsWritten, ParticlesAsWritten, Quantity, UseAsWritten,
    Written, keys,
};

/// Face velocities where the scenario has none: those of the two usual swatch tests.
const DEFAULT_VELOCITIES: [(f64, &str); 2] = [(5.3, "5.3 cm/s"), (10.0, "10 cm/s")];
/// Velocities closer than this are one.
const SAME_VELOCITY: f64 = 1e-3;

pub(super) fn air(written: &AirAsWritten, ledger: &mut Ledger<'_>) -> AirConditions {
    use keys::Air as K;
    AirConditions {
        temperature: Temperature::from_si(ledger.quantity(&written.temperature, &K::TEMPERATURE)),
        pressure: Pressure::from_si(ledger.quantity(&written.pressure, &K::PRESSURE)),
        relative_humidity: ledger.quantity(&written.relative_humidity, &K::RELATIVE_HUMIDITY),
    }
}

pub(super) fn particles(written: &ParticlesAsWritten, ledger: &mut Ledger<'_>) -> Particles {
    use keys::Particles as K;
    let smallest = ledger.quantity(&written.smallest, &K::SMALLEST);
    let largest = ledger.quantity(&written.largest, &K::LARGEST);
    if smallest >= largest {
        let text = |entry: &Entry<Quantity>, key: &'static crate::scenario::Key| {
            entry
                .value()
                .map_or(key.default.unwrap_or_default(), |quantity| quantity.text.as_str())
                .to_owned()
        };
        let fault = Fault::NotBelow {
            lower: K::SMALLEST.name,
            low: text(&written.smallest, &K::SMALLEST),
            upper: K::LARGEST.name,
            high: text(&written.largest, &K::LARGEST),
        };
        let span = written.smallest.span().or_else(|| written.largest.span()).unwrap_or(0..0);
        ledger.error(fault, span);
    }
    let points = written.points.value().copied().unwrap_or_else(|| {
        if written.points.is_absent() {
            ledger.assume_default(&K::POINTS);
        }
        default_count(&K::POINTS)
    });
    Particles {
        smallest: Length::from_si(smallest),
        largest: Length::from_si(largest),
        points: points as usize,
        density: Density::from_si(ledger.quantity(&written.density, &K::DENSITY)),
        charge: charge(&written.charge, ledger),
        relative_permittivity: ledger.number(&written.relative_permittivity, &K::RELATIVE_PERMITTIVITY),
    }
}

fn charge(entry: &Entry<ChargeAsWritten>, ledger: &mut Ledger<'_>) -> ParticleCharge {
    match entry {
        Entry::Stated(Written { value: ChargeAsWritten::Word("boltzmann"), .. }) => {
            ParticleCharge::Equilibrium
        }
        Entry::Stated(Written { value: ChargeAsWritten::Number(number), span }) => {
            if (number.round() - number).abs() > 1e-6 {
                let fault = Fault::NotWhole { key: keys::Particles::CHARGE.name, value: number.to_string() };
                ledger.error(fault, span.clone());
            }
            #[expect(clippy::cast_possible_truncation, reason = "the reader holds it between -1000 and 1000")]
            ParticleCharge::Each(number.round() as i32)
        }
        Entry::Absent => {
            ledger.assume_default(&keys::Particles::CHARGE);
            ParticleCharge::Neutral
        }
        Entry::Stated(_) | Entry::Broken(_) => ParticleCharge::Neutral,
    }
}

pub(super) fn model(written: &ModelAsWritten, ledger: &mut Ledger<'_>) -> ModelChoice {
    use keys::Model as K;
    let closure = closure_named(ledger.choice(&written.closure, &K::CLOSURE));
    let mut compare = match &written.compare {
        Entry::Stated(names) => names.value.iter().map(|name| closure_named(name.value)).collect(),
        Entry::Broken(_) => Closure::USUALLY_COMPARED.to_vec(),
        Entry::Absent => {
            let usual = Closure::USUALLY_COMPARED.map(Closure::name).join(", ");
            ledger.assume(None, K::COMPARE.name, usual, Origin::Default);
            Closure::USUALLY_COMPARED.to_vec()
        }
    };
    compare.retain({
        let mut seen = Vec::new();
        move |name| {
            !seen.contains(name) && {
                seen.push(*name);
                true
            }
        }
    });
    if !compare.contains(&closure) {
        compare.insert(0, closure);
    }
    ModelChoice { closure, compare }
}

pub(super) fn usage(written: &UseAsWritten, ledger: &mut Ledger<'_>) -> Usage {
    use keys::Use as K;
    let flow = Flow::from_si(ledger.quantity(&written.flow, &K::FLOW));
    let area = Area::from_si(ledger.quantity(&written.area, &K::AREA));
    let mut velocities = Velocities::default();
    for quantity in written.face_velocities.value().into_iter().flatten() {
        velocities.add(Velocity::from_si(quantity.value.si), quantity.value.text.clone(), None);
    }
    for name in written.points.value().into_iter().flatten() {
        match OperatingPoint::find(&name.value) {
            Some(point) => {
                velocities.add(point.face_velocity(area), point.name.to_owned(), Some(point.source));
            }
            None => unknown_point(name, ledger),
        }
    }
    if !written.flow.is_absent() || !written.area.is_absent() {
        let text = |entry: &Entry<Quantity>, default: Option<&'static str>| {
            entry.value().map_or(default.unwrap_or_default().to_owned(), |quantity| quantity.text.clone())
        };
        let label = format!(
            "{} through {}",
            text(&written.flow, K::FLOW.default),
            text(&written.area, K::AREA.default)
        );
        velocities.add(flow / area, label, None);
    }
    if velocities.0.is_empty() {
        if written.face_velocities.is_absent() && written.points.is_absent() {
            ledger.assume_default(&K::FACE_VELOCITIES);
        }
        for (cm_per_s, text) in DEFAULT_VELOCITIES {
            velocities.add(Velocity::from_cm_per_s(cm_per_s), text.to_owned(), None);
        }
    }
    let direction = match ledger.choice(&written.direction, &K::DIRECTION) {
        "down" => FlowDirection::Down,
        "up" => FlowDirection::Up,
        _ => FlowDirection::Horizontal,
    };
    Usage { face_velocities: velocities.0, flow, area, direction }
}

/// Face velocities, each once; what has the same velocity shares an entry.
#[derive(Default)]
struct Velocities(Vec<FaceVelocity>);

impl Velocities {
    fn add(&mut self, velocity: Velocity, label: String, source: Option<&'static str>) {
        let same = |entry: &&mut FaceVelocity| (entry.velocity / velocity - 1.0).abs() < SAME_VELOCITY;
        match self.0.iter_mut().find(same) {
            Some(entry) => {
                if entry.label != label {
                    entry.label = format!("{}, {label}", entry.label);
                }
                entry.source = entry.source.or(source);
            }
            None => self.0.push(FaceVelocity { velocity, label, source }),
        }
    }
}

fn unknown_point(name: &Written<String>, ledger: &mut Ledger<'_>) {
    let names = || OperatingPoint::ALL.iter().map(|point| point.name);
    let fault = Fault::UnknownName {
        kind: "operating point",
        name: name.value.clone(),
        near: nearest(&name.value, names()).map(str::to_owned),
        known: names().map(str::to_owned).collect(),
    };
    ledger.error(fault, name.span.clone());
}

/// The closure of a name that the reader has let through.
fn closure_named(name: &str) -> Closure {
    Closure::from_name(name).expect("a test finds every closure of the table of keys")
}
