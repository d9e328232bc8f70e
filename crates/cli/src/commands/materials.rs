//! `materials`: the shelf, or one class of it.

use moteweir::{Shelf, words};

use crate::arguments::MaterialsArguments;
use crate::outcome::{Failure, say};

pub(crate) fn run(arguments: &MaterialsArguments) -> Result<(), Failure> {
    let shelf = Shelf::built_in();
    let Some(name) = &arguments.name else {
        return say(&words::shelf(shelf));
    };
    let class = shelf.find(name).ok_or_else(|| Failure::NoClass {
        name: name.clone(),
        nearest: shelf.nearest(name).map(str::to_owned),
    })?;
    say(&words::class(class))
}
