//! One path of a particle without inertia, along its velocity or against it.

use crate::drift::Carried;

use super::runge_kutta::{Step, step};

/// Steps after which a path is given up: it ends in a point of rest.
const MOST_STEPS: usize = 20_000;

/// Where a path leaves the ring between contact and the edge of the cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum End {
    /// On the fibre.
    Contact,
    /// On the edge of the cell, at this angle.
    Edge(f64),
    /// Nowhere: it comes to rest.
    Rest,
}

/// The ring between the circle of contact and the edge of the cell, and what moves particles in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ring {
    pub(super) carried: Carried,
    /// The gap at contact, R.
    pub(super) contact: f64,
    /// Tolerated error of a step, relative to the distance from the fibre's surface.
    pub(super) tolerance: f64,
}

impl Ring {
    /// The gap at the edge of the cell.
    pub(super) fn room(&self) -> f64 {
        self.carried.cell.largest_interception()
    }

    /// Follows the path from a point, forwards (1) or backwards (-1) in time, to where it leaves the ring.
    pub(super) fn follow(&self, start: [f64; 2], sense: f64) -> End {
        let rate = |place: &[f64; 2]| self.carried.velocity(place[0], place[1]).map(|speed| sense * speed);
        let (mut place, mut speed) = (start, rate(&start));
        let mut length = 0.1 * gap(&place).max(1e-9) / norm(&speed).max(1e-300);
        for _ in 0..MOST_STEPS {
            let scale = [self.tolerance * gap(&place).clamp(1e-7, 1.0); 2];
            let Step { end, error } = step(rate, &place, &speed, length, &scale);
            let factor = if error.is_finite() { (0.9 * error.powf(-0.125)).clamp(0.2, 6.0) } else { 0.2 };
            if error > 1.0 || !error.is_finite() {
                length *= factor.min(0.9);
                continue;
            }
            let reached = gap(&end);
            if reached <= self.contact {
                return End::Contact;
            }
            if reached >= self.room() {
                return End::Edge(self.crossing(rate, &place, &speed, length));
            }
            (place, speed) = (end, rate(&end));
            length *= factor;
        }
        End::Rest
    }

    /// The angle at which the step from `place` crosses the edge of the cell.
    fn crossing(
        &self,
        rate: impl Fn(&[f64; 2]) -> [f64; 2],
        place: &[f64; 2],
        speed: &[f64; 2],
        length: f64,
    ) -> f64 {
        let (mut low, mut high) = (0.0, length);
        let mut time = length;
        let mut end = *place;
        for _ in 0..40 {
            end = step(&rate, place, speed, time, &[1.0; 2]).end;
            let excess = gap(&end) - self.room();
            if excess.abs() < 1e-12 * self.room() {
                break;
            }
            if excess > 0.0 {
                high = time;
            } else {
                low = time;
            }
            let outward = (end[0] * rate(&end)[0] + end[1] * rate(&end)[1]) / end[0].hypot(end[1]);
            let next = time - excess / outward;
            time = if next > low && next < high { next } else { 0.5 * (low + high) };
        }
        end[1].atan2(end[0])
    }
}

/// The distance from the fibre's surface.
pub(super) fn gap(place: &[f64; 2]) -> f64 {
    let square = place[0] * place[0] + place[1] * place[1];
    (square - 1.0) / (square.sqrt() + 1.0)
}

fn norm(speed: &[f64; 2]) -> f64 {
    speed[0].hypot(speed[1])
}
