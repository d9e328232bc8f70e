//! The face velocity that a pump makes in a hole, and how it compares with breathing.

use moteweir_units::{Area, Flow, Length, Velocity};

use crate::operating_points::OperatingPoint;
use crate::scenario::keys;

/// The points of use that a test's velocity is compared with.
const OF_USE: [&str; 3] = ["mask at rest", "mask at light work", "mask at heavy work"];
/// Velocities within this factor of each other are the same test.
const ALIKE: f64 = 1.15;

/// A face velocity of use, with its name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct InUse {
    /// Such as `mask at light work`.
    pub(crate) name: &'static str,
    /// Mean face velocity while inhaling.
    pub(crate) velocity: Velocity,
}

/// Area of a mask that velocities of use are for.
pub(crate) fn usual_area() -> Area {
    let default = keys::Use::AREA.default.and_then(|text| moteweir_units::text::FromText::read(text).ok());
    default.unwrap_or(Area::from_cm2(150.0))
}

/// Face velocities of a mask in use, the slowest first.
pub(crate) fn in_use() -> Vec<InUse> {
    let area = usual_area();
    let points = OF_USE.into_iter().filter_map(OperatingPoint::find);
    points.map(|point| InUse { name: point.name, velocity: point.face_velocity(area) }).collect()
}

/// Face velocity in a round hole.
pub(crate) fn through_hole(hole: Length, pump: Flow) -> Velocity {
    pump / (hole * hole * std::f64::consts::FRAC_PI_4)
}

/// Diameter of the round hole in which a pump makes a face velocity.
pub(crate) fn hole_for(velocity: Velocity, pump: Flow) -> Length {
    let area = pump.si() / velocity.si();
    Length::from_si((area / std::f64::consts::FRAC_PI_4).sqrt())
}

/// How a velocity compares with those of use: the nearest, and by how much it is faster.
pub(crate) fn nearest_in_use(velocity: Velocity) -> Option<(InUse, f64)> {
    let distance = |u: &InUse| (velocity / u.velocity).ln().abs();
    let nearest = in_use().into_iter().min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    Some((nearest, velocity / nearest.velocity))
}

/// Whether two velocities differ by no more than tests do.
pub(crate) fn is_alike(factor: f64) -> bool {
    (1.0 / ALIKE..=ALIKE).contains(&factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_hole_is_faster_than_breathing() {
        // 2.83 L/min = 47.17 cm3/s through 3.1416 cm2.
        let velocity = through_hole(Length::from_mm(20.0), Flow::from_l_per_min(2.83));
        assert!((velocity.to_cm_per_s() - 47.166_667 / std::f64::consts::PI).abs() < 1e-6);
        let (point, factor) = nearest_in_use(velocity).expect("there are points of use");
        assert_eq!(point.name, "mask at heavy work");
        // 100 L/min through 150 cm2 is 11.11 cm/s.
        assert!((factor - 15.0135 / 11.1111).abs() < 1e-3, "{factor}");
        let back = hole_for(velocity, Flow::from_l_per_min(2.83));
        assert!((back.to_mm() - 20.0).abs() < 1e-9);
    }
}
