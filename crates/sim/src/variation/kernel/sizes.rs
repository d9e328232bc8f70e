//! What each particle size brings to every draw: powers of its properties, made once.

use moteweir_physics::air::Air;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::gravity::{self, FlowDirection};
use moteweir_units::{Density, Length, Velocity};

/// Sizes come in whole groups of this many, the widest vector of the smallest number type.
pub(super) const GROUP: usize = 16;

/// Properties of the particle sizes in rising order, the last size repeated to fill the last group.
#[derive(Clone, Debug)]
pub(super) struct Sizes {
    /// The particles, without repetition.
    pub particles: Vec<Particle>,
    /// Diameter d \[m\].
    pub diameter: Vec<f64>,
    /// Diffusivity to 1/3.
    pub diffusivity_third: Vec<f64>,
    /// Diffusivity to 2/3.
    pub diffusivity_two_thirds: Vec<f64>,
    /// Diffusivity \[m2/s\].
    pub diffusivity: Vec<f64>,
    /// d^(2/3) D^(1/2), of the cross term.
    pub cross: Vec<f64>,
    /// d (d + 1.996 x 2 lambda), of fitted interception \[m2\].
    pub interception: Vec<f64>,
    /// Settling velocity over face velocity.
    pub settling: Vec<f64>,
    /// Particles that arrive for each in the air.
    pub arrival: Vec<f64>,
    /// One over the particles that arrive for each in the air; 0 where none do.
    pub inverse_arrival: Vec<f64>,
    /// Relaxation time x face velocity \[m\].
    pub stop_distance: Vec<f64>,
}

impl Sizes {
    /// Of particles in any order; also returns the place of each among the sizes.
    pub(super) fn new(
        diameters: &[Length],
        density: Density,
        air: &Air,
        face_velocity: Velocity,
        direction: FlowDirection,
    ) -> (Self, Vec<usize>) {
        let mut order: Vec<usize> = (0..diameters.len()).collect();
        order.sort_by(|a, b| diameters[*a].to_m().total_cmp(&diameters[*b].to_m()));
        let mut places = vec![0; order.len()];
        for (place, original) in order.iter().enumerate() {
            places[*original] = place;
        }
        let particles: Vec<Particle> =
            order.iter().map(|&i| Particle::new(air, diameters[i], density)).collect();
        let u0 = face_velocity.to_m_per_s();
        let slip_length = 1.996 * 2.0 * air.mean_free_path().to_m();
        let of = |property: &dyn Fn(&Particle) -> f64| padded(&particles, property);
        let diffusivity = |p: &Particle| p.diffusivity().to_m2_per_s();
        let settling = |p: &Particle| p.settling_velocity().to_m_per_s() / u0;
        let sizes = Self {
            diameter: of(&|p| p.diameter().to_m()),
            diffusivity_third: of(&|p| libm::cbrt(diffusivity(p))),
            diffusivity_two_thirds: of(&|p| libm::cbrt(diffusivity(p)).powi(2)),
            diffusivity: of(&diffusivity),
            cross: of(&|p| libm::cbrt(p.diameter().to_m()).powi(2) * diffusivity(p).sqrt()),
            interception: of(&|p| p.diameter().to_m() * (p.diameter().to_m() + slip_length)),
            settling: of(&settling),
            arrival: of(&|p| gravity::arrival(settling(p), direction)),
            inverse_arrival: of(&|p| match gravity::arrival(settling(p), direction) {
                arrival if arrival > 0.0 => 1.0 / arrival,
                _ => 0.0,
            }),
            stop_distance: of(&|p| p.relaxation_time().to_s() * u0),
            particles,
        };
        (sizes, places)
    }

    /// Sizes with the filling.
    pub(super) fn len(&self) -> usize {
        self.diameter.len()
    }
}

/// A property of each particle, the last repeated to fill the last group.
pub(super) fn padded(particles: &[Particle], property: &dyn Fn(&Particle) -> f64) -> Vec<f64> {
    let mut values: Vec<f64> = particles.iter().map(property).collect();
    if let Some(&last) = values.last() {
        values.resize(values.len().next_multiple_of(GROUP), last);
    }
    values
}
