//! From the texts of options to a question, or to everything that is wrong with them.

use moteweir_physics::air::Air;
use moteweir_physics::constants::UNIT_DENSITY;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::closed_forms::CellGroups;
use moteweir_units::text::{FromText, TextError};
use moteweir_units::{Density, Length, Pressure, Solidity, Temperature, Velocity};

use super::{CellQuestion, ResolveFault};

/// Room temperature, where none is given.
const ROOM_TEMPERATURE_K: f64 = 296.15;
/// Pressure at sea level.
const SEA_LEVEL_PA: f64 = 101_325.0;

/// What the options say, as written. Sizes or groups, not both.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ResolveOptions<'a> {
    /// Share of the web that is fibre, from 0.0001 to 0.7.
    pub solidity: f64,
    /// Fibre diameter, such as `2 um`.
    pub fibre_diameter: Option<&'a str>,
    /// Particle diameter, such as `1 um`.
    pub particle_diameter: Option<&'a str>,
    /// Face velocity, such as `10 cm/s`.
    pub face_velocity: Option<&'a str>,
    /// Particle density; that of water where absent.
    pub particle_density: Option<&'a str>,
    /// Temperature of the air; 23 degrees Celsius where absent.
    pub temperature: Option<&'a str>,
    /// Interception parameter d_p/d_f; a point where absent.
    pub interception: Option<f64>,
    /// Stokes number; no inertia where absent.
    pub stokes: Option<f64>,
    /// Peclet number; no diffusion where absent.
    pub peclet: Option<f64>,
    /// Fibre Knudsen number; 0 where absent.
    pub fibre_knudsen: Option<f64>,
}

/// What is wrong with one option.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("--{option}: {kind}")]
pub struct OptionFault {
    /// The option, without its dashes.
    pub option: &'static str,
    /// What is wrong.
    pub kind: OptionFaultKind,
}

/// Kinds of wrong options.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum OptionFaultKind {
    /// The text is no quantity of the kind.
    #[error(transparent)]
    Text(#[from] TextError),
    /// The value is not possible.
    #[error("{value} is not from {low} to {high}{unit}")]
    Range {
        /// The value, in the unit.
        value: f64,
        /// The lowest that is taken.
        low: f64,
        /// The highest.
        high: f64,
        /// The unit with a blank before it, or nothing.
        unit: &'static str,
    },
    /// Sizes need all three of fibre, particle and velocity.
    #[error("missing beside the other sizes, such as \"{example}\"")]
    Missing {
        /// A value that would do.
        example: &'static str,
    },
    /// Both ways of asking at once.
    #[error("a group, while sizes are given too; ask in one way")]
    Both,
    /// Neither a size nor diffusion.
    #[error(
        "a point that does not diffuse meets nothing: give --interception, --peclet, or the sizes --fibre-diameter, --particle-diameter and --face-velocity"
    )]
    Nothing,
}

impl ResolveOptions<'_> {
    /// The question.
    ///
    /// # Errors
    /// Everything that is wrong with the options, at once.
    pub fn question(&self) -> Result<CellQuestion, ResolveFault> {
        let mut faults = Vec::new();
        let solidity = ranged("solidity", self.solidity, (1e-4, 0.7), (1.0, ""), &mut faults)
            .and_then(Solidity::new)
            .ok_or(());
        let sizes = [self.fibre_diameter, self.particle_diameter, self.face_velocity];
        let question = if sizes.iter().any(Option::is_some) {
            self.groups_beside_sizes(&mut faults);
            self.of_sizes(solidity, &mut faults)
        } else {
            self.of_groups(solidity, &mut faults)
        };
        match question {
            Some(question) if faults.is_empty() => Ok(question),
            _ => Err(ResolveFault::Options(faults)),
        }
    }

    fn groups_beside_sizes(&self, faults: &mut Vec<OptionFault>) {
        let groups = [
            ("interception", self.interception),
            ("stokes", self.stokes),
            ("peclet", self.peclet),
            ("fibre-knudsen", self.fibre_knudsen),
        ];
        let given = groups.into_iter().filter(|(_, value)| value.is_some());
        faults.extend(given.map(|(option, _)| OptionFault { option, kind: OptionFaultKind::Both }));
    }

    fn of_sizes(
        &self,
        solidity: Result<Solidity, ()>,
        faults: &mut Vec<OptionFault>,
    ) -> Option<CellQuestion> {
        let um = (1e6, " um");
        let fibre = needed("fibre-diameter", self.fibre_diameter, "2 um", faults)
            .and_then(|d: Length| ranged("fibre-diameter", d.to_m(), (1e-8, 1e-3), um, faults));
        let particle = needed("particle-diameter", self.particle_diameter, "1 um", faults)
            .and_then(|d: Length| ranged("particle-diameter", d.to_m(), (1e-9, 1e-4), um, faults));
        let velocity =
            needed("face-velocity", self.face_velocity, "10 cm/s", faults).and_then(|u: Velocity| {
                ranged("face-velocity", u.to_m_per_s(), (1e-6, 100.0), (100.0, " cm/s"), faults)
            });
        let density = optional("particle-density", self.particle_density, faults)
            .unwrap_or(Density::from_kg_per_m3(UNIT_DENSITY));
        let density =
            ranged("particle-density", density.to_kg_per_m3(), (1.0, 25_000.0), (1e-3, " g/cm3"), faults);
        let temperature = optional("temperature", self.temperature, faults)
            .unwrap_or(Temperature::from_kelvin(ROOM_TEMPERATURE_K));
        let temperature = ranged("temperature", temperature.to_kelvin(), (200.0, 600.0), (1.0, " K"), faults);
        let air = Air::new(Temperature::from_kelvin(temperature?), Pressure::from_pa(SEA_LEVEL_PA), 0.0);
        let particle = Particle::new(&air, Length::from_m(particle?), Density::from_kg_per_m3(density?));
        Some(CellQuestion::of_sizes(
            &air,
            solidity.ok()?,
            Length::from_m(fibre?),
            Velocity::from_m_per_s(velocity?),
            &particle,
        ))
    }

    fn of_groups(
        &self,
        solidity: Result<Solidity, ()>,
        faults: &mut Vec<OptionFault>,
    ) -> Option<CellQuestion> {
        for (option, given) in
            [("particle-density", self.particle_density), ("temperature", self.temperature)]
        {
            if given.is_some() {
                faults.push(OptionFault { option, kind: OptionFaultKind::Both });
            }
        }
        let mut within = |option, value: Option<f64>, limits| {
            value.and_then(|value| ranged(option, value, limits, (1.0, ""), faults))
        };
        let knudsen = within("fibre-knudsen", self.fibre_knudsen, (0.0, 10.0)).unwrap_or(0.0);
        let interception = within("interception", self.interception, (0.0, 100.0)).unwrap_or(0.0);
        let stokes = within("stokes", self.stokes, (0.0, 1e4));
        let peclet = within("peclet", self.peclet, (1e-3, 1e12));
        if interception <= 0.0 && self.peclet.is_none() && faults.is_empty() {
            faults.push(OptionFault { option: "interception", kind: OptionFaultKind::Nothing });
        }
        let mut groups = CellGroups::new(solidity.ok()?, knudsen).with_interception(interception);
        // No inertia and a Stokes number of 0 are the same.
        if let Some(stokes) = stokes.filter(|&stokes| stokes > 0.0) {
            groups = groups.with_stokes(stokes);
        }
        if let Some(peclet) = peclet {
            groups = groups.with_peclet(peclet);
        }
        Some(CellQuestion::of_groups(groups))
    }
}

/// The value if it is possible.
fn ranged(
    option: &'static str,
    value: f64,
    (low, high): (f64, f64),
    (per_si, unit): (f64, &'static str),
    faults: &mut Vec<OptionFault>,
) -> Option<f64> {
    if value >= low && value <= high {
        return Some(value);
    }
    let [value, low, high] = [value, low, high].map(|v| v * per_si);
    faults.push(OptionFault { option, kind: OptionFaultKind::Range { value, low, high, unit } });
    None
}

fn optional<T: FromText>(
    option: &'static str,
    text: Option<&str>,
    faults: &mut Vec<OptionFault>,
) -> Option<T> {
    match T::read(text?) {
        Ok(value) => Some(value),
        Err(error) => {
            faults.push(OptionFault { option, kind: error.into() });
            None
        }
    }
}

fn needed<T: FromText>(
    option: &'static str,
    text: Option<&str>,
    example: &'static str,
    faults: &mut Vec<OptionFault>,
) -> Option<T> {
    if text.is_none() {
        faults.push(OptionFault { option, kind: OptionFaultKind::Missing { example } });
    }
    optional(option, text, faults)
}
