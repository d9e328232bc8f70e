//! Named operating points: face velocities at which filters are used or tested.

use moteweir_units::{Area, Flow, Velocity};

/// A face velocity that has a name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OperatingPoint {
    /// Name in `[use] points`.
    pub name: &'static str,
    /// What the velocity follows from.
    pub basis: PointBasis,
    /// Where the flow, the area or the velocity comes from.
    pub source: &'static str,
}

/// What the velocity of an operating point follows from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PointBasis {
    /// A flow through the user's device: over the area of `[use]`, or over the default area.
    Device(Flow),
    /// A flow through a sample of a fixed area.
    Sample(Flow, Area),
    /// A velocity as such.
    Velocity(Velocity),
}

const MINUTE_VOLUME: &str = "twice the minute volume is the mean flow while inhaling, pi times it the peak of a sine; \
                             minute volumes of ISO 16976-1, from memory";

const fn device(name: &'static str, l_per_min: f64, source: &'static str) -> OperatingPoint {
    OperatingPoint { name, basis: PointBasis::Device(Flow::from_l_per_min(l_per_min)), source }
}

const fn velocity(name: &'static str, cm_per_s: f64, source: &'static str) -> OperatingPoint {
    OperatingPoint { name, basis: PointBasis::Velocity(Velocity::from_cm_per_s(cm_per_s)), source }
}

impl OperatingPoint {
    /// Every operating point.
    pub const ALL: &'static [Self] = &[
        device("mask at rest", 2.0 * 10.0, MINUTE_VOLUME),
        device("mask at light work", 2.0 * 20.0, MINUTE_VOLUME),
        device("mask at heavy work", 2.0 * 50.0, MINUTE_VOLUME),
        device("mask at heavy work, peak", std::f64::consts::PI * 50.0, MINUTE_VOLUME),
        device("respirator test", 85.0, "42 CFR 84: 85 L/min through the device"),
        device("half mask test at 95 L/min", 95.0, "EN 149: 95 L/min through the device"),
        device("half mask test at 30 L/min", 30.0, "EN 149: inhalation resistance at 30 L/min"),
        velocity(
            "slow swatch test",
            5.3,
            "32 L/min through 100 cm2 of flat medium: common practice, no source",
        ),
        velocity("swatch test", 10.0, "ASTM F3502: swatch at 10 cm/s, from memory"),
        OperatingPoint {
            name: "medical mask pressure test",
            basis: PointBasis::Sample(Flow::from_l_per_min(8.0), Area::from_cm2(4.9)),
            source: "EN 14683: 8 L/min through 4.9 cm2",
        },
        velocity(
            "room air cleaner",
            5.0,
            "pleated medium, velocity through the paper: common practice, no source",
        ),
        velocity("fan and filter box", 12.0, "four pleated panels on a fan: common practice, no source"),
        velocity("flat pad in a duct", 125.0, "one of the face velocities of ASHRAE 52.2"),
    ];

    /// The point of this name; case does not count.
    pub fn find(name: &str) -> Option<&'static Self> {
        Self::ALL.iter().find(|point| point.name.eq_ignore_ascii_case(name.trim()))
    }

    /// The face velocity, in a device of the given area.
    pub fn face_velocity(&self, device_area: Area) -> Velocity {
        match self.basis {
            PointBasis::Device(flow) => flow / device_area,
            PointBasis::Sample(flow, area) => flow / area,
            PointBasis::Velocity(velocity) => velocity,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_of_devices_follow_the_area_and_others_do_not() {
        let rest = OperatingPoint::find("Mask at rest").unwrap();
        // 20 L/min = 333.3 cm3/s over 150 cm2.
        assert!((rest.face_velocity(Area::from_cm2(150.0)).to_cm_per_s() - 333.333_333 / 150.0).abs() < 1e-6);
        assert!((rest.face_velocity(Area::from_cm2(300.0)).to_cm_per_s() - 333.333_333 / 300.0).abs() < 1e-6);
        let medical = OperatingPoint::find("medical mask pressure test").unwrap();
        // 0.272 m/s, whatever the device.
        assert!((medical.face_velocity(Area::from_cm2(150.0)).to_m_per_s() - 0.272).abs() < 2e-4);
    }

    #[test]
    fn names_are_unique_and_every_point_says_where_it_is_from() {
        for (index, point) in OperatingPoint::ALL.iter().enumerate() {
            assert!(
                OperatingPoint::ALL[index + 1..].iter().all(|other| other.name != point.name),
                "{}",
                point.name
            );
            assert!(!point.source.is_empty(), "{}", point.name);
        }
    }
}
