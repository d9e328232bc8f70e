//! The groups that closed forms ask for, and the ranges they are claimed in.

use moteweir_units::Solidity;

use crate::cell::KuwabaraCell;

/// A particle at a fibre in its cell, as dimensionless groups over the superficial velocity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellGroups {
    solidity: Solidity,
    cell: KuwabaraCell,
    fibre_knudsen: f64,
    interception: f64,
    stokes: Option<f64>,
    peclet: Option<f64>,
    settling: Option<f64>,
    fibre_reynolds: Option<f64>,
}

impl CellGroups {
    /// A point without inertia, diffusion or weight. `fibre_knudsen` is `2 lambda/d_f`, 0 or more.
    pub fn new(solidity: Solidity, fibre_knudsen: f64) -> Self {
        Self {
            solidity,
            cell: KuwabaraCell::new(solidity, fibre_knudsen),
            fibre_knudsen,
            interception: 0.0,
            stokes: None,
            peclet: None,
            settling: None,
            fibre_reynolds: None,
        }
    }

    /// With an interception parameter `R = d_p/d_f`, 0 or more.
    #[must_use]
    pub const fn with_interception(self, interception: f64) -> Self {
        Self { interception, ..self }
    }

    /// With a Stokes number `rho d_p^2 Cc U/(18 mu d_f)`, 0 or more.
    #[must_use]
    pub const fn with_stokes(self, stokes: f64) -> Self {
        Self { stokes: Some(stokes), ..self }
    }

    /// With a Peclet number `U d_f/D`, above 0.
    #[must_use]
    pub const fn with_peclet(self, peclet: f64) -> Self {
        Self { peclet: Some(peclet), ..self }
    }

    /// With a settling speed over U, 0 or more.
    #[must_use]
    pub const fn with_settling(self, settling: f64) -> Self {
        Self { settling: Some(settling), ..self }
    }

    /// With a fibre Reynolds number `rho_g U d_f/mu`, above 0.
    #[must_use]
    pub const fn with_fibre_reynolds(self, fibre_reynolds: f64) -> Self {
        Self { fibre_reynolds: Some(fibre_reynolds), ..self }
    }

    /// The solidity.
    pub const fn solidity(&self) -> Solidity {
        self.solidity
    }

    /// The cell.
    pub const fn cell(&self) -> &KuwabaraCell {
        &self.cell
    }

    /// The fibre Knudsen number.
    pub const fn fibre_knudsen(&self) -> f64 {
        self.fibre_knudsen
    }

    /// The interception parameter.
    pub const fn interception(&self) -> f64 {
        self.interception
    }

    /// The Stokes number, if inertia counts.
    pub const fn stokes(&self) -> Option<f64> {
        self.stokes
    }

    /// The Peclet number, if diffusion counts.
    pub const fn peclet(&self) -> Option<f64> {
        self.peclet
    }

    /// The settling speed over U, if weight counts.
    pub const fn settling(&self) -> Option<f64> {
        self.settling
    }

    /// The fibre Reynolds number, if known.
    pub const fn fibre_reynolds(&self) -> Option<f64> {
        self.fibre_reynolds
    }

    /// The same at a velocity that is `factor` times as high.
    #[must_use]
    pub(super) fn faster(self, factor: f64) -> Self {
        Self {
            stokes: self.stokes.map(|s| s * factor),
            peclet: self.peclet.map(|p| p * factor),
            settling: self.settling.map(|g| g / factor),
            fibre_reynolds: self.fibre_reynolds.map(|re| re * factor),
            ..self
        }
    }

    /// `x = (1 - alpha)/Ku`.
    pub(super) fn shear(&self) -> f64 {
        (1.0 - self.cell.solidity()) / self.cell.kuwabara_factor()
    }
}

/// The range that a form is claimed for, ends included; a group that a form does not ask for is not limited.
///
/// Where authors say nothing of the fibre Knudsen number a form without slip is claimed for 0 to 0.02: fibres of more
/// than 7 um in air of the room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Claimed {
    /// Solidity.
    pub solidity: [f64; 2],
    /// Fibre Knudsen number.
    pub fibre_knudsen: [f64; 2],
    /// Interception parameter.
    pub interception: [f64; 2],
    /// Stokes number.
    pub stokes: Option<[f64; 2]>,
    /// Peclet number.
    pub peclet: Option<[f64; 2]>,
    /// Settling speed over U.
    pub settling: Option<[f64; 2]>,
    /// Fibre Reynolds number.
    pub fibre_reynolds: Option<[f64; 2]>,
}

impl Claimed {
    /// Whether the groups lie inside. A group that is limited and not given lies outside.
    pub fn contains(&self, groups: &CellGroups) -> bool {
        let within = |[low, high]: [f64; 2], value: f64| value >= low && value <= high;
        let optional = |limits: Option<[f64; 2]>, value: Option<f64>| match (limits, value) {
            (None, _) => true,
            (Some(limits), Some(value)) => within(limits, value),
            (Some(_), None) => false,
        };
        within(self.solidity, groups.cell.solidity())
            && within(self.fibre_knudsen, groups.fibre_knudsen)
            && within(self.interception, groups.interception)
            && optional(self.stokes, groups.stokes)
            && optional(self.peclet, groups.peclet)
            && optional(self.settling, groups.settling)
            && optional(self.fibre_reynolds, groups.fibre_reynolds)
    }
}
