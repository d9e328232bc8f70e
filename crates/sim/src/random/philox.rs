//! Philox4x64-10: 256 random bits as a function of a counter and a key.

const MULTIPLIERS: [u64; 2] = [0xd2e7_470e_e14c_6c93, 0xca5a_8263_9512_1157];
/// Added to the key from round to round: the golden ratio and sqrt(3) - 1.
const WEYL: [u64; 2] = [0x9e37_79b9_7f4a_7c15, 0xbb67_ae85_84ca_a73b];
const ROUNDS: usize = 10;

/// Four words of random bits for a counter, under a key.
///
/// ```text
/// c0, c1, c2, c3  <-  hi(M1 c2) ^ c1 ^ k0,  lo(M1 c2),  hi(M0 c0) ^ c3 ^ k1,  lo(M0 c0)      ten times
/// k0, k1          <-  k0 + W0, k1 + W1                                                     between the rounds
/// ```
/// Source: Salmon, Moraes, Dror and Shaw (2011), Parallel random numbers: as easy as 1, 2, 3, SC'11.
/// Checked here by the known answers that their library Random123 publishes.
#[inline]
pub fn philox4x64(counter: [u64; 4], key: [u64; 2]) -> [u64; 4] {
    let [mut c0, mut c1, mut c2, mut c3] = counter;
    let [mut k0, mut k1] = key;
    for _ in 0..ROUNDS {
        let (high0, low0) = wide_product(MULTIPLIERS[0], c0);
        let (high1, low1) = wide_product(MULTIPLIERS[1], c2);
        (c0, c1, c2, c3) = (high1 ^ c1 ^ k0, low1, high0 ^ c3 ^ k1, low0);
        k0 = k0.wrapping_add(WEYL[0]);
        k1 = k1.wrapping_add(WEYL[1]);
    }
    [c0, c1, c2, c3]
}

#[expect(clippy::cast_possible_truncation, reason = "the two halves are what is wanted")]
const fn wide_product(a: u64, b: u64) -> (u64, u64) {
    let product = a as u128 * b as u128;
    ((product >> 64) as u64, product as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rows `philox4x64 10` of Random123's file of known answers: counter, key, result.
    const KNOWN: [([u64; 4], [u64; 2], [u64; 4]); 3] = [
        ([0; 4], [0; 2], [0x16554d9eca36314c, 0xdb20fe9d672d0fdc, 0xd7e772cee186176b, 0x7e68b68aec7ba23b]),
        (
            [u64::MAX; 4],
            [u64::MAX; 2],
            [0x87b092c3013fe90b, 0x438c3c67be8d0224, 0x9cc7d7c69cd777b6, 0xa09caebf594f0ba0],
        ),
        (
            [0x243f6a8885a308d3, 0x13198a2e03707344, 0xa4093822299f31d0, 0x082efa98ec4e6c89],
            [0x452821e638d01377, 0xbe5466cf34e90c6c],
            [0xa528f45403e61d95, 0x38c72dbd566e9788, 0xa5a1610e72fd18b5, 0x57bd43b5e52b7fe6],
        ),
    ];

    #[test]
    fn the_published_answers_come_out() {
        for (counter, key, answer) in KNOWN {
            assert_eq!(philox4x64(counter, key), answer, "counter {counter:x?}, key {key:x?}");
        }
    }

    /// `numpy.random.Philox(key=0x123456789abcdef, counter=[6, 7, 8, 9]).random_raw(4)`, NumPy 2.4, which counts before
    /// it draws.
    #[test]
    fn another_implementation_agrees() {
        let answer = philox4x64([7, 7, 8, 9], [0x123456789abcdef, 0]);
        assert_eq!(answer, [0x4e420a9bb16f9cc5, 0xb1b6b473b96a1bfc, 0xcc5bd93bbac86625, 0x63ddf07aadfbb76d]);
    }
}
