//! How every screen ends: what was not given, then what to be careful about.

use super::assumed::assumed;
use super::{CAUTION, WIDTH, wrapped};
use crate::report::{AssumedReport, WarningReport};

/// The last parts of a screen: values that were not given, warnings, hazards, the caution.
pub(super) fn closing(
    not_given: &[AssumedReport],
    warnings: &[WarningReport],
    hazards: &[String],
) -> Vec<String> {
    let mut careful: Vec<String> = warnings.iter().map(|w| w.text.clone()).collect();
    careful.extend_from_slice(hazards);
    careful.push(CAUTION.to_owned());
    let not_given = Some(assumed(not_given)).filter(|text| !text.is_empty());
    not_given.into_iter().chain([list("Careful:", &careful)]).collect()
}

/// A list under a heading.
pub(super) fn list(heading: &str, items: &[String]) -> String {
    let lines: Vec<String> = items.iter().map(|item| hanging(item)).collect();
    format!("{heading}\n{}", lines.join("\n"))
}

fn hanging(item: &str) -> String {
    let body = wrapped(item, "  ", WIDTH);
    format!("- {}", body.trim_start())
}
