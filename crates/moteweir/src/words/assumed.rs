//! What a scenario does not state, for a reader.

use super::table::{Align, Table};
use crate::report::AssumedReport;

/// A table of the values that came from a default, a class or a polymer; nothing where all were stated.
pub fn assumed(assumed: &[AssumedReport]) -> String {
    if assumed.is_empty() { String::new() } else { assumed_table(assumed).plain() }
}

/// The same as a table.
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
