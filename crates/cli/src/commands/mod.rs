//! One file a command.

pub(crate) mod calibrate;
pub(crate) mod check;
pub(crate) mod counts;
pub(crate) mod keys;
pub(crate) mod materials;
pub(crate) mod new;
pub(crate) mod plan;
pub(crate) mod predict;
pub(crate) mod resolve;
pub(crate) mod review;
pub(crate) mod tally;
pub(crate) mod vary;
pub(crate) mod wear;
