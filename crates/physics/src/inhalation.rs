//! Which sizes reach where: sampling conventions and deposition in the airways.

use moteweir_units::Length;

use crate::aerosol::normal_below;

/// Fractions of airborne particles of an aerodynamic diameter that are inhalable, thoracic and respirable \[-\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SamplingFractions {
    /// Enters nose or mouth.
    pub inhalable: f64,
    /// Passes the larynx.
    pub thoracic: f64,
    /// Reaches the gas exchange region.
    pub respirable: f64,
}

/// The sampling conventions at an aerodynamic diameter.
///
/// ```text
/// inhalable   SI = 0.5 (1 + e^(-0.06 d)),                d in um, to 100 um
/// thoracic    SI [1 - F(ln(d/11.64)/ln 1.5)]
/// respirable  SI [1 - F(ln(d/4.25)/ln 1.5)],             F the standard normal distribution
/// ```
/// Source: [`crate::refs::EN_481`].
/// Checked by `tests/published/inhalation.rs`.
pub fn sampling_fractions(aerodynamic_diameter: Length) -> SamplingFractions {
    let d = aerodynamic_diameter.to_um();
    let inhalable = 0.5 * (1.0 + (-0.06 * d).exp());
    let beyond = |median: f64| inhalable * normal_below(-(d / median).ln() / 1.5_f64.ln());
    SamplingFractions { inhalable, thoracic: beyond(11.64), respirable: beyond(4.25) }
}

/// Deposition of inhaled particles by region, averaged over sex and three activity levels \[-\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deposition {
    /// What enters at all.
    pub inhalable: f64,
    /// Head airways.
    pub head: f64,
    /// Tracheobronchial region.
    pub tracheobronchial: f64,
    /// Alveolar region.
    pub alveolar: f64,
    /// Total, fitted apart: up to 0.06 from the sum.
    pub total: f64,
}

/// Deposition in the airways at a diameter of a sphere of unit density.
///
/// Source: [`crate::refs::HINDS_ICRP66`], 0.416 and 0.234 as read (copies with 0.415 and 0.23 exist).
/// Valid from 1 nm to 100 um.
/// Checked by `tests/published/inhalation.rs`.
pub fn deposition(diameter: Length) -> Deposition {
    let d = diameter.to_um();
    let ln = d.ln();
    let inhalable = 1.0 - 0.5 * (1.0 - 1.0 / (1.0 + 0.00076 * d.powf(2.8)));
    let logistic = |a: f64, b: f64| 1.0 / (1.0 + (a + b * ln).exp());
    let bell = |a: f64, b: f64| (-a * (ln + b).powi(2)).exp();
    Deposition {
        inhalable,
        head: inhalable * (logistic(6.84, 1.183) + logistic(0.924, -1.885)),
        tracheobronchial: 0.00352 / d * (bell(0.234, 3.40) + 63.9 * bell(0.819, -1.61)),
        alveolar: 0.0155 / d * (bell(0.416, 2.84) + 19.11 * bell(0.482, -1.362)),
        total: inhalable * (0.0587 + 0.911 * logistic(4.77, 1.485) + 0.943 * logistic(0.508, -2.58)),
    }
}
