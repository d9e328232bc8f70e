//! The layers that a draw's numbers make.

use moteweir_physics::air::Air;
use moteweir_physics::closure::Closure;
use moteweir_physics::layer::Layer;
use moteweir_sim::random::normal_quantile;

use super::Slot;
use super::pieces::piece_of;
use crate::case::{Case, Input, LeakAt, Material, Uncertain, factor_of_mean_one};
use crate::predict::medium;

/// How often numbers that make an impossible layer are halved towards their central values.
const HALVINGS: i32 = 8;

/// The layers of one draw.
#[derive(Clone, Debug)]
pub struct Realised {
    /// One a sheet, upstream first.
    pub layers: Vec<Layer>,
    /// Materials whose numbers made no possible layer and were pulled towards their central values.
    pub pulled: u32,
}

/// Makes layers of draws for one case and closure.
#[derive(Debug)]
pub struct Realiser<'a> {
    case: &'a Case,
    closure: Closure,
    air: Air,
    unknowns: Vec<Vec<Uncertain>>,
    /// The mean sheets where nothing is unknown, made once.
    certain: Vec<Option<Layer>>,
}

impl<'a> Realiser<'a> {
    /// For a case whose materials all make layers at their central values.
    pub fn new(case: &'a Case, closure: Closure, air: &Air) -> Self {
        let unknowns: Vec<Vec<Uncertain>> = case.materials.iter().map(Material::unknowns).collect();
        let certain = case
            .materials
            .iter()
            .zip(&unknowns)
            .map(|(m, u)| {
                if u.is_empty() {
                    medium(m, closure, air, case.particles.relative_permittivity)
                        .ok()
                        .map(|m| one_reading(m.layer))
                } else {
                    None
                }
            })
            .collect();
        Self { case, closure, air: *air, unknowns, certain }
    }

    /// The sheets of a stack for the numbers of its slots.
    ///
    /// Numbers that make an impossible layer (denser than fibres pack) are halved towards their central values until
    /// it is possible; the central one always is.
    pub fn stack(&self, layers: &[usize], number: &impl Fn(Slot) -> f64) -> Realised {
        let mut pulled = 0;
        let mut means: Vec<Option<Layer>> = vec![None; self.case.materials.len()];
        let mut sheets = vec![0_usize; self.case.materials.len()];
        let made = layers
            .iter()
            .map(|&material| {
                let mean = means[material].get_or_insert_with(|| {
                    let (layer, was_pulled) = self.mean(material, number);
                    pulled += u32::from(was_pulled);
                    layer
                });
                let sheet = sheets[material];
                sheets[material] += 1;
                self.sheet(material, mean, sheet, number)
            })
            .collect();
        Realised { layers: made, pulled }
    }

    /// The leak for the numbers of its slots; at its central values where they make none.
    pub fn leak(&self, number: &impl Fn(Slot) -> f64) -> Option<LeakAt> {
        let face = self.case.face.as_ref()?;
        let inputs: Vec<(Input, f64)> = face
            .leak
            .unknowns()
            .iter()
            .map(|u| (u.input, u.quantile(number(Slot::Leak { input: u.input }))))
            .collect();
        face.leak.with_inputs(&inputs).or_else(|_| face.leak.with_inputs(&[])).ok()
    }

    /// The mean sheet of a material, and whether its numbers had to be pulled towards the central ones.
    fn mean(&self, material: usize, number: &impl Fn(Slot) -> f64) -> (Layer, bool) {
        if let Some(layer) = &self.certain[material] {
            return (layer.clone(), false);
        }
        let facts = &self.case.materials[material];
        for halving in 0..=HALVINGS {
            let share = 0.5_f64.powi(halving);
            let inputs: Vec<(Input, f64)> = self.unknowns[material]
                .iter()
                .map(|u| {
                    let p = number(Slot::Unknown { material, input: u.input });
                    (u.input, u.quantile(0.5 + share * (p - 0.5)))
                })
                .collect();
            let layer = facts
                .with_inputs(&inputs)
                .and_then(|m| {
                    medium(&m, self.closure, &self.air, self.case.particles.relative_permittivity).ok()
                })
                .map(|m| one_reading(m.layer));
            if let Some(layer) = layer {
                return (layer, halving > 0);
            }
        }
        let central = medium(facts, self.closure, &self.air, self.case.particles.relative_permittivity)
            .expect("a case is only built of materials that make layers at their central values");
        (one_reading(central.layer), true)
    }

    /// A sheet of a material, from its mean sheet.
    fn sheet(&self, material: usize, mean: &Layer, sheet: usize, number: &impl Fn(Slot) -> f64) -> Layer {
        let facts = &self.case.materials[material];
        if facts.varies.is_empty() {
            return mean.clone();
        }
        let ratios: Vec<(Input, f64)> = facts
            .varies
            .iter()
            .map(|v| {
                let input = v.input;
                let of = |cv: f64, slot: Slot| {
                    if cv > 0.0 { factor_of_mean_one(cv, normal_quantile(number(slot))) } else { 1.0 }
                };
                let lot = of(v.lot, Slot::Lot { material, input });
                let own = of(v.sheet, Slot::Sheet { material, input, sheet });
                (input, lot * own)
            })
            .collect();
        piece_of(mean, &facts.piece(&ratios)).unwrap_or_else(|| mean.clone())
    }
}

/// A fabric without its open and tight readings: a draw has numbers of its own for what they stand for, and asks for
/// one value.
fn one_reading(layer: Layer) -> Layer {
    match layer {
        Layer::Weave(mut weave) => {
            weave.ends = [weave.fabric; 2];
            Layer::Weave(weave)
        }
        web @ Layer::Web(_) => web,
    }
}
