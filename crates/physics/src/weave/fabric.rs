//! A cloth as the model sees it: round pores in a sheet of yarn.

use std::f64::consts::PI;

use moteweir_units::{Length, Solidity};

/// How a pore goes through the cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PoreShape {
    /// A hole of one width, as long as the cloth is thick, with a rim.
    Straight,
    /// A throat between yarns with rounded sides.
    Throat {
        /// Radius of the sides: half a yarn's height.
        yarn_radius: Length,
    },
}

/// The pores of a cloth, all alike and round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pores {
    /// Diameter, at the narrowest of a throat.
    pub diameter: Length,
    /// Pores over area \[1/m2\].
    pub per_area: f64,
    /// Straight or a throat.
    pub shape: PoreShape,
}

impl Pores {
    /// Share of the sheet that is pore \[-\].
    pub fn open_area(&self) -> f64 {
        let d = self.diameter.to_m();
        self.per_area * PI / 4.0 * d * d
    }
}

/// One reading of a cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fabric {
    /// The pores; `None` where there are none and all air goes through the yarns.
    pub pores: Option<Pores>,
    /// Thickness of the cloth.
    pub thickness: Length,
    /// Solidity of the fibres inside the yarns.
    pub yarn_solidity: Solidity,
    /// Volume of yarn, air between its fibres included, over the area of the sheet \[m\].
    pub yarn_bulk: Length,
    /// Measured over predicted drag of the yarns, 1 unless a reading closes the pores.
    pub yarn_drag_factor: f64,
}

impl Fabric {
    /// Share of the sheet that is pore \[-\].
    pub fn open_area(&self) -> f64 {
        self.pores.map_or(0.0, |p| p.open_area())
    }

    /// Length of the way through the yarns \[m\]: their volume over the area that they cover.
    ///
    /// This keeps the fibres in the way of the air those that the cloth was weighed with.
    pub fn yarn_path(&self) -> Length {
        self.yarn_bulk / (1.0 - self.open_area())
    }
}
