//! `resolve`: one particle at one fibre.

use moteweir::resolve::{Effort, Method, ResolveOptions, resolve};
use moteweir::words;

use crate::arguments::ResolveArguments;
use crate::outcome::{Failure, say};

pub(crate) fn run(arguments: &ResolveArguments) -> Result<(), Failure> {
    let question = options(arguments).question()?;
    let effort = Effort { seed: arguments.seed, histories: arguments.histories };
    let report = resolve(&question, arguments.method.map(Method::from), effort)?;
    if arguments.json { say(&serde_json::to_string_pretty(&report)?) } else { say(&words::resolve(&report)) }
}

fn options(arguments: &ResolveArguments) -> ResolveOptions<'_> {
    ResolveOptions {
        solidity: arguments.solidity,
        fibre_diameter: arguments.fibre_diameter.as_deref(),
        particle_diameter: arguments.particle_diameter.as_deref(),
        face_velocity: arguments.face_velocity.as_deref(),
        particle_density: arguments.particle_density.as_deref(),
        temperature: arguments.temperature.as_deref(),
        interception: arguments.interception,
        stokes: arguments.stokes,
        peclet: arguments.peclet,
        fibre_knudsen: arguments.fibre_knudsen,
    }
}
