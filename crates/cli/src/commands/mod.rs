//! One file a command.

pub(crate) mod check;
pub(crate) mod materials;
pub(crate) mod new;
pub(crate) mod predict;
pub(crate) mod review;
