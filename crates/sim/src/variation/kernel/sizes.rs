//! What each particle size brings to every draw: powers of its properties, made once.

use moteweir_physics::air::Air;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::gravity::{self, FlowDirection};
use moteweir_units::{Density, Length, Velocity};

/// Sizes come in whole groups of this many, the widest vector of the smallest number type.
pub(super) const GROUP: usize = 16;

/// Settling over velocity up to which a particle's speed past a fibre is taken from a series.
pub(super) const GENTLE: f64 = 0.05;

/// A group of sizes side by side: what the loops over sizes read.
#[derive(Clone, Debug)]
#[repr(align(64))]
pub(super) struct Group {
    /// Diffusivity to 2/3.
    pub two_thirds: [f64; GROUP],
    /// Diffusivity to 1/3.
    pub third: [f64; GROUP],
    /// Diffusivity \[m2/s\].
    pub once: [f64; GROUP],
    /// d^(2/3) D^(1/2), of the cross term.
    pub cross: [f64; GROUP],
    /// Diameter d \[m\].
    pub diameter: [f64; GROUP],
    /// d (d + 1.996 x 2 lambda), of fitted interception \[m2\].
    pub contact: [f64; GROUP],
    /// Settling velocity over face velocity.
    pub settling: [f64; GROUP],
    /// Particles that arrive for each in the air.
    pub arrival: [f64; GROUP],
    /// One over them; 0 where none do.
    pub inverse_arrival: [f64; GROUP],
    /// How many sizes, those that fill the group included: [`GROUP`].
    pub len: usize,
    /// None of the sizes settles faster than [`GENTLE`] times the air.
    pub gentle: bool,
}

/// Properties of the particle sizes in rising order, the last size repeated to fill the last group.
#[derive(Clone, Debug)]
pub(super) struct Sizes {
    /// The particles, without repetition.
    pub particles: Vec<Particle>,
    /// Diameter d \[m\].
    pub diameter: Vec<f64>,
    /// Particles that arrive for each in the air.
    pub arrival: Vec<f64>,
    /// One over the particles that arrive for each in the air; 0 where none do.
    pub inverse_arrival: Vec<f64>,
    /// Relaxation time x face velocity \[m\].
    pub stop_distance: Vec<f64>,
    /// Group by group, what the loops read.
    pub groups: Vec<Group>,
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
        let arrival = of(&|p| gravity::arrival(settling(p), direction));
        let inverse = |arrival: &f64| if *arrival > 0.0 { 1.0 / arrival } else { 0.0 };
        let inverse_arrival: Vec<f64> = arrival.iter().map(inverse).collect();
        let columns = [
            of(&|p| libm::cbrt(diffusivity(p)).powi(2)),
            of(&|p| libm::cbrt(diffusivity(p))),
            of(&diffusivity),
            of(&|p| libm::cbrt(p.diameter().to_m()).powi(2) * diffusivity(p).sqrt()),
            of(&|p| p.diameter().to_m()),
            of(&|p| p.diameter().to_m() * (p.diameter().to_m() + slip_length)),
            of(&settling),
            arrival.clone(),
            inverse_arrival.clone(),
        ];
        let groups = (0..columns[0].len() / GROUP).map(|group| Group::new(&columns, group)).collect();
        let [.., diameter, _, _, _, _] = columns;
        let sizes = Self {
            diameter,
            arrival,
            inverse_arrival,
            stop_distance: of(&|p| p.relaxation_time().to_s() * u0),
            groups,
            particles,
        };
        (sizes, places)
    }

    /// Sizes with the filling.
    pub(super) fn len(&self) -> usize {
        self.diameter.len()
    }
}

impl Group {
    /// A group from properties of all sizes, in the order of its fields.
    fn new(columns: &[Vec<f64>; 9], group: usize) -> Self {
        let of = |column: usize| std::array::from_fn(|i| columns[column][group * GROUP + i]);
        let settling: [f64; GROUP] = of(6);
        Self {
            two_thirds: of(0),
            third: of(1),
            once: of(2),
            cross: of(3),
            diameter: of(4),
            contact: of(5),
            settling,
            arrival: of(7),
            inverse_arrival: of(8),
            len: settling.len(),
            gentle: settling.iter().all(|settling| *settling <= GENTLE),
        }
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
