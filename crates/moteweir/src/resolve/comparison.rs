//! What the closed forms say of the same particle.

use moteweir_physics::single_fibre::closed_forms::{ALL, ClosedForm, Term};

use super::{CellQuestion, Method};
use crate::report::ClosedFormReport;

/// Every form that has a value: first those that stand for what the method solves, then those of a part of it.
pub(super) fn closed_forms(question: &CellQuestion, method: Method) -> Vec<ClosedFormReport> {
    let whole = method.terms(question);
    let stands_for_it = |form: &&ClosedForm| whole.contains(&form.term);
    let is_a_part = |form: &&ClosedForm| !whole.contains(&form.term) && is_part(form.term, method);
    let first = ALL.iter().filter(stands_for_it).filter_map(|form| report(form, question, true));
    let then = ALL.iter().filter(is_a_part).filter_map(|form| report(form, question, false));
    first.chain(then).collect()
}

/// Whether a method solves what a term stands for, among other things.
fn is_part(term: Term, method: Method) -> bool {
    match term {
        Term::Interception => true,
        Term::Diffusion | Term::DiffusionAndInterception => method != Method::Trajectories,
        Term::Impaction | Term::InterceptionAndImpaction => method != Method::Cell,
        Term::Settling => false,
    }
}

fn report(form: &ClosedForm, question: &CellQuestion, is_the_whole: bool) -> Option<ClosedFormReport> {
    let groups = question.groups();
    // Forms of points are of points here too: interception stands in forms of its own.
    let asked = match form.term {
        Term::Diffusion => groups.with_interception(0.0),
        _ => *groups,
    };
    let value = form.value(&asked)?;
    Some(ClosedFormReport {
        name: form.name,
        term: form.term.words(),
        equation: form.equation,
        value,
        in_range: form.holds(&asked),
        is_the_whole,
        source: form.source.short,
    })
}
