//! What a case assumes, as data.

use super::AssumedReport;
use crate::case::Case;

/// Every value that came from a default, a class or a table of polymers.
pub fn assumed(case: &Case) -> Vec<AssumedReport> {
    case.assumed
        .iter()
        .map(|a| AssumedReport {
            material: a.material.clone(),
            key: a.key.to_owned(),
            value: a.value.clone(),
            from: a.from.to_string(),
        })
        .collect()
}
