//! What a calibration strains at: agreement bought at a price is no confirmation.

use super::evidence::{Evidence, Through};
use crate::report::{MisfitReport, ParameterReport, WarningReport};

/// A misfit this many of its own standard deviations from 0 is more than the model was given.
const STRAINED: f64 = 2.0;
/// An unknown whose middle moved this many standard deviations leans on the end of what was thought possible.
const LEANING: f64 = 1.5;

/// One warning for each thing that the readings could only be met by straining.
pub(super) fn strains(misfits: &[MisfitReport], parameters: &[ParameterReport]) -> Vec<WarningReport> {
    let misfits = misfits.iter().filter_map(|misfit| {
        let most = misfit.knots.iter().map(|knot| knot.mean / misfit.amplitude);
        let most = most.fold(0.0_f64, |a, b| if b.abs() > a.abs() { b } else { a });
        (most.abs() > STRAINED).then(|| {
            let more = if most > 0.0 { "more" } else { "less" };
            let by_charge = if misfit.of == "charge" { "by its charge " } else { "" };
            format!(
                "\"{}\" catches {more} {by_charge}than the physics explains by {:.1} times what the model was thought to be off: \
                 that all readings agree is then no confirmation, and sizes that were not counted may be off by as much",
                misfit.specimen,
                most.abs()
            )
        })
    });
    let leaning = parameters.iter().filter(|p| p.shift.abs() > LEANING).map(|p| {
        let end = if p.shift > 0.0 { "high" } else { "low" };
        format!(
            "the {} of \"{}\" is pressed to the {end} end of what was thought possible: is that range right?",
            p.words, p.specimen
        )
    });
    misfits.chain(leaning).map(|text| WarningReport { kind: "strained".to_owned(), text }).collect()
}

/// What was taken as none because nobody counted it.
pub(super) fn not_counted(evidence: &Evidence) -> Option<WarningReport> {
    if evidence.channels.is_empty() {
        return None;
    }
    let readings = || evidence.channels.iter().flat_map(|channel| &channel.readings);
    let none = |through| !readings().any(|reading| reading.through == through);
    let text = match (none(Through::Zero), none(Through::Blocked)) {
        (true, true) => {
            "nothing was counted in clean air or with the holder blocked: false counts and what leaks past the holder \
             are taken as none, and would pass for penetration"
        }
        (true, false) => {
            "nothing was counted in clean air: false counts are taken as none, and would pass for penetration"
        }
        (false, true) => {
            "nothing was counted with the holder blocked: what leaks past it is taken as none, and would pass for \
             penetration"
        }
        (false, false) => return None,
    };
    Some(WarningReport { kind: "not_counted".to_owned(), text: text.to_owned() })
}
