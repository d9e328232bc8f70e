//! Quadrature on counts beside chains.

use std::ops::ControlFlow;

use moteweir_sim::inference::{Grid, Model, Plan, Posterior, integrate, sample};

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

/// The same without a counter.
fn resisted(thickness: &str) -> String {
    bench(thickness, RESISTANCE).replace(
        "counts = \"counts.csv\"\nhole = \"20 mm\"\npump = \"2.83 L/min\"\nresolution = \"15 %\"\n",
        "",
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
const MANY: &str = "1,open,,,0.5,0.6,600,90000
2,sample,paper,1,0.5,0.6,600,45000
3,sample,paper,1,0.5,0.6,600,45000
4,open,,,0.5,0.6,600,90000
5,open,,,0.5,0.6,600,90000
6,sample,paper,1,0.5,0.6,600,45000
7,sample,paper,1,0.5,0.6,600,45000
8,open,,,0.5,0.6,600,90000
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

/// An unknown by quadrature beside chains: differences of mean and of standard deviation, and the standard errors of the
/// chains' two, in standard deviations of the unknown.
#[derive(Debug)]
struct Compared {
    differences: [f64; 2],
    errors: [f64; 2],
}

/// Batches of a run whose scatter tells its standard errors: to a tenth of themselves.
const BATCHES: usize = 80;

/// Sweeps of each of four chains whose standard errors are below half a hundredth of a standard deviation.
const LONG: u64 = 640_000;

fn compared(quadrature: &Posterior, chains: &Posterior, number: usize) -> Compared {
    let ((m, s), (n, t)) = (moments(quadrature, number), moments(chains, number));
    let values = chains.number(number);
    let of_batch = |power: i32| {
        let means = values
            .chunks_exact(values.len() / BATCHES)
            .map(|b| b.iter().map(|x| ((x - n) / t).powi(power)).sum::<f64>() / b.len() as f64);
        let mean = means.clone().sum::<f64>() / BATCHES as f64;
        let square = means.map(|x| (x - mean).powi(2)).sum::<f64>();
        (square / (BATCHES * (BATCHES - 1)) as f64).sqrt()
    };
    // A variance that is off by e has a standard deviation that is off by half of it.
    Compared { differences: [(m - n) / t, s / t - 1.0], errors: [of_batch(1), 0.5 * of_batch(2)] }
}

/// Every unknown of a model by quadrature and by chains of so many sweeps.
fn beside_chains(toml: &str, rows: &str, sweeps: u64) -> Vec<Compared> {
    with_forward(toml, rows, |forward| {
        let marginal = Marginal::new(forward).expect("the rule holds");
        let grid = Grid { draws: 16_384, ..Grid::dear() };
        let quadrature = integrate(&marginal, &grid).expect("something is possible");
        assert!(quadrature.converged);
        let plan = Plan { round: sweeps, most: sweeps, warm_up: 2000, ess_at_least: 400.0, ..Plan::usual(3) };
        let chains = sample(forward, &plan, |_| ControlFlow::Continue(()));
        assert!(chains.converged, "{:?}", chains.diagnoses);
        (0..forward.unknowns.all.len()).map(|number| compared(&quadrature, &chains, number)).collect()
    })
}

/// One unknown or two, with counts and without, with a pressure drop and without.
fn cases() -> [(String, &'static str); 5] {
    [
        (bench(GIVEN, SIZED), ONE_CHANNEL),
        (bench(GIVEN, &(SIZED.to_owned() + RESISTANCE)), ONE_CHANNEL),
        (bench(DOUBTED, SIZED), ONE_CHANNEL),
        (bench(DOUBTED, &(SIZED.to_owned() + RESISTANCE)), ONE_CHANNEL),
        (resisted(DOUBTED), ""),
    ]
}

/// Whether both differences are below a share of a standard deviation and so many standard errors of the chains, and the
/// errors below what they may be.
fn all_fit(sweeps: u64, share: f64, errors: f64, largest_error: f64) {
    for (toml, rows) in cases() {
        for c in beside_chains(&toml, rows, sweeps) {
            eprintln!("{:.4?} of a standard deviation, chains' errors {:.4?}", c.differences, c.errors);
            let fits = |k: usize| {
                c.errors[k] < largest_error && c.differences[k].abs() < share + errors * c.errors[k]
            };
            assert!(fits(0) && fits(1), "{c:?}: {toml}{rows}");
        }
    }
}

/// To four standard errors of short chains, which are 2 to 4 % of a standard deviation.
#[test]
fn quadrature_agrees_with_chains() {
    all_fit(8000, 0.0, 4.0, 0.05);
}

/// To a hundredth of a standard deviation and two standard errors of long chains, which are below half a hundredth.
#[test]
#[ignore = "ten minutes"]
fn quadrature_agrees_with_chains_to_a_hundredth() {
    all_fit(LONG, 0.01, 2.0, 0.005);
}

/// The draws of everything else are those of the posterior: beside chains of 2500 effective draws, as above, and 1024
/// draws of their own (12 %).
fn all_else_is_as_by_chains(toml: &str, rows: &str) {
    with_forward(toml, rows, |forward| {
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

#[test]
fn what_was_summed_away_is_drawn_again() {
    all_else_is_as_by_chains(&bench(DOUBTED, RESISTANCE), ONE_CHANNEL);
}

/// Level and drift are known to a hundredth of what was known before.
#[test]
fn what_was_summed_away_is_drawn_again_after_many_counts() {
    all_else_is_as_by_chains(&bench(DOUBTED, SIZED), MANY);
}

/// A second channel, a second thing behind the counter or a third unknown, and the rule ends.
#[test]
fn beyond_the_rule_there_is_none() {
    let has_rule = |toml: &str, rows: &str| with_forward(toml, rows, |f| Marginal::new(f).is_some());
    assert!(has_rule(&bench(DOUBTED, RESISTANCE), ONE_CHANNEL));
    assert!(!has_rule(&bench(DOUBTED, ""), TWO_CHANNELS));
    assert!(!has_rule(&bench(GIVEN, SIZED), EVERY_STATE));
    let two = ONE_CHANNEL.to_owned() + "5,sample,paper,2,0.3,0.5,60,3000\n";
    assert!(!has_rule(&bench(DOUBTED, RESISTANCE), &two));
    let three = format!("{DOUBTED}\nunevenness = {{ between = [\"0 %\", \"40 %\"], scale = \"linear\" }}");
    assert!(!has_rule(&bench(&three, ""), ONE_CHANNEL));
}
