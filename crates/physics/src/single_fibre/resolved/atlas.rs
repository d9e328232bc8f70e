//! The atlas: its file and its parts.

use super::axes::Axes;
use super::field::Field;
use super::slip::{SlipAxes, SlipTable};

/// The atlas compiled into the program.
static COMPILED: &[u8] = include_bytes!("atlas.bin");

const MAGIC: [u8; 8] = *b"mw-atlas";
const VERSION: u32 = 1;
/// Four counts and one number.
const AXES: usize = 4 * 4 + 8;
const SLIP_AXES: usize = 4 * 4;
const HEADER: usize = MAGIC.len() + 4 + 2 * AXES + SLIP_AXES;

/// Why bytes are no atlas.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AtlasError {
    /// They do not begin as an atlas does.
    #[error("not an atlas of the cell")]
    Foreign,
    /// They are an atlas of another layout.
    #[error("atlas of version {found}, expected {VERSION}")]
    Version {
        /// The version found.
        found: u32,
    },
    /// An axis has too few nodes, or the Peclet axis no length.
    #[error("an axis of the atlas has fewer than 5 nodes or no length")]
    Axes,
    /// Too few or too many of them.
    #[error("atlas of {found} bytes, expected {expected}")]
    Length {
        /// The length that the header asks for.
        expected: usize,
        /// The length found.
        found: usize,
    },
}

/// The atlas, a view on its bytes.
///
/// ```text
/// bytes  8  "mw-atlas"
///        4  u32 version 1
///    2 x 16  u32 nodes of solidity (A), slip (K), Peclet number (P), size (R), and ..
///    2 x  8  .. f64 largest Peclet number, of the gain and of the spread
///       16  u32 nodes of solidity (A), slip (K), Stokes number (S), room (Q) of the slip factors
///  4 (A+2)(K+2)PR  f32 gain, solidity slowest, then slip, Peclet number, size
///  4 (A+2)(K+2)PR  f32 spread, likewise
///  8 (A+2)(K+2)SQ  f32 slip factors h, solidity slowest, then slip, Stokes number, room; the pair uniform, fluid release
/// ```
/// All little-endian. The gain is `ln(E/E_closed)`, E the solved efficiency of diffusion and interception with the
/// inflow's flux on the edge of the cell, `E_closed` the closed form that is exact in every limit. The spread is
/// `ln(E_high/E)`, `E_high` the highest efficiency that a condition on the edge gives; it matters up to a Peclet number
/// of about 10. Along solidity and slip spline coefficients are kept, along Peclet number and size values. The axes are
/// those of [`Axes`].
#[derive(Clone, Debug)]
pub struct Atlas<'a> {
    pub(super) gain: Field<'a>,
    pub(super) spread: Field<'a>,
    pub(super) slip: SlipTable<'a>,
}

impl Atlas<'static> {
    /// The atlas compiled into the program.
    #[expect(clippy::missing_panics_doc, reason = "the bytes are part of the program and a test reads them")]
    pub fn compiled() -> Self {
        Self::read(COMPILED).expect("the compiled atlas is whole, as a test asserts")
    }
}

impl<'a> Atlas<'a> {
    /// Reads an atlas.
    ///
    /// # Errors
    /// Where the bytes are no atlas of this layout, or not all of it.
    pub fn read(bytes: &'a [u8]) -> Result<Self, AtlasError> {
        if bytes.len() < HEADER || bytes[..MAGIC.len()] != MAGIC {
            return Err(AtlasError::Foreign);
        }
        let found = read_u32(&bytes[MAGIC.len()..]);
        if found != VERSION {
            return Err(AtlasError::Version { found });
        }
        let header = &bytes[MAGIC.len() + 4..HEADER];
        let [gain, spread] = [0, 1].map(|field| read_axes(&header[AXES * field..]));
        let slip = read_slip_axes(&header[2 * AXES..]);
        for axes in [gain, spread] {
            let fewest = axes.solidities.min(axes.slips).min(axes.peclets).min(axes.sizes);
            if fewest < 5 || !(axes.largest_peclet > 1.0 && axes.largest_peclet.is_finite()) {
                return Err(AtlasError::Axes);
            }
        }
        if slip.solidities.min(slip.slips).min(slip.stokes).min(slip.rooms) < 5 {
            return Err(AtlasError::Axes);
        }
        let ends = [Field::length(&gain), Field::length(&spread), SlipTable::length(&slip)]
            .map(|length| length.min(usize::MAX / 8));
        let [first, second, expected] =
            [HEADER + ends[0], HEADER + ends[0] + ends[1], HEADER + ends[0] + ends[1] + ends[2]];
        if bytes.len() != expected {
            return Err(AtlasError::Length { expected, found: bytes.len() });
        }
        Ok(Self {
            gain: Field { axes: gain, bytes: &bytes[HEADER..first] },
            spread: Field { axes: spread, bytes: &bytes[first..second] },
            slip: SlipTable { axes: slip, bytes: &bytes[second..] },
        })
    }

    /// Writes an atlas: the axes of each part and the values at their nodes.
    pub fn write(gain: (&Axes, &[f64]), spread: (&Axes, &[f64]), slip: (&SlipAxes, &[[f64; 2]])) -> Vec<u8> {
        let mut bytes = MAGIC.to_vec();
        bytes.extend(VERSION.to_le_bytes());
        let count = |nodes: usize, bytes: &mut Vec<u8>| {
            bytes.extend(u32::try_from(nodes).unwrap_or(u32::MAX).to_le_bytes());
        };
        for (axes, _) in [gain, spread] {
            for nodes in [axes.solidities, axes.slips, axes.peclets, axes.sizes] {
                count(nodes, &mut bytes);
            }
            bytes.extend(axes.largest_peclet.to_le_bytes());
        }
        for nodes in [slip.0.solidities, slip.0.slips, slip.0.stokes, slip.0.rooms] {
            count(nodes, &mut bytes);
        }
        for (axes, values) in [gain, spread] {
            bytes.extend(Field::write(axes, values));
        }
        bytes.extend(SlipTable::write(slip.0, slip.1));
        bytes
    }
}

fn read_slip_axes(bytes: &[u8]) -> SlipAxes {
    let count = |index: usize| read_u32(&bytes[4 * index..]) as usize;
    SlipAxes { solidities: count(0), slips: count(1), stokes: count(2), rooms: count(3) }
}

fn read_axes(bytes: &[u8]) -> Axes {
    let count = |index: usize| read_u32(&bytes[4 * index..]) as usize;
    Axes {
        solidities: count(0),
        slips: count(1),
        peclets: count(2),
        largest_peclet: bytes[16..].first_chunk().map_or(f64::NAN, |word| f64::from_le_bytes(*word)),
        sizes: count(3),
    }
}

fn read_u32(bytes: &[u8]) -> u32 {
    bytes.first_chunk().map_or(0, |word| u32::from_le_bytes(*word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_compiled_atlas_is_whole() {
        Atlas::read(COMPILED).unwrap();
        assert!(COMPILED.len() < 2_000_000, "{} bytes", COMPILED.len());
    }

    #[test]
    fn other_bytes_are_refused() {
        assert_eq!(Atlas::read(b"something else").unwrap_err(), AtlasError::Foreign);
        let mut bytes = COMPILED.to_vec();
        bytes.pop();
        let (expected, found) = (COMPILED.len(), bytes.len());
        assert_eq!(Atlas::read(&bytes).unwrap_err(), AtlasError::Length { expected, found });
        bytes[12] = 4;
        assert_eq!(Atlas::read(&bytes).unwrap_err(), AtlasError::Axes);
        bytes[8] = 7;
        assert_eq!(Atlas::read(&bytes).unwrap_err(), AtlasError::Version { found: 7 });
    }
}
