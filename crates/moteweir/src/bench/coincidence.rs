//! Particles that a counter misses because it is busy with others.

use moteweir_units::show;

/// A loss by coincidence that is worth saying.
const LOSS_SAID: f64 = 0.01;
/// Loss at the concentration that a maker states as the highest: ISO 21501-4, from memory.
const LOSS_AT_MAXIMUM: f64 = 0.1;
/// Concentration from which optical counters usually lose particles \[1/m3\]: 70 in a cubic centimetre, two millions in a
/// cubic foot. Common practice, no source.
const USUAL_MAXIMUM_PER_M3: f64 = 70e6;
/// Flow of most counters that one holds in the hand \[m3/s\]: a tenth of a cubic foot a minute. Common practice, no source.
const USUAL_FLOW_M3_PER_S: f64 = 2.83e-3 / 60.0;

/// What is known of the counter.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Instrument {
    /// After a particle, how long the counter sees no other \[s\].
    pub dead_time_s: Option<f64>,
    /// Highest concentration that it is made for \[1/m3\].
    pub maximum_per_m3: Option<f64>,
    /// Its flow \[m3/s\], where the file does not say.
    pub flow_m3_per_s: Option<f64>,
}

/// The densest that was counted with nothing in the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Densest {
    /// Particles of all sizes per second.
    pub(super) rate: f64,
    /// Particles per m3, where the flow is known.
    pub(super) per_m3: Option<f64>,
    /// Where, to begin a clause with.
    pub(super) place: &'static str,
}

impl Instrument {
    /// What coincidence took away, where that is known and worth saying.
    pub(super) fn coincidence(&self, densest: &Densest) -> Option<String> {
        // Share of particles that arrive while the counter is busy with another: rate times dead time.
        let by_dead_time = self.dead_time_s.map(|dead| densest.rate * dead);
        let by_maximum =
            self.maximum_per_m3.zip(densest.per_m3).map(|(most, found)| LOSS_AT_MAXIMUM * found / most);
        if self.maximum_per_m3.is_some() && densest.per_m3.is_none() && by_dead_time.is_none() {
            return Some(
                "Coincidence: the highest concentration of the counter says something only with its flow: give the \
                 column litres_per_minute."
                    .to_owned(),
            );
        }
        let loss = by_dead_time.unwrap_or(0.0).max(by_maximum.unwrap_or(0.0));
        (loss >= LOSS_SAID).then(|| {
            format!(
                "Coincidence: {} about {} of the particles came while the counter was busy with another and went uncounted. \
                 That happens in the open room, hardly behind a sample, so true efficiency is higher than shown: \
                 penetration is over-stated by about that share. Count cleaner or diluted air.",
                densest.place,
                show::percent(loss.min(0.99), 1)
            )
        })
    }

    /// The same of a counter of which nothing is known, by what is usual.
    pub(super) fn usual_coincidence(&self, densest: &Densest) -> Option<String> {
        if self.dead_time_s.is_some() || self.maximum_per_m3.is_some() {
            return None;
        }
        let (found, by) = match densest.per_m3 {
            Some(per_m3) => (per_m3, ""),
            None => (densest.rate / USUAL_FLOW_M3_PER_S, ", were it the usual pump of 2.83 L/min"),
        };
        (found > USUAL_MAXIMUM_PER_M3).then(|| {
            format!(
                "Coincidence: {} {} particles came in a cubic centimetre{by}. Above about {} optical counters usually take \
                 several particles for one (common practice, no source); that happens in the open room, hardly behind a \
                 sample, so true efficiency would be higher than shown. See what the counter's maker states, or count \
                 cleaner or diluted air.",
                densest.place,
                show::number(1e-6 * found, 2),
                show::number(1e-6 * USUAL_MAXIMUM_PER_M3, 2),
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn densest(rate: f64, per_m3: Option<f64>) -> Densest {
        Densest { rate, per_m3, place: "in the open count" }
    }

    #[test]
    fn a_loss_is_rate_times_dead_time_or_a_tenth_at_the_maximum() {
        let dead = Instrument { dead_time_s: Some(2e-5), ..Instrument::default() };
        assert_eq!(dead.coincidence(&densest(400.0, None)), None, "0.8 % is not worth saying");
        let said = dead.coincidence(&densest(3000.0, None)).expect("6 %");
        assert!(said.starts_with("Coincidence: in the open count about 6 % of the particles"), "{said}");
        let made_for = Instrument { maximum_per_m3: Some(70e6), ..Instrument::default() };
        let said = made_for.coincidence(&densest(3000.0, Some(140e6))).expect("20 %");
        assert!(said.contains("about 20 % of"), "{said}");
        let unknown = made_for.coincidence(&densest(3000.0, None)).expect("no flow");
        assert!(unknown.contains("litres_per_minute"), "{unknown}");
    }

    #[test]
    fn of_an_unknown_counter_the_usual_is_said() {
        let unknown = Instrument::default();
        assert_eq!(unknown.coincidence(&densest(1e6, Some(1e9))), None);
        assert_eq!(unknown.usual_coincidence(&densest(3000.0, None)), None, "64 in a cubic centimetre");
        let said = unknown.usual_coincidence(&densest(9000.0, None)).expect("190 in a cubic centimetre");
        assert!(said.contains("190 particles came in a cubic centimetre, were it the usual pump"), "{said}");
        let said = unknown.usual_coincidence(&densest(100.0, Some(90e6))).expect("90");
        assert!(said.contains("90 particles came in a cubic centimetre. Above about 70"), "{said}");
        let known = Instrument { dead_time_s: Some(1e-9), ..unknown };
        assert_eq!(known.usual_coincidence(&densest(9000.0, None)), None);
    }
}
