//! Results as sentences and tables for people: words first, then numbers, then cautions, each said once.

mod answer;
mod assumed;
mod calibrate;
mod caught;
mod closing;
mod counts;
mod effort;
mod measured;
mod plan;
mod prediction;
mod resolve;
mod review;
mod shelf;
mod table;
mod tally;
mod vary;
mod verdict;
mod wear;
mod wrapped;

pub use assumed::assumed;
pub use calibrate::{calibration, calibration_sentences};
pub use counts::{count_columns, counts};
pub use effort::effort;
pub use plan::plan;
pub use prediction::prediction;
pub use resolve::{resolve, resolved_caption};
pub use review::{Decisions, review, review_screen};
pub use shelf::{class, shelf};
pub use table::{Align, Table};
pub use tally::tally;
pub use vary::vary;
pub use verdict::{verdict, verdict_in_brief, verdict_on_charge, verdict_sentence};
pub use wear::wear;
pub(crate) use wrapped::wrapped;

/// Width of the text.
const WIDTH: usize = 110;

/// The caution under every prediction.
pub const CAUTION: &str = "A calculation, no certificate: it knows nothing of fit, of ageing, or of what a material \
sheds or gives off. Do not breathe through glass fibre or unknown material. Local rules and licensed practice decide \
how a mask is chosen, fitted and used.";

/// The caution under every count.
pub const SCREENING: &str = "A screening on a bench, no certificate: it replaces no test by an accredited laboratory and \
knows nothing of fit, of ageing, or of what a material sheds or gives off. Local rules and licensed practice decide how a \
mask is chosen, fitted and used.";
