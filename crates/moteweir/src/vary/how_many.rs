//! How many layers: what each more buys and costs, with how sure one can be.

use moteweir_physics::breathing::{Inhalation, WorkLevel};
use moteweir_units::{Flow, Length};
use rayon::prelude::*;

use super::few;
use crate::case::{Case, Question};
use crate::draws::{Realiser, Slot};
use crate::predict::{Surroundings, peak};
use crate::report::{Band, HowMany, HowManyStep};
use crate::wear::Worn;

/// Draws behind the bands where none are asked for.
const USUAL_DRAWS: u64 = 400;
/// Work levels whose breathing resistance is told, by their mean flow while inhaling.
const LEVELS: [WorkLevel; 3] = [WorkLevel::Rest, WorkLevel::Light, WorkLevel::Heavy];
/// Sizes that are always told.
const TOLD_SIZES_UM: [f64; 2] = [0.3, 1.0];

/// One draw of one number of layers.
#[derive(Clone, Debug)]
struct Drawn {
    worst: f64,
    told: [f64; 2],
    aerosol: f64,
    in_use: f64,
    levels: [f64; 3],
    limit: f64,
}

/// Answers the question of a case; `None` where it asks none.
pub(super) fn how_many(
    case: &Case,
    surroundings: &Surroundings,
    realiser: &Realiser<'_>,
    seed: u64,
    draws: Option<u64>,
) -> Option<HowMany> {
    let question = case.question.as_ref()?;
    let asked = Asked::new(case, surroundings, question);
    let draws = draws.or(case.vary.draws).unwrap_or(USUAL_DRAWS).min(10 * USUAL_DRAWS);
    let central = asked.layers(realiser, &|_: Slot| 0.5);
    let drawn: Vec<Vec<Drawn>> = (0..draws)
        .into_par_iter()
        .map(|index| asked.layers(realiser, &|slot: Slot| slot.uniform(seed, index)))
        .collect();
    let steps: Vec<HowManyStep> = (0..question.most).map(|n| asked.step(n, &central[n], &drawn)).collect();
    let limit = question.resistance_at_most.as_ref();
    let breathable = limit.map(|limit| {
        let under = |d: &Drawn| d.limit <= limit.pressure_drop.to_pa();
        let most = central.iter().take_while(|d| under(d)).count();
        let sure =
            |n: usize| drawn.iter().filter(|d| under(&d[n])).count() as f64 / drawn.len().max(1) as f64;
        (u32::try_from(most).unwrap_or(u32::MAX), if most == 0 { 0.0 } else { sure(most - 1) })
    });
    let worthwhile = 1 + central
        .windows(2)
        .take_while(|pair| pair[0].worst - pair[1].worst >= question.gain_at_least)
        .count();
    Some(HowMany {
        material: case.materials[question.layers_of].name.clone(),
        draws,
        aerosol: case.aerosols.first().map(|a| a.name.clone()),
        resistance_limit: limit.map(|l| l.text.clone()),
        gain_at_least: question.gain_at_least,
        most_breathable: breathable.map(|b| b.0),
        most_breathable_probability: breathable.map(|b| b.1),
        last_worthwhile: u32::try_from(worthwhile).unwrap_or(u32::MAX),
        steps,
    })
}

/// What the question asks, ready for draws.
struct Asked<'a> {
    surroundings: &'a Surroundings,
    positions: Vec<usize>,
    most: usize,
    sizes: Vec<Length>,
    weights: Vec<f64>,
    case: &'a Case,
    flows: [Flow; 3],
    limit_flow: Option<Flow>,
}

impl<'a> Asked<'a> {
    fn new(case: &'a Case, surroundings: &'a Surroundings, question: &Question) -> Self {
        let fixed = question.before.iter().chain(&question.after).copied();
        let nodes = case.aerosols.first().map_or_else(Vec::new, |a| {
            few(&a.aerosol.nodes(a.weighted_by, surroundings.air(), surroundings.kind().density))
        });
        let curve = surroundings.sizes().iter().copied();
        let told = TOLD_SIZES_UM.into_iter().map(Length::from_um);
        Self {
            surroundings,
            positions: fixed.chain([question.layers_of]).collect(),
            most: question.most,
            sizes: curve.chain(told).chain(nodes.iter().map(|(d, _)| *d)).collect(),
            weights: nodes.iter().map(|(_, w)| *w).collect(),
            case,
            flows: LEVELS.map(|level| Inhalation::at(level).mean_flow()),
            limit_flow: question.resistance_at_most.as_ref().map(|l| l.flow),
        }
    }

    /// Every number of layers for the numbers of a draw.
    fn layers(&self, realiser: &Realiser<'_>, number: &impl Fn(Slot) -> f64) -> Vec<Drawn> {
        let layers = realiser.stack(&self.positions, number).layers;
        let s = self.surroundings;
        let usage = &self.case.usage;
        let peak_flow = self.flows.iter().copied().chain(self.limit_flow).fold(usage.flow, Flow::max);
        let worn = Worn::new(layers, s.headline(), s.kind(), &self.sizes, usage.area, peak_flow);
        let curve = s.sizes().len();
        (1..=self.most)
            .map(|n| {
                let mut counts = vec![1; self.positions.len()];
                counts[self.positions.len() - 1] = u32::try_from(n).unwrap_or(u32::MAX);
                let through = worn.penetration(&counts, (usage.flow / usage.area).to_m_per_s());
                let drop = |flow: Flow| worn.pressure(&counts, flow).to_pa();
                Drawn {
                    worst: peak(s.sizes(), &through[..curve]).1,
                    told: [through[curve], through[curve + 1]],
                    aerosol: self.weights.iter().zip(&through[curve + 2..]).map(|(w, p)| w * p).sum(),
                    in_use: drop(usage.flow),
                    levels: self.flows.map(drop),
                    limit: self.limit_flow.map_or(f64::NAN, drop),
                }
            })
            .collect()
    }

    fn step(&self, n: usize, central: &Drawn, drawn: &[Vec<Drawn>]) -> HowManyStep {
        let band = |of: &dyn Fn(&Drawn) -> f64| {
            let mut values: Vec<f64> = drawn.iter().map(|d| of(&d[n])).collect();
            values.sort_by(f64::total_cmp);
            let at = |rank: f64| {
                let last = values.len().saturating_sub(1) as f64;
                values.iter().enumerate().find(|(i, _)| *i as f64 >= rank * last).map_or(f64::NAN, |v| *v.1)
            };
            Band { central: of(central), q025: at(0.025), q50: at(0.5), q975: at(0.975) }
        };
        let has_aerosol = !self.weights.is_empty();
        HowManyStep {
            layers: u32::try_from(n + 1).unwrap_or(u32::MAX),
            mpps_penetration: band(&|d| d.worst),
            penetration_300_nm: band(&|d| d.told[0]),
            penetration_1_um: band(&|d| d.told[1]),
            aerosol_penetration: has_aerosol.then(|| band(&|d| d.aerosol)),
            pressure_drop_pa: band(&|d| d.in_use),
            pressure_at_rest_pa: band(&|d| d.levels[0]),
            pressure_at_light_work_pa: band(&|d| d.levels[1]),
            pressure_at_heavy_work_pa: band(&|d| d.levels[2]),
        }
    }
}
