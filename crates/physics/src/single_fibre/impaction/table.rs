//! The table of limiting trajectories: its axes and its file.

use super::SOLIDITY_RANGE;

/// The table compiled into the program.
static COMPILED: &[u8] = include_bytes!("../impaction_table.bin");

const MAGIC: [u8; 8] = *b"mwimpact";
const VERSION: u32 = 1;
const COUNTS: usize = 3;
const HEADER: usize = MAGIC.len() + 4 * (1 + COUNTS) + 8 * 4;

/// How far beyond the cell's edge the axis of room ends; the layer below the edge is about as thin in dense webs.
const MARGIN: f64 = 0.04;

/// Nodes of the critical Stokes number in each step of the solidity axis: the steep rise must stand in its place.
const CRITICAL_PER_STEP: usize = 4;

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
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 0..=last above"
        )]
        let base = (place as usize).clamp(1, self.nodes - 3) - 1;
        let t = place - base as f64;
        let [t0, t1, t2, t3] = [t, t - 1.0, t - 2.0, t - 3.0];
        let (outer, inner) = (t1 * t2 / 6.0, 0.5 * t0 * t3);
        (base, [-outer * t3, inner * t2, -inner * t1, outer * t0])
    }
}

/// Where the table is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Axes {
    /// Of the solidity alpha: `ln(alpha/(1 - alpha))`.
    pub solidity: Axis,
    /// Of the room p that a particle takes, `R/(alpha^(-1/2) - 1)`: `ln(p/(1.04 - p))`.
    pub room: Axis,
    /// Of the Stokes number over the critical one: `ln(Stk/Stk_c(alpha))`, rising, crowded round 0.
    pub stokes: Vec<f64>,
}

impl Axes {
    /// The axis coordinate of a solidity.
    pub fn of_solidity(alpha: f64) -> f64 {
        (alpha / (1.0 - alpha)).ln()
    }

    /// The axis coordinate of the room that a particle takes, above 0 and at most 1.
    pub fn of_room(room: f64) -> f64 {
        (room / (1.0 + MARGIN - room)).ln()
    }

    /// The room at an axis coordinate.
    pub fn room_at(coordinate: f64) -> f64 {
        let odds = coordinate.exp();
        (1.0 + MARGIN) * odds / (1.0 + odds)
    }

    /// The axis on which the critical Stokes number is kept: the solidities, four times as close.
    pub fn critical(&self) -> Axis {
        let Axis { first, step, nodes } = self.solidity;
        let refined = CRITICAL_PER_STEP as f64;
        Axis { first, step: step / refined, nodes: CRITICAL_PER_STEP * (nodes - 1) + 1 }
    }

    /// The solidity at an axis coordinate.
    pub fn solidity_at(coordinate: f64) -> f64 {
        let odds = coordinate.exp();
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
///  8(4A-3)  f64 Stk_c (1 - alpha)/Ku, at four times as many steps of solidity
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
    #[expect(clippy::missing_panics_doc, reason = "the bytes are part of the program and a test reads them")]
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
        let critical = (CRITICAL_PER_STEP * solidities).saturating_sub(CRITICAL_PER_STEP - 1);
        let body = HEADER + 8 * (stokes + critical);
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
        let critical = (4 + stokes..4 + stokes + critical).map(number).collect();
        Ok(Self { axes, critical, values: &bytes[body..] })
    }

    /// Writes a table: `critical` along [`Axes::critical`], `values` in the order of the file.
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
        let coordinate = Axes::of_solidity(held);
        let (base, weights) = self.axes.solidity.weights(coordinate);
        let plane = 2 * self.axes.stokes.len() * self.axes.room.nodes;
        let stored = |node: usize| self.values[4 * plane * node..4 * plane * (node + 1)].as_chunks::<4>().0;
        let [a, b, c, d] = [0, 1, 2, 3].map(|node| stored(base + node));
        let values = a.iter().zip(b).zip(c.iter().zip(d));
        let [wa, wb, wc, wd] = weights;
        let number = |bytes: &[u8; 4]| f64::from(f32::from_le_bytes(*bytes));
        let values = values
            .map(|((a, b), (c, d))| wa * number(a) + wb * number(b) + wc * number(c) + wd * number(d))
            .collect();
        let (base, weights) = self.axes.critical().weights(coordinate);
        let critical = self.critical[base..base + 4].iter().zip(weights).map(|(k, weight)| k * weight).sum();
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
        let ends =
            [0, table.axes.solidity.nodes - 1].map(|node| Axes::solidity_at(table.axes.solidity.at(node)));
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
        let bytes = ImpactionTable::write(&axes, &[0.8; 13], &values);
        let table = ImpactionTable::read(&bytes).unwrap();
        assert_eq!(table.axes, axes);
        let (critical, plane) = table.at_solidity(Axes::solidity_at(axes.solidity.at(3)));
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
