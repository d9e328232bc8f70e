//! The joint law at one solidity.

use std::f64::consts::PI;

use moteweir_units::Solidity;

use super::axis::Place;
use super::table::{Axes, ElectretTable};
use crate::cell::KuwabaraCell;

/// The share of the layer in which the forces outweigh the air at which [`ElectretLaw::joint_with_slip`] weighs slip.
pub const SLIP_LAYER: f64 = 0.7;

/// How strongly an electret fibre draws a particle: drift speeds at its surface over the velocity \[-\], 0 or more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChargeNumbers {
    /// N_sq, [`coulomb_parameter`](crate::single_fibre::electrostatic::coulomb_parameter).
    pub coulomb: f64,
    /// N_s0, [`polarisation_parameter`](crate::single_fibre::electrostatic::polarisation_parameter).
    pub polarisation: f64,
}

/// The joint law at one solidity.
#[derive(Clone, Debug)]
pub struct ElectretLaw {
    cell: KuwabaraCell,
    /// Ku/(1 - alpha).
    wall: f64,
    axes: Axes,
    values: Vec<f64>,
    /// The strongest forces of the table.
    most: f64,
}

impl ElectretLaw {
    /// At a solidity, from the table compiled into the program; held beyond its solidities
    /// ([`SOLIDITY_RANGE`](super::SOLIDITY_RANGE)).
    pub fn at(solidity: Solidity) -> Self {
        Self::from_table(&ElectretTable::compiled(), solidity)
    }

    /// From a table.
    pub fn from_table(table: &ElectretTable<'_>, solidity: Solidity) -> Self {
        let cell = KuwabaraCell::new(solidity, 0.0);
        let axes = *table.axes();
        Self {
            cell,
            wall: cell.kuwabara_factor() / (1.0 - cell.solidity()),
            axes,
            values: table.at_solidity(cell.solidity()),
            most: axes.strength.last().exp(),
        }
    }

    /// Exact interception without slip in the same cell \[-\]; 1 + R where the particle is larger than the room.
    pub fn interception(&self, interception: f64) -> f64 {
        if interception < self.cell.largest_interception() {
            self.cell.stream_at_gap(interception)
        } else {
            1.0 + interception
        }
    }

    /// Single-fibre efficiency of interception, Coulomb force and polarisation together \[-\], `R = d_p/d_f` 0 or more.
    ///
    /// Without inertia, diffusion and slip on the fibre; averaged over the orientation of the fibre's dipole, so that the
    /// sign of the particle's charge does not matter. What the forces draw in through the edge of the cell is counted,
    /// so that strong forces catch more than the air of the cell brings.
    ///
    /// Source: computed, [`crate::refs::CELL_ELECTRET`]; the table's miss is [`LARGEST_MISS`](super::LARGEST_MISS).
    pub fn joint(&self, numbers: ChargeNumbers, interception: f64) -> f64 {
        let by_size = self.interception(interception);
        let ChargeNumbers { coulomb, polarisation } = numbers;
        let strength = coulomb + polarisation;
        if strength < f64::MIN_POSITIVE {
            return by_size;
        }
        let room = self.cell.largest_interception();
        // Beyond the table the forces are held at its end, their share as it is.
        let held = (self.most / strength).min(1.0);
        let bound = by_size + held * (coulomb + PI * polarisation);
        let root = polarisation.sqrt();
        let share = self.axes.share.place(root / (root + coulomb.sqrt()));
        let layer = Axes::layer(held * strength, self.wall);
        let size = self.axes.size.place(Axes::of_size(interception.min(room), room, layer));
        let strength = self.axes.strength.place(strength.ln());
        bound * self.sum(&strength, &share, &size).exp()
    }

    /// As [`ElectretLaw::joint`], where the air slips on the fibre: `cell` is the same cell with slip.
    ///
    /// ```text
    /// E_slip(N, R) = m E(N/m, R'),   m = f_slip(1 + g)/f(1 + g),   g = sqrt(R^2 + (0.7 l)^2),   m f(1 + R') = f_slip(1 + R)
    /// ```
    /// exact if slip made the air faster by the same factor m wherever it decides: at contact, which R' moves to where the
    /// flow without slip is right, and in the layer l in which the forces outweigh the air ([`Axes::layer`]). Without
    /// forces it is exact interception. R' by one step in the logarithms. The share 0.7 fitted to fresh paths at solidity
    /// 0.01 to 0.2, R to 0.5 and fibre Knudsen numbers to 0.5, all of which it meets within
    /// [`SLIP_MISS`](super::SLIP_MISS), half within 0.01.
    pub fn joint_with_slip(&self, cell: &KuwabaraCell, numbers: ChargeNumbers, interception: f64) -> f64 {
        let room = self.cell.largest_interception();
        if cell.slip_parameter() <= 0.0 || interception >= room {
            return self.joint(numbers, interception);
        }
        let layer = SLIP_LAYER * Axes::layer(numbers.coulomb + numbers.polarisation, self.wall);
        let gap = interception.hypot(layer);
        if gap < f64::MIN_POSITIVE {
            return 0.0;
        }
        let faster = if gap < room { cell.stream_at_gap(gap) / self.cell.stream_at_gap(gap) } else { 1.0 };
        let held =
            ChargeNumbers { coulomb: numbers.coulomb / faster, polarisation: numbers.polarisation / faster };
        faster * self.joint(held, self.moved_contact(cell, interception, faster))
    }

    /// Where the flow without slip, `faster` times as fast, is what the flow with slip is at contact.
    fn moved_contact(&self, cell: &KuwabaraCell, interception: f64, faster: f64) -> f64 {
        if interception <= 0.0 {
            return 0.0;
        }
        let still = self.cell.stream_at_gap(interception);
        let power = still / (interception * self.cell.stream_slope(1.0 + interception));
        let ratio = cell.stream_at_gap(interception) / (faster * still);
        (interception * ratio.powf(power)).min(self.cell.largest_interception())
    }

    fn sum(&self, strength: &Place, share: &Place, size: &Place) -> f64 {
        let (row, plane) = (self.axes.size.nodes, self.axes.size.nodes * self.axes.share.nodes);
        let mut total = 0.0;
        for (i, by_strength) in strength.weights.into_iter().enumerate() {
            let mut over_share = 0.0;
            for (j, by_share) in share.weights.into_iter().enumerate() {
                let start = (strength.base + i) * plane + (share.base + j) * row + size.base;
                let four = &self.values[start..start + 4];
                let [a, b, c, d] = size.weights;
                over_share += by_share * (a * four[0] + b * four[1] + c * four[2] + d * four[3]);
            }
            total += by_strength * over_share;
        }
        total
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law(alpha: f64) -> ElectretLaw {
        ElectretLaw::at(Solidity::new(alpha).unwrap())
    }

    fn both(coulomb: f64, polarisation: f64) -> ChargeNumbers {
        ChargeNumbers { coulomb, polarisation }
    }

    /// The joint solutions known before, about 1 %, and single forces, as far off as fresh paths are (weak forces were 2 to 4 %
    /// too high).
    #[test]
    fn the_law_meets_the_solutions_known_before() {
        for (coulomb, polarisation, interception, expected, tolerance) in [
            (0.0, 0.1, 0.3, 0.131, 0.012),
            (0.3, 0.3, 0.0, 0.289, 0.007),
            (0.0, 0.01, 0.0, 0.0200, 0.025),
            (0.0, 0.1, 0.0, 0.109, 0.006),
            (0.0, 1.0, 0.0, 0.425, 0.006),
            (0.0, 10.0, 0.0, 1.25, 0.006),
            (0.01, 0.0, 0.0, 0.0081, 0.02),
            (0.1, 0.0, 0.0, 0.0754, 0.012),
            (1.0, 0.0, 0.0, 0.601, 0.006),
            (10.0, 0.0, 0.0, 3.51, 0.006),
        ] {
            let got = law(0.05).joint(both(coulomb, polarisation), interception);
            let miss = (got / expected - 1.0).abs();
            assert!(miss < tolerance, "N {coulomb}, {polarisation}, R {interception}: {got} for {expected}");
        }
    }

    #[test]
    fn without_charge_it_is_exact_interception() {
        for (alpha, slip, interception) in
            [(0.003, 0.0, 0.0), (0.05, 0.3, 0.2), (0.4, 0.1, 0.5), (0.05, 0.0, 9.0)]
        {
            let cell = KuwabaraCell::new(Solidity::new(alpha).unwrap(), slip);
            let exact = if interception > 4.0 { 10.0 } else { cell.stream_at_gap(interception) };
            for numbers in [both(0.0, 0.0), both(0.0, 1e-12), both(1e-12, 0.0)] {
                let got = law(alpha).joint_with_slip(&cell, numbers, interception);
                assert!((got - exact).abs() < 2e-5 * exact + 1e-11, "{alpha} {interception}: {got}, {exact}");
            }
        }
    }

    /// Derived: a point is caught at most by what the whole surface takes in, and as forces weaken polarisation comes to
    /// that. More charge catches more, up to the table's roughness where charge hardly counts.
    #[test]
    fn bounds_hold_and_more_charge_catches_more() {
        for alpha in [0.003, 0.02, 0.1, 0.4] {
            let law = law(alpha);
            for share in [0.0, 0.3, 0.8, 1.0] {
                for interception in [0.0, 0.01, 0.1, 0.5] {
                    let mut before = 0.0;
                    for step in -70..20 {
                        let n = (f64::from(step) / 10.0).exp2().powf(3.32);
                        let numbers = both(n * (1.0 - share), n * share);
                        let got = law.joint(numbers, interception);
                        let bound =
                            law.interception(interception) + numbers.coulomb + PI * numbers.polarisation;
                        assert!(
                            got > 0.9995 * before && got <= bound * 1.001,
                            "{alpha} {numbers:?} {interception}: {got}"
                        );
                        before = got;
                    }
                }
            }
            let weak = law.joint(both(0.0, 1e-9), 0.0);
            assert!((weak / (PI * 1e-9) - 1.0).abs() < 0.04, "{weak}");
        }
    }

    /// Beyond the table the law is held, not extended.
    #[test]
    fn strong_forces_are_held() {
        let law = law(0.05);
        let [strong, stronger] = [both(300.0, 300.0), both(3e4, 3e4)].map(|numbers| law.joint(numbers, 0.1));
        assert!((stronger / strong - 1.0).abs() < 1e-12, "{strong}, {stronger}");
    }
}
