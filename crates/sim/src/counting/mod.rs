//! Statistics of particle counts: how much gets through, and how sure that is.

mod clock;
mod compare;
mod deviance;
mod draws;
mod error;
mod exact;
mod group;
mod incomplete_beta;
mod incomplete_gamma;
mod joint;
mod lattice;
mod layers;
mod likelihood;
mod log_gamma;
mod nuisance;
mod plan;
mod readings;
mod simulated;
mod spread_of_counts;
mod tail;
#[cfg(test)]
mod tests;

pub use compare::{Comparison, Ranking, Verdict, compare_all, compare_one};
pub use error::CountingError;
pub use exact::{Bounds, Counted, binomial_interval, rate_interval, ratio_interval};
pub use incomplete_beta::{incomplete_beta, inverse_incomplete_beta};
pub use incomplete_gamma::incomplete_gamma;
pub use joint::{Fit, Found, Method};
pub use layers::{Layers, LayersFound, LayersVerdict, layers};
pub use likelihood::{ChannelLikelihood, Nuisances};
pub use plan::{
    Bench, Planned, Times, best_split, curve, half_width, power_of_claim, power_of_difference,
    power_of_width, time_for_claim, time_for_difference, time_for_width,
};
pub use readings::{Assumptions, Reading, State};
pub use simulated::simulated;
