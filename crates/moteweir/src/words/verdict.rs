//! The verdict on closed forms, as Markdown.

use moteweir_units::show;

use super::table::{Align, Table};
use crate::report::{JudgedForm, StatedRange, VerdictReport};

/// A miss that prints as none.
const NONE: f64 = 0.005;

/// The table of all forms, for a file.
pub fn verdict(report: &VerdictReport) -> String {
    let mut table = Table::new(&[
        ("closed form", Align::Left),
        ("equation", Align::Left),
        ("claimed for", Align::Left),
        ("median miss", Align::Right),
        ("largest miss", Align::Right),
        ("within 10 % for", Align::Left),
    ]);
    for form in &report.forms {
        table.row([
            format!("{} ({})", form.name, form.source),
            format!("`{}`", form.equation),
            range(&form.claimed),
            miss(form.median_miss),
            miss(form.largest_miss),
            form.good.as_ref().map_or_else(|| "nowhere".to_owned(), range),
        ]);
    }
    table.markdown()
}

/// Forms and laws of charge in one table without their equations, for a page that has other things to say.
pub fn verdict_in_brief(report: &VerdictReport) -> String {
    let mut table = Table::new(&[
        ("closed form", Align::Left),
        ("claimed for", Align::Left),
        ("median miss", Align::Right),
        ("largest", Align::Right),
        ("within 10 % for", Align::Left),
    ]);
    for form in &report.forms {
        table.row([
            format!("{} ({})", form.name, form.source),
            range(&form.claimed),
            miss(form.median_miss),
            miss(form.largest_miss),
            form.good.as_ref().map_or_else(|| "nowhere".to_owned(), range),
        ]);
    }
    for law in &report.charge {
        table.row([
            format!("{} ({})", law.name, law.source),
            range(&law.asked),
            miss(law.median_miss),
            miss(law.largest_miss),
            String::new(),
        ]);
    }
    table.markdown()
}

/// The table of the laws of charge.
pub fn verdict_on_charge(report: &VerdictReport) -> String {
    let mut table = Table::new(&[
        ("law", Align::Left),
        ("source", Align::Left),
        ("asked for", Align::Left),
        ("median miss", Align::Right),
        ("largest miss", Align::Right),
    ]);
    for law in &report.charge {
        table.row([
            law.name.to_owned(),
            law.source.to_owned(),
            range(&law.asked),
            miss(law.median_miss),
            miss(law.largest_miss),
        ]);
    }
    table.markdown()
}

/// Of a range of Peclet numbers 100 to 1e8: `Pe 100 to 1e8`.
fn range(range: &StatedRange) -> String {
    format!("{} {} to {}", range.symbol, end(range.low), end(range.high))
}

/// An end of a range to two digits, without zeros that say nothing.
fn end(value: f64) -> String {
    if !(1e-3..1e5).contains(&value) {
        let text = format!("{value:.1e}");
        return text.replace(".0e", "e");
    }
    let text = show::number(value, 2);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A miss in percent, or as a multiple where percent say nothing.
fn miss(miss: f64) -> String {
    if miss.abs() >= 10.0 {
        return format!("{} times", show::number(1.0 + miss, 2));
    }
    if miss.abs() < NONE {
        return "0 %".to_owned();
    }
    let sign = if miss < 0.0 { "-" } else { "+" };
    format!("{sign}{}", show::percent(miss.abs(), if miss.abs() < 0.1 { 1 } else { 2 }))
}

/// Forms by the share of the claimed points' median, best first: the sentence over the table.
pub fn verdict_sentence(report: &VerdictReport) -> String {
    let good = |form: &&JudgedForm| form.median_miss.abs() <= 0.05 && form.largest_miss.abs() <= 0.1;
    let names: Vec<String> =
        report.forms.iter().filter(good).map(|form| format!("\"{}\"", form.name)).collect();
    format!(
        "Of {} closed forms {} keep within a tenth of the solved cell over all the range that they are claimed for: {}.",
        report.forms.len(),
        names.len(),
        names.join(", ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_and_misses_are_short() {
        let ends = [1e8, 3.2e5, 100.0, 1.9, 0.010, 1e-6].map(end);
        assert_eq!(ends, ["1e8", "3.2e5", "100", "1.9", "0.01", "1e-6"]);
        assert_eq!([-5e-6, 0.01, -0.31, 12.0].map(miss), ["0 %", "+1 %", "-31 %", "13 times"]);
    }
}
