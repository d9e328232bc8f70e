//! How hard somebody works, and how much air that takes.

use moteweir_units::Flow;

/// Eight levels of work, under names of this program.
///
/// Source: [`crate::refs::ISO_16976_1`]. That there are eight levels, of 65 to 600 W/m2 of body surface, was read; the minute volumes
/// are from memory and uncertain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WorkLevel {
    /// Sitting still.
    Rest,
    /// Work with the hands, standing, strolling.
    Light,
    /// Steady work with arms and legs.
    Moderate,
    /// Carrying, digging, walking fast.
    Heavy,
    /// Climbing, digging fast.
    VeryHeavy,
    /// Rescue, running: for less than an hour.
    Hard,
    /// For some minutes.
    VeryHard,
    /// All that somebody trained can give.
    Utmost,
}

impl WorkLevel {
    /// All levels, the lowest first.
    pub const ALL: [Self; 8] = [
        Self::Rest,
        Self::Light,
        Self::Moderate,
        Self::Heavy,
        Self::VeryHeavy,
        Self::Hard,
        Self::VeryHard,
        Self::Utmost,
    ];

    /// The name in scenarios and outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Light => "light work",
            Self::Moderate => "moderate work",
            Self::Heavy => "heavy work",
            Self::VeryHeavy => "very heavy work",
            Self::Hard => "hard effort",
            Self::VeryHard => "very hard effort",
            Self::Utmost => "utmost effort",
        }
    }

    /// The level of a name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|level| level.name() == name)
    }

    /// Air breathed in a minute: 10, 20, 35, 50, 65, 85, 105 and 135 L/min (from memory, uncertain).
    pub const fn minute_volume(self) -> Flow {
        Flow::from_l_per_min(match self {
            Self::Rest => 10.0,
            Self::Light => 20.0,
            Self::Moderate => 35.0,
            Self::Heavy => 50.0,
            Self::VeryHeavy => 65.0,
            Self::Hard => 85.0,
            Self::VeryHard => 105.0,
            Self::Utmost => 135.0,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lead_back_and_volumes_rise() {
        for level in WorkLevel::ALL {
            assert_eq!(WorkLevel::named(level.name()), Some(level));
        }
        assert_eq!(WorkLevel::named("nap"), None);
        assert!(WorkLevel::ALL.is_sorted_by(|one, next| one.minute_volume() < next.minute_volume()));
    }
}
