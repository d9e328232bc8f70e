//! A number from draws is never bare: value, standard error, count.

/// A number estimated from draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// Its Monte Carlo standard error, in the same unit; infinite where the draws are too few to tell.
    pub standard_error: f64,
    /// Draws that it rests on.
    pub count: u64,
}

/// How often something held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Proportion {
    /// Draws in which it held.
    pub held: u64,
    /// Draws in which it could be judged.
    pub count: u64,
}

impl Proportion {
    /// Counts one draw: above 0.5 it held, not a number it could not be judged.
    pub fn push(&mut self, held: f64) {
        self.count += u64::from(!held.is_nan());
        self.held += u64::from(held > 0.5);
    }

    /// The probability that it holds; `None` if it was never judged.
    ///
    /// ```text
    /// p = k/n,   standard error = sqrt(q (1 - q)/n) with q = (k + 1)/(n + 2)
    /// ```
    /// With q for p, the rule of succession, the error of a target that held always or never is not 0.
    pub fn estimate(&self) -> Option<Estimate> {
        let (k, n) = (self.held as f64, self.count as f64);
        let q = (k + 1.0) / (n + 2.0);
        (self.count > 0).then(|| Estimate {
            value: k / n,
            standard_error: (q * (1.0 - q) / n).sqrt(),
            count: self.count,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_proportion_counts_what_could_be_judged() {
        let mut proportion = Proportion::default();
        assert_eq!(proportion.estimate(), None);
        for held in [1.0, 0.0, f64::NAN, 1.0, 1.0] {
            proportion.push(held);
        }
        let estimate = proportion.estimate().unwrap();
        assert_eq!((proportion.held, estimate.count), (3, 4));
        // q = 4/6, sqrt(2/9/4)
        assert!((estimate.value - 0.75).abs() < 1e-15);
        assert!((estimate.standard_error - (1.0_f64 / 18.0).sqrt()).abs() < 1e-15);
    }

    #[test]
    fn what_always_held_is_not_certain() {
        let always = Proportion { held: 998, count: 998 }.estimate().unwrap();
        assert!((always.value - 1.0).abs() < 1e-15);
        assert!((always.standard_error - (0.999 * 0.001 / 998.0_f64).sqrt()).abs() < 1e-15);
    }
}
