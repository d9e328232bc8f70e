//! How many draws: a number, or as many as the quantiles asked for need.

use thiserror::Error;

/// How well a quantile has to be known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// In the unit of the quantity.
    Absolute(f64),
    /// Relative to the quantile.
    Relative(f64),
}

impl Tolerance {
    /// In the unit of the quantity, at a value of it.
    pub fn at(self, value: f64) -> f64 {
        match self {
            Self::Absolute(tolerance) => tolerance,
            Self::Relative(tolerance) => tolerance * value.abs(),
        }
    }

    const fn number(self) -> f64 {
        match self {
            Self::Absolute(tolerance) | Self::Relative(tolerance) => tolerance,
        }
    }
}

/// A quantile that was asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Which quantity, counted from 0.
    pub quantity: usize,
    /// Share of the draws below the quantile, above 0 and below 1.
    pub rank: f64,
    /// Twice the standard error shall be below this.
    pub tolerance: Tolerance,
}

/// How many draws.
#[derive(Clone, Debug, PartialEq)]
pub enum Draws {
    /// As many as this.
    Exactly(u64),
    /// As many as the wanted quantiles need.
    Adaptive {
        /// Every one of these.
        wanted: Vec<Wanted>,
        /// Draws before the first look, and between looks at least; 10 000 is the batch of JCGM 101.
        batch: u64,
        /// Never more than this.
        most: u64,
    },
}

/// What a run has to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Numbers of a draw of which the distribution is wanted.
    pub quantities: usize,
    /// Things that hold in a draw or do not.
    pub targets: usize,
    /// How many draws.
    pub draws: Draws,
}

/// A plan that cannot be carried out.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PlanError {
    /// A quantile of a quantity that is not there.
    #[error(
        "a quantile of quantity {quantity} is asked for, but there are only {quantities}, counted from 0"
    )]
    NoSuchQuantity {
        /// The number asked for.
        quantity: usize,
        /// How many there are.
        quantities: usize,
    },
    /// A rank that is no share.
    #[error("the rank of a quantile is {rank}, but has to lie above 0 and below 1")]
    Rank {
        /// As asked for.
        rank: f64,
    },
    /// A tolerance that cannot be reached.
    #[error("the tolerance of a quantile is {tolerance}, but has to be above 0")]
    Tolerance {
        /// As asked for.
        tolerance: f64,
    },
}

impl Plan {
    /// Numbers that a draw writes: quantities, then targets.
    pub const fn width(&self) -> usize {
        self.quantities + self.targets
    }

    /// Most draws that the plan can need.
    pub const fn most(&self) -> u64 {
        match self.draws {
            Draws::Exactly(count) => count,
            Draws::Adaptive { most, .. } => most,
        }
    }

    pub(super) fn check(&self) -> Result<(), PlanError> {
        let Draws::Adaptive { wanted, .. } = &self.draws else { return Ok(()) };
        for Wanted { quantity, rank, tolerance } in wanted {
            if *quantity >= self.quantities {
                return Err(PlanError::NoSuchQuantity { quantity: *quantity, quantities: self.quantities });
            }
            if !(*rank > 0.0 && *rank < 1.0) {
                return Err(PlanError::Rank { rank: *rank });
            }
            let tolerance = tolerance.number();
            if tolerance.is_nan() || tolerance <= 0.0 {
                return Err(PlanError::Tolerance { tolerance });
            }
        }
        Ok(())
    }

    /// The count of draws at which to look next.
    pub(super) fn next_look(&self, drawn: u64) -> u64 {
        match self.draws {
            Draws::Exactly(count) => count,
            Draws::Adaptive { batch, most, .. } => {
                // A look costs as much as some thousand draws: at least a tenth more each time, in whole batches.
                let batch = batch.max(1);
                most.min(drawn.saturating_add((drawn / 10).div_ceil(batch).max(1).saturating_mul(batch)))
            }
        }
    }
}
