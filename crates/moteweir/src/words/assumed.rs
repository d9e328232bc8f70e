//! What a scenario does not state, for a reader.

use super::table::{Align, Table};
use super::{WIDTH, wrapped};
use crate::report::AssumedReport;

/// Defaults in a sentence, then a table of the values of classes; nothing where all was stated.
///
/// The sources of a class's values are long: the summary of a review and the JSON carry them.
pub fn assumed(assumed: &[AssumedReport]) -> String {
    let (defaults, others): (Vec<&AssumedReport>, Vec<&AssumedReport>) =
        assumed.iter().partition(|a| a.from == DEFAULT);
    let mut parts = Vec::new();
    if !defaults.is_empty() {
        let each: Vec<String> = defaults
            .iter()
            .map(|a| match &a.material {
                Some(material) => format!("{} of {material} {}", a.key, a.value),
                None => format!("{} {}", a.key, a.value),
            })
            .collect();
        parts.push(wrapped(&format!("Not given, so by default: {}.", each.join("; ")), "", WIDTH));
    }
    if !others.is_empty() {
        let mut table = Table::new(&[
            ("not given", Align::Left),
            ("of", Align::Left),
            ("taken as", Align::Left),
            ("from", Align::Left),
        ]);
        for a in others {
            let from = a.from.split(": ").next().unwrap_or_default();
            table.row([
                a.key.clone(),
                a.material.clone().unwrap_or_default(),
                a.value.clone(),
                from.to_owned(),
            ]);
        }
        parts.push(table.plain());
    }
    parts.join("\n\n")
}

/// How a default says where it is from.
const DEFAULT: &str = "default";

/// Everything with its source in full.
pub(super) fn assumed_table(assumed: &[AssumedReport]) -> Table {
    let mut table = Table::new(&[
        ("not given", Align::Left),
        ("of", Align::Left),
        ("taken as", Align::Left),
        ("from", Align::Left),
    ]);
    for a in assumed {
        table.row([a.key.clone(), a.material.clone().unwrap_or_default(), a.value.clone(), a.from.clone()]);
    }
    table
}
