//! A distribution in bins that are fixed beforehand: any number of draws, one small memory.

use super::estimate::Estimate;

/// Leading bits of the fraction of a number that choose its bin.
const FRACTION_BITS: u32 = 11;
/// Bins of one power of two.
const BINS: usize = 1 << FRACTION_BITS;
/// Signs and exponents that there are.
const PAGES: usize = 1 << 12;
/// Bits of a number below its bin.
const BELOW: u32 = f64::MANTISSA_DIGITS - 1 - FRACTION_BITS;

/// The distribution of a quantity, from its draws.
///
/// Each power of two is cut into 2048 equal bins, for either sign, and a bin is chosen by the leading bits of a number:
/// no logarithm, no range to be known before. Within a bin the draws are taken as evenly spread. A quantile so lies in
/// the bin of the order statistic that it stands for, and is off by at most one part in 2048 of its value
/// ([`Sketch::RESOLUTION`]); the same holds for the spread of values that are far from zero, and below 1e-308 all are 0.
/// Minimum and maximum are exact, mean and variance are as exact as sums are.
///
/// A power of two that occurs takes a page of 16 kB, so that a quantity that spans a factor of 1000 takes 160 kB, for
/// 1000 draws or for 10^9, and 65 MB at the very most.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// Page of each sign and exponent from the first that occurs to the last, in the order of the numbers; empty for those
    /// between that do not occur.
    pages: Vec<Box<[u64]>>,
    /// The first page among all there are.
    first: usize,
    count: u64,
    not_numbers: u64,
    lowest: f64,
    highest: f64,
    /// The first draw, from which the sums are taken.
    origin: f64,
    sum: f64,
    sum_of_squares: f64,
}

impl Default for Sketch {
    fn default() -> Self {
        Self {
            pages: Vec::new(),
            first: 0,
            count: 0,
            not_numbers: 0,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
            origin: 0.0,
            sum: 0.0,
            sum_of_squares: 0.0,
        }
    }
}

impl Sketch {
    /// Largest error of a quantile, relative to it \[-\].
    pub const RESOLUTION: f64 = 1.0 / BINS as f64;

    /// Takes draws, in their order.
    pub fn extend(&mut self, draws: impl IntoIterator<Item = f64>) {
        for draw in draws {
            self.push(draw);
        }
    }

    /// Takes one draw; what is not a number is counted apart.
    #[inline]
    pub fn push(&mut self, draw: f64) {
        if draw.is_nan() {
            self.not_numbers += 1;
            return;
        }
        let (page, bin) = place(draw);
        match self.pages.get_mut(page.wrapping_sub(self.first)).and_then(|bins| bins.get_mut(bin)) {
            Some(count) => *count += 1,
            None => self.open(page)[bin] += 1,
        }
        self.count += 1;
        self.lowest = self.lowest.min(draw);
        self.highest = self.highest.max(draw);
        if self.count == 1 && draw.is_finite() {
            self.origin = draw;
        }
        let offset = draw - self.origin;
        self.sum += offset;
        self.sum_of_squares += offset * offset;
    }

    /// A new page.
    #[cold]
    fn open(&mut self, page: usize) -> &mut [u64] {
        if self.pages.is_empty() {
            self.first = page;
        }
        if page < self.first {
            let missing = self.first - page;
            self.pages.splice(..0, (0..missing).map(|_| Box::default()));
            self.first = page;
        }
        let place = page - self.first;
        if place >= self.pages.len() {
            self.pages.resize_with(place + 1, Box::default);
        }
        self.pages[place] = vec![0; BINS].into_boxed_slice();
        &mut self.pages[place]
    }

    /// Draws taken, without those that are not numbers.
    pub const fn count(&self) -> u64 {
        self.count
    }

    /// Draws that were not numbers.
    pub const fn not_numbers(&self) -> u64 {
        self.not_numbers
    }

    /// The smallest draw, exactly.
    pub fn lowest(&self) -> Option<f64> {
        (self.count > 0).then_some(self.lowest)
    }

    /// The largest draw, exactly.
    pub fn highest(&self) -> Option<f64> {
        (self.count > 0).then_some(self.highest)
    }

    /// The mean, with standard error s/sqrt(n).
    pub fn mean(&self) -> Option<Estimate> {
        let n = self.count as f64;
        (self.count > 0).then(|| Estimate {
            value: self.origin + self.sum / n,
            standard_error: self.variance().map_or(f64::INFINITY, |variance| (variance / n).sqrt()),
            count: self.count,
        })
    }

    /// The sample variance, for two draws or more.
    pub fn variance(&self) -> Option<f64> {
        let n = self.count as f64;
        (self.count > 1).then(|| ((self.sum_of_squares - self.sum * self.sum / n) / (n - 1.0)).max(0.0))
    }

    /// The value below which the share `rank` of the draws lies; 0 gives the lowest, 1 the highest.
    /// `None` without draws, or for a rank outside 0 to 1.
    pub fn quantile(&self, rank: f64) -> Option<f64> {
        if self.count == 0 || !(0.0..=1.0).contains(&rank) {
            return None;
        }
        let wanted = rank * self.count as f64;
        let mut before = 0_u64;
        for (place, bins) in self.pages.iter().enumerate() {
            let page = self.first + place;
            let on_page: u64 = bins.iter().sum();
            if wanted > (before + on_page) as f64 {
                before += on_page;
                continue;
            }
            for (bin, inside) in bins.iter().enumerate().filter(|(_, inside)| **inside > 0) {
                if wanted <= (before + inside) as f64 {
                    let share = ((wanted - before as f64) / *inside as f64).max(0.0);
                    return Some(within(page, bin, share).clamp(self.lowest, self.highest));
                }
                before += inside;
            }
        }
        Some(self.highest)
    }

    /// A quantile with its standard error, from the order statistics two standard errors of rank to either side:
    ///
    /// ```text
    /// s = [x(p + 2 r) - x(p - 2 r)]/4,   r = sqrt(p (1 - p)/n)
    /// ```
    /// Between these two lies the true quantile with 95 %, whatever the distribution; one standard error to either side
    /// would do as well, but holds half as many draws and scatters more, enough for runs that stop by it to stop too soon
    /// (11 % of runs off by more than two errors instead of 5 %). The error is infinite where the draws do not
    /// reach that far to both sides: for the share 0.025, below 156 draws.
    pub fn quantile_estimate(&self, rank: f64) -> Option<Estimate> {
        let value = self.quantile(rank)?;
        let reach = 2.0 * (rank * (1.0 - rank) / self.count as f64).sqrt();
        let standard_error = match (self.quantile(rank - reach), self.quantile(rank + reach)) {
            (Some(low), Some(high)) if high > low => 0.25 * (high - low),
            (Some(_), Some(_)) => 0.0,
            _ => f64::INFINITY,
        };
        Some(Estimate { value, standard_error, count: self.count })
    }
}

/// Page and bin of a number; both rise with it.
#[inline]
fn place(x: f64) -> (usize, usize) {
    // Adding 0 makes one zero of the two.
    let bits = (x + 0.0).to_bits();
    let ordered = if bits >> 63 == 1 { !bits } else { bits | 1 << 63 };
    let bin = (ordered >> BELOW) as usize;
    (bin >> FRACTION_BITS, bin & (BINS - 1))
}

/// The number at a share of the way through a bin.
fn within(page: usize, bin: usize, share: f64) -> f64 {
    let edge = |step: u64| {
        let ordered = ((page << FRACTION_BITS | bin) as u64 + step) << BELOW;
        f64::from_bits(if ordered >> 63 == 1 { ordered & !(1 << 63) } else { !ordered })
    };
    let (low, high) = (edge(0), edge(1));
    if !low.is_finite() || !high.is_finite() {
        return if page < PAGES / 2 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let value = low + share * (high - low);
    if value.is_subnormal() { 0.0 } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::{Purpose, Stream};

    fn draws(count: u64) -> impl Iterator<Item = f64> {
        (0..count).map(|i| (0.8 * Stream::new(4, Purpose::named("sketch"), i).normal() - 3.0).exp())
    }

    fn sketch(draws: impl IntoIterator<Item = f64>) -> Sketch {
        let mut sketch = Sketch::default();
        sketch.extend(draws);
        sketch
    }

    #[test]
    fn quantiles_are_those_of_the_sorted_draws_within_the_resolution() {
        for sign in [1.0, -1.0] {
            let mut all: Vec<f64> = draws(20_001).map(|x| sign * x).collect();
            let sketch = sketch(all.iter().copied());
            all.sort_by(f64::total_cmp);
            for (rank, index) in
                [(0.0, 0), (0.001, 20), (0.025, 500), (0.5, 10_000), (0.975, 19_500), (1.0, 20_000)]
            {
                let (got, exact) = (sketch.quantile(rank).unwrap(), all[index]);
                let miss = (got / exact - 1.0).abs();
                assert!(miss <= Sketch::RESOLUTION, "rank {rank}: {got}, sorted {exact}, miss {miss}");
            }
            assert_eq!(sketch.lowest().map(f64::to_bits), Some(all[0].to_bits()));
            assert_eq!(sketch.highest().map(f64::to_bits), Some(all[20_000].to_bits()));
        }
    }

    #[test]
    fn a_number_lies_between_the_edges_of_its_bin() {
        for x in [1.0, -1.0, 0.3, -7.7e-5, 1.999_999, 5e-300, -5e300, 3e-310, 0.0, -0.0] {
            let (page, bin) = place(x);
            let (low, high) = (within(page, bin, 0.0), within(page, bin, 1.0));
            let size = x.abs().max(f64::MIN_POSITIVE);
            assert!(low <= x.max(low.min(size)) && x <= high + f64::MIN_POSITIVE, "{x} in {low}..{high}");
            assert!(high - low <= size * Sketch::RESOLUTION, "{x} in {low}..{high}");
        }
    }

    #[test]
    fn mean_and_variance_are_those_of_the_draws() {
        let all: Vec<f64> = draws(5000).collect();
        let mean = all.iter().sum::<f64>() / 5000.0;
        let variance = all.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 4999.0;
        let sketch = sketch(all);
        let got = sketch.mean().unwrap();
        assert!((got.value / mean - 1.0).abs() < 1e-12);
        assert!((got.standard_error / (variance / 5000.0).sqrt() - 1.0).abs() < 1e-10);
    }

    /// The standard error of the median of n normal numbers is sqrt(pi/2n), that of a quantile sqrt(p(1 - p)/n)/f(x).
    /// Over 400 runs the scatter of the quantile has to agree with the mean of its own standard error: the ratio of the
    /// two scatters by 1/sqrt(2 400) = 3.5 %, and five such errors, a chance of 6e-7, is the bound.
    #[test]
    fn standard_errors_are_the_scatter_between_runs() {
        let (runs, n) = (400_u64, 2000_u64);
        for rank in [0.025, 0.5, 0.9] {
            let estimates: Vec<Estimate> = (0..runs)
                .map(|run| {
                    let draw = |i| Stream::new(run, Purpose::named("scatter"), i).normal() + 20.0;
                    sketch((0..n).map(draw)).quantile_estimate(rank).unwrap()
                })
                .collect();
            let mean = estimates.iter().map(|e| e.value).sum::<f64>() / runs as f64;
            let scatter =
                (estimates.iter().map(|e| (e.value - mean).powi(2)).sum::<f64>() / (runs - 1) as f64).sqrt();
            let stated =
                (estimates.iter().map(|e| e.standard_error.powi(2)).sum::<f64>() / runs as f64).sqrt();
            let x = crate::random::normal_quantile(rank);
            let density = (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt();
            let theory = (rank * (1.0 - rank) / n as f64).sqrt() / density;
            assert!((scatter / theory - 1.0).abs() < 5.0 * 0.036, "rank {rank}: {scatter}, theory {theory}");
            assert!((stated / scatter - 1.0).abs() < 5.0 * 0.036, "rank {rank}: {stated}, scatter {scatter}");
        }
    }

    #[test]
    fn too_few_draws_have_an_infinite_error_and_equal_draws_none() {
        let few = sketch(draws(150)).quantile_estimate(0.025).unwrap();
        assert!(few.standard_error.is_infinite());
        let equal = sketch([0.3; 200]).quantile_estimate(0.975).unwrap();
        assert!((equal.value - 0.3).abs() < 1e-17 && equal.standard_error.abs() < 1e-17, "{equal:?}");
        assert_eq!(sketch([]).quantile_estimate(0.5), None);
        assert_eq!(sketch([1.0]).quantile(1.5), None);
    }

    #[test]
    fn a_mean_with_an_infinity_is_infinite_whenever_it_came() {
        for draws in [[f64::INFINITY, 1.0, 2.0], [1.0, 2.0, f64::INFINITY]] {
            assert_eq!(sketch(draws).mean().map(|mean| mean.value), Some(f64::INFINITY));
        }
    }

    #[test]
    fn infinities_and_what_is_no_number_are_kept_apart() {
        let odd = sketch([1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -0.0, 2.0, 3.0]);
        assert_eq!((odd.count(), odd.not_numbers()), (7, 1));
        assert_eq!(odd.quantile(0.1), Some(f64::NEG_INFINITY));
        assert_eq!(odd.quantile(0.4), Some(0.0));
        assert_eq!(odd.quantile(0.95), Some(f64::INFINITY));
    }

    #[test]
    fn memory_is_that_of_the_range_not_of_the_count() {
        for n in [1_000, 300_000] {
            let sketch = sketch((0..n).map(|i| 1.0 + f64::from(i) / f64::from(n)));
            assert_eq!(sketch.pages.iter().map(|bins| bins.len()).sum::<usize>(), BINS, "{n} draws");
        }
    }
}
