//! The shelf: generic classes of material with typical values, ranges and sources.
//!
//! A class fills in what a scenario does not state. The shelf is data (`data/shelf.toml`), compiled in; its keys
//! are those of a scenario's material, its texts carry units, and reading it checks every one of them.

mod class;

use std::sync::LazyLock;

pub use class::{Class, ClassNumber, ClassStructure, ClassValue, ClassVariation, ShelfError};

use crate::near::nearest;

static BUILT_IN: LazyLock<Shelf> = LazyLock::new(|| {
    Shelf::read(include_str!("../../data/shelf.toml")).expect("a test reads the shelf that is compiled in")
});

/// The classes of a shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelf {
    classes: Vec<Class>,
}

impl Shelf {
    /// The shelf that is compiled in.
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    /// Reads a shelf from its text.
    ///
    /// # Errors
    /// Where the text is no TOML of the right shape, a class has a key that no material has, a value is not what
    /// the key takes, or the typical value lies outside its own range.
    pub fn read(text: &str) -> Result<Self, ShelfError> {
        Ok(Self { classes: class::read_all(text)? })
    }

    /// Every class, in the order of the shelf.
    pub fn classes(&self) -> &[Class] {
        &self.classes
    }

    /// The class of this name; case does not count.
    pub fn find(&self, name: &str) -> Option<&Class> {
        self.classes.iter().find(|class| class.name.eq_ignore_ascii_case(name.trim()))
    }

    /// The class whose name is most like this one, if any is like it.
    pub fn nearest(&self, name: &str) -> Option<&str> {
        nearest(name, self.classes.iter().map(|class| class.name.as_str()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shelf_compiled_in_reads_and_has_twenty_classes() {
        let shelf = Shelf::read(include_str!("../../data/shelf.toml")).unwrap();
        assert!(shelf.classes().len() >= 20, "got {}", shelf.classes().len());
        assert!(shelf.classes().iter().any(|class| class.structure == ClassStructure::NotFibrous));
        assert_eq!(shelf.find("Needled Felt").unwrap().name, "needled felt");
        assert_eq!(shelf.nearest("needle felt"), Some("needled felt"));
    }

    #[test]
    fn a_shelf_with_a_fault_says_where() {
        let bad = "[[class]]\nname = \"x\"\nstructure = \"web\"\nkind = \"k\"\nhazards = \"h\"\n\
                   basis_weight = { typical = \"1 um\", low = \"1 g/m2\", high = \"2 g/m2\", source = \"s\" }\n";
        let error = Shelf::read(bad).unwrap_err();
        assert_eq!(
            error.to_string(),
            "class `x`, `basis_weight`: `um` is a length, a mass per area was expected, such as `120 g/m2`"
        );
    }
}
