//! Whether ranks are even: the test of simulation-based calibration.

/// What a test of ranks found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RankTest {
    /// Chi-squared over cells.
    pub chi_squared: f64,
    /// Cells less one.
    pub freedom: f64,
    /// The chi-squared as a standard normal number, by Wilson and Hilferty's cube root; large where ranks are uneven.
    pub z: f64,
}

/// Tests whether ranks, each a whole number from 0 to `most`, are spread evenly over `cells` cells.
///
/// Where a true value is drawn from the prior, data from it, and `most` independent draws from what is known after the
/// data, the rank of the true value among them is even ([`moteweir_physics::refs::TALTS_2018`]). `most` + 1 is to be a multiple of
/// `cells`.
pub fn evenness(ranks: &[usize], most: usize, cells: usize) -> RankTest {
    let mut counts = vec![0.0_f64; cells];
    for rank in ranks {
        counts[rank * cells / (most + 1)] += 1.0;
    }
    let expected = ranks.len() as f64 / cells as f64;
    let chi_squared = counts.iter().map(|count| (count - expected).powi(2) / expected).sum::<f64>();
    let freedom = cells as f64 - 1.0;
    let spread = 2.0 / (9.0 * freedom);
    RankTest { chi_squared, freedom, z: ((chi_squared / freedom).cbrt() - (1.0 - spread)) / spread.sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn even_ranks_pass_and_crowded_ones_do_not() {
        let even: Vec<usize> = (0..200).map(|i| i % 100).collect();
        assert!(evenness(&even, 99, 20).z < -4.0);
        let crowded: Vec<usize> = (0..200).map(|i| if i < 40 { 0 } else { i % 100 }).collect();
        assert!(evenness(&crowded, 99, 20).z > 5.0);
    }
}
