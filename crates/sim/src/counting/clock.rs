//! Times of readings as positions along the session.

use super::readings::{Reading, State};

/// Where readings lie: the session is 1 long, and the mean of its open readings is at 0.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Clock {
    origin: f64,
    span: f64,
    /// Whether the room was read open at two times.
    pub(crate) runs: bool,
}

impl Clock {
    pub(crate) fn of(readings: &[Reading]) -> Self {
        let (mut first, mut last) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut first_open, mut last_open) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut sum, mut count) = (0.0, 0.0_f64);
        for reading in readings.iter().filter(|reading| reading.state != State::Zero) {
            let Some(time) = reading.time else { continue };
            (first, last) = (first.min(time), last.max(time));
            if reading.state == State::Open {
                (first_open, last_open) = (first_open.min(time), last_open.max(time));
                sum += time;
                count += 1.0;
            }
        }
        Self { origin: sum / count.max(1.0), span: last - first, runs: last_open > first_open }
    }

    /// 0 where no drift can be told, or the reading has no time.
    pub(crate) fn position(&self, time: Option<f64>) -> f64 {
        if self.runs { time.map_or(0.0, |time| (time - self.origin) / self.span) } else { 0.0 }
    }
}
