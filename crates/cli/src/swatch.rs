//! A swatch described by options, as the case that says the same.

use moteweir::Case;
use moteweir_units::BasisWeight;
use moteweir_units::text::FromText;

use crate::arguments::{QuickMaterial, SwatchArguments};
use crate::outcome::Failure;
use crate::quick;
use crate::show_problems::{Source, case_of};

/// The case of a swatch and the name of its class; none where no class was given.
pub(crate) fn case(swatch: &SwatchArguments) -> Result<Option<(Case, String)>, Failure> {
    let Some(class) = &swatch.class else { return Ok(None) };
    // The mass of a swatch has sides; a mass over area has none.
    let is_weight =
        swatch.width.is_none() && swatch.mass.as_deref().is_some_and(|m| BasisWeight::read(m).is_ok());
    if swatch.mass.is_some() && swatch.width.is_none() && !is_weight {
        return Err(Failure::NoSides { mass: swatch.mass.clone().unwrap_or_default() });
    }
    let (mass, basis_weight) =
        if is_weight { (None, swatch.mass.clone()) } else { (swatch.mass.clone(), None) };
    let quick = QuickMaterial {
        class: Some(class.clone()),
        mass,
        width: swatch.width.clone(),
        length: swatch.length.clone(),
        sheets: None,
        basis_weight,
        thickness: swatch.thickness.clone(),
        fibre_diameter: None,
        air_permeability: None,
        pressure_drop: swatch.pressure_drop.clone(),
        layers: swatch.layers,
        velocity: Vec::new(),
        flow: None,
        area: None,
    };
    let case = case_of(&Source::of_options(quick::scenario(&quick)))?;
    Ok(Some((case, class.clone())))
}
