//! A stream of random numbers for one purpose and one index.

use std::convert::Infallible;

use rand::TryRng;

use super::normal::normal_quantile;
use super::philox::philox4x64;

/// What random numbers are for: a name, and a number where there are several of a kind (the layer, the sheet).
///
/// Two purposes with different names have different streams unless their 64-bit hashes are equal, which 1000 names do
/// with a chance of 3e-14. Two items of one name never share a stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Purpose {
    name: u64,
    item: u64,
}

impl Purpose {
    /// The purpose of a name, its item 0. The name is hashed (FNV-1a): renaming changes the numbers.
    pub const fn named(name: &str) -> Self {
        let mut hash = 0xcbf2_9ce4_8422_2325_u64;
        let bytes = name.as_bytes();
        let mut at = 0;
        while at < bytes.len() {
            hash = (hash ^ bytes[at] as u64).wrapping_mul(0x0000_0100_0000_01b3);
            at += 1;
        }
        Self { name: hash, item: 0 }
    }

    /// The same purpose for another item.
    #[must_use]
    pub const fn item(self, item: u64) -> Self {
        Self { name: self.name, item }
    }
}

/// The random numbers of one (seed, purpose, index): Philox4x64-10 with the seed and the item as key and (block, index,
/// purpose) as counter.
///
/// It implements the generator traits of `rand` 0.10, so that `rand_distr` samples from it. A sampler that rejects may
/// take any count of words without moving anything elsewhere; where draws have to line up between runs (common random
/// numbers, Sobol points), use [`Stream::normal`] and other inverse distributions, one word a number.
#[derive(Clone, Debug)]
pub struct Stream {
    key: [u64; 2],
    counter: [u64; 4],
    block: [u64; 4],
    used: usize,
}

impl Stream {
    /// The stream of a purpose and an index, most often the number of the draw. It costs nothing until it is asked.
    #[inline]
    pub const fn new(seed: u64, purpose: Purpose, index: u64) -> Self {
        Self { key: [seed, purpose.item], counter: [0, index, purpose.name, 0], block: [0; 4], used: 4 }
    }

    /// The next 64 random bits.
    #[inline]
    pub fn word(&mut self) -> u64 {
        if self.used == self.block.len() {
            self.block = philox4x64(self.counter, self.key);
            self.counter[0] = self.counter[0].wrapping_add(1);
            self.used = 0;
        }
        let word = self.block[self.used];
        self.used += 1;
        word
    }

    /// A number evenly between 0 and 1, never either of them; one word.
    #[inline]
    pub fn uniform(&mut self) -> f64 {
        unit_interval(self.word())
    }

    /// A standard normal number, by the inverse distribution; one word.
    #[inline]
    pub fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform())
    }
}

/// Bits to a number strictly between 0 and 1: the middle of one of 2^52 equal cells.
#[inline]
pub fn unit_interval(bits: u64) -> f64 {
    const CELL: f64 = 1.0 / (1_u64 << 52) as f64;
    ((bits >> 12) as f64 + 0.5) * CELL
}

impl TryRng for Stream {
    type Error = Infallible;

    #[inline]
    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        Ok((self.word() >> 32) as u32)
    }

    #[inline]
    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.word())
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        for chunk in bytes.chunks_mut(8) {
            let word = self.word().to_le_bytes();
            chunk.copy_from_slice(&word[..chunk.len()]);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use rand::{Rng, RngExt};
    use rand_distr::{Distribution, Gamma};

    use super::*;

    const CHARGE: Purpose = Purpose::named("charge");

    #[test]
    fn a_stream_is_a_function_of_seed_purpose_item_and_index() {
        let first = |seed, purpose, index| Stream::new(seed, purpose, index).word();
        let here = first(7, CHARGE, 3);
        assert_eq!(here, first(7, CHARGE, 3));
        let others = [
            first(8, CHARGE, 3),
            first(7, CHARGE, 4),
            first(7, CHARGE.item(1), 3),
            first(7, Purpose::named("weight"), 3),
        ];
        assert!(!others.contains(&here), "{others:x?}");
    }

    #[test]
    fn the_words_are_those_of_the_counter() {
        let mut stream = Stream::new(7, CHARGE.item(5), 3);
        let words: Vec<u64> = (0..6).map(|_| stream.word()).collect();
        let block = |number| philox4x64([number, 3, CHARGE.name, 0], [7, 5]);
        assert_eq!(words[..4], block(0));
        assert_eq!(words[4..], block(1)[..2]);
    }

    #[test]
    fn one_draw_more_in_one_purpose_moves_no_other() {
        let draw = |rejections: u32| {
            let mut gamma = Stream::new(1, Purpose::named("gamma"), 9);
            for _ in 0..rejections {
                gamma.word();
            }
            Stream::new(1, CHARGE, 9).uniform()
        };
        assert_eq!(draw(0).to_bits(), draw(5).to_bits());
    }

    #[test]
    fn neither_end_of_the_unit_interval_is_reached() {
        assert!(unit_interval(0) > 0.0);
        assert!(unit_interval(u64::MAX) < 1.0);
        assert_eq!(unit_interval(0).to_bits(), (1.0 - unit_interval(u64::MAX)).to_bits());
    }

    #[test]
    fn rand_and_its_distributions_work_on_it() {
        let mut stream = Stream::new(2, CHARGE, 0);
        let mut bytes = [0; 11];
        stream.fill_bytes(&mut bytes);
        let mut again = Stream::new(2, CHARGE, 0);
        assert_eq!(bytes[..8], again.next_u64().to_le_bytes());
        assert_eq!(bytes[8..], again.next_u64().to_le_bytes()[..3]);
        assert!((0.0..1.0).contains(&stream.random::<f64>()));

        // Mean of 100 000 gamma numbers of shape 2.5: 2.5, standard error sqrt(2.5/1e5) = 0.005. Significance 1e-6.
        let gamma = Gamma::new(2.5, 1.0).unwrap();
        let sum: f64 = (0..100_000).map(|i| gamma.sample(&mut Stream::new(2, CHARGE, i))).sum();
        assert!((sum / 1e5 - 2.5).abs() < 4.89 * 0.005, "mean {}", sum / 1e5);
    }

    /// Chi-squared of 2^20 first words over 256 cells, for each of the 8 bytes, and of pairs of neighbouring indices.
    /// 255 degrees of freedom: mean 255, variance 510; 9 tests, significance 1e-6 together by the cube-root normal
    /// approximation of Wilson and Hilferty (z = 5.2).
    #[test]
    fn first_words_of_neighbouring_indices_are_even_and_independent() {
        let words: Vec<u64> = (0..1 << 20).map(|i| Stream::new(3, CHARGE, i).word()).collect();
        let mut tests: Vec<Vec<usize>> =
            (0..8).map(|byte| words.iter().map(|w| usize::from(w.to_le_bytes()[byte])).collect()).collect();
        tests.push(tests[7].windows(2).map(|w| w[0] >> 4 << 4 | w[1] >> 4).collect());
        for (number, cells) in tests.iter().enumerate() {
            let mut counts = [0_u32; 256];
            for &cell in cells {
                counts[cell] += 1;
            }
            let expected = cells.len() as f64 / 256.0;
            let chi2: f64 = counts.iter().map(|&c| (f64::from(c) - expected).powi(2) / expected).sum();
            let spread = 2.0 / (9.0 * 255.0);
            let z = ((chi2 / 255.0).cbrt() - (1.0 - spread)) / spread.sqrt();
            assert!(z.abs() < 5.2, "test {number}: chi-squared {chi2}, z {z}");
        }
    }
}
