//! The straight lines of the literature for impaction, as comparators only: no closure uses them.

/// What authors have printed in front of `J Stk`, for the Stokes number over the fibre diameter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Prefactor {
    /// `J Stk/(2 Ku)^2`, as Tan (2014), Air Pollution and Greenhouse Gases, p. 179, has it.
    SquareOfTwiceKu,
    /// `J Stk/(2 Ku^2)`, the commoner one in English texts; Hinds (1999), Aerosol Technology, eq. 9.24 (from memory).
    TwiceSquareOfKu,
}

/// Single-fibre efficiency of impaction after Stechkina, Kirsch and Fuchs \[-\].
///
/// ```text
/// E_I = J Stk/(4 Ku^2) or J Stk/(2 Ku^2)
/// J = (29.6 - 28 alpha^0.62) R^2 - 27.5 R^2.8   for R < 0.4
/// J = 2.0                                       for R >= 0.4
/// ```
/// Source: Stechkina, Kirsch and Fuchs (1969), Ann. Occup. Hyg. 12:1, J and the rule of 2.0 as printed by Tan (2014),
/// p. 179. The two prefactors agree if the original's Stokes number is over the fibre radius.
/// Valid for 0.0035 < alpha < 0.111, 0.01 < R < 0.4 (from memory). Leaves out: that the truth starts below zero and is
/// no straight line; the comparison is in `tests/published`.
pub fn stechkina(alpha: f64, kuwabara: f64, stokes: f64, interception: f64, prefactor: Prefactor) -> f64 {
    let j = if interception < 0.4 {
        (29.6 - 28.0 * alpha.powf(0.62)) * interception.powi(2) - 27.5 * interception.powf(2.8)
    } else {
        2.0
    };
    let divisor = match prefactor {
        Prefactor::SquareOfTwiceKu => 4.0,
        Prefactor::TwiceSquareOfKu => 2.0,
    };
    j * stokes / (divisor * kuwabara * kuwabara)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cell::kuwabara_factor;

    /// Worked by hand from the equations, solidity 0.05, to the digits shown.
    #[test]
    fn both_prefactors_give_their_printed_values() {
        let rows = [
            (0.1, 0.03, 0.00246, 0.00493),
            (0.1, 0.18, 0.0148, 0.0296),
            (0.1, 2.0, 0.164, 0.328),
            (0.5, 0.03, 0.0236, 0.0472),
            (0.5, 0.5, 0.393, 0.787),
            (0.5, 2.0, 1.57, 3.15),
        ];
        let ku = kuwabara_factor(0.05);
        for (interception, stokes, lesser, greater) in rows {
            for (prefactor, expected) in
                [(Prefactor::SquareOfTwiceKu, lesser), (Prefactor::TwiceSquareOfKu, greater)]
            {
                let got = stechkina(0.05, ku, stokes, interception, prefactor);
                assert!(
                    (got / expected - 1.0).abs() < 4e-3,
                    "R {interception}, Stk {stokes}, {prefactor:?}: got {got}, expected {expected}"
                );
            }
        }
    }
}
