//! The cross-section of a yarn in a cloth: two flat sides and two half-round ends.

use std::f64::consts::PI;

/// What the two half-round ends lack from a rectangle, over the square of the height.
const ROUNDED_OFF: f64 = 1.0 - PI / 4.0;

/// Racetrack section of a yarn \[m\]: the width lies in the plane of the cloth.
///
/// ```text
/// area = w h - (1 - pi/4) h^2,   w >= h
/// ```
/// Source: [`crate::refs::KEMP_1958`], from memory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Section {
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Section {
    /// Of an area and a ratio of width to height, at least 1.
    pub(super) fn of_aspect(area: f64, aspect: f64) -> Self {
        let height = (area / (aspect - ROUNDED_OFF)).sqrt();
        Self { width: aspect * height, height }
    }

    /// Of an area and a width; `None` if the area is more than a round yarn of that width has.
    pub(super) fn of_width(area: f64, width: f64) -> Option<Self> {
        let under_root = width * width - 4.0 * ROUNDED_OFF * area;
        if area > PI / 4.0 * width * width || under_root < 0.0 {
            return None;
        }
        // The stable form of the smaller root of w h - k h^2 = area.
        Some(Self { width, height: 2.0 * area / (width + under_root.sqrt()) })
    }

    /// Of an area and a height; round where the height leaves no room for flat sides.
    pub(super) fn of_height(area: f64, height: f64) -> Self {
        let width = area / height + ROUNDED_OFF * height;
        if width < height { Self::of_aspect(area, 1.0) } else { Self { width, height } }
    }

    /// Its area \[m2\].
    pub(super) fn area(self) -> f64 {
        self.width * self.height - ROUNDED_OFF * self.height * self.height
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_section_is_the_same_from_aspect_width_and_height() {
        for aspect in [1.0, 1.7, 3.0, 6.0] {
            let section = Section::of_aspect(2.4e-8, aspect);
            assert!((section.area() / 2.4e-8 - 1.0).abs() < 1e-12);
            let by_width = Section::of_width(2.4e-8, section.width * (1.0 + 1e-12)).expect("fits");
            let by_height = Section::of_height(2.4e-8, section.height * (1.0 - 1e-12));
            assert!((by_width.height / section.height - 1.0).abs() < 1e-6, "aspect {aspect}");
            assert!((by_height.width / section.width - 1.0).abs() < 1e-6, "aspect {aspect}");
        }
    }
}
