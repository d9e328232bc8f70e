//! One particle from its entry to its end, and the copies it is split into on the way.

use std::f64::consts::PI;

use super::importance::Importance;
use super::ornstein_uhlenbeck::{Course, Motion};
use super::pace::Pace;
use super::particle::{BrownianParticle, LangevinError};
use crate::random::Stream;

/// Steps that one particle and its copies may take.
const MOST_STEPS: u32 = 20_000_000;

/// Copies asked for above which a particle is split, and below which it is let go or made heavier.
const WINDOW: (f64, f64) = (0.2, 4.0);

/// A particle is split into at most this many at once.
const MOST_COPIES: f64 = 16.0;

/// The distance from the fibre's centre within which its flow is not continued.
const DEEPEST: f64 = 0.7;

/// A particle on its way.
#[derive(Clone, Copy, Debug)]
struct Walker {
    place: [f64; 2],
    velocity: [f64; 2],
    carrier: [f64; 2],
    weight: f64,
}

/// A particle and its copies.
struct Swarm {
    height: f64,
    waiting: Vec<Walker>,
    steps: u32,
}

/// Where a step ends.
enum Fate {
    Caught,
    Gone,
    UnderWay,
}

/// What all histories share.
#[derive(Clone, Debug)]
pub(super) struct Histories {
    particle: BrownianParticle,
    pace: Pace,
    importance: Importance,
}

impl Histories {
    pub(super) fn new(particle: BrownianParticle, fineness: f64) -> Self {
        Self { particle, pace: Pace::new(&particle, fineness), importance: Importance::new(&particle) }
    }

    /// The weight caught of one particle that enters; its mean over histories is the single-fibre efficiency.
    pub(super) fn caught(&self, stream: &mut Stream) -> Result<f64, LangevinError> {
        let entry = self.importance.entry(stream.uniform());
        let (place, mean) = self.particle.entry(entry.height);
        let thermal = if self.particle.relaxation() > 0.0 {
            (self.particle.diffusivity() / self.particle.relaxation()).sqrt()
        } else {
            0.0
        };
        let velocity = mean.map(|v| v + thermal * stream.normal());
        let weight = entry.weight * (1.0 + self.particle.groups().settling);
        let first = Walker { place, velocity, carrier: self.particle.carrier(place), weight };
        let mut swarm = Swarm { height: entry.height, waiting: vec![first], steps: 0 };
        let mut caught = 0.0;
        while let Some(walker) = swarm.waiting.pop() {
            caught += self.follow(walker, &mut swarm, stream)?;
        }
        Ok(caught)
    }

    /// The weight caught of one walker; its copies are left waiting.
    fn follow(
        &self,
        mut walker: Walker,
        swarm: &mut Swarm,
        stream: &mut Stream,
    ) -> Result<f64, LangevinError> {
        loop {
            swarm.steps += 1;
            if swarm.steps > MOST_STEPS {
                return Err(LangevinError::Steps { steps: MOST_STEPS });
            }
            match self.advance(&mut walker, stream) {
                Fate::Caught => return Ok(walker.weight),
                Fate::Gone => return Ok(0.0),
                Fate::UnderWay => {}
            }
            let copies = self.importance.copies(walker.weight, walker.place, swarm.height);
            if copies < WINDOW.0 {
                if stream.uniform() > copies {
                    return Ok(0.0);
                }
                walker.weight /= copies;
            } else if copies > WINDOW.1 {
                let mut number = copies.min(MOST_COPIES).floor();
                walker.weight /= number;
                while number > 1.5 {
                    swarm.waiting.push(walker);
                    number -= 1.0;
                }
            }
        }
    }

    fn advance(&self, walker: &mut Walker, stream: &mut Stream) -> Fate {
        let (contact, edge) = (self.particle.contact_radius(), self.particle.cell().edge_radius());
        let before = *walker;
        let time = self.pace.step(before.place, before.velocity, before.carrier);
        self.carry(walker, time, stream);
        let (r_before, r) = (radius(before.place), radius(walker.place));
        if r <= contact {
            return Fate::Caught;
        }
        if self.pace.is_diffusive(time)
            && stream.uniform() < self.pace.touching(r_before - contact, r - contact, time)
        {
            return Fate::Caught;
        }
        if r > edge {
            if walker.place[0] > 0.0 && stream.uniform() < self.leaving(walker.place[0] / r, time) {
                return Fate::Gone;
            }
            turn_back(walker, r, edge);
        }
        walker.carrier = self.particle.carrier(walker.place);
        Fate::UnderWay
    }

    /// The chance that a particle that meets the edge, where the air leaves along `cosine`, leaves with it.
    ///
    /// ```text
    /// u_r/(w + u_r/2),  w = sqrt(D/(pi dt)) or the thermal sqrt(D/(2 pi t_r)), the smaller
    /// ```
    /// Particles of concentration c meet the edge at the rate c (w + u_r/2) and are to leave at the rate c u_r.
    fn leaving(&self, cosine: f64, time: f64) -> f64 {
        let outward = cosine * (1.0 + self.particle.groups().settling);
        let meeting = (self.particle.diffusivity() / PI / time.max(2.0 * self.particle.relaxation())).sqrt();
        outward / (meeting + 0.5 * outward)
    }

    /// Moves a walker over a step: three looks at the carrier, as in Kutta's method of third order, with the particle's
    /// own relaxation and kicks exact.
    fn carry(&self, walker: &mut Walker, time: f64, stream: &mut Stream) {
        let (relaxation, diffusivity) = (self.particle.relaxation(), self.particle.diffusivity());
        let (half, whole) = (Motion::new(0.5 * time, relaxation), Motion::new(time, relaxation));
        let spread = whole.spread(&half, relaxation, diffusivity);
        let kicks = self.kicks(stream);
        let shift = kicks.map(|(kick, _)| spread.position * kick);
        // Two values do for the mean velocity in the middle.
        let signs = if diffusivity > 0.0 { stream.word() } else { 0 };
        let aside = [0, 1].map(|i| {
            let bridge = if signs >> (63 - i) & 1 == 0 { spread.bridge } else { -spread.bridge };
            spread.middle * kicks[i].0 + bridge
        });
        let Walker { place, velocity, carrier, .. } = *walker;
        let at = |motion: &Motion, course: [Course; 2], shift: [f64; 2]| {
            let [x, y] = [0, 1].map(|i| motion.end(place[i], velocity[i], course[i]).0 + shift[i]);
            // Far inside the fibre the flow means nothing, and the step ends in contact.
            if radius([x, y]) > DEEPEST { self.particle.carrier([x, y]) } else { carrier }
        };
        let middle = at(&half, carrier.map(Course::steady), aside);
        let ahead = [0, 1].map(|i| Course::steady(2.0 * middle[i] - carrier[i]));
        let end = at(&whole, ahead, shift);
        for i in [0, 1] {
            let course = Course::through(carrier[i], middle[i], end[i]);
            let (x, v) = whole.end(place[i], velocity[i], course);
            let (kick, turn) = kicks[i];
            walker.place[i] = x + shift[i];
            walker.velocity[i] = v + spread.along * kick + spread.apart * turn;
        }
    }

    /// Two standard normal numbers for each direction; none where nothing diffuses.
    fn kicks(&self, stream: &mut Stream) -> [(f64, f64); 2] {
        if self.particle.diffusivity() == 0.0 {
            return [(0.0, 0.0); 2];
        }
        if self.particle.relaxation() == 0.0 {
            return [(stream.normal(), 0.0), (stream.normal(), 0.0)];
        }
        [(stream.normal(), stream.normal()), (stream.normal(), stream.normal())]
    }
}

fn radius([x, y]: [f64; 2]) -> f64 {
    x.hypot(y)
}

/// Puts a particle back inside the cell, its radial speed turned round where it is outward.
fn turn_back(walker: &mut Walker, r: f64, edge: f64) {
    let normal = walker.place.map(|x| x / r);
    let inside = (2.0 * edge - r).max(0.5 * edge) / r;
    walker.place = walker.place.map(|x| x * inside);
    let outward = walker.velocity[0] * normal[0] + walker.velocity[1] * normal[1];
    if outward > 0.0 {
        walker.velocity = [0, 1].map(|i| walker.velocity[i] - 2.0 * outward * normal[i]);
    }
}
