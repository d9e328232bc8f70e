//! What is taken to hold on the edge of the cell.

/// The condition on the edge of the cell. The choices give 2.96, 3.81 and 4.32 at solidity 0.05, R = 0 and Pe = 1, differ
/// by 1e-5 at Pe = 10 and are the same beyond.
///
/// Where the air leaves, the first two let particles leave with it and none diffuse across the edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum EdgeCondition {
    /// As many particles enter as the air carries at the concentration 1: the condition of this project.
    ///
    /// A fibre cannot catch more than enters its cell, so that the efficiency stays below alpha^(-1/2), all the air of
    /// the cell, down to Pe = 0; and where inflow changes over to outflow the flux is continuous. It is low at Pe = 1: a
    /// web that takes in particles as in `AllRound` and lets them diffuse along the flow from layer to layer thins them
    /// out like cells of E = 3.52 there (the quadratic for the decay length, solidity 0.05).
    InflowFlux,
    /// The concentration is 1 where the air enters: particles also diffuse in, from an upstream that never thins out.
    /// At the sides, where it changes over to outflow, the flux is singular, and the solution of first order only.
    InflowConcentration,
    /// The concentration is 1 all round: particles diffuse in from behind the fibre as well.
    AllRound,
}

impl EdgeCondition {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::InflowFlux, Self::InflowConcentration, Self::AllRound];
}
