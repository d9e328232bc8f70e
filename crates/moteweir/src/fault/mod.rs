//! What can be wrong in a scenario, and the words for it.

mod words;

use moteweir_physics::breathing::BreathingError;
use moteweir_physics::leak::LeakError;
use moteweir_units::text::TextError;

use crate::bench::CountsFault;
use crate::curves::CurveFault;
use crate::files::Unread;
use crate::predict::MediumFault;
use crate::rows::RowFault;

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
    /// Two ends of a measured value that were not measured at the same.
    #[error("`{key}`: `{first}` and `{second}` are not at one {noun}")]
    NotAtOne {
        /// The key.
        key: &'static str,
        /// The first, as written.
        first: String,
        /// The second, as written.
        second: String,
        /// What they should be at.
        noun: &'static str,
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
    /// Something wrong with the rows of a file.
    #[error("{0}")]
    Row(Box<RowFault>),
    /// Something wrong in a file of counts.
    #[error("{0}")]
    Counts(Box<CountsFault>),
    /// Something wrong in a file of a laboratory's curve.
    #[error("{0}")]
    Curve(Box<CurveFault>),
    /// A file that the scenario names but that could not be read.
    #[error("`{name}` {why}")]
    UnreadFile {
        /// The file as the scenario names it.
        name: String,
        /// Why it could not be read.
        why: Unread,
    },
    /// One name of a material and of another stack.
    #[error("`{name}` is a material and a stack; taken as the stack")]
    MaterialAndStack {
        /// The name.
        name: String,
    },
    /// An edge of counts that the counter does not have.
    #[error("`{file}` has an edge at {size}, which is none of `channels`")]
    NoSuchEdge {
        /// The edge.
        size: String,
        /// The file of counts.
        file: String,
    },
    /// Channels that do not rise.
    #[error("`channels`: {size} does not lie above the edge before it")]
    NotRising {
        /// The edge, as written.
        size: String,
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

impl From<RowFault> for Fault {
    fn from(fault: RowFault) -> Self {
        Self::Row(Box::new(fault))
    }
}

impl From<CountsFault> for Fault {
    fn from(fault: CountsFault) -> Self {
        Self::Counts(Box::new(fault))
    }
}

impl From<CurveFault> for Fault {
    fn from(fault: CurveFault) -> Self {
        Self::Curve(Box::new(fault))
    }
}
