//! Which sources a case's prediction rests on.

use moteweir_physics::closure::Closure;
use moteweir_physics::refs::{self, Reference};

use crate::case::{Case, FibreFacts, Structure};

/// Sources in the order of the physics: air, fibres, drag, fabric, charge.
pub(super) fn of(case: &Case) -> Vec<String> {
    let mut used: Vec<Reference> =
        vec![refs::ISO_15900, refs::KIM_2005, refs::CELL_TRAJECTORIES, refs::CELL_GRAVITY];
    let webs = || {
        case.materials.iter().filter_map(|m| match &m.structure {
            Structure::Web(web) => Some(web),
            Structure::Weave(_) => None,
        })
    };
    let has_weave = case.materials.iter().any(|m| matches!(m.structure, Structure::Weave(_)));
    let has_web = webs().next().is_some();
    let uses = |closure| has_web && case.model.compare.contains(&closure);
    if uses(Closure::LeeLiu) {
        used.extend([refs::LEE_LIU_1982, refs::LIU_RUBOW_1990, refs::PAYET_1992, refs::DAVIES_1953]);
    }
    if has_weave || uses(Closure::KuwabaraCell) {
        used.extend([refs::KUWABARA_1959, refs::PICH_1966, refs::STECHKINA_FUCHS_1966, refs::STECHKINA_1969]);
    }
    if uses(Closure::Resolved) {
        used.extend([refs::RESOLVED_CELL, refs::KUWABARA_1959, refs::PICH_1966]);
    }
    if webs().any(|w| matches!(w.fibre, FibreFacts::FromReading { .. })) {
        used.push(refs::DAVIES_1953);
    }
    if has_weave {
        used.extend([refs::GEBART_1992, refs::SAMPSON_1891, refs::GORMLEY_KENNEDY_1949]);
    }
    if webs().any(|w| w.unevenness.value > 0.0) {
        used.push(refs::UNEVEN_WEB);
    }
    if case.model.compare.iter().any(|c| c.is_ideal_cell()) && webs().any(|w| w.inhomogeneity.value > 1.0) {
        used.push(refs::KIRSCH_FUCHS_1968);
    }
    if webs().any(|w| w.surface_charge.value.to_c_per_m2().abs() > 0.0) {
        used.push(refs::CELL_ELECTRET);
    }
    let mut lines: Vec<String> = Vec::new();
    for line in used.iter().map(Reference::line) {
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines
}
