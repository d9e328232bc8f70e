//! What was measured: a material or a stack of the case.

use super::Case;
use super::check::{Named, is_one_sheet_of};
use super::ledger::Ledger;
use crate::near::nearest;
use crate::problem::{Fault, Problem, Span};
use crate::scenario::{StackAsWritten, Written};

/// What was measured, by position in the case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Specimen {
    /// Sheets of one material, by position in [`Case::materials`].
    Material(usize),
    /// A stack, by position in [`Case::stacks`].
    Stack(usize),
}

impl Case {
    /// The specimen of a name: a stack's before a material's.
    pub fn specimen(&self, name: &str) -> Option<Specimen> {
        let name = name.trim();
        let stack = self.stacks.iter().position(|stack| stack.name == name).map(Specimen::Stack);
        stack.or_else(|| self.materials.iter().position(|m| m.name == name).map(Specimen::Material))
    }

    /// Every name that a specimen may have, stacks before materials.
    pub fn specimen_names(&self) -> impl Iterator<Item = &str> {
        let stacks = self.stacks.iter().map(|stack| stack.name.as_str());
        stacks.chain(self.materials.iter().map(|material| material.name.as_str()))
    }

    /// The name of a specimen of this case.
    pub fn specimen_name(&self, specimen: Specimen) -> &str {
        match specimen {
            Specimen::Material(position) => self.materials.get(position).map(|m| m.name.as_str()),
            Specimen::Stack(position) => self.stacks.get(position).map(|s| s.name.as_str()),
        }
        .unwrap_or_default()
    }

    /// Positions of the materials of a specimen taken `layers` times, upstream first, one entry a sheet.
    pub fn sheets_of(&self, specimen: Specimen, layers: u32) -> Vec<usize> {
        let once = match specimen {
            Specimen::Material(position) => vec![position],
            Specimen::Stack(position) => {
                self.stacks.get(position).map(|s| s.layers.clone()).unwrap_or_default()
            }
        };
        once.repeat(layers as usize)
    }
}

/// What the names of specimens are looked up in.
pub(super) struct Specimens<'a> {
    pub(super) stacks: &'a [StackAsWritten],
    /// Names of the stacks, in the order of the file.
    pub(super) labels: &'a [Option<String>],
    pub(super) materials: &'a Named<'a>,
}

impl Specimens<'_> {
    /// The specimen that a scenario names; noted where there is none, or where the name is of two things.
    pub(super) fn position(&self, name: &Written<String>, ledger: &mut Ledger<'_>) -> Option<Specimen> {
        let found = self.find(&name.value);
        match found {
            None => ledger.error(self.unknown(&name.value), name.span.clone()),
            Some(Specimen::Stack(position))
                if self.materials.find(&name.value).is_some()
                    && !is_one_sheet_of(&self.stacks[position], &name.value) =>
            {
                ledger.warning(Fault::MaterialAndStack { name: name.value.clone() }, name.span.clone());
            }
            Some(_) => {}
        }
        found
    }

    /// The specimen that another file names at a place; noted where there is none.
    pub(super) fn in_file(
        &self,
        name: &str,
        (file, place): (&str, Span),
        ledger: &mut Ledger<'_>,
    ) -> Option<Specimen> {
        let found = self.find(name);
        if found.is_none() {
            ledger.problems.push(Problem::error(self.unknown(name), place).in_file(file));
        }
        found
    }

    /// The only stack, where there is but one.
    pub(super) fn only(&self) -> Option<Specimen> {
        (self.labels.len() == 1).then_some(Specimen::Stack(0))
    }

    fn find(&self, name: &str) -> Option<Specimen> {
        let name = name.trim();
        let stack = self.labels.iter().position(|label| label.as_deref() == Some(name)).map(Specimen::Stack);
        stack.or_else(|| self.materials.find(name).map(Specimen::Material))
    }

    fn unknown(&self, name: &str) -> Fault {
        let mut known: Vec<String> = self.labels.iter().flatten().cloned().collect();
        for material in self.materials.names() {
            if !known.iter().any(|name| name == material) {
                known.push(material.to_owned());
            }
        }
        Fault::UnknownName {
            kind: "material or stack",
            name: name.to_owned(),
            near: nearest(name, known.iter().map(String::as_str)).map(str::to_owned),
            known,
        }
    }
}
