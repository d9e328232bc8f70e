//! The table of the joint law: its axes and its file.

use super::SOLIDITY_RANGE;
use super::axis::Axis;

/// The table compiled into the program.
static COMPILED: &[u8] = include_bytes!("../electret_table.bin");

const MAGIC: [u8; 8] = *b"mwcharge";
const VERSION: u32 = 1;
const AXES: usize = 4;
const HEADER: usize = MAGIC.len() + 4 * (1 + AXES) + 8 * 2 * AXES;

/// Why bytes are no table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TableError {
    /// They do not begin as a table does.
    #[error("not a table of the joint electret law")]
    Foreign,
    /// They are a table of another layout.
    #[error("table of the joint electret law of version {found}, expected {VERSION}")]
    Version {
        /// The version found.
        found: u32,
    },
    /// Too few or too many of them.
    #[error("table of the joint electret law of {found} bytes, expected {expected}")]
    Length {
        /// The length that the header asks for.
        expected: usize,
        /// The length found.
        found: usize,
    },
}

/// Where the table is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axes {
    /// Of the solidity alpha: `ln(alpha/(1 - alpha))`.
    pub solidity: Axis,
    /// Of the sum of both charge numbers: `ln(N_sq + N_s0)`.
    pub strength: Axis,
    /// Of polarisation's share: `sqrt(N_s0)/(sqrt(N_s0) + sqrt(N_sq))`, 0 to 1.
    pub share: Axis,
    /// Of the particle's size: see [`Axes::of_size`], 0 to 1.
    pub size: Axis,
}

impl Axes {
    /// The axis coordinate of a solidity.
    pub fn of_solidity(alpha: f64) -> f64 {
        (alpha / (1.0 - alpha)).ln()
    }

    /// The solidity at an axis coordinate.
    pub fn solidity_at(coordinate: f64) -> f64 {
        let odds = coordinate.exp();
        odds / (1.0 + odds)
    }

    /// The axis coordinate of an interception parameter R from 0 (a point) to the room in the cell.
    ///
    /// ```text
    /// R (room + l)/(room (R + l))
    /// ```
    /// l the thickness of the layer in which the forces outweigh the air ([`Axes::layer`]): small particles at weak forces
    /// differ only by R/l.
    pub fn of_size(interception: f64, room: f64, layer: f64) -> f64 {
        interception * (room + layer) / (room * (interception + layer))
    }

    /// The interception parameter at an axis coordinate.
    pub fn size_at(coordinate: f64, room: f64, layer: f64) -> f64 {
        coordinate * room * layer / (room + layer - coordinate * room)
    }

    /// The thickness l at which the air goes past the fibre as fast as the forces draw to it, in fibre radii.
    ///
    /// ```text
    /// l = sqrt(N Ku/(1 - alpha))
    /// ```
    pub fn layer(strength: f64, wall: f64) -> f64 {
        (strength * wall).sqrt()
    }

    fn all(&self) -> [Axis; AXES] {
        [self.solidity, self.strength, self.share, self.size]
    }
}

/// The table of the joint law, a view on its bytes.
///
/// The stored number is `ln(E/(E_R + N_sq + pi N_s0))`, E the efficiency without inertia and diffusion, `E_R` exact
/// interception: the bracket is the bound of what each catches alone, and E its limit where one of them outweighs.
///
/// ```text
/// bytes  8  "mwcharge"
///        4  u32 version 1
///       16  u32 nodes of solidity (A), strength (N), share (S), size (R)
///       64  f64 first and step of each axis, in this order
///  4 A N S R  f32 ln(E/(E_R + N_sq + pi N_s0)), solidity slowest, size fastest
/// ```
/// All little-endian.
#[derive(Clone, Debug)]
pub struct ElectretTable<'a> {
    axes: Axes,
    values: &'a [u8],
}

impl ElectretTable<'static> {
    /// The table compiled into the program.
    #[expect(clippy::missing_panics_doc, reason = "the bytes are part of the program and a test reads them")]
    pub fn compiled() -> Self {
        Self::read(COMPILED).expect("the compiled table is whole, as a test asserts")
    }
}

impl<'a> ElectretTable<'a> {
    /// Reads a table.
    ///
    /// # Errors
    /// Where the bytes are no table of this layout, or not all of it.
    pub fn read(bytes: &'a [u8]) -> Result<Self, TableError> {
        if bytes.len() < HEADER || bytes[..MAGIC.len()] != MAGIC {
            return Err(TableError::Foreign);
        }
        let word = |index: usize| read_u32(&bytes[MAGIC.len() + 4 * index..]);
        if word(0) != VERSION {
            return Err(TableError::Version { found: word(0) });
        }
        let nodes = [1, 2, 3, 4].map(|index| word(index) as usize);
        let values = nodes.iter().fold(4_usize, |product, nodes| product.saturating_mul(*nodes));
        let expected = HEADER.saturating_add(values);
        if bytes.len() != expected || nodes.iter().any(|nodes| *nodes < 4) {
            return Err(TableError::Length { expected, found: bytes.len() });
        }
        let number = |index: usize| read_f64(&bytes[HEADER - 8 * (2 * AXES - index)..]);
        let [solidity, strength, share, size] = [0, 1, 2, 3].map(|axis| Axis {
            first: number(2 * axis),
            step: number(2 * axis + 1),
            nodes: nodes[axis],
        });
        Ok(Self { axes: Axes { solidity, strength, share, size }, values: &bytes[HEADER..] })
    }

    /// Writes a table: `values` in the order of the file.
    pub fn write(axes: &Axes, values: &[f32]) -> Vec<u8> {
        let mut bytes = MAGIC.to_vec();
        bytes.extend(VERSION.to_le_bytes());
        for axis in axes.all() {
            bytes.extend(u32::try_from(axis.nodes).unwrap_or(u32::MAX).to_le_bytes());
        }
        for number in axes.all().iter().flat_map(|axis| [axis.first, axis.step]) {
            bytes.extend(number.to_le_bytes());
        }
        for value in values {
            bytes.extend(value.to_le_bytes());
        }
        bytes
    }

    /// The axes.
    pub fn axes(&self) -> &Axes {
        &self.axes
    }

    /// The stored numbers at a node of solidity, little-endian f32, by strength, then share, then size; none beyond the last
    /// node.
    pub fn stored_at(&self, node: usize) -> &'a [[u8; 4]] {
        let plane = self.axes.strength.nodes * self.axes.share.nodes * self.axes.size.nodes;
        self.values.as_chunks::<4>().0.chunks_exact(plane).nth(node).unwrap_or_default()
    }

    /// The values at one solidity, by strength, then share, then size.
    pub(super) fn at_solidity(&self, alpha: f64) -> Vec<f64> {
        let held = alpha.clamp(SOLIDITY_RANGE.low, SOLIDITY_RANGE.high);
        let place = self.axes.solidity.place(Axes::of_solidity(held));
        let plane = self.axes.strength.nodes * self.axes.share.nodes * self.axes.size.nodes;
        let mut values = vec![0.0; plane];
        for (node, weight) in (place.base..).zip(place.weights) {
            for (value, bytes) in values.iter_mut().zip(self.stored_at(node)) {
                *value += weight * f64::from(f32::from_le_bytes(*bytes));
            }
        }
        values
    }
}

fn read_u32(bytes: &[u8]) -> u32 {
    bytes.first_chunk().map_or(0, |word| u32::from_le_bytes(*word))
}

fn read_f64(bytes: &[u8]) -> f64 {
    bytes.first_chunk().map_or(f64::NAN, |word| f64::from_le_bytes(*word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_compiled_table_is_whole() {
        let table = ElectretTable::read(COMPILED).unwrap();
        let ends = [table.axes.solidity.first, table.axes.solidity.last()].map(Axes::solidity_at);
        assert!((ends[0] - SOLIDITY_RANGE.low).abs() < 1e-12, "{ends:?}");
        assert!((ends[1] - SOLIDITY_RANGE.high).abs() < 1e-12, "{ends:?}");
        assert!(COMPILED.len() < 400_000, "{} bytes", COMPILED.len());
    }

    #[test]
    fn what_is_written_is_read_back() {
        let axis = Axis::between(-3.0, 0.0, 4);
        let axes = Axes { solidity: axis, strength: axis, share: axis, size: Axis::between(0.0, 1.0, 5) };
        let values: Vec<f32> = (0..320_u16).map(f32::from).collect();
        let bytes = ElectretTable::write(&axes, &values);
        let table = ElectretTable::read(&bytes).unwrap();
        assert_eq!(table.axes, axes);
        let plane = table.at_solidity(Axes::solidity_at(-1.0));
        assert!((plane[79] - 239.0).abs() < 1e-9, "{}", plane[79]);
    }

    #[test]
    fn other_bytes_are_refused() {
        assert_eq!(ElectretTable::read(b"something else").unwrap_err(), TableError::Foreign);
        let mut bytes = COMPILED.to_vec();
        bytes.pop();
        let (expected, found) = (COMPILED.len(), bytes.len());
        assert_eq!(ElectretTable::read(&bytes).unwrap_err(), TableError::Length { expected, found });
        bytes[8] = 7;
        assert_eq!(ElectretTable::read(&bytes).unwrap_err(), TableError::Version { found: 7 });
    }

    #[test]
    fn sizes_come_back_from_their_coordinate() {
        for (room, layer) in [(3.0, 0.01), (0.6, 4.0)] {
            for share in [0.0, 0.1, 0.7, 1.0] {
                let r = share * room;
                let coordinate = Axes::of_size(r, room, layer);
                assert!((Axes::size_at(coordinate, room, layer) - r).abs() < 1e-12 * (1.0 + room / layer));
                assert!((0.0..=1.0 + 1e-12).contains(&coordinate));
            }
        }
    }
}
