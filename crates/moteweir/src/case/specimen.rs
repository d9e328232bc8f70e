//! What was measured: a material or a stack of the case.

use super::Case;

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
