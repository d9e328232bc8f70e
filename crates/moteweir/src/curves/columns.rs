//! Columns of a curve.

/// A column of a curve; which of them belong together decides what the file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "`name` says what each is, with its unit")]
pub enum CurveColumn {
    Diameter,
    From,
    To,
    FaceVelocity,
    Penetration,
    Efficiency,
    StandardUncertainty,
    UpstreamCounts,
    DownstreamCounts,
    UpstreamSeconds,
    DownstreamSeconds,
    CorrelationRatio,
    CorrelationUncertainty,
    PressureDrop,
    AirPermeability,
}

impl CurveColumn {
    /// Every column.
    pub const ALL: [Self; 15] = [
        Self::Diameter,
        Self::From,
        Self::To,
        Self::FaceVelocity,
        Self::Penetration,
        Self::Efficiency,
        Self::StandardUncertainty,
        Self::UpstreamCounts,
        Self::DownstreamCounts,
        Self::UpstreamSeconds,
        Self::DownstreamSeconds,
        Self::CorrelationRatio,
        Self::CorrelationUncertainty,
        Self::PressureDrop,
        Self::AirPermeability,
    ];

    /// The name in the heading, with its unit.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Diameter => "diameter_um",
            Self::From => "from_um",
            Self::To => "to_um",
            Self::FaceVelocity => "face_velocity_cm_per_s",
            Self::Penetration => "penetration",
            Self::Efficiency => "efficiency",
            Self::StandardUncertainty => "standard_uncertainty",
            Self::UpstreamCounts => "upstream_counts",
            Self::DownstreamCounts => "downstream_counts",
            Self::UpstreamSeconds => "upstream_seconds",
            Self::DownstreamSeconds => "downstream_seconds",
            Self::CorrelationRatio => "correlation_ratio",
            Self::CorrelationUncertainty => "correlation_ratio_uncertainty",
            Self::PressureDrop => "pressure_drop_pa",
            Self::AirPermeability => "air_permeability_mm_per_s",
        }
    }

    /// The lowest and the highest number that is possible, and the same in words. The lower end itself is not
    /// possible.
    pub(super) const fn limits(self) -> (f64, f64, &'static str) {
        match self {
            Self::Diameter | Self::From | Self::To => (0.000_999_9, 100.0, "0.001 to 100"),
            Self::FaceVelocity => (0.0, 2000.0, "above 0, to 2000"),
            Self::Penetration => (0.0, 1.0, "above 0, to 1"),
            // An efficiency may be 0, and a little below in noise, but not 1: then nothing gets through.
            Self::Efficiency => (-1e-12, 1.0, "0 to below 1"),
            Self::StandardUncertainty | Self::CorrelationUncertainty => {
                (0.0, 1e6, "above 0; leave it empty where it is not known")
            }
            Self::UpstreamCounts => (0.0, 1e15, "1 to 1e15"),
            Self::DownstreamCounts => (-1e-12, 1e15, "0 to 1e15"),
            Self::UpstreamSeconds | Self::DownstreamSeconds => (0.0, 1e7, "above 0, to 1e7"),
            Self::CorrelationRatio => (0.0, 100.0, "above 0, to 100"),
            Self::PressureDrop => (0.0, 1e5, "above 0, to 100000"),
            Self::AirPermeability => (0.0, 20_000.0, "above 0, to 20000"),
        }
    }

    /// The column of a name in a heading; case and space do not count.
    pub(super) fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|column| column.name().eq_ignore_ascii_case(name.trim()))
    }
}
