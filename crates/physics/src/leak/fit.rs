//! A leak from a measured fit factor.

use moteweir_units::{Flow, Length, Pressure};

use super::error::LeakError;
use super::law::LeakLaw;
use super::slit::Slit;
use crate::air::Air;

/// A fit factor as it was measured.
///
/// Cautions: a fit factor is a mean over minutes of breathing and movement, and is taken here as one at a steady flow,
/// best the mean inspiratory flow of the test. Few tests tell how much the filter let through; their particles are
/// mostly below 0.1 um, and a fit factor with a cloth mask says more about the cloth than about the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FitReading {
    /// Concentration outside over concentration inside \[-\].
    pub fit_factor: f64,
    /// Flow through mask and leak together.
    pub flow: Flow,
    /// Penetration of the filter for the particles of the test, at that flow \[-\]; 0 where the test counts only
    /// particles that cannot come through.
    pub filter_penetration: f64,
    /// Penetration of the leak for them \[-\], 1 unless somebody knows better.
    pub leak_penetration: f64,
}

/// What a leak that is known by its flow alone is taken to look like, at other flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeakShape {
    /// A hole: inertial, its share falls as the flow rises.
    Hole,
    /// A slit of which the gap is to be found.
    Slit {
        /// Length along the edge.
        length: Length,
        /// Way through.
        depth: Length,
    },
}

impl FitReading {
    /// The leak's share of the flow that goes with the reading \[-\].
    ///
    /// ```text
    /// 1/FF = (1 - x) P_filter + x P_leak
    /// ```
    /// # Errors
    /// Where the fit factor is not above zero, a penetration is no fraction, the filter alone lets in more than the
    /// fit factor says, or the leak alone less.
    pub fn leak_share(&self) -> Result<f64, LeakError> {
        let Self { fit_factor, filter_penetration, leak_penetration, .. } = *self;
        LeakError::unless_positive("fit factor", fit_factor)?;
        LeakError::unless_fraction("filter", filter_penetration)?;
        LeakError::unless_fraction("leak", leak_penetration)?;
        let inside = fit_factor.recip();
        if inside < filter_penetration {
            return Err(LeakError::FilterAlonePassesMore { fit_factor, filter_penetration });
        }
        if inside > leak_penetration {
            return Err(LeakError::MoreThanTheLeak { fit_factor, leak_penetration });
        }
        if inside > filter_penetration {
            Ok((inside - filter_penetration) / (leak_penetration - filter_penetration))
        } else {
            Ok(0.0)
        }
    }

    /// The leak of a shape that goes with the reading, beside a filter with a pressure drop for every flow.
    ///
    /// # Errors
    /// As [`FitReading::leak_share`]; where the flow or the filter's pressure drop are not above zero, or the shape has
    /// no gap that would do.
    pub fn leak(
        &self,
        shape: LeakShape,
        filter: impl Fn(Flow) -> Pressure,
        air: &Air,
    ) -> Result<LeakLaw, LeakError> {
        let share = self.leak_share()?;
        LeakError::unless_positive("flow", self.flow.to_m3_per_s())?;
        if share <= 0.0 {
            return Ok(LeakLaw::Sealed);
        }
        if share >= 1.0 {
            return Ok(LeakLaw::Open);
        }
        let pressure_drop = filter(self.flow * (1.0 - share));
        let flow = self.flow * share;
        match shape {
            LeakShape::Hole => LeakLaw::hole_passing(flow, pressure_drop, air),
            LeakShape::Slit { length, depth } => {
                Slit::passing(length, depth, flow, pressure_drop, air).map(LeakLaw::Slit)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::split::split;
    use super::*;

    fn reading(fit_factor: f64, filter_penetration: f64) -> FitReading {
        let flow = Flow::from_l_per_min(30.0);
        FitReading { fit_factor, flow, filter_penetration, leak_penetration: 1.0 }
    }

    fn filter(flow: Flow) -> Pressure {
        let l_per_min = flow.to_l_per_min();
        Pressure::from_pa(0.8 * l_per_min + 0.004 * l_per_min * l_per_min)
    }

    #[test]
    fn the_leak_gives_its_fit_factor_back() {
        let slit = LeakShape::Slit { length: Length::from_mm(60.0), depth: Length::from_mm(8.0) };
        for shape in [LeakShape::Hole, slit] {
            for (fit_factor, filter_penetration) in [(100.0, 0.0), (100.0, 0.004), (2000.0, 1e-4), (1.5, 0.5)]
            {
                let reading = reading(fit_factor, filter_penetration);
                let leak = reading.leak(shape, filter, &Air::reference()).unwrap();
                let split = split(reading.flow, filter, &leak, &Air::reference()).unwrap();
                let back = split.penetration(filter_penetration, 1.0).recip();
                assert!((back / fit_factor - 1.0).abs() < 1e-10, "{shape:?}, {fit_factor}: {back}");
            }
        }
    }

    #[test]
    fn a_leak_factor_of_ten_and_a_filter_of_five_percent() {
        // Additive model: 0.05 + 0.1 comes in where both are small; protection 6.67.
        assert!((reading(1.0 / 0.15, 0.05).leak_share().unwrap() - 0.1 / 0.95).abs() < 1e-15);
    }

    #[test]
    fn the_ends_are_no_leak_and_nothing_but_leak() {
        let of = |fit, filter_penetration| {
            reading(fit, filter_penetration).leak(LeakShape::Hole, filter, &Air::reference()).unwrap()
        };
        assert_eq!(of(20.0, 0.05), LeakLaw::Sealed);
        assert_eq!(of(1.0, 0.05), LeakLaw::Open);
    }

    #[test]
    fn readings_that_cannot_be_are_refused() {
        let refused = |fit, filter| reading(fit, filter).leak_share().unwrap_err().to_string();
        assert_eq!(
            refused(100.0, 0.05),
            "a fit factor of 100 means that 1.000 % got in, but the filter alone lets 5.000 % of the test's particles through; give the filter's penetration for the particles of the fit test"
        );
        assert_eq!(
            refused(0.5, 0.05),
            "a fit factor of 0.5 means that 200.0 % got in, more than the leak alone would let in (100.0 %)"
        );
        assert_eq!(refused(0.0, 0.05), "the fit factor of a leak is 0, but has to be above zero and finite");
        assert_eq!(
            refused(10.0, 1.5),
            "the penetration of the filter is 1.5, but has to lie between 0 and 1"
        );
    }
}
