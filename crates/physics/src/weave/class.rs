//! Woven or knitted: what a class stands for where a construction is silent.

use moteweir_units::{BasisWeight, LinearDensity, ThreadCount};

/// Length of yarn in a length of woven cloth; common practice, no source.
const WOVEN_RUN: f64 = 1.05;
/// Stitches per area times the square of the loop length, of a relaxed plain knit (5.3 x 4.1).
/// Source: [`crate::refs::MUNDEN_1959`], from memory.
const KNIT_LOOP: f64 = 5.3 * 4.1;

/// How the yarns are bound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum WeaveClass {
    /// Warp and weft.
    Woven,
    /// Loops of a plain knit: `warp` is wales and `weft` courses over length. Surer of nothing than a weave.
    Knit,
}

/// What a class stands for where the construction is silent: at the open end, usually, and at the tight end.
pub(super) struct ClassValues {
    /// Width over height of the yarn's section.
    pub(super) aspect: [f64; 3],
    /// Solidity of the fibres inside the yarn.
    pub(super) packing: [f64; 3],
    /// Largest share of the spacing that a thread covers, however tight the cloth.
    pub(super) largest_cover: [f64; 3],
    /// Smallest open area of the cloth.
    pub(super) least_open: [f64; 3],
    /// Thickness of the cloth over the sum of two yarns' heights.
    pub(super) layers: f64,
}

impl WeaveClass {
    /// Common practice, no source: yarns of sheeting are flattened about 3 to 1, those of knits nearly round; slits
    /// stay open at the crossings of the tightest cloth. Inside a spun yarn about 0.55, between Peirce's 1.1 cm3/g of
    /// cotton (0.60, from memory) and softer yarns.
    ///
    /// These are no blind guesses: aspect, packing and least open area of knits and the largest cover of weaves were
    /// changed once, after the pressure drops of a T-shirt, a sweater, trousers and denim had been compared with
    /// measured ones. What those cloths read since then does not confirm the values.
    pub(super) const fn values(self) -> ClassValues {
        match self {
            Self::Woven => ClassValues {
                aspect: [2.0, 3.0, 4.0],
                packing: [0.60, 0.55, 0.50],
                largest_cover: [0.90, 0.95, 0.98],
                least_open: [0.0; 3],
                layers: 1.0,
            },
            Self::Knit => ClassValues {
                aspect: [1.0, 1.1, 1.3],
                packing: [0.65, 0.58, 0.50],
                largest_cover: [1.0; 3],
                least_open: [0.04, 0.02, 0.01],
                layers: 1.25,
            },
        }
    }

    /// Length of yarn in an area of cloth \[1/m\].
    ///
    /// ```text
    /// woven  1.05 (n_warp + n_weft)
    /// knit   n_wale n_course l,   l = sqrt(21.7/(n_wale n_course))   the length of a loop
    /// ```
    /// Crimp of 5 % is common practice without a source; the loop is [`crate::refs::MUNDEN_1959`], from memory, for
    /// relaxed plain knits.
    pub fn yarn_length_per_area(self, warp: ThreadCount, weft: ThreadCount) -> f64 {
        let (n1, n2) = (warp.to_per_m(), weft.to_per_m());
        match self {
            Self::Woven => WOVEN_RUN * (n1 + n2),
            Self::Knit => (KNIT_LOOP * n1 * n2).sqrt(),
        }
    }

    /// Linear density of the yarn of a cloth of an areal weight.
    pub fn yarn_of_weight(self, weight: BasisWeight, warp: ThreadCount, weft: ThreadCount) -> LinearDensity {
        LinearDensity::from_kg_per_m(weight.to_kg_per_m2() / self.yarn_length_per_area(warp, weft))
    }

    /// What the threads of the two sets are called.
    pub(super) const fn names(self) -> [&'static str; 2] {
        match self {
            Self::Woven => ["warp", "weft"],
            Self::Knit => ["wale", "course"],
        }
    }
}

/// Which of a class's values is used for what a construction leaves out.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Choice {
    Open,
    Usual,
    Tight,
}

impl Choice {
    pub(super) const fn of(self, values: [f64; 3]) -> f64 {
        values[self as usize]
    }
}
