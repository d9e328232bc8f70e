//! The shelf of classes for a reader.

use super::table::{Align, Table};
use super::wrapped;
use crate::Shelf;
use crate::shelf::{Class, ClassStructure};

/// The list of classes.
pub fn shelf(shelf: &Shelf) -> String {
    let mut table =
        Table::new(&[("class", Align::Left), ("structure", Align::Left), ("what it is", Align::Left)]);
    for class in shelf.classes() {
        let structure = match class.structure {
            ClassStructure::NotFibrous => "no filter",
            other => other.word(),
        };
        table.row([class.name.clone(), structure.to_owned(), class.kind.clone()]);
    }
    format!(
        "Name one of these as `class` and weigh a swatch; what you measure replaces the class's typical values.\n\n{}\n\n\
         `moteweir materials \"needled felt\"` shows one with its ranges and sources.",
        table.plain()
    )
}

/// One class with its ranges and sources.
pub fn class(class: &Class) -> String {
    let mut table = Table::new(&[
        ("key", Align::Left),
        ("typical", Align::Left),
        ("usual range", Align::Left),
        ("source", Align::Left),
    ]);
    for value in &class.values {
        let range = value.range.as_ref().map_or_else(String::new, |(low, high)| format!("{low} to {high}"));
        table.row([value.key.to_owned(), value.typical.clone(), range, value.source.clone()]);
    }
    let beware = wrapped(&format!("Beware: {}", class.hazards), "", 110);
    format!("{}: {}.\n\n{}\n\n{beware}", class.name, class.kind, table.plain())
}
