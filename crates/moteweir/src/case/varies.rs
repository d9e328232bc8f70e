//! What differs from piece to piece of a material.

use super::facts::Facts;
use super::input::{Input, given};
use super::known::{Known, Origin};
use super::material::{Material, Structure};
use crate::problem::Fault;
use crate::scenario::{Entry, Key, Quantity, VariationAsWritten, keys};

/// How one quantity of a material differs from piece to piece: coefficients of variation of two independent factors,
/// lognormal with mean 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Variation {
    /// Basis weight, thickness, fibre diameter or surface charge.
    pub input: Input,
    /// From lot to lot, 0 to below 1: shared by all sheets of the material in a stack.
    pub lot: f64,
    /// From sheet to sheet inside a lot, 0 to below 1: each sheet its own.
    pub sheet: f64,
    /// The scenario or the class.
    pub origin: Origin,
}

/// One piece of a material over its mean: ratios.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Of the basis weight; of a weave also of the yarn's linear density, at the same counts.
    pub basis_weight: f64,
    /// Of the thickness.
    pub thickness: f64,
    /// Of the solidity: weight over thickness.
    pub solidity: f64,
    /// Of the fibre diameter, at the same weight.
    pub fibre_diameter: f64,
    /// Of the charge on the fibres.
    pub surface_charge: f64,
}

/// A lognormal factor of mean 1 and a coefficient of variation, for a standard normal number.
///
/// ```text
/// x = exp(s z - s^2/2),   s^2 = ln(1 + cv^2)
/// ```
pub fn factor_of_mean_one(coefficient_of_variation: f64, normal: f64) -> f64 {
    let variance = coefficient_of_variation.powi(2).ln_1p();
    (variance.sqrt() * normal - 0.5 * variance).exp()
}

impl Variation {
    /// The factor of a lot and of a sheet in it together, for two standard normal numbers.
    pub fn factor(&self, lot: f64, sheet: f64) -> f64 {
        factor_of_mean_one(self.lot, lot) * factor_of_mean_one(self.sheet, sheet)
    }
}

impl Material {
    /// A piece with some of its quantities at ratios to their means; an input that does not vary is left out.
    ///
    /// Geometry keeps weight, thickness and solidity together: where the thickness varies in its own right, the
    /// solidity is what weight and thickness make it; where only the weight does, a heavier sheet is denser if the
    /// thickness was measured, else thicker (a fabric by the root, as its yarns are then thicker both ways). A flow
    /// that was measured on the mean sheet is no part of this: the fibres found from it are those of all pieces.
    pub fn piece(&self, ratios: &[(Input, f64)]) -> Piece {
        let ratio = |input| given(ratios, input).unwrap_or(1.0);
        let basis_weight = ratio(Input::BasisWeight);
        let (measured, unmeasured) = match &self.structure {
            Structure::Web(web) => (web.thickness.is_measured(), basis_weight),
            Structure::Weave(weave) => {
                (weave.thickness.as_ref().is_some_and(Known::is_measured), basis_weight.sqrt())
            }
        };
        let alone = if measured { 1.0 } else { unmeasured };
        let thickness = given(ratios, Input::Thickness).unwrap_or(alone);
        Piece {
            basis_weight,
            thickness,
            solidity: basis_weight / thickness,
            fibre_diameter: ratio(Input::FibreDiameter),
            surface_charge: ratio(Input::SurfaceCharge),
        }
    }
}

/// What the scenario says of how a material varies, and what its class adds: a quantity that the scenario names is
/// wholly the scenario's. `None` where it says what cannot be, with the reason noted.
pub(super) fn of(facts: &mut Facts<'_, '_>, structure: &Structure) -> Option<Vec<Variation>> {
    use keys::Varies as K;
    let written = &facts.written.varies;
    if let (Some(charge), Structure::Weave(_)) = (&written.surface_charge, structure) {
        let key = K::SURFACE_CHARGE.name;
        let fault = Fault::KeyOfOtherStructure { key, structure: structure.name(), owners: "webs" };
        facts.ledger.error(fault, charge.span.clone());
        return None;
    }
    let all = [
        (Input::BasisWeight, &K::BASIS_WEIGHT, &written.basis_weight),
        (Input::Thickness, &K::THICKNESS, &written.thickness),
        (Input::FibreDiameter, &K::FIBRE_DIAMETER, &written.fibre_diameter),
        (Input::SurfaceCharge, &K::SURFACE_CHARGE, &written.surface_charge),
    ];
    let mut found = Vec::new();
    for (input, key, written) in all {
        match written {
            Some(written) => found.push(stated(input, written)?),
            None => found.extend(facts.class_variation(input, key)),
        }
    }
    found.retain(|variation| variation.lot > 0.0 || variation.sheet > 0.0);
    Some(found)
}

/// A variation as the scenario states it; a part that is absent is none.
fn stated(input: Input, written: &VariationAsWritten) -> Option<Variation> {
    let part = |entry: &Entry<Quantity>| match entry {
        Entry::Absent => Some(0.0),
        Entry::Broken(_) => None,
        Entry::Stated(written) => Some(written.value.si),
    };
    Some(Variation { input, lot: part(&written.lot)?, sheet: part(&written.sheet)?, origin: Origin::Given })
}

impl Facts<'_, '_> {
    /// How a quantity of the material's class varies, noted as assumed.
    fn class_variation(&mut self, input: Input, key: &'static Key) -> Option<Variation> {
        let class = self.class?;
        let usual = class.variation(key.name)?;
        let origin = Origin::Class { class: class.name.clone(), source: usual.source.clone() };
        self.ledger.assume(Some(self.name), usual.assumed_key, usual.text(), origin.clone());
        Some(Variation { input, lot: usual.lot, sheet: usual.sheet, origin })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_factor_has_mean_one_and_the_coefficient_asked_for() {
        // Trapezoids over the normal density: exact to far beyond these digits for smooth functions.
        for cv in [0.01, 0.1, 0.9] {
            let moment = |power: i32| {
                let step = 1e-2;
                let sum: f64 = (-1200..=1200)
                    .map(|i| {
                        let z = f64::from(i) * step;
                        factor_of_mean_one(cv, z).powi(power) * (-0.5 * z * z).exp()
                    })
                    .sum();
                sum * step / (2.0 * std::f64::consts::PI).sqrt()
            };
            assert!((moment(1) - 1.0).abs() < 1e-9, "{cv}: mean {}", moment(1));
            let got = (moment(2) - 1.0).sqrt();
            assert!((got / cv - 1.0).abs() < 1e-6, "{cv}: got {got}");
        }
    }
}
