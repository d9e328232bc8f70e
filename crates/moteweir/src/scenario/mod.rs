//! The scenario as written: the file's values with their places, before anything is made of them.
//!
//! [`Scenario::read`] walks the TOML by hand against the table of [`keys`], so that every fault is found in one
//! pass and points at its own bytes. What the values mean together is for [`crate::case`].

mod bench;
mod decisions;
mod face;
mod fields;
mod key;
pub mod keys;
mod materials;
mod measured;
mod reader;
mod reference;
mod sections;
mod starter;
#[cfg(test)]
mod tests;
mod unsure;
mod varies;
mod written;

use toml::de::DeTable;

pub use bench::{BenchAsWritten, ResistanceAsWritten};
pub use decisions::{QuestionAsWritten, TargetAsWritten, VaryAsWritten};
pub use face::{BreathingAsWritten, FaceAsWritten, FitFactorAsWritten, PowerLawAsWritten, SlitAsWritten};
pub use key::{Accepts, Key, Limits, Section};
pub use materials::{FibreDiameterAsWritten, MaterialAsWritten, SwatchAsWritten, ThicknessAsWritten};
pub use measured::MeasuredAsWritten;
pub use reference::reference;
pub use sections::{
    AerosolAsWritten, AirAsWritten, BinAsWritten, ChannelAsWritten, ChargeAsWritten, LayerAsWritten,
    ModeAsWritten, ModelAsWritten, ParticlesAsWritten, StackAsWritten, UseAsWritten,
};
pub use starter::starter;
pub use varies::{VariationAsWritten, VariesAsWritten};
pub use written::{Entry, Quantity, QuantityPair, Written};

use crate::problem::{Fault, Problem, in_order};
use fields::Fields;
use reader::Notes;

/// Faults of TOML itself that are reported; a file that is no TOML at all would fill the screen.
const MOST_SYNTAX_FAULTS: usize = 10;

/// A scenario as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// Version of the format.
    pub format: Entry<u32>,
    /// What it is about.
    pub title: Entry<String>,
    /// `[air]`.
    pub air: AirAsWritten,
    /// `[particles]`.
    pub particles: ParticlesAsWritten,
    /// `[model]`.
    pub model: ModelAsWritten,
    /// `[[material]]`, in the order of the file.
    pub materials: Vec<MaterialAsWritten>,
    /// `[[stack]]`, in the order of the file.
    pub stacks: Vec<StackAsWritten>,
    /// `[use]`.
    pub usage: UseAsWritten,
    /// `[[aerosol]]`, in the order of the file.
    pub aerosols: Vec<AerosolAsWritten>,
    /// `[[channel]]`, in the order of the file.
    pub channels: Vec<ChannelAsWritten>,
    /// `[[target]]`, in the order of the file.
    pub targets: Vec<TargetAsWritten>,
    /// `[question]`.
    pub question: Option<QuestionAsWritten>,
    /// `[face]`.
    pub face: Option<FaceAsWritten>,
    /// `[vary]`.
    pub vary: VaryAsWritten,
    /// `[[measured]]`, in the order of the file.
    pub measured: Vec<MeasuredAsWritten>,
    /// `[bench]`.
    pub bench: Option<BenchAsWritten>,
}

impl Scenario {
    /// Reads a scenario from the text of its file, with every problem of it, sorted by position.
    ///
    /// Whatever the text, there is a scenario; without problems it is all that the file says.
    pub fn read(text: &str) -> (Self, Vec<Problem>) {
        let (document, faults) = DeTable::parse_recoverable(text);
        let mut notes = Notes::new(text);
        for fault in faults.iter().take(MOST_SYNTAX_FAULTS) {
            let span = fault.span().unwrap_or(0..0);
            notes.problems.push(Problem::error(Fault::Syntax { message: fault.message().to_owned() }, span));
        }
        let root = Fields::open(&keys::Root::SECTION, document.get_ref(), &mut notes);
        let scenario = Self::of(&root, &mut notes);
        (scenario, in_order(notes.problems))
    }

    fn of(root: &Fields<'_, '_>, notes: &mut Notes<'_>) -> Self {
        Self {
            format: root.format(notes),
            title: root.text(&keys::Root::TITLE, notes),
            air: AirAsWritten::of(&root.section(&keys::Root::AIR, notes), notes),
            particles: ParticlesAsWritten::of(&root.section(&keys::Root::PARTICLES, notes), notes),
            model: ModelAsWritten::of(&root.section(&keys::Root::MODEL, notes), notes),
            materials: root.sections(&keys::Root::MATERIAL, MaterialAsWritten::of, notes),
            stacks: root.sections(&keys::Root::STACK, StackAsWritten::of, notes),
            usage: UseAsWritten::of(&root.section(&keys::Root::USE, notes), notes),
            aerosols: root.sections(&keys::Root::AEROSOL, AerosolAsWritten::of, notes),
            channels: root.sections(&keys::Root::CHANNEL, ChannelAsWritten::of, notes),
            targets: root.sections(&keys::Root::TARGET, TargetAsWritten::of, notes),
            question: root
                .optional_section(&keys::Root::QUESTION, notes)
                .map(|(fields, span)| QuestionAsWritten::of(&fields, span, notes)),
            face: root
                .optional_section(&keys::Root::FACE, notes)
                .map(|(fields, span)| FaceAsWritten::of(&fields, span, notes)),
            vary: VaryAsWritten::of(&root.section(&keys::Root::VARY, notes), notes),
            measured: root.sections(&keys::Root::MEASURED, MeasuredAsWritten::of, notes),
            bench: root
                .optional_section(&keys::Root::BENCH, notes)
                .map(|(fields, span)| BenchAsWritten::of(&fields, span, notes)),
        }
    }

    /// The other files that the scenario needs, as it names them, in its order and each once, with the first place
    /// that names it. Their texts go to [`crate::Case::read_with`].
    pub fn files(&self) -> Vec<Written<String>> {
        let measured = self.measured.iter().map(|measured| &measured.file);
        let counts = self.bench.iter().map(|bench| &bench.counts);
        let mut named: Vec<&Written<String>> = measured.chain(counts).filter_map(Entry::stated).collect();
        named.sort_by_key(|file| file.span.start);
        let mut files: Vec<Written<String>> = Vec::new();
        for file in named {
            if !files.iter().any(|known| known.value == file.value) {
                files.push(file.clone());
            }
        }
        files
    }
}
