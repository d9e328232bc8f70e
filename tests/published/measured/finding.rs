//! One number of a model beside one measurement.

use std::ops::RangeInclusive;

use moteweir_tests::Tally;
use moteweir_units::show::number;

/// By how much laboratories differ in -ln P, expanded.
pub(super) const LABORATORIES_DIFFER: f64 = 0.26;

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    /// -ln P.
    Exponent,
    /// The most penetrating size, in nm; no uncertainty of it was seen, so the share of the exponent is taken.
    WorstSize,
}

/// A prediction beside a measurement.
#[derive(Clone, Debug)]
pub(super) struct Finding {
    source: &'static str,
    what: String,
    quantity: Quantity,
    measured: f64,
    model: f64,
    miss: Option<(RangeInclusive<f64>, &'static str)>,
}

impl Finding {
    /// A measurement that the model explains.
    pub(super) fn explained(
        source: &'static str,
        what: impl Into<String>,
        measured: f64,
        model: f64,
    ) -> Self {
        Self { source, what: what.into(), quantity: Quantity::Exponent, measured, model, miss: None }
    }

    /// Says that the model misses it, by what share, and why.
    #[must_use]
    pub(super) fn missed(self, size: RangeInclusive<f64>, why: &'static str) -> Self {
        Self { miss: Some((size, why)), ..self }
    }

    /// Says that it is a size.
    #[must_use]
    pub(super) fn of_size(self) -> Self {
        Self { quantity: Quantity::WorstSize, ..self }
    }
}

/// Asserts each finding: explained within what laboratories differ by, or missed by the stated size.
pub(super) fn hold(findings: &[Finding]) {
    let mut tally = Tally::of("measured");
    for f in findings {
        let input = format!("{}, {}", f.source, f.what);
        match &f.miss {
            None => tally.relative(input, f.model, f.measured, LABORATORIES_DIFFER),
            Some((size, why)) => {
                let beyond = *size.start() > LABORATORIES_DIFFER || *size.end() < -LABORATORIES_DIFFER;
                tally.holds(&input, "a miss is beyond what laboratories differ by", beyond);
                tally.known_miss(input, f.model, f.measured, size.clone(), why);
            }
        }
    }
    tally.close_all();
}

/// A finding as a line of the table in `MEASURED.md`.
pub(super) fn line(f: &Finding) -> String {
    let verdict = match &f.miss {
        None => "explained".to_owned(),
        Some((_, why)) => format!("missed: {why}"),
    };
    let ratio = f.model / f.measured;
    let (measured, model) = match f.quantity {
        Quantity::Exponent => (number(f.measured, 3), number(f.model, 3)),
        Quantity::WorstSize => (format!("{:.0} nm", f.measured), format!("{:.0} nm", f.model)),
    };
    format!("| {} | {} | {measured} | {model} | {ratio:.2} | {verdict} |", f.source, f.what)
}

/// -ln P of an efficiency in per cent.
pub(super) fn exponent_of_percent(efficiency_pct: f64) -> f64 {
    -(1.0 - efficiency_pct / 100.0).ln()
}

/// Whether a model is within what laboratories differ by.
fn is_hit(f: &Finding) -> bool {
    (f.model / f.measured - 1.0).abs() <= LABORATORIES_DIFFER
}

/// One measurement beside several models, as a line of the second table: model over measured, hits in bold. `None`
/// where the models do not differ, since no web's closure is in them.
pub(super) fn beside(models: &[&Finding]) -> Option<String> {
    let first = models.first()?;
    let differ = models.iter().any(|f| (f.model / first.model - 1.0).abs() > 1e-9);
    let cell = |f: &&Finding| {
        let ratio = f.model / f.measured;
        if is_hit(f) { format!("**{ratio:.2}**") } else { format!("{ratio:.2}") }
    };
    let cells: Vec<String> = models.iter().map(cell).collect();
    differ.then(|| format!("| {} | {} | {} |", first.source, first.what, cells.join(" | ")))
}

/// How many a model hits of those that [`beside`] shows.
pub(super) fn hits(models: &[Vec<Finding>], which: usize) -> (usize, usize) {
    let rows = (0..models[0].len()).filter(|i| {
        let row: Vec<&Finding> = models.iter().map(|m| &m[*i]).collect();
        beside(&row).is_some()
    });
    rows.fold((0, 0), |(hit, all), i| (hit + usize::from(is_hit(&models[which][i])), all + 1))
}
