//! The `moteweir` program.
fn main() {}
