//! What can be wrong in a scenario, and the words for it.

use moteweir_physics::breathing::BreathingError;
use moteweir_physics::leak::LeakError;
use moteweir_units::text::{TextError, TextErrorKind};

use crate::predict::MediumFault;

/// What is wrong at a place of a scenario. `Display` is the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Fault {
    /// The text is not TOML.
    #[error("not valid TOML: {message}")]
    Syntax {
        /// As the TOML reader says it.
        message: String,
    },
    /// The version of the format is another.
    #[error("format {found} is not one that this version reads")]
    UnknownFormat {
        /// The number in the file.
        found: String,
    },
    /// A key that its section does not have.
    #[error("unknown key `{key}` in {section}")]
    UnknownKey {
        /// The key.
        key: String,
        /// The section, as people call it.
        section: &'static str,
        /// The nearest key of the section.
        near: Option<&'static str>,
        /// All keys of the section.
        known: Vec<&'static str>,
    },
    /// A value of another TOML type.
    #[error("`{key}` is {found}, but takes {wanted}")]
    WrongType {
        /// The key.
        key: &'static str,
        /// The TOML type found, with its article.
        found: &'static str,
        /// What the key takes.
        wanted: String,
        /// The key with a value, as an example.
        example: &'static str,
    },
    /// A bare number for a quantity with a unit.
    #[error("`{key}` is the bare number {number}, but {noun} needs a unit")]
    BareNumber {
        /// The key.
        key: &'static str,
        /// The number as written.
        number: String,
        /// The quantity, with its article.
        noun: &'static str,
        /// The key with a value, as an example.
        example: &'static str,
    },
    /// A text that is not the quantity.
    #[error("`{key}`: {error}")]
    Unreadable {
        /// The key.
        key: &'static str,
        /// What the unit reader says.
        error: TextError,
    },
    /// A value that is not possible.
    #[error("`{key}` = {value} is outside what is possible")]
    OutOfRange {
        /// The key.
        key: &'static str,
        /// The value as written.
        value: String,
        /// Lowest possible value.
        lowest: String,
        /// Highest possible value.
        highest: String,
    },
    /// A word that the key does not know.
    #[error("`{value}` is not a choice of `{key}`")]
    UnknownChoice {
        /// The key.
        key: &'static str,
        /// The word.
        value: String,
        /// The nearest choice.
        near: Option<String>,
        /// All choices.
        choices: Vec<&'static str>,
    },
    /// A name or list with nothing in it.
    #[error("`{key}` is empty")]
    Empty {
        /// The key.
        key: &'static str,
        /// The key with a value, as an example.
        example: &'static str,
    },
    /// A key that a table cannot do without.
    #[error("{section} lacks `{key}`")]
    MissingKey {
        /// The section, as people call it.
        section: &'static str,
        /// The key.
        key: &'static str,
        /// The key with a value, as an example.
        example: &'static str,
    },
    /// Two of a kind under one name.
    #[error("there are two {kind} of the name `{name}`")]
    DuplicateName {
        /// The kind, in the plural.
        kind: &'static str,
        /// The name.
        name: String,
        /// Line of the first.
        first_line: usize,
    },
    /// A name that nothing has.
    #[error("there is no {kind} of the name `{name}`")]
    UnknownName {
        /// What was looked for.
        kind: &'static str,
        /// The name.
        name: String,
        /// The nearest name there is.
        near: Option<String>,
        /// All names there are.
        known: Vec<String>,
    },
    /// Two keys that say the same.
    #[error("`{one}` and `{other}` both state {what}")]
    Twice {
        /// One key.
        one: &'static str,
        /// The other.
        other: &'static str,
        /// What they state.
        what: &'static str,
    },
    /// A key of another structure.
    #[error("`{key}` does not belong to a material of structure `{structure}`")]
    KeyOfOtherStructure {
        /// The key.
        key: &'static str,
        /// The material's structure.
        structure: &'static str,
        /// The structures that have the key.
        owners: &'static str,
    },
    /// A class without fibres.
    #[error("`{class}` is not a fibre filter")]
    NotAFibreFilter {
        /// The class.
        class: String,
        /// Why, as the shelf says it.
        why: String,
    },
    /// A material of which something is not known.
    #[error("material `{material}` lacks {what}")]
    Lacks {
        /// The material.
        material: String,
        /// What is lacking.
        what: &'static str,
        /// What to measure or state.
        measure: &'static str,
    },
    /// Statements that contradict one another a little.
    #[error("material `{material}`: {stated} disagrees with {measured} by {percent:.0} %")]
    Disagreement {
        /// The material.
        material: String,
        /// The statement that loses, with its value.
        stated: String,
        /// The statement that wins, with its value.
        measured: String,
        /// How far the first is from the second.
        percent: f64,
        /// Whether it is too far to go on.
        fatal: bool,
    },
    /// Weight, thickness and density that no web can have.
    #[error("material `{material}` would be {solidity} solid")]
    ImpossibleSolidity {
        /// The material.
        material: String,
        /// The solidity that follows, as text.
        solidity: String,
        /// Whether it is too much rather than too little.
        is_too_dense: bool,
    },
    /// A number that has to be whole.
    #[error("`{key}` = {value} is not a whole number")]
    NotWhole {
        /// The key.
        key: &'static str,
        /// The value.
        value: String,
    },
    /// Shares that are all 0.
    #[error("the shares add to 0")]
    NoShare,
    /// Bins that overlap.
    #[error("the bin from {from} begins inside the one before")]
    Overlap {
        /// Where it begins.
        from: String,
    },
    /// A structure that contradicts the class.
    #[error("structure `{structure}` contradicts class `{class}`, which is a {class_structure}")]
    StructureOfClass {
        /// The structure stated.
        structure: &'static str,
        /// The class named.
        class: String,
        /// The class's structure.
        class_structure: &'static str,
    },
    /// A lower end that is not below the upper end.
    #[error("`{lower}` = {low} is not below `{upper}` = {high}")]
    NotBelow {
        /// The key of the lower end.
        lower: &'static str,
        /// Its value.
        low: String,
        /// The key of the upper end.
        upper: &'static str,
        /// Its value.
        high: String,
    },
    /// A scenario without any entry of a kind that it needs.
    #[error("the scenario has no {kind}")]
    None {
        /// The kind.
        kind: &'static str,
        /// What to write.
        example: &'static str,
    },
    /// Statements that physics cannot bring together.
    #[error("{fault}")]
    Impossible {
        /// As the physics says it.
        fault: Box<MediumFault>,
    },
    /// A value far outside the range of the material's class.
    #[error("material `{material}`: `{key}` of {value} is unusual for class `{class}`")]
    UnlikeClass {
        /// The material.
        material: String,
        /// The key.
        key: &'static str,
        /// The value.
        value: String,
        /// The class.
        class: String,
        /// Lowest usual value.
        low: String,
        /// Highest usual value.
        high: String,
    },
    /// A spread of fibre diameters that the model of yarns has no use for.
    #[error("material `{material}`: the fibres of its yarns are taken as all of the median diameter")]
    SpreadNotUsed {
        /// The material.
        material: String,
    },
    /// Two ends of which the first is not below the second.
    #[error("`{key}` between {first} and {second}: the first is not below the second")]
    NotBetween {
        /// The key.
        key: &'static str,
        /// The first, as written.
        first: String,
        /// The second, as written.
        second: String,
    },
    /// A range from 0 that is to be even in the logarithm.
    #[error("`{key}` begins at {low}, which has no logarithm")]
    LogarithmOfZero {
        /// The key.
        key: &'static str,
        /// The lower end, as written.
        low: String,
    },
    /// A standard deviation that is not above 0.
    #[error("`{key}` give or take {value} is no spread")]
    NoSpread {
        /// The key.
        key: &'static str,
        /// The standard deviation, as written.
        value: String,
    },
    /// A standard deviation that leads out of what is possible.
    #[error("`{key}` of about {about}, give or take {give_or_take}, leaves what is possible")]
    SpreadLeavesPossible {
        /// The key.
        key: &'static str,
        /// The centre, as written.
        about: String,
        /// The standard deviation, as written.
        give_or_take: String,
        /// Lowest possible value.
        lowest: &'static str,
        /// Highest possible value.
        highest: &'static str,
    },
    /// A key that means something only beside another.
    #[error("`{key}` goes with `{with}`")]
    GoesWith {
        /// The key.
        key: &'static str,
        /// What it goes with.
        with: &'static str,
    },
    /// Neither a size nor the name of particles.
    #[error("`at` = `{value}` is no size, aerosol or channel")]
    UnknownParticles {
        /// As written.
        value: String,
        /// The nearest name there is.
        near: Option<String>,
        /// All names there are.
        known: Vec<String>,
    },
    /// Two lists that belong together but are not of one length.
    #[error("`{one}` has {entries} entries, but `{other}` has {others}")]
    UnequalLists {
        /// One key.
        one: &'static str,
        /// Its entries.
        entries: usize,
        /// The other.
        other: &'static str,
        /// Its entries.
        others: usize,
    },
    /// A leak that cannot be.
    #[error("{error}")]
    ImpossibleLeak {
        /// As the physics says it.
        error: Box<LeakError>,
    },
    /// A breath that cannot be.
    #[error("{error}")]
    ImpossibleBreath {
        /// As the physics says it.
        error: Box<BreathingError>,
    },
    /// A statement that is read but not used.
    #[error("material `{material}`: `{key}` is not used, because `{instead}` is stated as well")]
    NotUsed {
        /// The material.
        material: String,
        /// The key that is not used.
        key: &'static str,
        /// The key that is used instead.
        instead: &'static str,
    },
}

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
            Self::LogarithmOfZero { .. } => "even in the logarithm".to_owned(),
            Self::NoSpread { .. } => "has to be above 0".to_owned(),
            Self::SpreadLeavesPossible { lowest, highest, .. } => format!("possible: {lowest} to {highest}"),
            Self::UnknownParticles { .. } => "nothing to be stopped".to_owned(),
            Self::UnequalLists { .. } => "one flow for every time".to_owned(),
            Self::ImpossibleLeak { .. } => "no such leak can be".to_owned(),
            Self::ImpossibleBreath { .. } => "nobody breathes like that".to_owned(),
            Self::GoesWith { with, .. } => format!("no `{with}` beside it"),
        }
    }

    /// What to do about it, where there is something to say.
    pub fn help(&self) -> Option<String> {
        Some(match self {
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
