//! What a count at one size says of the size that gets through most: one or two unknowns of a class by quadrature.

use moteweir_physics::air::Air;
use moteweir_physics::closure::{Closure, Slices};
use moteweir_physics::layer::Setting;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_sim::counting::Counted;
use moteweir_sim::random::normal_quantile;
use moteweir_units::show::{self, Show};
use moteweir_units::{Length, SurfaceCharge, Velocity};
use rayon::prelude::*;

use crate::case::{Case, Input, Material, Uncertain};
use crate::predict::{log_spaced, medium, peak};
use crate::report::{TallyQuantiles as Quantiles, UnknownReport, WorstReport};

/// The unknowns that a count at one size tells most of, the first first.
const TOLD: [Input; 6] = [
    Input::Hairs,
    Input::FibreDiameter,
    Input::SurfaceCharge,
    Input::YarnLinearDensity,
    Input::Solidity,
    Input::Unevenness,
];
/// Nodes of each unknown, evenly in probability.
const NODES: usize = 16;
/// Sizes that the most penetrating one is looked for at.
const SIZES: usize = 25;
/// No most penetrating size lies above this.
const LARGEST_UM: f64 = 2.0;
/// Standard deviation of ln(-ln P) of real sheets about a model that is right on average: between laboratories, 26 %
/// expanded, so 13 % standard; source
/// [`moteweir_physics::refs::SIPKENS_2025`], its abstract.
const DISCREPANCY: f64 = 0.13;
/// Over this distance in ln d the model's error at one size still tells of that at another: a factor e. A choice.
const REACH: f64 = 1.0;
/// Nodes of the error at the size counted, and how many standard deviations they reach.
const ERRORS: usize = 61;
const ERRORS_REACH: f64 = 4.0;
/// Nodes of the rest of the error at the most penetrating size, evenly in probability.
const RESTS: usize = 8;
/// A log likelihood this far below the best possible is no chance.
const FAR: f64 = 8.0;
/// Weights below this share of the largest move nothing.
const NEGLIGIBLE: f64 = 1e-7;

/// What was counted, and of what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct AtSize {
    /// Size of the particles counted, taken as a mobility diameter.
    pub(super) size: Length,
    /// Face velocity of the test.
    pub(super) velocity: Velocity,
    /// Through the sample.
    pub(super) sample: Counted,
    /// In the room.
    pub(super) open: Counted,
}

/// One value of the unknowns under one closure.
struct Node {
    values: Vec<f64>,
    /// ln(-ln P) at the size counted.
    at_size: f64,
    worst: f64,
    /// ln(-ln P) at the worst size.
    at_worst: f64,
}

/// A value with its weight.
type Weighted = (f64, f64);

/// What the count says of the worst size of the first stack of a case; none where no sheet can be made.
///
/// Unknowns are the one or two that the size tells most of; others stay at their central values. Every closure compared
/// is as likely as the others, and on top of each lies an error of the model, known at the size counted and less and
/// less away from it.
pub(super) fn worst_of(case: &Case, of: &str, asked: &AtSize) -> Option<WorstReport> {
    let stack = case.stacks.first()?;
    let material = case.materials.get(*stack.layers.first()?)?;
    let layers = u32::try_from(stack.layers.len()).ok()?;
    let all = material.unknowns();
    let told: Vec<Uncertain> =
        TOLD.iter().filter_map(|input| all.iter().find(|u| u.input == *input)).copied().take(2).collect();
    let kept = all.iter().filter(|u| !told.contains(u)).map(|u| u.input.words()).collect();
    let nodes = nodes(case, material, layers, &told, asked);
    if nodes.is_empty() {
        return None;
    }
    let (prior, _) = joined(&nodes, asked, |_| 0.0);
    let likelihood = |k: f64| ln_likelihood((-k.exp()).exp(), &asked.sample, &asked.open);
    let (posterior, best) = joined(&nodes, asked, likelihood);
    let unknowns = told
        .iter()
        .enumerate()
        .map(|(i, unknown)| {
            let of =
                |joined: &Joined| quantiles(joined.nodes.iter().zip(&nodes).map(|(w, n)| (n.values[i], *w)));
            let (before, after) = (of(&prior), of(&posterior));
            UnknownReport {
                key: unknown.input.key(),
                quantity: unknown.input.words(),
                before,
                after,
                words: [range(unknown.input, &before), range(unknown.input, &after)],
            }
        })
        .collect();
    let saturated = saturated(&asked.sample, &asked.open);
    let worst_sizes = posterior.nodes.iter().zip(&nodes).map(|(w, n)| (n.worst, *w));
    Some(WorstReport {
        of: of.to_owned(),
        face_velocity_m_per_s: asked.velocity.to_m_per_s(),
        mpps_m: quantiles(worst_sizes),
        penetration_before: quantiles(prior.at_worst.into_iter()),
        penetration: quantiles(posterior.at_worst.into_iter()),
        unknowns,
        kept,
        is_within_class: best > saturated - FAR,
    })
}

fn nodes(case: &Case, material: &Material, layers: u32, told: &[Uncertain], asked: &AtSize) -> Vec<Node> {
    let air = Air::new(case.air.temperature, case.air.pressure, case.air.relative_humidity);
    let kind = ParticleKind { density: case.particles.density, charge: case.particles.charge };
    let largest = Length::from_um(LARGEST_UM).min(case.particles.largest);
    let sizes: Vec<Length> = log_spaced(case.particles.smallest.to_m(), largest.to_m(), SIZES)
        .into_iter()
        .map(Length::from_m)
        .collect();
    let slices = Slices::default();
    let probability = |i: usize| (i as f64 + 0.5) / NODES as f64;
    let mut grid: Vec<(Closure, Vec<f64>)> = Vec::new();
    for &closure in &case.model.compare {
        let mut values = vec![Vec::new()];
        for unknown in told {
            values = values
                .iter()
                .flat_map(|known: &Vec<f64>| {
                    (0..NODES).map(|i| [known.as_slice(), &[unknown.quantile(probability(i))]].concat())
                })
                .collect();
        }
        grid.extend(values.into_iter().map(|v| (closure, v)));
    }
    let node = |(closure, values): &(Closure, Vec<f64>)| -> Option<Node> {
        let inputs: Vec<(Input, f64)> = told.iter().map(|u| u.input).zip(values.iter().copied()).collect();
        let material = material.with_inputs(&inputs)?;
        let layer = medium(&material, *closure, &air, case.particles.relative_permittivity).ok()?.layer;
        let setting = Setting { closure: *closure, air, direction: case.usage.direction };
        let stack = Stack::new([(layer, layers)]).prepare_with(&setting, asked.velocity, &slices);
        let through = |size: Length| stack.penetration(size, &kind).value;
        let curve: Vec<f64> = sizes.iter().map(|&d| through(d)).collect();
        let (worst, at_worst) = peak(&sizes, &curve);
        let exponent = |p: f64| (-p.ln()).max(1e-12).ln();
        Some(Node {
            values: values.clone(),
            at_size: exponent(through(asked.size)),
            worst,
            at_worst: exponent(at_worst),
        })
    };
    grid.par_iter().filter_map(node).collect()
}

/// Nodes joined with the model's error and weighed.
struct Joined {
    /// Weight of each node.
    nodes: Vec<f64>,
    /// Penetration at the worst size.
    at_worst: Vec<Weighted>,
}

/// Weighs every node and error by a likelihood of ln(-ln P) at the size counted; also the best log likelihood.
fn joined(nodes: &[Node], asked: &AtSize, ln_likelihood: impl Fn(f64) -> f64) -> (Joined, f64) {
    let errors: Vec<(f64, f64)> = (0..ERRORS)
        .map(|i| {
            let z = ERRORS_REACH * (2.0 * i as f64 / (ERRORS - 1) as f64 - 1.0);
            (DISCREPANCY * z, -0.5 * z * z)
        })
        .collect();
    let each: Vec<(usize, f64, f64)> = nodes
        .iter()
        .enumerate()
        .flat_map(|(n, node)| {
            let of = &ln_likelihood;
            errors.iter().map(move |(error, prior)| (n, *error, prior + of(node.at_size + error)))
        })
        .collect();
    let best = each.iter().map(|(_, _, w)| *w).fold(f64::NEG_INFINITY, f64::max);
    let mut joined = Joined { nodes: vec![0.0; nodes.len()], at_worst: Vec::new() };
    for (n, error, ln_weight) in each {
        let (node, weight) = (&nodes[n], (ln_weight - best).exp());
        if weight < NEGLIGIBLE {
            continue;
        }
        joined.nodes[n] += weight;
        let distance = (node.worst / asked.size.to_m()).ln() / REACH;
        let kept = (-0.5 * distance * distance).exp();
        let rest = DISCREPANCY * (1.0 - kept * kept).sqrt();
        for i in 0..RESTS {
            let z = normal_quantile((i as f64 + 0.5) / RESTS as f64);
            let exponent = node.at_worst + kept * error + rest * z;
            joined.at_worst.push(((-exponent.exp()).exp(), weight));
        }
    }
    (joined, best)
}

/// Of the counts through, given all counts: binomial.
fn ln_likelihood(penetration: f64, sample: &Counted, open: &Counted) -> f64 {
    let odds = penetration * sample.exposure / open.exposure;
    let (through, room) = (sample.counts as f64, open.counts as f64);
    let of_through = if through > 0.0 { through * (odds.ln() - odds.ln_1p()) } else { 0.0 };
    of_through - room * odds.ln_1p()
}

/// The same at the penetration that was counted.
fn saturated(sample: &Counted, open: &Counted) -> f64 {
    let counted = (sample.counts as f64 / sample.exposure) / (open.counts as f64 / open.exposure);
    ln_likelihood(counted, sample, open)
}

fn quantiles(weighted: impl Iterator<Item = Weighted>) -> Quantiles {
    let mut all: Vec<Weighted> = weighted.filter(|(_, w)| *w > 0.0).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let sum: f64 = all.iter().map(|(_, w)| w).sum();
    let at = |share: f64| {
        let mut below = 0.0;
        for (value, weight) in &all {
            below += weight;
            if below >= share * sum {
                return *value;
            }
        }
        all.last().map_or(f64::NAN, |(value, _)| *value)
    };
    Quantiles { q025: at(0.025), q50: at(0.5), q975: at(0.975) }
}

/// A range as people write it.
fn range(input: Input, of: &Quantiles) -> String {
    let text = |si: f64| match input {
        Input::FibreDiameter => Length::from_si(si).show(2),
        Input::SurfaceCharge => SurfaceCharge::from_si(si).show(2),
        Input::YarnLinearDensity => moteweir_units::LinearDensity::from_si(si).show(2),
        _ => show::number(si, 2),
    };
    let (low, high) = (text(of.q025), text(of.q975));
    let same =
        low.split_once(' ').filter(|(_, unit)| high.split_once(' ').is_some_and(|(_, other)| other == *unit));
    format!("{} to {high}", same.map_or(low.as_str(), |(number, _)| number))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Shelf;

    fn case() -> Case {
        let text = "[[material]]\nname = \"felt\"\nclass = \"charged blend felt\"\nbasis_weight = \"150 g/m2\"\n\
                    thickness = \"1.5 mm\"\n[[stack]]\nlayers = [\"felt\"]\n";
        Case::read(text, Shelf::built_in()).expect("it is a case")
    }

    fn asked(through: u64, open: u64) -> AtSize {
        AtSize {
            size: Length::from_um(0.3),
            velocity: Velocity::from_cm_per_s(10.0),
            sample: Counted { counts: through, exposure: 10.0 },
            open: Counted { counts: open, exposure: 10.0 },
        }
    }

    #[test]
    fn a_count_narrows_what_the_class_says() {
        let found = worst_of(&case(), "felt", &asked(200, 1000)).expect("a sheet can be made");
        // On the scale of the exponent -ln P, which is that of fibres and charge.
        let width = |q: &Quantiles| (q.q025.ln() / q.q975.ln()).ln();
        assert!(found.is_within_class);
        assert_eq!(found.unknowns.len(), 2);
        assert!(width(&found.penetration) < 0.5 * width(&found.penetration_before), "{found:?}");
        // The worst size lets through no less than the size counted, up to the doubt of the count.
        assert!(found.penetration.q50 > 0.18, "{found:?}");
    }

    #[test]
    fn a_count_that_no_such_material_gives_is_seen() {
        let found = worst_of(&case(), "felt", &asked(1, 1_000_000)).expect("a sheet can be made");
        assert!(!found.is_within_class);
    }

    #[test]
    fn no_count_leaves_the_class_as_it_was() {
        // Nothing counted in a room with hardly anything tells nothing.
        let found = worst_of(&case(), "felt", &asked(0, 1)).expect("a sheet can be made");
        let (before, after) = (found.penetration_before, found.penetration);
        assert!((after.q50 / before.q50).ln().abs() < 0.4, "{before:?} {after:?}");
    }
}
