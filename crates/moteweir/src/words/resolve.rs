//! One particle at one fibre, as a screen of text.

use moteweir_units::show;

use super::closing::list;
use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::report::{CellGroupsReport, ClosedFormReport, ResolvedReport};

/// A solved single-fibre efficiency for a reader.
pub fn resolve(report: &ResolvedReport) -> String {
    let mut parts = vec![wrapped(&sentence(report), "", WIDTH), groups(&report.groups)];
    let (whole, part): (Vec<_>, Vec<_>) = report.closed_forms.iter().partition(|form| form.is_the_whole);
    if !whole.is_empty() {
        let table = table(&whole, Some(report.single_fibre_efficiency));
        parts.push(format!("What the literature has for it:\n\n{}", table.plain()));
    }
    if !part.is_empty() {
        parts.push(format!("For parts of it:\n\n{}", table(&part, None).plain()));
    }
    let mut careful: Vec<String> = report.notes.iter().map(|note| (*note).to_owned()).collect();
    careful.push(ONE_FIBRE.to_owned());
    parts.push(list("Careful:", &careful));
    parts.join("\n\n")
}

/// What a picture shows: the groups in a line.
pub fn resolved_caption(report: &ResolvedReport) -> String {
    let g = &report.groups;
    let number = |value: f64| without_zeros(&show::number(value, 3));
    let mut parts = vec![
        format!("solidity {}", number(g.solidity)),
        format!("particle over fibre {}", number(g.interception)),
    ];
    parts.extend(g.stokes.map(|stokes| format!("Stokes number {}", number(stokes))));
    parts.extend(g.peclet.map(|peclet| format!("Peclet number {}", number(peclet))));
    format!(
        "{}; single-fibre efficiency {} by {}",
        parts.join(", "),
        show::number(report.single_fibre_efficiency, digits(report).min(3)),
        report.method_in_words
    )
}

const ONE_FIBRE: &str = "one fibre in a perfectly even web, creeping flow, particles that stick; a real web is uneven \
and catches less";

/// What the fibre clears, how it was found and how well it is known.
fn sentence(report: &ResolvedReport) -> String {
    let e = report.single_fibre_efficiency;
    let digits = digits(report);
    let known = match (report.standard_error, report.grid_error) {
        (Some(error), _) => format!(", give or take {} (standard error)", show::number(error, 2)),
        (None, Some(error)) if error > 0.0 => {
            format!(", to {} on the grid", show::number(error, 1))
        }
        _ => String::new(),
    };
    let band = if report.high > report.low && report.standard_error.is_none() {
        format!(
            " Between {} and {} by what is open in the model.",
            show::number(report.low, digits),
            show::number(report.high, digits)
        )
    } else {
        String::new()
    };
    format!(
        "The fibre clears a stream {} times as wide as itself (single-fibre efficiency), by {}{known}.{band}",
        show::number(e, digits),
        report.method_in_words
    )
}

/// As many digits as the error and what is open in the model leave, two to five.
fn digits(report: &ResolvedReport) -> usize {
    let solved = report.standard_error.or(report.grid_error).unwrap_or(0.0);
    let error = solved.max(0.05 * (report.high - report.low));
    let share = error / report.single_fibre_efficiency.max(f64::MIN_POSITIVE);
    [(1e-4, 5), (1e-3, 4), (1e-2, 3)].into_iter().find(|(most, _)| share < *most).map_or(2, |(_, n)| n)
}

fn groups(g: &CellGroupsReport) -> String {
    let number = |value: f64| without_zeros(&show::number(value, 4));
    let or_none = |value: Option<f64>, none: &str| value.map_or_else(|| none.to_owned(), number);
    let mut table = Table::new(&[("", Align::Left), ("", Align::Right)]);
    let rows = [
        ("solidity", number(g.solidity)),
        ("interception parameter, particle over fibre", number(g.interception)),
        ("Stokes number", or_none(g.stokes, "no inertia")),
        ("Peclet number", or_none(g.peclet, "no diffusion")),
        ("fibre Knudsen number", number(g.fibre_knudsen)),
    ];
    for (name, value) in rows {
        table.row([name.to_owned(), value]);
    }
    if let Some(reynolds) = g.fibre_reynolds {
        table.row(["fibre Reynolds number".to_owned(), number(reynolds)]);
    }
    table.plain().lines().skip(2).collect::<Vec<_>>().join("\n")
}

/// A number that was given, without zeros that it was not given with.
fn without_zeros(number: &str) -> String {
    if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { number }.to_owned()
}

fn table(forms: &[&ClosedFormReport], whole: Option<f64>) -> Table {
    let last = if whole.is_some() { "over solved" } else { "stands for" };
    let mut table = Table::new(&[
        ("closed form", Align::Left),
        ("source", Align::Left),
        ("value", Align::Right),
        (last, if whole.is_some() { Align::Right } else { Align::Left }),
        ("in its range", Align::Left),
    ]);
    for form in forms {
        let beside = whole.map_or_else(|| form.term.to_owned(), |e| show::number(form.value / e, 3));
        table.row([
            form.name.to_owned(),
            form.source.to_owned(),
            show::number(form.value, 3),
            beside,
            if form.in_range { "yes" } else { "no" }.to_owned(),
        ]);
    }
    table
}
