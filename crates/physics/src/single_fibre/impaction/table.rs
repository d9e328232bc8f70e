//! The table of limiting trajectories: its axes and its file.

use super::SOLIDITY_RANGE;

/// The table compiled into the program.
static COMPILED: &[u8] = include_bytes!("../impaction_table.bin");

const MAGIC: [u8; 8] = *b"mwimpact";
const VERSION: u32 = 1;
const COUNTS: usize = 3;
const HEADER: usize = MAGIC.len() + 4 * (1 + COUNTS) + 8 * 4;

/// Why bytes are no table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TableError {
    /// They do not begin as a table does.
    #[error("not an impaction table")]
    Foreign,
    /// They are a table of another layout.
    #[error("impaction table of version {found}, expected {VERSION}")]
    Version {
        /// The version found.
        found: u32,
    },
    /// Too few or too many of them.
    #[error("impaction table of {found} bytes, expected {expected}")]
    Length {
        /// The length that the header asks for.
        expected: usize,
        /// The length found.
        found: usize,
    },
}

/// An axis of even steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// The first node.
    pub first: f64,
    /// From node to node.
    pub step: f64,
    /// How many nodes, at least four.
    pub nodes: usize,
}

impl Axis {
    /// Even steps from `first` to `last`.
    pub fn between(first: f64, last: f64, nodes: usize) -> Self {
        Self { first, step: (last - first) / (nodes - 1) as f64, nodes }
    }

    /// The coordinate of a node.
    pub fn at(&self, node: usize) -> f64 {
        self.first + self.step * node as f64
    }

    /// The first of the four nodes to interpolate from, and their weights (cubic Lagrange, held beyond the ends).
    pub(super) fn weights(&self, coordinate: f64) -> (usize, [f64; 4]) {
        let last = (self.nodes - 1) as f64;
        let place = ((coordinate - self.first) / self.step).clamp(0.0, last);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=last above")]
        let base = (place as usize).clamp(1, self.nodes - 3) - 1;
        let t = place - base as f64;
        let [t0, t1, t2, t3] = [t, t - 1.0, t - 2.0, t - 3.0];
        (base, [-t1 * t2 * t3 / 6.0, t0 * t2 * t3 / 2.0, -t0 * t1 * t3 / 2.0, t0 * t1 * t2 / 6.0])
    }
}

/// Where the table is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Axes {
    /// Of the solidity alpha: `ln(alpha/(1 - alpha))`.
    pub solidity: Axis,
    /// Of the interception parameter over the largest that the cell has room for: `ln(R/(alpha^(-1/2) - 1))`.
    pub room: Axis,
    /// Of the Stokes number over the critical one: `ln(Stk/Stk_c(alpha))`, rising, crowded round 0.
    pub stokes: Vec<f64>,
}

impl Axes {
    /// The axis coordinate of a solidity.
    pub fn of_solidity(alpha: f64) -> f64 {
        (alpha / (1.0 - alpha)).ln()
    }

    /// The solidity at a node of its axis.
    pub fn solidity_at(&self, node: usize) -> f64 {
        let odds = self.solidity.at(node).exp();
        odds / (1.0 + odds)
    }
}

/// The impaction table, a view on its bytes.
///
/// The stored number is `g = ln(E/E_R)`, E the efficiency of the limiting trajectory, `E_R` exact interception without
/// slip: it is 0 without inertia, may be negative, and keeps E positive. The Stokes axis is relative to `Stk_c`, above
/// which points are caught, so that the steep rise stands at one place for all solidities.
///
/// ```text
/// bytes  8  "mwimpact"
///        4  u32 version 1
///       12  u32 nodes of solidity (A), of Stokes number (S), of room (P)
///       32  f64 first and step of the solidity axis, first and step of the room axis
///      8 S  f64 Stokes axis
///      8 A  f64 Stk_c (1 - alpha)/Ku, by solidity
///  8 A S P  f32 g, solidity slowest, then Stokes number, then room; the pair uniform, fluid release
/// ```
/// All little-endian.
#[derive(Clone, Debug)]
pub struct ImpactionTable<'a> {
    axes: Axes,
    critical: Vec<f64>,
    values: &'a [u8],
}

impl ImpactionTable<'static> {
    /// The table compiled into the program.
    pub fn compiled() -> Self {
        Self::read(COMPILED).expect("the compiled table is whole, as a test asserts")
    }
}

impl<'a> ImpactionTable<'a> {
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
        let [solidities, stokes, rooms] = [1, 2, 3].map(|index| word(index) as usize);
        let body = HEADER + 8 * (stokes + solidities);
        let expected = body.saturating_add(8_usize.saturating_mul(solidities * stokes).saturating_mul(rooms));
        if bytes.len() != expected || solidities.min(stokes).min(rooms) < 4 {
            return Err(TableError::Length { expected, found: bytes.len() });
        }
        let number = |index: usize| read_f64(&bytes[HEADER - 32 + 8 * index..]);
        let axes = Axes {
            solidity: Axis { first: number(0), step: number(1), nodes: solidities },
            room: Axis { first: number(2), step: number(3), nodes: rooms },
            stokes: (4..4 + stokes).map(number).collect(),
        };
        let critical = (4 + stokes..4 + stokes + solidities).map(number).collect();
        Ok(Self { axes, critical, values: &bytes[body..] })
    }

    /// Writes a table: `critical` by solidity, `values` in the order of the file.
    pub fn write(axes: &Axes, critical: &[f64], values: &[f32]) -> Vec<u8> {
        let mut bytes = MAGIC.to_vec();
        bytes.extend(VERSION.to_le_bytes());
        for nodes in [axes.solidity.nodes, axes.stokes.len(), axes.room.nodes] {
            bytes.extend(u32::try_from(nodes).unwrap_or(u32::MAX).to_le_bytes());
        }
        let ends = [axes.solidity.first, axes.solidity.step, axes.room.first, axes.room.step];
        for number in ends.iter().chain(&axes.stokes).chain(critical) {
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

    /// `Stk_c (1 - alpha)/Ku` at one solidity, and the values there, by Stokes number, then room, then release.
    pub(super) fn at_solidity(&self, alpha: f64) -> (f64, Vec<f64>) {
        let held = alpha.clamp(SOLIDITY_RANGE.low, SOLIDITY_RANGE.high);
        let (base, weights) = self.axes.solidity.weights(Axes::of_solidity(held));
        let plane = 2 * self.axes.stokes.len() * self.axes.room.nodes;
        let mut critical = 0.0;
        let mut values = vec![0.0; plane];
        for (node, weight) in (base..).zip(weights) {
            critical += weight * self.critical[node];
            let stored = self.values[4 * plane * node..4 * plane * (node + 1)].as_chunks::<4>().0;
            for (sum, bytes) in values.iter_mut().zip(stored) {
                *sum += weight * f64::from(f32::from_le_bytes(*bytes));
            }
        }
        (critical, values)
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
        let table = ImpactionTable::read(COMPILED).unwrap();
        assert!(table.axes.stokes.is_sorted());
        let ends = [0, table.axes.solidity.nodes - 1].map(|node| table.axes.solidity_at(node));
        assert!((ends[0] - SOLIDITY_RANGE.low).abs() < 1e-12, "{ends:?}");
        assert!((ends[1] - SOLIDITY_RANGE.high).abs() < 1e-12, "{ends:?}");
        assert!(COMPILED.len() < 1_100_000, "{} bytes", COMPILED.len());
    }

    #[test]
    fn what_is_written_is_read_back() {
        let axes = Axes {
            solidity: Axis::between(-3.0, 0.0, 4),
            room: Axis::between(-2.0, 0.0, 5),
            stokes: vec![-1.0, 0.0, 0.5, 2.0],
        };
        let values: Vec<f32> = (0..160_u8).map(f32::from).collect();
        let bytes = ImpactionTable::write(&axes, &[0.5, 0.6, 0.7, 0.8], &values);
        let table = ImpactionTable::read(&bytes).unwrap();
        assert_eq!(table.axes, axes);
        let (critical, plane) = table.at_solidity(axes.solidity_at(3));
        assert!((critical - 0.8).abs() < 1e-12, "{critical}");
        assert!((plane[39] - 159.0).abs() < 1e-12, "{}", plane[39]);
    }

    #[test]
    fn other_bytes_are_refused() {
        assert_eq!(ImpactionTable::read(b"something else").unwrap_err(), TableError::Foreign);
        let mut bytes = COMPILED.to_vec();
        bytes.pop();
        let (expected, found) = (COMPILED.len(), bytes.len());
        assert_eq!(ImpactionTable::read(&bytes).unwrap_err(), TableError::Length { expected, found });
        bytes[8] = 7;
        assert_eq!(ImpactionTable::read(&bytes).unwrap_err(), TableError::Version { found: 7 });
    }

    #[test]
    fn the_weights_reproduce_a_cubic() {
        let axis = Axis::between(1.0, 3.0, 9);
        let cubic = |x: f64| 1.0 - 2.0 * x + 0.5 * x * x * x;
        for x in [1.0, 1.1, 1.9, 2.49, 2.5, 3.0] {
            let (base, weights) = axis.weights(x);
            let sum: f64 = (base..).zip(weights).map(|(node, weight)| weight * cubic(axis.at(node))).sum();
            assert!((sum - cubic(x)).abs() < 1e-12, "at {x}: {sum} for {}", cubic(x));
        }
    }
}
