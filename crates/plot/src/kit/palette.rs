//! Inks: what tells one series from another.
//!
//! Each ink differs from its neighbours in three ways at once: lightness (so that a grey print keeps them apart),
//! hue (blue against orange, the pair that the common kinds of colour blindness keep), and dash with marker shape
//! (so that neither is needed). Lightness climbs from L* 15 to 62; lighter inks would fall below a contrast of
//! 3 to 1 on white paper.

/// Colour as red, green and blue.
pub(super) type Rgb = (u8, u8, u8);

/// Black of text and frames.
pub(super) const TEXT: Rgb = (0x1C, 0x1C, 0x1C);
/// Quieter text: subtitles, footnotes, guides.
pub(super) const QUIET: Rgb = (0x55, 0x55, 0x55);
/// Lines of the grid.
pub(super) const GRID: Rgb = (0xDF, 0xDF, 0xDF);
/// Paper.
pub(super) const PAPER: Rgb = (0xFF, 0xFF, 0xFF);

/// L*, C, h of CIE LCh(ab) in turn: (15, 32, 290), (29, 46, 35), (40, 38, 260), (50, 55, 58), (57, 33, 200), (62, 42, 345).
const COLOURS: [Rgb; 6] = [
    (0x11, 0x23, 0x50),
    (0x7E, 0x25, 0x1E),
    (0x00, 0x64, 0x9A),
    (0xB4, 0x61, 0x26),
    (0x0D, 0x98, 0x9B),
    (0xD1, 0x7A, 0xA9),
];

/// Dash patterns in pixels, on and off in turn; the empty one is a full line.
const DASHES: [&[f64]; 7] = [
    &[],
    &[9.0, 4.0],
    &[2.5, 3.0],
    &[11.0, 3.5, 2.5, 3.5],
    &[5.0, 3.0],
    &[14.0, 3.5, 2.5, 3.5, 2.5, 3.5],
    &[1.5, 5.0],
];

/// Shape of the mark that stands on a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Disc,
    OpenSquare,
    Triangle,
    OpenDisc,
    Square,
    OpenTriangle,
    Diamond,
}

const SHAPES: [Shape; 7] = [
    Shape::Disc,
    Shape::OpenSquare,
    Shape::Triangle,
    Shape::OpenDisc,
    Shape::Square,
    Shape::OpenTriangle,
    Shape::Diamond,
];

/// The look of a series: colour, dash and marker shape together.
///
/// Six colours and seven dashes: the pair repeats only after 42 inks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ink(usize);

impl Ink {
    /// The ink of the n-th series of a panel, counted from 0, dark to light.
    pub const fn nth(n: usize) -> Self {
        Self(n)
    }

    pub(super) const fn colour(self) -> Rgb {
        COLOURS[self.0 % COLOURS.len()]
    }

    pub(super) const fn dash(self) -> &'static [f64] {
        DASHES[self.0 % DASHES.len()]
    }

    pub(super) const fn shape(self) -> Shape {
        SHAPES[self.0 % SHAPES.len()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CIE L* of an sRGB colour, 0 to 100.
    fn lightness(colour: Rgb) -> f64 {
        let linear = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        };
        let y = 0.2126 * linear(colour.0) + 0.7152 * linear(colour.1) + 0.0722 * linear(colour.2);
        116.0 * y.cbrt() - 16.0
    }

    #[test]
    fn each_colour_is_lighter_than_the_one_before_and_dark_enough_for_paper() {
        for pair in COLOURS.windows(2) {
            let step = lightness(pair[1]) - lightness(pair[0]);
            assert!(step > 4.5, "{pair:?} differ by L* {step}");
        }
        let lightest = lightness(COLOURS[5]);
        assert!(lightest < 63.0, "L* {lightest} is under 3 to 1 on white");
    }

    #[test]
    fn neighbours_differ_in_colour_dash_and_shape() {
        for n in 0..60 {
            let (a, b) = (Ink::nth(n), Ink::nth(n + 1));
            assert!(a.colour() != b.colour() && a.dash() != b.dash() && a.shape() != b.shape(), "{n}");
        }
    }
}
