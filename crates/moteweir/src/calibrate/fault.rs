//! Why a case cannot be calibrated.

use crate::predict::MediumFault;

/// Why a case cannot be calibrated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CalibrationFault {
    /// Materials that make no layer.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Media(Vec<MediumFault>),
    /// Nothing was measured.
    #[error(
        "there is nothing to calibrate to: the scenario has no [bench] with counts or resistances and no [[measured]] (`moteweir keys` lists them)"
    )]
    NothingMeasured,
    /// No velocity of a reading.
    #[error(
        "{name}, line {line}: the face velocity is not known; state `face_velocity_cm_per_s` in the file, or `hole` and `pump` in [bench]"
    )]
    NoVelocity {
        /// The file.
        name: String,
        /// Line of the reading.
        line: u32,
    },
    /// Nothing is unknown of what was tested, and nothing was tested that the model can be compared with.
    #[error("none of the readings can be used: {why}")]
    NothingUsable {
        /// Why not.
        why: &'static str,
    },
    /// Counts that no likelihood can be made of.
    #[error(transparent)]
    Counting(#[from] moteweir_sim::counting::CountingError),
    /// No draw of the prior makes a layer.
    #[error(
        "nothing that the scenario allows agrees with the readings at all; check the units, and whether ranges contradict one another"
    )]
    Impossible,
}
