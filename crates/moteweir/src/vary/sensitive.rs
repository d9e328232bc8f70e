//! Which quantity leaves how much open: first-order and total sensitivity indices by quantity.

use moteweir_sim::sensitivity::{Design, Sensitivity, sensitivity};
use moteweir_sim::variation::Drawing;
use std::ops::ControlFlow;

use super::asked::{Asked, Measured};
use crate::case::{Case, Input};
use crate::draws::{Realiser, Slot, slots_of_stack};
use crate::report::SensitivityReport;

/// Points of the quasi-random design in each replicate, where there are many draws, and where there are few.
const POINTS: [u32; 2] = [128, 64];
/// So many draws are few.
const FEW_DRAWS: u64 = 1000;
/// Replicates, whose scatter is the standard error.
const REPLICATES: u32 = 4;
/// A quantity whose total index is below this is not worth a row.
const WORTH_A_ROW: f64 = 0.005;

/// A quantity as a reader knows it: one unknown, or all that differs from piece to piece of a material.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Quantity {
    Unknown(usize, Input),
    Pieces(usize, Input),
    Leak(Input),
}

impl Quantity {
    pub(crate) const fn of(slot: Slot) -> Self {
        match slot {
            Slot::Unknown { material, input } => Self::Unknown(material, input),
            Slot::Lot { material, input } | Slot::Sheet { material, input, .. } => {
                Self::Pieces(material, input)
            }
            Slot::Leak { input } => Self::Leak(input),
        }
    }

    /// `unknown`, `varies` or `leak`.
    pub(crate) const fn kind(self) -> &'static str {
        match self {
            Self::Unknown(..) => "unknown",
            Self::Pieces(..) => "varies",
            Self::Leak(_) => "leak",
        }
    }

    /// How to know it better.
    pub(crate) fn measure(self) -> Option<&'static str> {
        match self {
            Self::Unknown(_, input) | Self::Leak(input) => Some(input.measure()),
            Self::Pieces(..) => None,
        }
    }

    pub(crate) fn words(self, case: &Case) -> String {
        match self {
            Self::Unknown(material, input) | Self::Pieces(material, input) => {
                format!("{} of {}", input.words(), case.materials[material].name)
            }
            Self::Leak(input) => input.words().to_owned(),
        }
    }
}

/// Indices of every quantity for each number that a target is about, the largest total first.
pub(super) fn of(
    case: &Case,
    asked: &Asked,
    realiser: &Realiser<'_>,
    layers: &[usize],
    seed: u64,
    draws: u64,
) -> Vec<SensitivityReport> {
    let slots = slots_of_stack(case, layers);
    let (quantities, groups) = grouped(&slots);
    if quantities.is_empty() {
        return Vec::new();
    }
    let names = asked.measure_names();
    let design = Design {
        inputs: slots.len(),
        outputs: names.len(),
        groups,
        points: POINTS[usize::from(draws <= FEW_DRAWS)],
        replicates: REPLICATES,
        seed,
    };
    let question = asked.brief();
    let drawing = Drawing::new(&question);
    let first = question.layout(0).len();
    let model = |numbers: &[f64], measures: &mut [f64]| {
        let number = |slot: Slot| slots.iter().position(|known| *known == slot).map_or(0.5, |at| numbers[at]);
        let mut row = vec![0.0; first + measures.len()];
        drawing.rows(&Measured { asked, layers, realiser, number }, 0..1, &mut row);
        measures.copy_from_slice(&row[first..]);
    };
    let Ok(found) = sensitivity(&design, model, |_, _| ControlFlow::Continue(())) else { return Vec::new() };
    ranked(case, &names, &quantities, &found)
}

/// The quantities behind slots, and the positions of the slots of each.
pub(crate) fn grouped(slots: &[Slot]) -> (Vec<Quantity>, Vec<Vec<usize>>) {
    let mut quantities: Vec<Quantity> = Vec::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (i, slot) in slots.iter().enumerate() {
        let quantity = Quantity::of(*slot);
        if let Some(at) = quantities.iter().position(|known| *known == quantity) {
            groups[at].push(i);
        } else {
            quantities.push(quantity);
            groups.push(vec![i]);
        }
    }
    (quantities, groups)
}

/// The rows of each number, the largest total first.
fn ranked(
    case: &Case,
    names: &[String],
    quantities: &[Quantity],
    found: &Sensitivity,
) -> Vec<SensitivityReport> {
    let mut rows = Vec::new();
    for (name, output) in names.iter().zip(&found.outputs) {
        let mut of_this: Vec<SensitivityReport> = quantities
            .iter()
            .zip(&output.groups)
            .filter(|(_, indices)| indices.total.value > WORTH_A_ROW)
            .map(|(quantity, indices)| SensitivityReport {
                target: name.clone(),
                quantity: quantity.words(case),
                kind: quantity.kind(),
                measure: quantity.measure(),
                // The estimate is the noisier of the two; the true one lies between 0 and the total.
                first: indices.first.value.clamp(0.0, indices.total.value.max(0.0)),
                total: indices.total.value,
                total_standard_error: indices.total.standard_error,
            })
            .collect();
        of_this.sort_by(|a, b| b.total.total_cmp(&a.total));
        rows.extend(of_this);
    }
    rows
}
