//! Uneven layers that touch, against the same layers apart.

use std::ops::ControlFlow;

use moteweir_physics::closure::Closure;
use moteweir_sim::quantile::Draws;
use moteweir_sim::variation::{Arrangement, Drawing, Question, Variation};

use super::asked::Judged;
use crate::case::{Case, Input, Material, Structure, Uncertain};
use crate::report::IfTouching;

/// Draws of each arrangement: the same ones, so that their difference shows sooner than either.
const DRAWS: u64 = 100;

/// Medians of both arrangements over the same draws, where a stack has two uneven layers or more.
pub(super) fn if_touching(case: &Case, sampler: &Judged<'_>, drawn: u64) -> Option<IfTouching> {
    let uneven = sampler.layers.iter().filter(|l| may_be_uneven(&case.materials[**l])).count();
    if uneven < 2 || drawn == 0 {
        return None;
    }
    let draws = drawn.min(DRAWS);
    let brief = sampler.asked.brief_with_worst();
    let medians = |arrangement: Arrangement| {
        let question = Question { arrangement, ..brief.clone() };
        let Variation { outcome, layout } = Drawing::new(&question)
            .vary(sampler, Draws::Exactly(draws), |_| ControlFlow::Continue(()))
            .ok()?;
        let median = |quantity: usize| outcome.quantities[quantity].quantile(0.5);
        Some((median(layout.worst_penetration())?, median(layout.pressure_drop())?))
    };
    let (apart, touching) = (medians(Arrangement::Apart)?, medians(Arrangement::Touching)?);
    Some(IfTouching {
        draws,
        mpps_penetration_apart: apart.0,
        mpps_penetration: touching.0,
        pressure_drop_apart_pa: apart.1,
        pressure_drop_pa: touching.1,
    })
}

/// What is said where unevenness is counted although the closure was fitted to filters that were uneven themselves: of
/// webs that are uneven at their central values, and where draws are made of those that may be.
pub(crate) fn uneven_twice(case: &Case, drawn: bool) -> Option<String> {
    if case.model.closure != Closure::LeeLiu {
        return None;
    }
    let counts = |m: &&Material| if drawn { may_be_uneven(m) } else { central_unevenness(m) > 0.0 };
    let in_stacks = |position: &usize| case.stacks.iter().any(|s| s.layers.contains(position));
    let named = (0..case.materials.len()).filter(in_stacks).map(|i| &case.materials[i]);
    let names: Vec<String> = named.filter(counts).map(|m| format!("\"{}\"", m.name)).collect();
    (!names.is_empty()).then(|| {
        format!(
            "lee-liu was fitted to filters that were uneven themselves; the unevenness of {} is counted on top of it, \
             so what gets through may be overstated (resolved and kuwabara-cell are for even webs)",
            names.join(", ")
        )
    })
}

/// What is said where an inhomogeneity is stated that the headline's closure does not take.
pub(crate) fn inhomogeneity_unused(case: &Case) -> Option<String> {
    if case.model.closure.is_ideal_cell() {
        return None;
    }
    let stated = |m: &&Material| matches!(&m.structure, Structure::Web(web) if web.inhomogeneity.value > 1.0);
    let in_stacks = |position: &usize| case.stacks.iter().any(|s| s.layers.contains(position));
    let named = (0..case.materials.len()).filter(in_stacks).map(|i| &case.materials[i]);
    let names: Vec<String> = named.filter(stated).map(|m| format!("\"{}\"", m.name)).collect();
    (!names.is_empty()).then(|| {
        format!(
            "the inhomogeneity of {} is not applied to lee-liu, which was fitted to filters that had their own; only \
             kuwabara-cell and resolved take it",
            names.join(", ")
        )
    })
}

fn central_unevenness(material: &Material) -> f64 {
    match &material.structure {
        Structure::Web(web) => web.unevenness.value,
        Structure::Weave(_) => 0.0,
    }
}

/// Whether a material is uneven, or may be as far as one knows.
fn may_be_uneven(material: &Material) -> bool {
    let unknown = |u: &Uncertain| u.input == Input::Unevenness;
    central_unevenness(material) > 0.0 || material.unknowns().iter().any(unknown)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shelf::Shelf;

    #[test]
    fn an_inhomogeneity_beside_lee_liu_is_said_not_to_be_applied() {
        let of = |closure: &str, factor: f64| {
            let text = format!(
                "[model]\nclosure = \"{closure}\"\n[[material]]\nname = \"felt\"\nclass = \"needled felt\"\n\
                 inhomogeneity = {factor}\n[[stack]]\nlayers = [\"felt\", \"felt\"]\n"
            );
            inhomogeneity_unused(&Case::read(&text, Shelf::built_in()).expect("a sound scenario"))
        };
        assert_eq!(
            of("lee-liu", 1.4).as_deref(),
            Some(
                "the inhomogeneity of \"felt\" is not applied to lee-liu, which was fitted to filters that had their \
                 own; only kuwabara-cell and resolved take it"
            )
        );
        assert_eq!(of("lee-liu", 1.0), None);
        assert_eq!(of("resolved", 1.4), None);
        assert_eq!(of("kuwabara-cell", 1.4), None);
    }
}
