//! `keys`: every key of a scenario.

use moteweir::scenario;

use crate::outcome::{Failure, say};

pub(crate) fn run() -> Result<(), Failure> {
    say(&scenario::reference())
}
