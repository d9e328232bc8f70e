//! Comparisons: each failure says input, what came out, what was expected and what was allowed.

use std::fmt::Display;
use std::ops::RangeInclusive;

use crate::table::Printed;

/// Rounding of the comparison itself, relative.
const ROUNDING: f64 = 1e-9;

/// Comparisons of one test, reported together.
#[derive(Debug)]
#[must_use = "a tally that is not closed asserts nothing"]
pub struct Tally {
    what: String,
    failures: Vec<String>,
    compared: usize,
    largest: (f64, String),
}

impl Tally {
    /// Opens a tally.
    pub fn of(what: &str) -> Self {
        Self { what: what.to_owned(), failures: Vec::new(), compared: 0, largest: (0.0, String::new()) }
    }

    /// Compares with an absolute tolerance.
    pub fn close(&mut self, input: impl Display, got: f64, expected: f64, tolerance: f64) {
        let miss = (got - expected).abs();
        self.note(&input, got, expected);
        if miss.is_nan() || miss > tolerance + ROUNDING * expected.abs() {
            self.failures.push(format!(
                "{input}: got {got:.9e}, expected {expected:.9e}, miss {miss:.2e}, tolerance {tolerance:.2e}"
            ));
        }
    }

    /// Compares with a relative tolerance.
    pub fn relative(&mut self, input: impl Display, got: f64, expected: f64, tolerance: f64) {
        self.close(input, got, expected, tolerance * expected.abs());
    }

    /// Compares with a computed number as printed: half of its last digit is left open.
    pub fn printed(&mut self, input: impl Display, got: f64, expected: Printed) {
        self.close(input, got, expected.value, expected.half_digit);
    }

    /// Asserts that a number lies in a range.
    pub fn within(&mut self, input: impl Display, got: f64, range: RangeInclusive<f64>) {
        self.compared += 1;
        if !range.contains(&got) {
            self.failures.push(format!(
                "{input}: got {got:.9e}, expected {:.6e} to {:.6e}",
                range.start(),
                range.end()
            ));
        }
    }

    /// Asserts that the number misses the expected one, by how much (`got/expected - 1`), and says why it does.
    ///
    /// Fails where the miss goes away, too: then the reason is no longer true and the row belongs to the checks.
    ///
    /// # Panics
    /// Where the range of the miss holds 0: that would be no miss.
    pub fn known_miss(
        &mut self,
        input: impl Display,
        got: f64,
        expected: f64,
        size: RangeInclusive<f64>,
        why: &str,
    ) {
        assert!(!size.contains(&0.0), "{input}: a miss of 0 is no miss");
        self.compared += 1;
        let miss = got / expected - 1.0;
        if !size.contains(&miss) {
            self.failures.push(format!(
                "{input}: got {got:.6e}, expected {expected:.6e}, misses it by {miss:+.4}, known to miss by {:+} to {:+} ({why})",
                size.start(),
                size.end()
            ));
        }
    }

    /// Asserts something about an input that is no comparison of two numbers.
    pub fn holds(&mut self, input: impl Display, what: &str, holds: bool) {
        self.compared += 1;
        if !holds {
            self.failures.push(format!("{input}: {what} does not hold"));
        }
    }

    /// Closes the tally and returns the largest relative miss among the comparisons with an expected number.
    ///
    /// # Panics
    /// Where any comparison failed, or there was none.
    pub fn close_all(self) -> f64 {
        let Self { what, failures, compared, largest } = self;
        assert!(compared > 0, "{what}: nothing was compared");
        assert!(
            failures.is_empty(),
            "{what}: {} of {compared} comparisons failed\n  {}",
            failures.len(),
            failures.join("\n  ")
        );
        largest.0
    }

    /// Closes the tally and asserts the largest relative miss, as a model's documentation may quote it.
    ///
    /// # Panics
    /// As [`Tally::close_all`], and where the largest miss exceeds the stated one or is less than half of it.
    pub fn close_with_largest(self, stated: f64) {
        let place = self.largest.1.clone();
        let what = self.what.clone();
        let largest = self.close_all();
        assert!(
            largest <= stated && largest > 0.5 * stated,
            "{what}: the largest miss is {largest:.3e} ({place}), stated as {stated:.3e}"
        );
    }

    fn note(&mut self, input: &impl Display, got: f64, expected: f64) {
        self.compared += 1;
        let relative = if expected == 0.0 { 0.0 } else { (got / expected - 1.0).abs() };
        if relative > self.largest.0 {
            self.largest = (relative, input.to_string());
        }
    }
}

/// Sizes evenly spaced in the logarithm, both ends included.
pub fn logarithmic(first: f64, last: f64, count: u32) -> impl Iterator<Item = f64> {
    let step = (last / first).ln() / f64::from(count.max(2) - 1);
    (0..count).map(move |i| first * (step * f64::from(i)).exp())
}
