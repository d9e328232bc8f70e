//! Laws of capture by charge, from memory: to be compared, not to be computed with.
//!
//! Sources: [`refs::OTANI_1993`](crate::refs::OTANI_1993), [`refs::LUNDGREN_WHITBY_1965`](crate::refs::LUNDGREN_WHITBY_1965);
//! the others without one.

use std::f64::consts::PI;

use crate::cell::KuwabaraCell;
use crate::single_fibre::electrostatic;

/// What draws a particle to a fibre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChargeForce {
    /// An electret fibre, a line dipole, draws a charged particle.
    DipoleCharge,
    /// The same draws a neutral particle that it polarises.
    DipolePolarisation,
    /// A fibre with charge of one sign draws a neutral particle that it polarises.
    LinePolarisation,
    /// A charged particle and its image in a neutral fibre.
    Image,
}

/// A law for a point particle without diffusion and inertia: a number N, the drift speed at the fibre's surface over the
/// superficial velocity, gives a single-fibre efficiency.
#[derive(Clone, Copy, Debug)]
pub struct ChargeForm {
    /// Which force, and the equation.
    pub name: &'static str,
    /// What draws the particle.
    pub force: ChargeForce,
    /// Where the law comes from.
    pub source: &'static str,
    /// The range of N that it is claimed for, or that matters.
    pub claimed: [f64; 2],
    formula: fn(&KuwabaraCell, f64) -> f64,
}

impl ChargeForm {
    /// Single-fibre efficiency \[-\] at a number N, 0 or more.
    pub fn value(&self, cell: &KuwabaraCell, number: f64) -> f64 {
        (self.formula)(cell, number)
    }
}

const OTANI: &str = "Otani, Emi and Mori 1993, from memory";

/// Every law, by force.
pub const BY_CHARGE: [ChargeForm; 7] = [
    ChargeForm {
        name: "electret, charged particle: 0.59 N^0.83",
        force: ChargeForce::DipoleCharge,
        source: "from memory",
        claimed: [1e-3, 10.0],
        formula: |_, n| 0.59 * n.powf(0.83),
    },
    ChargeForm {
        name: "electret, charged particle: 0.78 N",
        force: ChargeForce::DipoleCharge,
        source: OTANI,
        claimed: [1e-3, 1.0],
        formula: |_, n| 0.78 * n,
    },
    ChargeForm {
        name: "electret, neutral particle: 0.54 N^0.40",
        force: ChargeForce::DipolePolarisation,
        source: "from memory",
        claimed: [1e-3, 10.0],
        formula: |_, n| 0.54 * n.powf(0.4),
    },
    ChargeForm {
        name: "electret, neutral particle: 1.48 N^0.93, 0.51 N^0.73, 0.51 N^0.35",
        force: ChargeForce::DipolePolarisation,
        source: OTANI,
        claimed: [1e-4, 100.0],
        formula: |_, n| in_pieces(n),
    },
    ChargeForm {
        name: "line charge, neutral particle: (3 pi N/2)^(1/3)",
        force: ChargeForce::LinePolarisation,
        source: "from memory",
        claimed: [0.1, 10.0],
        formula: |_, n| (1.5 * PI * n).cbrt(),
    },
    ChargeForm {
        name: "image force: 1.5 N^(1/2)",
        force: ChargeForce::Image,
        source: "Lundgren and Whitby 1965, from memory",
        claimed: [1e-6, 1e-2],
        formula: |_, n| 1.5 * n.sqrt(),
    },
    ChargeForm {
        name: "image force: thin layer",
        force: ChargeForce::Image,
        source: "derived",
        claimed: [1e-6, 1e-2],
        formula: electrostatic::image_in_cell,
    },
];

/// Below 0.01, up to 1 and beyond.
fn in_pieces(n: f64) -> f64 {
    if n < 0.01 {
        1.48 * n.powf(0.93)
    } else if n < 1.0 {
        0.51 * n.powf(0.73)
    } else {
        0.51 * n.powf(0.35)
    }
}

#[cfg(test)]
mod tests {
    use moteweir_units::Solidity;

    use super::*;

    /// Worked by hand at solidity 0.05 (Ku 0.79724), N 0.01, to the digits shown.
    #[test]
    fn laws_worked_by_hand() {
        let cell = KuwabaraCell::new(Solidity::new(0.05).expect("inside 0..1"), 0.0);
        let expected = [0.0129078, 0.0078, 0.0855842, 0.0176836, 0.361199, 0.15, 0.218322];
        for (form, expected) in BY_CHARGE.iter().zip(expected) {
            let got = form.value(&cell, 0.01);
            assert!((got / expected - 1.0).abs() < 5e-6, "{}: {got}, expected {expected}", form.name);
        }
    }
}
