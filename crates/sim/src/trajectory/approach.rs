//! One trajectory: from the edge of the cell to the closest approach, the contact or the way out.

use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::single_fibre::impaction::Release;

use super::motion::{Motion, Particle, TrajectoryError};
use super::runge_kutta::{State, Step, step};

/// Steps after which a trajectory is given up; a sluggish particle close to a thin fibre takes some ten thousand.
const MOST_STEPS: usize = 2_000_000;

/// The flow inside the fibre is continued this far (share of the contact radius), to see how deep a hit would go.
const DEEPEST: f64 = 0.5;

/// How a trajectory ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// The particle touches the fibre.
    Contact {
        /// Where its centre is then, along the flow, in fibre radii.
        x: f64,
        /// And across the flow.
        y: f64,
    },
    /// The particle passes.
    Passage {
        /// The smallest distance of its centre from the fibre's, in fibre radii.
        closest: f64,
    },
}

/// A trajectory: the points at the integrator's steps, and the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Flight {
    /// Positions of the particle's centre (x, y), in fibre radii, the release first.
    pub points: Vec<[f64; 2]>,
    /// Whether it touched.
    pub outcome: Outcome,
}

/// The trajectory of a particle released on the edge of the cell, `height` fibre radii from the axis.
///
/// A passing particle is followed to the edge of the cell; `tolerance` is relative, by step (1e-9 is a good choice).
///
/// # Errors
/// Where the height is not between the axis and the edge, or the integrator gives up.
pub fn fly(
    cell: KuwabaraCell,
    particle: Particle,
    release: Release,
    height: f64,
    tolerance: f64,
) -> Result<Flight, TrajectoryError> {
    let edge = cell.edge_radius();
    if !(height > 0.0 && height < edge) {
        return Err(TrajectoryError::Height { height, edge });
    }
    let contact = particle.contact_radius();
    let mut walk = Walk::new(Motion::new(cell, particle, tolerance), release, height, tolerance);
    let mut points = vec![[walk.state[0], walk.state[1]]];
    let mut closest = edge;
    loop {
        let before = walk.state;
        walk.advance()?;
        if approaches(&before) {
            let lowest = if approaches(&walk.state) { walk.last() } else { walk.turn(&before) };
            closest = closest.min(radius(&lowest.state));
            if closest < contact {
                let [x, y, ..] = walk.touch(&before, lowest);
                points.push([x, y]);
                return Ok(Flight { points, outcome: Outcome::Contact { x, y } });
            }
        }
        points.push([walk.state[0], walk.state[1]]);
        if radius(&walk.state) > edge && !approaches(&walk.state) {
            return Ok(Flight { points, outcome: Outcome::Passage { closest } });
        }
    }
}

/// The smallest distance from the fibre's centre on a trajectory that ignores contact, down to `DEEPEST`.
///
/// Every turn from approach to departure counts, since inertia can turn a particle away in front of the fibre and
/// let it sink again behind; downstream of the centre a departing particle never turns back, as the flow departs too.
pub(super) fn closest_approach(
    motion: Motion,
    release: Release,
    height: f64,
    tolerance: f64,
) -> Result<f64, TrajectoryError> {
    let (edge, contact) = (motion.cell.edge_radius(), motion.particle.contact_radius());
    let mut walk = Walk::new(motion, release, height, tolerance);
    let mut closest = edge;
    loop {
        let before = walk.state;
        walk.advance()?;
        if approaches(&walk.state) {
            if radius(&walk.state) < DEEPEST * contact {
                return Ok(DEEPEST * contact);
            }
            continue;
        }
        if approaches(&before) {
            closest = closest.min(radius(&walk.turn(&before).state));
        }
        if closest < contact || walk.state[0] >= 0.0 || radius(&walk.state) > edge {
            return Ok(closest.max(DEEPEST * contact));
        }
    }
}

fn radius(state: &State) -> f64 {
    state[0].hypot(state[1])
}

/// Half the rate of the squared distance from the fibre's centre.
fn departure(state: &State) -> f64 {
    state[0] * state[2] + state[1] * state[3]
}

fn approaches(state: &State) -> bool {
    departure(state) < 0.0
}

/// An integration under way.
pub(super) struct Walk {
    motion: Motion,
    pub(super) state: State,
    rate: State,
    length: f64,
    last_length: f64,
    last_rate: State,
    tolerance: f64,
    steps: usize,
}

impl Walk {
    pub(super) fn new(motion: Motion, release: Release, height: f64, tolerance: f64) -> Self {
        let state = motion.start(release, height);
        let rate = motion.rate(&state);
        let length = 0.1 * motion.shortest_time();
        Self { motion, state, rate, length, last_length: 0.0, last_rate: rate, tolerance, steps: 0 }
    }

    /// Takes one good step, shortening it as often as it needs.
    pub(super) fn advance(&mut self) -> Result<(), TrajectoryError> {
        let scale = self.scale();
        let mut rejected = false;
        loop {
            self.steps += 1;
            if self.steps > MOST_STEPS {
                let (stokes, interception) =
                    (self.motion.particle.stokes(), self.motion.particle.interception());
                return Err(TrajectoryError::Steps { steps: MOST_STEPS, stokes, interception });
            }
            let Step { end, error } =
                step(|s| self.motion.rate(s), &self.state, &self.rate, self.length, &scale);
            // An error that is not a number comes from a stage at the singular centre: too long a step.
            let factor = if error.is_finite() { (0.9 * error.powf(-0.125)).clamp(0.2, 6.0) } else { 0.2 };
            if error <= 1.0 {
                (self.last_length, self.last_rate) = (self.length, self.rate);
                self.state = self.motion.settled(end);
                self.rate = self.motion.rate(&self.state);
                self.length *= if rejected { factor.min(1.0) } else { factor };
                return Ok(());
            }
            rejected = true;
            self.length *= factor.min(0.9);
        }
    }

    /// Tolerated errors: relative to the height above the axis upstream, so that the smallest efficiencies keep their
    /// digits, and to the distance from the fibre, where the stream function is steep.
    fn scale(&self) -> State {
        let [x, y, ..] = self.state;
        let wall = (x * x + y * y - 1.0).abs().clamp(1e-4, 1.0);
        let along = self.tolerance * wall;
        let across = self.tolerance * wall.min(y.abs().max(1e-12));
        let pace = self.motion.shortest_time().recip();
        [along, across, along * pace, across * pace]
    }

    /// The end of the last step.
    fn last(&self) -> Moment {
        Moment { time: self.last_length, state: self.state }
    }

    /// The closest point of the last step, which began at `before`.
    fn turn(&self, before: &State) -> Moment {
        self.locate(before, self.last(), departure)
    }

    /// The contact on the last step before the moment `inside`.
    fn touch(&self, before: &State, inside: Moment) -> State {
        let contact = self.motion.particle.contact_radius();
        self.locate(before, inside, |s| contact - radius(s)).state
    }

    /// Where `event` turns from negative, at `before`, to positive, by ever better lengths of the step.
    fn locate(&self, before: &State, after: Moment, event: impl Fn(&State) -> f64) -> Moment {
        let at = |length: f64| {
            let end = step(|s| self.motion.rate(s), before, &self.last_rate, length, &[1.0; 4]).end;
            self.motion.settled(end)
        };
        let (mut low, mut high) = (0.0, after.time);
        let (mut event_low, mut event_high) = (event(before), event(&after.state));
        let near = 1e-8 * event_low.abs().max(event_high.abs());
        let (mut found, mut stayed) = (after, 0);
        for _ in 0..60 {
            let time = high - event_high * (high - low) / (event_high - event_low);
            found = Moment { time, state: at(time) };
            let value = event(&found.state);
            if value.abs() <= near {
                break;
            }
            // Illinois: an end that stays put twice loses half its weight.
            if value > 0.0 {
                (high, event_high) = (time, value);
                event_low *= if stayed > 0 { 0.5 } else { 1.0 };
                stayed = 1;
            } else {
                (low, event_low) = (time, value);
                event_high *= if stayed < 0 { 0.5 } else { 1.0 };
                stayed = -1;
            }
        }
        found
    }
}

/// A state on the last step, and how long after the step's beginning.
struct Moment {
    time: f64,
    state: State,
}
