//! Draws of what is uncertain about a case: which numbers a draw asks for, and the layers they make.
//!
//! Every uncertain number has a [`Slot`] of its own, and every slot a stream of random numbers of its own, so that one
//! more layer, material or target moves nothing else.

mod pieces;
mod realise;

use moteweir_sim::random::{Purpose, Stream};

pub use realise::{Realised, Realiser};

use crate::case::{Case, Face, Input, Uncertain, Variation};

/// One number that a draw asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// What is not known of a material: the same in all its sheets.
    Unknown {
        /// Position of the material in the case.
        material: usize,
        /// Which quantity.
        input: Input,
    },
    /// What differs from lot to lot: shared by the sheets of a material in a stack.
    Lot {
        /// Position of the material in the case.
        material: usize,
        /// Which quantity.
        input: Input,
    },
    /// What differs from sheet to sheet.
    Sheet {
        /// Position of the material in the case.
        material: usize,
        /// Which quantity.
        input: Input,
        /// The how manyth sheet of the material in the stack.
        sheet: usize,
    },
    /// What is not known of the leak.
    Leak {
        /// Which quantity.
        input: Input,
    },
}

impl Slot {
    /// The number of a draw for this slot, evenly between 0 and 1: a function of seed, slot and index alone.
    pub fn uniform(self, seed: u64, index: u64) -> f64 {
        Stream::new(seed, self.purpose(), index).uniform()
    }

    /// Named after the quantity; kind, material and sheet tell its items apart.
    fn purpose(self) -> Purpose {
        let item = |kind: u64, material: usize, sheet: usize| {
            (kind << 60) | ((material as u64) << 32) | sheet as u64
        };
        match self {
            Self::Unknown { material, input } => Purpose::named(input.words()).item(item(0, material, 0)),
            Self::Lot { material, input } => Purpose::named(input.words()).item(item(1, material, 0)),
            Self::Sheet { material, input, sheet } => {
                Purpose::named(input.words()).item(item(2, material, sheet))
            }
            Self::Leak { input } => Purpose::named(input.words()).item(item(3, 0, 0)),
        }
    }
}

/// The slots of a stack, each once: unknowns, lots and sheets of its materials in the order of the case.
pub fn slots_of_stack(case: &Case, layers: &[usize]) -> Vec<Slot> {
    let mut slots = Vec::new();
    for (material, facts) in case.materials.iter().enumerate() {
        let sheets = layers.iter().filter(|&&layer| layer == material).count();
        if sheets == 0 {
            continue;
        }
        let unknowns: Vec<Uncertain> = facts.unknowns();
        slots.extend(unknowns.iter().map(|u| Slot::Unknown { material, input: u.input }));
        for Variation { input, lot, sheet, .. } in &facts.varies {
            let input = *input;
            if *lot > 0.0 {
                slots.push(Slot::Lot { material, input });
            }
            if *sheet > 0.0 {
                slots.extend((0..sheets).map(|sheet| Slot::Sheet { material, input, sheet }));
            }
        }
    }
    slots
}

/// The slots of a face.
pub fn slots_of_face(face: &Face) -> Vec<Slot> {
    face.leak.unknowns().iter().map(|u| Slot::Leak { input: u.input }).collect()
}
