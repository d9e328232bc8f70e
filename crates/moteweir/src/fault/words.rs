//! The few words under a place, and what to do about it.

use moteweir_units::text::{TextError, TextErrorKind};

use super::Fault;
use crate::files::Unread;

impl Fault {
    /// A few words to stand under the place.
    pub fn label(&self) -> String {
        match self {
            Self::Syntax { .. } => "here".to_owned(),
            Self::UnknownFormat { .. } => "a number of a format".to_owned(),
            Self::UnknownKey { section, .. } => format!("not a key of {section}"),
            Self::WrongType { wanted, .. } => format!("expected {wanted}"),
            Self::BareNumber { .. } => "no unit".to_owned(),
            Self::Unreadable { error, .. } => unreadable_label(error),
            Self::OutOfRange { lowest, highest, .. } => format!("possible: {lowest} to {highest}"),
            Self::UnknownChoice { .. } => "not one of the choices".to_owned(),
            Self::Empty { .. } => "nothing in it".to_owned(),
            Self::MissingKey { key, .. } => format!("no `{key}`"),
            Self::DuplicateName { first_line, .. } => format!("the first is in line {first_line}"),
            Self::UnknownName { kind, .. } => format!("no such {kind}"),
            Self::Twice { what, .. } => format!("{what} a second time"),
            Self::KeyOfOtherStructure { owners, .. } => format!("a key of {owners}"),
            Self::NotAFibreFilter { .. } => "no fibres to compute with".to_owned(),
            Self::Lacks { what, .. } => {
                format!("no {}", what.trim_start_matches("its "))
            }
            Self::Disagreement { fatal: true, .. } => "one of the two is wrong".to_owned(),
            Self::Disagreement { measured, .. } => format!("{measured} won"),
            Self::ImpossibleSolidity { is_too_dense: true, .. } => "too thin for its weight".to_owned(),
            Self::ImpossibleSolidity { .. } => "too thick for its weight".to_owned(),
            Self::NotWhole { .. } => "charges come whole".to_owned(),
            Self::NoShare => "nothing to average over".to_owned(),
            Self::Overlap { .. } => "overlaps another bin".to_owned(),
            Self::StructureOfClass { class, .. } => format!("not the structure of `{class}`"),
            Self::NotBelow { upper, .. } => format!("must be below `{upper}`"),
            Self::None { kind, .. } => format!("no {kind}"),
            Self::Impossible { .. } => "no such layer can be".to_owned(),
            Self::UnlikeClass { low, high, .. } => format!("usual: {low} to {high}"),
            Self::SpreadNotUsed { .. } => "`gsd` is not used".to_owned(),
            Self::NotUsed { .. } => "not used".to_owned(),
            Self::NotBetween { .. } => "nothing between".to_owned(),
            Self::NotAtOne { .. } => "two measurements".to_owned(),
            Self::LogarithmOfZero { .. } => "even in the logarithm".to_owned(),
            Self::NoSpread { .. } => "has to be above 0".to_owned(),
            Self::SpreadLeavesPossible { lowest, highest, .. } => format!("possible: {lowest} to {highest}"),
            Self::UnknownParticles { .. } => "nothing to be stopped".to_owned(),
            Self::UnequalLists { .. } => "one flow for every time".to_owned(),
            Self::ImpossibleLeak { .. } => "no such leak can be".to_owned(),
            Self::ImpossibleBreath { .. } => "nobody breathes like that".to_owned(),
            Self::GoesWith { with, .. } => format!("no `{with}` beside it"),
            Self::Row(fault) => fault.label().to_owned(),
            Self::Counts(fault) => fault.label(),
            Self::Curve(fault) => fault.label(),
            Self::UnreadFile { .. } => "no such text".to_owned(),
            Self::MaterialAndStack { .. } => "two things of one name".to_owned(),
            Self::NoSuchEdge { .. } => "without that edge".to_owned(),
            Self::NotRising { .. } => "not above the edge before".to_owned(),
        }
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        Some(match self {
            Self::Row(fault) => return fault.help(),
            Self::Counts(fault) => return fault.help(),
            Self::Curve(fault) => return fault.help(),
            Self::UnreadFile { why: Unread::Missing, .. } => {
                "the path is taken from the folder of the scenario".to_owned()
            }
            Self::UnreadFile { why: Unread::NotText { .. }, .. } => "save it as plain text in UTF-8".to_owned(),
            Self::MaterialAndStack { .. } => "give the stack another name".to_owned(),
            Self::NoSuchEdge { .. } => "list every edge of the counter, or leave `channels` out".to_owned(),
            Self::NotRising { .. } => "write the edges from small to large, each once".to_owned(),
            Self::UnknownFormat { .. } => "write `format = 1` or leave it out".to_owned(),
            Self::UnknownKey { near: Some(near), .. } => format!("did you mean `{near}`?"),
            Self::UnknownKey { known, .. } => format!("its keys: {}", known.join(", ")),
            Self::WrongType { example, .. }
            | Self::BareNumber { example, .. }
            | Self::Empty { example, .. }
            | Self::MissingKey { example, .. } => {
                format!("for example: {example}")
            }
            Self::UnknownChoice { near: Some(near), choices, .. } => {
                format!("did you mean `{near}`? The choices: {}", choices.join(", "))
            }
            Self::UnknownChoice { choices, .. } => format!("the choices: {}", choices.join(", ")),
            Self::DuplicateName { .. } => "give each its own name".to_owned(),
            Self::UnknownName { kind, near, known, .. } => unknown_name_help(kind, near.as_deref(), known),
            Self::Twice { one, other, .. } => format!("keep `{one}` or `{other}`"),
            Self::StructureOfClass { .. } => "leave `structure` out or name another `class`".to_owned(),
            Self::NotAFibreFilter { why, .. } => why.clone(),
            Self::Lacks { measure, .. } => (*measure).to_owned(),
            Self::Disagreement { fatal: true, .. } => {
                "measure again: caliper pressure, several sheets counted as one and a damp swatch are the usual causes"
                    .to_owned()
            }
            Self::ImpossibleSolidity { .. } => {
                "check the thickness (sheets, caliper pressure), the swatch and the fibre density".to_owned()
            }
            Self::UnlikeClass { .. } => "check the number and its unit; the stated value is used".to_owned(),
            Self::None { example, .. } => format!("for example: {example}"),
            Self::UnknownParticles { near: Some(near), .. } => format!("did you mean `{near}`?"),
            Self::UnknownParticles { known, .. } if known.is_empty() => {
                "write \"worst\" or a size such as \"0.3 um\"".to_owned()
            }
            Self::UnknownParticles { known, .. } => {
                format!("write \"worst\", a size such as \"0.3 um\", or one of: {}", known.join(", "))
            }
            Self::NotBetween { .. } => {
                "write the lower value first, or one value alone where it is known".to_owned()
            }
            Self::NotAtOne { noun, .. } => format!("write both ends at the same {noun}"),
            Self::NoSpread { .. } => "write the value alone where it is known".to_owned(),
            Self::LogarithmOfZero { .. } => "add `scale = \"linear\"`".to_owned(),
            Self::SpreadLeavesPossible { .. } => {
                "one standard deviation either way has to be possible; `between` two ends may say it better".to_owned()
            }
            Self::Syntax { .. }
            | Self::Unreadable { .. }
            | Self::OutOfRange { .. }
            | Self::KeyOfOtherStructure { .. }
            | Self::Disagreement { .. }
            | Self::NotBelow { .. }
            | Self::NotWhole { .. }
            | Self::NoShare
            | Self::Overlap { .. }
            | Self::Impossible { .. }
            | Self::SpreadNotUsed { .. }
            | Self::NotUsed { .. }
            | Self::UnequalLists { .. }
            | Self::UnreadFile { .. }
            | Self::ImpossibleLeak { .. }
            | Self::ImpossibleBreath { .. }
            | Self::GoesWith { .. } => return None,
        })
    }
}

/// The few words that stand under an unreadable quantity.
fn unreadable_label(error: &TextError) -> String {
    match &error.kind {
        TextErrorKind::DecimalComma { .. } => "a comma".to_owned(),
        TextErrorKind::UnitMissing => "no unit".to_owned(),
        _ => format!("expected {}", error.expected.noun()),
    }
}

/// The nearest name, or the names there are.
fn unknown_name_help(kind: &str, near: Option<&str>, known: &[String]) -> String {
    match (near, known) {
        (Some(near), _) => format!("did you mean `{near}`?"),
        (None, []) => format!("the scenario has no {kind}"),
        (None, known) => format!("there are: {}", known.join(", ")),
    }
}
