//! Quadrature on counts beside chains.

use std::ops::ControlFlow;

use moteweir_sim::inference::{Model, Plan, Posterior, sample};

use super::evidence::Evidence;
use super::forward::Forward;
use super::marginal::Marginal;
use super::marginal_draws::by_quadrature;
use super::outlook::Outlook;
use crate::case::Case;
use crate::files::Files;
use crate::predict::Surroundings;
use crate::shelf::Shelf;

/// A paper of which one thing is not known, or two, behind a counter of one channel or two.
fn bench(thickness: &str, bench: &str) -> String {
    format!(
        r#"
[particles]
smallest = "0.1 um"
largest = "5 um"
charge = "none"
[[material]]
name = "paper"
structure = "web"
basis_weight = "60 g/m2"
thickness = {thickness}
polymer = "polyester"
fibre_diameter = {{ between = ["3 um", "12 um"] }}
[[stack]]
layers = "paper"
[bench]
counts = "counts.csv"
hole = "20 mm"
pump = "2.83 L/min"
resolution = "15 %"
{bench}
"#
    )
}

const GIVEN: &str = "\"0.4 mm\"";
const DOUBTED: &str = "{ about = \"0.4 mm\", give_or_take = \"0.06 mm\" }";
const SIZED: &str = "slope = 3\nsizing = \"0.01 %\"\n";
const HEADER: &str = "reading,state,specimen,layers,from_um,to_um,seconds,counts\n";
const ONE_CHANNEL: &str = "1,open,,,0.3,0.5,60,9000
2,sample,paper,1,0.3,0.5,60,5200
3,sample,paper,1,0.3,0.5,60,5000
4,open,,,0.3,0.5,60,9300
";
/// Few counts, clean air and a foil.
const EVERY_STATE: &str = "1,open,,,0.5,1,60,400
2,sample,paper,1,0.5,1,60,31
3,zero,,,0.5,1,60,2
4,blocked,,,0.5,1,60,5
5,sample,paper,1,0.5,1,60,38
6,open,,,0.5,1,60,370
";
const TWO_CHANNELS: &str = "1,open,,,0.3,0.5,60,9000
1,open,,,0.5,1,60,2000
2,sample,paper,1,0.3,0.5,60,5000
2,sample,paper,1,0.5,1,60,1000
3,sample,paper,1,0.3,0.5,60,5100
3,sample,paper,1,0.5,1,60,1040
4,open,,,0.3,0.5,60,9200
4,open,,,0.5,1,60,2050
";
const RESISTANCE: &str = "[[bench.resistance]]\nspecimen = \"paper\"\npressure_drop = \"60 Pa at 10 cm/s\"\n";

fn moments(posterior: &Posterior, number: usize) -> (f64, f64) {
    let values = posterior.number(number);
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt())
}

fn with_forward<T>(toml: &str, rows: &str, of: impl FnOnce(&Forward<'_>) -> T) -> T {
    let counts = format!("{HEADER}{rows}");
    let files = Files::from_iter([("counts.csv", counts.as_str())]);
    let case = Case::read_with(toml, Shelf::built_in(), &files).expect("the scenario is sound");
    let surroundings = Surroundings::of_case(&case, Outlook::SIZES);
    let evidence = Evidence::of(&case, surroundings.air()).expect("readings");
    of(&Forward::new(&case, &surroundings, evidence).expect("counts"))
}

/// The largest difference between quadrature and chains of so many effective draws, of means and of standard deviations
/// of the unknowns, in the chains' standard deviations.
fn difference(toml: &str, rows: &str, draws: f64) -> f64 {
    with_forward(toml, rows, |forward| {
        let quadrature = by_quadrature(forward, 5).expect("the rule holds");
        let plan =
            Plan { ess_at_least: draws, round: 4000, most: 2_000_000, warm_up: 2000, ..Plan::usual(3) };
        let chains = sample(forward, &plan, |_| ControlFlow::Continue(()));
        assert!(chains.converged, "{:?}", chains.diagnoses);
        let of = |number| {
            let ((m, s), (n, t)) = (moments(&quadrature, number), moments(&chains, number));
            ((m - n) / t).abs().max((s / t - 1.0).abs())
        };
        (0..forward.unknowns.all.len()).map(of).fold(0.0, f64::max)
    })
}

/// One unknown or two, few counts or many, with clean air and a foil, with a pressure drop.
fn cases() -> [(String, &'static str); 4] {
    [
        (bench(GIVEN, SIZED), ONE_CHANNEL),
        (bench(GIVEN, SIZED), EVERY_STATE),
        (bench(GIVEN, RESISTANCE), ONE_CHANNEL),
        (bench(DOUBTED, RESISTANCE), ONE_CHANNEL),
    ]
}

/// To four standard errors of 2500 effective draws: 8 % of a standard deviation.
#[test]
fn quadrature_on_counts_agrees_with_chains() {
    for (toml, rows) in cases() {
        let difference = difference(&toml, rows, 2500.0);
        assert!(difference < 0.08, "{difference}: {toml}{rows}");
    }
}

/// To a hundredth of a standard deviation; of 160 000 effective draws the error is a quarter of that.
#[test]
#[ignore = "minutes"]
fn quadrature_on_counts_agrees_with_chains_to_a_hundredth() {
    for (toml, rows) in cases() {
        let difference = difference(&toml, rows, 160_000.0);
        assert!(difference < 0.01, "{difference}: {toml}{rows}");
    }
}

/// The draws of everything else are those of the posterior: beside chains of 2500 effective draws, as above, and 1024
/// draws of their own (12 %).
#[test]
fn what_was_summed_away_is_drawn_again() {
    with_forward(&bench(DOUBTED, RESISTANCE), ONE_CHANNEL, |forward| {
        let quadrature = by_quadrature(forward, 5).expect("the rule holds");
        assert_eq!(quadrature.dimension(), forward.dimension());
        let plan = Plan { ess_at_least: 2500.0, round: 4000, most: 200_000, ..Plan::usual(3) };
        let chains = sample(forward, &plan, |_| ControlFlow::Continue(()));
        for number in 0..forward.dimension() {
            let ((m, s), (n, t)) = (moments(&quadrature, number), moments(&chains, number));
            assert!((m - n).abs() < 0.15 * t && (s / t - 1.0).abs() < 0.15, "{number}: {m} {s}, {n} {t}");
        }
    });
}

/// A second channel, a second thing behind the counter or a third unknown, and the rule ends.
#[test]
fn beyond_the_rule_there_is_none() {
    let has_rule = |toml: &str, rows: &str| with_forward(toml, rows, |f| Marginal::new(f).is_some());
    assert!(has_rule(&bench(DOUBTED, RESISTANCE), ONE_CHANNEL));
    assert!(!has_rule(&bench(DOUBTED, ""), TWO_CHANNELS));
    let two = ONE_CHANNEL.to_owned() + "5,sample,paper,2,0.3,0.5,60,3000\n";
    assert!(!has_rule(&bench(DOUBTED, RESISTANCE), &two));
    let three = format!("{DOUBTED}\nunevenness = {{ between = [\"0 %\", \"40 %\"], scale = \"linear\" }}");
    assert!(!has_rule(&bench(&three, ""), ONE_CHANNEL));
}
