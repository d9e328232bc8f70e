//! What can be wrong with a breath.

use moteweir_units::{Flow, Time};
use thiserror::Error;

/// A breath that cannot be.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum BreathingError {
    /// A flow that has to be above zero and finite is not.
    #[error("the {quantity} is {:.3} L/min, but has to be above zero and finite", flow.to_l_per_min())]
    NotPositive {
        /// The quantity, as a reader would call it.
        quantity: &'static str,
        /// As given.
        flow: Flow,
    },
    /// A table that is too short.
    #[error("a table of flow against time needs two rows at least, but has {rows}")]
    TooShort {
        /// Rows that it has.
        rows: usize,
    },
    /// Times that do not rise.
    #[error(
        "row {row} of a table of flow against time is at {:.4} s, but the row before is at {:.4} s: times have to rise",
        time.to_s(), before.to_s()
    )]
    TimesDoNotRise {
        /// Number of the row, from 1.
        row: usize,
        /// Its time.
        time: Time,
        /// That of the row before.
        before: Time,
    },
    /// A time or a flow that is no number.
    #[error("row {row} of a table of flow against time is no pair of finite numbers")]
    NotFinite {
        /// Number of the row, from 1.
        row: usize,
    },
    /// A table without any flow inward.
    #[error("no flow in the table is above zero, so that nothing is inhaled; inward flow counts as positive")]
    NothingInhaled,
}
