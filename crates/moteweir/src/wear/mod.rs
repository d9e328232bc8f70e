//! A filter on a face: flow divides between filter and leak at every instant of a breath, and another layer that
//! filters better also pushes more air past the edge.

mod breath;

use moteweir_physics::layer::Layer;
use moteweir_physics::leak::{LeakError, LeakLaw};
use moteweir_units::{Area, Flow, Length, Pressure};
use rayon::prelude::*;

use crate::case::{Breathing, Case, Face, Leak, LeakAt};
use crate::draws::{Realiser, Slot};
use crate::predict::{MediumFault, Surroundings};
use crate::report::{self, BestLayers, InwardLeakage, WEAR_FORMAT, WarningReport, WearReport, WornLayers};
use crate::vary::few;
use breath::Breath;
pub(crate) use breath::Worn;

/// Draws behind the quantiles where none are asked for.
const USUAL_DRAWS: u64 = 400;
/// Sizes of the curve by size.
const SIZES: usize = 31;
/// Size of interest where the scenario names no aerosol: that of certification, near the worst of plain filters.
const USUAL_SIZE_UM: f64 = 0.3;
/// Layers beyond the question's largest number for which the next steps are asked.
const MORE: u32 = 2;

/// Why a case cannot be worn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WearFault {
    /// The scenario says nothing of the face.
    #[error(
        "the scenario has no [face]: state the leak and the breathing, such as\n[face]\nslit = {{ length = \"60 mm\", gap = \"0.5 mm\", depth = \"10 mm\" }}\nbreathing = \"light work\""
    )]
    NoFace,
    /// A leak that cannot be beside this filter.
    #[error("the leak cannot be: {0}")]
    Leak(#[from] LeakError),
    /// Materials that make no layer.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Media(Vec<MediumFault>),
}

/// How many draws to make.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WearOptions {
    /// Where the random numbers begin, instead of the scenario's seed.
    pub seed: Option<u64>,
    /// How many draws.
    pub draws: Option<u64>,
}

/// A family of stacks: one material layered, or one stack as it is.
struct Family {
    name: String,
    /// Fixed sheets.
    fixed: Vec<usize>,
    /// The material that is layered, and up to how many times.
    layered: Option<(usize, u32)>,
}

/// Wears every stack of a case, or the stacks that its question asks about.
///
/// The result depends on the seed and the number of draws alone, not on the number of threads.
///
/// # Errors
/// As [`WearFault`].
pub fn wear(case: &Case, options: WearOptions) -> Result<WearReport, WearFault> {
    let face = case.face.as_ref().ok_or(WearFault::NoFace)?;
    crate::predict::check_media(case).map_err(WearFault::Media)?;
    let surroundings = Surroundings::of_case(case, SIZES);
    let realiser = Realiser::new(case, surroundings.closure(), surroundings.air());
    let bench = Bench {
        face,
        surroundings: &surroundings,
        realiser: &realiser,
        nodes: nodes(case, &surroundings),
        seed: options.seed.unwrap_or(case.vary.seed),
        draws: options.draws.or(case.vary.draws).unwrap_or(USUAL_DRAWS),
    };
    let mut layers = Vec::new();
    let mut best = Vec::new();
    for breathing in &face.breathing {
        for family in families(case) {
            let (worn, most) = bench.family(&family, breathing)?;
            layers.extend(worn);
            best.extend(most);
        }
    }
    Ok(WearReport {
        format: WEAR_FORMAT,
        title: case.title.clone(),
        seed: bench.seed,
        draws: bench.draws,
        particles: particles(case),
        leak: face.leak.words(),
        layers,
        best,
        warnings: warnings(case),
        assumed: report::assumed(case),
    })
}

/// The question's stacks, or each stack of the case as it is.
fn families(case: &Case) -> Vec<Family> {
    match &case.question {
        Some(question) => {
            let fixed: Vec<usize> = question.before.iter().chain(&question.after).copied().collect();
            let name = case.materials[question.layers_of].name.clone();
            let most = u32::try_from(question.most).unwrap_or(12);
            vec![Family { name, fixed, layered: Some((question.layers_of, most)) }]
        }
        None => case
            .stacks
            .iter()
            .map(|stack| Family { name: stack.name.clone(), fixed: stack.layers.clone(), layered: None })
            .collect(),
    }
}

/// What inhaled shares are averaged over: the first aerosol, or one size.
fn nodes(case: &Case, surroundings: &Surroundings) -> Vec<(Length, f64)> {
    match case.aerosols.first() {
        Some(a) => few(&a.aerosol.nodes(a.weighted_by, surroundings.air(), surroundings.kind().density)),
        None => vec![(Length::from_um(USUAL_SIZE_UM), 1.0)],
    }
}

fn particles(case: &Case) -> String {
    match case.aerosols.first() {
        Some(a) => format!("{} (by {})", a.name, a.weighted_by.name()),
        None => format!("{USUAL_SIZE_UM} um (mobility)"),
    }
}

/// What all families share.
struct Bench<'a> {
    face: &'a Face,
    surroundings: &'a Surroundings,
    realiser: &'a Realiser<'a>,
    nodes: Vec<(Length, f64)>,
    seed: u64,
    draws: u64,
}

/// Inhaled share of each number of layers in one draw.
type Shares = Vec<f64>;

impl Bench<'_> {
    fn family(
        &self,
        family: &Family,
        breathing: &Breathing,
    ) -> Result<(Vec<WornLayers>, Option<BestLayers>), WearFault> {
        let central = |_: Slot| 0.5;
        let counts = counts(family);
        let asked = family.layered.map_or(1, |(_, most)| most as usize);
        let sizes: Vec<Length> =
            self.nodes.iter().map(|(d, _)| *d).chain(self.surroundings.sizes().iter().copied()).collect();
        let worn = self.worn(family, &sizes, breathing, &central);
        let leak = self.realiser.leak(&central).unwrap_or(LeakAt::Law(LeakLaw::Sealed));
        // A fit test was done with one mask: that of one layer.
        let law = worn.law(&leak, &counts[0])?;
        let breaths: Vec<Breath> = counts
            .iter()
            .map(|c| worn.breath(c, &law, &breathing.inhalation))
            .collect::<Result<_, LeakError>>()?;
        let drawn = self.drawn(family, breathing, &counts[..asked]);
        let layers = breaths[..asked]
            .iter()
            .enumerate()
            .map(|(i, breath)| self.report(family, breathing, i, &counts[i], breath, &drawn))
            .collect();
        let best = family.layered.map(|_| {
            let shares: Shares = breaths.iter().map(|b| self.average(&b.inhaled)).collect();
            let at = lowest(&shares[..asked]);
            let half = halved(&law, self.surroundings.air());
            let with_half = half
                .and_then(|law| worn.breath(&counts[at], &law, &breathing.inhalation).ok())
                .map_or(f64::NAN, |b| self.average(&b.inhaled));
            BestLayers {
                stack: family.name.clone(),
                breathing: breathing.name.clone(),
                layers: u32::try_from(at).unwrap_or(0) + 1,
                probability: probabilities(&drawn, asked),
                total_inward_leakage: shares[at],
                with_half_the_leak: with_half,
                with_two_layers_more: shares[at + MORE as usize],
            }
        });
        Ok((layers, best))
    }

    fn worn(
        &self,
        family: &Family,
        sizes: &[Length],
        breathing: &Breathing,
        number: &impl Fn(Slot) -> f64,
    ) -> Worn {
        let positions: Vec<usize> =
            family.fixed.iter().copied().chain(family.layered.map(|(material, _)| material)).collect();
        let layers: Vec<Layer> = self.realiser.stack(&positions, number).layers;
        let s = self.surroundings;
        Worn::new(layers, s.headline(), s.kind(), sizes, self.face.area, breathing.inhalation.peak_flow())
    }

    /// Inhaled shares of every draw, in the order of the draws.
    fn drawn(&self, family: &Family, breathing: &Breathing, counts: &[Vec<u32>]) -> Vec<Shares> {
        let sizes: Vec<Length> = self.nodes.iter().map(|(d, _)| *d).collect();
        (0..self.draws)
            .into_par_iter()
            .filter_map(|index| {
                let number = |slot: Slot| slot.uniform(self.seed, index);
                let worn = self.worn(family, &sizes, breathing, &number);
                let leak = self.realiser.leak(&number)?;
                let law = worn.law(&leak, &counts[0]).ok()?;
                counts
                    .iter()
                    .map(|c| {
                        let breath = worn.breath(c, &law, &breathing.inhalation).ok()?;
                        Some(self.average(&breath.inhaled))
                    })
                    .collect()
            })
            .collect()
    }

    fn average(&self, by_size: &[f64]) -> f64 {
        self.nodes.iter().zip(by_size).map(|((_, w), p)| w * p).sum()
    }

    fn report(
        &self,
        family: &Family,
        breathing: &Breathing,
        at: usize,
        counts: &[u32],
        breath: &Breath,
        drawn: &[Shares],
    ) -> WornLayers {
        let mut shares: Vec<f64> = drawn.iter().map(|d| d[at]).collect();
        shares.sort_by(f64::total_cmp);
        let of_curve = &breath.inhaled[self.nodes.len()..];
        WornLayers {
            stack: family.name.clone(),
            breathing: breathing.name.clone(),
            layers: if family.layered.is_some() {
                counts[counts.len() - 1]
            } else {
                u32::try_from(family.fixed.len()).unwrap_or(u32::MAX)
            },
            total_inward_leakage: InwardLeakage {
                q025: ranked(&shares, 0.025),
                q50: ranked(&shares, 0.5),
                q975: ranked(&shares, 0.975),
                central: self.average(&breath.inhaled),
            },
            filter_penetration: self.average(&breath.through_filter),
            leak_share_of_flow: breath.leak_share,
            peak_pressure_pa: breath.peak_pressure.to_pa(),
            mean_pressure_pa: breath.mean_pressure.to_pa(),
            work_j_per_l: breath.work_j_per_l,
            diameter_m: self.surroundings.sizes().iter().map(|d| d.to_m()).collect(),
            total_inward_leakage_by_size: of_curve.to_vec(),
        }
    }
}

/// How many of each distinct layer, for each number of layers; the layered one last.
fn counts(family: &Family) -> Vec<Vec<u32>> {
    let fixed = vec![1; family.fixed.len()];
    match family.layered {
        Some((_, most)) => (1..=most + MORE).map(|n| fixed.iter().copied().chain([n]).collect()).collect(),
        None => vec![fixed],
    }
}

/// Position of the lowest share.
fn lowest(shares: &[f64]) -> usize {
    (0..shares.len()).min_by(|&a, &b| shares[a].total_cmp(&shares[b])).unwrap_or(0)
}

/// Share of draws in which each number of layers inhales least.
fn probabilities(drawn: &[Shares], asked: usize) -> Vec<f64> {
    let mut counts = vec![0_u32; asked];
    for shares in drawn {
        counts[lowest(shares)] += 1;
    }
    counts.iter().map(|&c| f64::from(c) / drawn.len().max(1) as f64).collect()
}

/// The value at a rank of sorted numbers, interpolated.
fn ranked(sorted: &[f64], rank: f64) -> f64 {
    if sorted.is_empty() {
        return f64::NAN;
    }
    let at = rank * (sorted.len() - 1) as f64;
    let below = sorted.iter().enumerate().take_while(|(i, _)| *i as f64 <= at).count() - 1;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (at - below as f64) * (sorted[above] - sorted[below])
}

/// The leak with half the gap, or half the area, or half the flow at the same pressure; nothing where it is sealed or
/// wide open.
fn halved(law: &LeakLaw, air: &moteweir_physics::air::Air) -> Option<LeakLaw> {
    match law {
        LeakLaw::Sealed | LeakLaw::Open => None,
        LeakLaw::Slit(slit) => LeakLaw::slit(slit.length(), slit.gap() * 0.5, slit.depth()).ok(),
        LeakLaw::Hole { area } => LeakLaw::hole(Area::from_m2(0.5 * area.to_m2())).ok(),
        LeakLaw::PowerLaw(power) => {
            let pressure = Pressure::from_pa(50.0);
            let flow: Flow = law.flow_at(pressure, air) * 0.5;
            moteweir_physics::leak::PowerLaw::through(flow, pressure, power.exponent())
                .ok()
                .map(LeakLaw::PowerLaw)
        }
    }
}

fn warnings(case: &Case) -> Vec<WarningReport> {
    let mut warnings: Vec<WarningReport> = case
        .warnings
        .iter()
        .map(|w| WarningReport { kind: "scenario".to_owned(), text: w.message() })
        .collect();
    if matches!(case.face.as_ref().map(|f| &f.leak), Some(Leak::None)) {
        warnings.push(WarningReport {
            kind: "no_leak".to_owned(),
            text: "no leak is stated, so none is counted: every worn mask leaks, and a leak of a hundredth of the flow outweighs a good filter".to_owned(),
        });
    }
    warnings
}
