//! What a run of draws is asked, who draws, and where the answers stand.

use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::stack::ParticleKind;
use moteweir_units::{Length, Velocity};
use thiserror::Error;

use super::unevenness::Arrangement;
use super::worst::Worst;
use crate::quantile::PlanError;

/// How the most penetrating size of each draw is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WorstSearch {
    /// By a parabola through the highest point of the curve and its neighbours: free.
    Parabola,
    /// By golden section between its neighbours, with the physics itself: some 200 evaluations a draw. Of layers apart,
    /// whatever the arrangement: the arrangement moves the worst size little, and the penetration is the parabola's.
    Exact,
}

/// What is asked of every draw of a stack, at one face velocity.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Air, closure and direction.
    pub setting: Setting,
    /// Density and charge of the particles.
    pub kind: ParticleKind,
    /// Face velocity, above 0.
    pub face_velocity: Velocity,
    /// Sizes of the curve, rising, two or more.
    pub curve: Vec<Length>,
    /// Other sizes that targets ask for, in any order: of an aerosol, of a channel.
    pub further: Vec<Length>,
    /// How uneven layers lie on one another.
    pub arrangement: Arrangement,
    /// How the worst size is found.
    pub worst: WorstSearch,
}

/// A question that cannot be asked.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum VariationError {
    /// Air that does not flow.
    #[error("the face velocity is {metres_per_second} m/s, but has to be above 0")]
    FaceVelocity {
        /// As asked for.
        metres_per_second: f64,
    },
    /// A curve that is none.
    #[error("the curve has {count} sizes, but needs 2 or more, rising and above 0")]
    Curve {
        /// How many sizes there are.
        count: usize,
    },
    /// A further size that is no size.
    #[error("a further size is {metres} m, but has to be above 0")]
    Size {
        /// As asked for.
        metres: f64,
    },
    /// A plan that cannot be carried out.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

impl Question {
    pub(super) fn check(&self) -> Result<(), VariationError> {
        let speed = self.face_velocity.to_m_per_s();
        if !(speed > 0.0 && speed.is_finite()) {
            return Err(VariationError::FaceVelocity { metres_per_second: speed });
        }
        let rises = self.curve.windows(2).all(|pair| pair[0] < pair[1]);
        if self.curve.len() < 2 || !rises || self.curve.iter().any(|size| !is_size(*size)) {
            return Err(VariationError::Curve { count: self.curve.len() });
        }
        match self.further.iter().find(|size| !is_size(**size)) {
            Some(size) => Err(VariationError::Size { metres: size.to_m() }),
            None => Ok(()),
        }
    }

    /// Where the quantities of a run stand, for a sampler's number of extra ones.
    pub fn layout(&self, extras: usize) -> Layout {
        Layout { curve: self.curve.len(), further: self.further.len(), extras }
    }
}

fn is_size(size: Length) -> bool {
    size.to_m() > 0.0 && size.to_m().is_finite()
}

/// Draws stacks, and judges them.
///
/// All has to be a function of the index alone (see [`crate::random::Stream`]).
pub trait Sampler: Sync {
    /// Writes the layers of a draw, each with how many times it comes, in the order of the flow. `layers` is empty.
    ///
    /// A layer that equals the one of the draw before at its place is not worked out again.
    fn layers(&self, index: u64, layers: &mut Vec<(Layer, u32)>);

    /// How many numbers of its own [`Sampler::judge`] writes.
    fn extras(&self) -> usize {
        0
    }

    /// How many targets it judges.
    fn targets(&self) -> usize {
        0
    }

    /// Writes numbers of its own, and for each target 1 where it holds, 0 where not, NaN where it cannot be judged.
    fn judge(&self, index: u64, stack: &DrawnStack<'_>, extras: &mut [f64], held: &mut [f64]) {
        let _ = (index, stack);
        extras.fill(f64::NAN);
        held.fill(f64::NAN);
    }
}

/// What became of one draw.
#[derive(Clone, Copy, Debug)]
pub struct DrawnStack<'a> {
    /// The layers.
    pub layers: &'a [(Layer, u32)],
    /// Penetration at the sizes of the curve.
    pub curve: &'a [f64],
    /// Penetration at the further sizes.
    pub further: &'a [f64],
    /// Pressure drop \[Pa\].
    pub pressure_drop_pa: f64,
    /// The most penetrating size of the curve.
    pub worst: Worst,
    /// Quality factor at the worst size \[1/Pa\].
    pub quality_factor_per_pa: f64,
}

/// Where each quantity stands among those of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    curve: usize,
    further: usize,
    extras: usize,
}

impl Layout {
    /// Penetration at a size of the curve.
    pub const fn curve(&self, size: usize) -> usize {
        size
    }

    /// Penetration at a further size.
    pub const fn further(&self, size: usize) -> usize {
        self.curve + size
    }

    /// Pressure drop \[Pa\].
    pub const fn pressure_drop(&self) -> usize {
        self.curve + self.further
    }

    /// Most penetrating size \[m\].
    pub const fn worst_size(&self) -> usize {
        self.pressure_drop() + 1
    }

    /// Penetration at the most penetrating size.
    pub const fn worst_penetration(&self) -> usize {
        self.pressure_drop() + 2
    }

    /// Quality factor at the most penetrating size \[1/Pa\].
    pub const fn quality_factor(&self) -> usize {
        self.pressure_drop() + 3
    }

    /// A number of the sampler's own.
    pub const fn extra(&self, number: usize) -> usize {
        self.pressure_drop() + 4 + number
    }

    /// How many there are.
    pub const fn len(&self) -> usize {
        self.extra(self.extras)
    }

    /// Never: the pressure drop is always there.
    pub const fn is_empty(&self) -> bool {
        false
    }
}
