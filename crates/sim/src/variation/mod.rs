//! Stacks that vary: many draws of whole stacks, and what their penetration and pressure drop come to.
//!
//! A [`Sampler`] gives the layers of the draw of an index, a [`Question`] says what is asked of each, and [`vary`] draws
//! until enough is known: quantiles of penetration at each size, of the most penetrating size, of pressure drop and
//! quality factor, and how often targets hold. The work is done by [`kernel`]; [`unevenness`] says what uneven sheets
//! come to apart and in contact.
//!
//! ```
//! use std::ops::ControlFlow;
//!
//! use moteweir_physics::air::Air;
//! use moteweir_physics::charging::ParticleCharge;
//! use moteweir_physics::closure::Closure;
//! use moteweir_physics::fibre::FibreDiameters;
//! use moteweir_physics::layer::{Layer, Setting};
//! use moteweir_physics::single_fibre::electrostatic::Electret;
//! use moteweir_physics::single_fibre::gravity::FlowDirection;
//! use moteweir_physics::stack::ParticleKind;
//! use moteweir_physics::web::Web;
//! use moteweir_sim::quantile::Draws;
//! use moteweir_sim::random::{Purpose, Stream};
//! use moteweir_sim::variation::{
//!     Arrangement, DrawnStack, Question, Sampler, WorstSearch, vary,
//! };
//! use moteweir_units::{Density, Length, Solidity, SurfaceCharge, Velocity};
//!
//! /// Three sheets of a felt whose fibres are known to 10 % and whose thickness varies by 5 % from sheet to sheet.
//! struct Felt;
//!
//! impl Sampler for Felt {
//!     fn layers(&self, index: u64, layers: &mut Vec<(Layer, u32)>) {
//!         let fibres = Stream::new(7, Purpose::named("fibre diameter"), index).normal();
//!         for sheet in 0..3 {
//!             let weight = Stream::new(7, Purpose::named("basis weight").item(sheet), index).normal();
//!             let web = Web {
//!                 solidity: Solidity::new(0.08).expect("a fraction"),
//!                 thickness: Length::from_um(400.0 * (1.0 + 0.05 * weight).max(0.5)),
//!                 fibres: FibreDiameters::uniform(Length::from_um(12.0 * (0.1 * fibres).exp())),
//!                 electret: Electret {
//!                     surface_charge: SurfaceCharge::from_c_per_m2(0.0),
//!                     fibre_permittivity: 2.2,
//!                     particle_permittivity: 3.0,
//!                 },
//!                 unevenness: 0.0,
//!                 inhomogeneity: 1.0,
//!                 drag_factor: None,
//!             };
//!             layers.push((Layer::Web(web), 1));
//!         }
//!     }
//!
//!     fn targets(&self) -> usize {
//!         1
//!     }
//!
//!     /// Does it stay below 60 Pa?
//!     fn judge(&self, _: u64, stack: &DrawnStack<'_>, _: &mut [f64], held: &mut [f64]) {
//!         held[0] = f64::from(u8::from(stack.pressure_drop_pa < 60.0));
//!     }
//! }
//!
//! let question = Question {
//!     setting: Setting {
//!         closure: Closure::LeeLiu,
//!         air: Air::reference(),
//!         direction: FlowDirection::Horizontal,
//!     },
//!     kind: ParticleKind { density: Density::from_kg_per_m3(1000.0), charge: ParticleCharge::Neutral },
//!     face_velocity: Velocity::from_cm_per_s(10.0),
//!     curve: (0..41).map(|i| Length::from_um(0.01 * 10_f64.powf(i as f64 * 0.075))).collect(),
//!     further: vec![Length::from_um(0.3)],
//!     arrangement: Arrangement::Apart,
//!     worst: WorstSearch::Parabola,
//! };
//! let found = vary(&question, &Felt, Draws::Exactly(2000), |_| ControlFlow::Continue(()))?;
//! let at_300_nm = &found.outcome.quantities[found.layout.further(0)];
//! let median = at_300_nm.quantile_estimate(0.5).expect("there are draws");
//! assert!(median.value > 0.0 && median.standard_error < 0.01);
//! assert_eq!(found.outcome.targets[0].count, 2000);
//! # Ok::<(), moteweir_sim::variation::VariationError>(())
//! ```

mod arithmetic;
mod elementary;
mod engine;
pub mod kernel;
mod question;
#[cfg(test)]
mod tests;
pub mod unevenness;
mod worst;

pub use engine::{Drawing, Variation, vary};
pub use question::{DrawnStack, Layout, Question, Sampler, VariationError, WorstSearch};
pub use unevenness::Arrangement;
pub use worst::Worst;
