//! Simulation-based calibration of the forward model (Talts and others 2018): where the truth is drawn from the prior, its
//! rank among what is known after the data is even.
//!
//! The inventions here draw what the calibration assumes: inputs, slope and sizing, nuisances, both misfits, the level of
//! the file. Only the level of the room is given, as its prior is flat.

use std::ops::ControlFlow;

use moteweir_sim::inference::{Model, Plan, evenness, replicate, sample};
use moteweir_sim::random::{Purpose, Stream};
use rayon::prelude::*;

use super::counts::CountsOfChannel;
use super::evidence::Evidence;
use super::forward::Forward;
use super::invent;
use super::outlook::Outlook;
use super::parameters::unit;
use super::unknowns::Unknown;
use crate::case::Case;
use crate::files::Files;
use crate::predict::Surroundings;
use crate::shelf::Shelf;

/// A paper of two unknowns behind a counter of two channels.
const PLAIN: &str = r#"
[particles]
smallest = "0.1 um"
largest = "5 um"
charge = "none"
[[material]]
name = "paper"
structure = "web"
basis_weight = "60 g/m2"
thickness = { about = "0.4 mm", give_or_take = "0.06 mm" }
polymer = "polyester"
fibre_diameter = { between = ["3 um", "12 um"] }
[[stack]]
layers = "paper"
[bench]
counts = "counts.csv"
hole = "20 mm"
pump = "2.83 L/min"
resolution = "15 %"
"#;

const PLAIN_COUNTS: &str = "state,specimen,from_um,to_um,seconds,counts
open,,0.3,0.5,60,9000
sample,paper,0.3,0.5,60,5000
sample,paper,0.3,0.5,60,5000
open,,0.3,0.5,60,9000
open,,0.5,1,60,2000
sample,paper,0.5,1,60,1000
sample,paper,0.5,1,60,1000
open,,0.5,1,60,2000
";

/// A web that is charged, nobody knows how much.
fn charged(charge: &str) -> String {
    let of_room = PLAIN.replace("charge = \"none\"", "charge = \"boltzmann\"");
    of_room.replace(
        "fibre_diameter = {",
        &format!("surface_charge = {{ between = {charge} }}\nfibre_diameter = {{"),
    )
}

const KNOWN_CHARGED: &str = r#"["1 uC/m2", "20 uC/m2"]"#;
const MAY_BE_CHARGED: &str = r#"["0 uC/m2", "12 uC/m2"], scale = "linear""#;

/// Read as it came and with its charge taken away.
const DISCHARGED_COUNTS: &str = "state,specimen,treatment,from_um,to_um,seconds,counts
open,,,0.3,0.5,60,9000
sample,paper,as received,0.3,0.5,60,5000
sample,paper,discharged in alcohol,0.3,0.5,60,7000
open,,,0.3,0.5,60,9000
open,,,0.5,1,60,2000
sample,paper,as received,0.5,1,60,1000
sample,paper,discharged in alcohol,0.5,1,60,1500
open,,,0.5,1,60,2000
";

/// Ranks of a number of the model.
struct Ranks {
    name: String,
    ranks: Vec<usize>,
}

/// Channels of a reading in neighbouring rows, as a file has them.
fn readings_in_order(counts: &str) -> String {
    let rows: Vec<&str> = counts.lines().collect();
    let half = (rows.len() - 1) / 2;
    let mut out = vec![format!("reading,{}", rows[0])];
    for i in 0..half {
        out.push(format!("{},{}", i + 1, rows[1 + i]));
        out.push(format!("{},{}", i + 1, rows[1 + half + i]));
    }
    out.join("\n") + "\n"
}

/// What the numbers of a model are, by number; `None` of the levels of the channels, whose prior is flat.
fn names(forward: &Forward<'_>) -> Vec<Option<String>> {
    let mut names: Vec<Option<String>> = vec![Some("nuisance".to_owned()); forward.dimension()];
    for (name, unknown) in names.iter_mut().zip(&forward.unknowns.all) {
        *name = Some(unknown.uncertain.input.key().to_owned());
    }
    for channel in &forward.numbers.channels {
        names[channel.start] = None;
    }
    let mut call = |number: usize, name: String| names[number] = Some(name);
    forward.numbers.sight.clone().for_each(|n| call(n, "sight".to_owned()));
    forward.numbers.files.clone().for_each(|n| call(n, "level of the file".to_owned()));
    for misfit in &forward.misfits {
        let first = misfit.numbers.start;
        misfit.numbers.clone().for_each(|n| call(n, format!("misfit of {:?}, {}", misfit.of, n - first)));
    }
    names
}

/// Ranks of the truth among 19 draws each of the calibration of so many benches drawn from the prior: of all numbers but
/// levels, and of what passes each test in each channel.
fn ranks(toml: &str, counts: &str, trials: u64, sweeps: u64) -> Vec<Ranks> {
    let counts = readings_in_order(counts);
    let files = Files::from_iter([("counts.csv", counts.as_str())]);
    let case = Case::read_with(toml, Shelf::built_in(), &files).expect("the scenario is sound");
    let surroundings = Surroundings::of_case(&case, Outlook::SIZES);
    let evidence = Evidence::of(&case, surroundings.air()).expect("readings");
    let forward = Forward::new(&case, &surroundings, evidence).expect("counts");
    let each: Vec<Vec<usize>> =
        (0..trials).into_par_iter().filter_map(|trial| ranks_of_one(&forward, trial, sweeps)).collect();
    assert!(each.len() as u64 > trials * 9 / 10, "{} of {trials}", each.len());
    let mut names = names(&forward);
    for channel in 0..forward.likelihoods.len() {
        let tests = forward.evidence.tests.iter();
        names.extend(tests.map(|t| Some(format!("channel {channel} through {}", t.name))));
    }
    names
        .into_iter()
        .enumerate()
        .filter_map(|(n, name)| Some(Ranks { name: name?, ranks: each.iter().map(|of| of[n]).collect() }))
        .collect()
}

/// Ranks of all numbers of one bench and of what passes there; `None` where the prior's draw makes no sheet.
fn ranks_of_one(forward: &Forward<'_>, trial: u64, sweeps: u64) -> Option<Vec<usize>> {
    const TRUTH: Purpose = Purpose::named("true numbers");
    const COUNT: Purpose = Purpose::named("their counts");
    let mut stream = Stream::new(9, TRUTH, trial);
    let mut truth: Vec<f64> = (0..forward.dimension()).map(|_| stream.normal()).collect();
    let mut work = forward.room();
    // The levels follow the power law but for their own deviation.
    forward.log_likelihood(&truth, None, &mut work);
    forward.set_levels(&mut truth, 8.0, &work);
    if !forward.log_likelihood(&truth, None, &mut work).is_finite() {
        return None;
    }
    let mut again = forward.evidence.channels.clone();
    for (c, channel) in again.iter_mut().enumerate() {
        let likelihood = &forward.likelihoods[c];
        let nuisances = likelihood.nuisances(&truth[forward.numbers.channels[c].clone()]);
        for (r, reading) in channel.readings.iter_mut().enumerate() {
            let mean = CountsOfChannel::expected(reading, &nuisances, |test| work.through[c][test]);
            let index = (trial << 32) | ((c as u64) << 16) | r as u64;
            reading.counts = replicate(mean, nuisances.dispersion, &mut Stream::new(9, COUNT, index));
        }
    }
    let bench = forward.with_counts(again).expect("counts");
    let plan = Plan {
        chains: 2,
        warm_up: 400,
        round: sweeps,
        most: sweeps,
        ess_at_least: f64::INFINITY,
        ..Plan::usual(trial)
    };
    let found = sample(&bench, &plan, |_| ControlFlow::Continue(()));
    let draws = found.thinned(19);
    let mut seen = |at: &[f64]| {
        forward.log_likelihood(at, None, &mut work);
        [at.to_vec(), work.through.concat()].concat()
    };
    let truth = seen(&truth);
    let draws: Vec<Vec<f64>> = draws.into_iter().map(&mut seen).collect();
    let below = |n: usize| draws.iter().filter(|draw| draw[n] < truth[n]).count();
    Some((0..truth.len()).map(below).collect())
}

/// Each number's ranks are even over so many cells; significance 1e-5 for each, z = 4.3, 2e-4 for the worst of two dozen.
fn are_even(all: &[Ranks], cells: usize) {
    for of in all {
        let test = evenness(&of.ranks, 19, cells);
        assert!(test.z < 4.3, "{}: {test:?} {:?}", of.name, of.ranks);
    }
}

#[test]
fn ranks_of_the_real_model_are_even() {
    are_even(&ranks(PLAIN, PLAIN_COUNTS, 200, 800), 10);
}

/// The same with 2000 benches and longer chains.
#[test]
#[ignore = "minutes"]
fn ranks_of_the_real_model_are_even_in_full() {
    are_even(&ranks(PLAIN, PLAIN_COUNTS, 2000, 4000), 20);
}

/// Charge and mechanics known apart: two misfits, each of which keeps its own in steps along.
#[test]
fn ranks_of_a_web_read_charged_and_discharged_are_even() {
    are_even(&ranks(&charged(KNOWN_CHARGED), DISCHARGED_COUNTS, 200, 800), 10);
}

/// Charge that may be none, known by nothing but the sizes: the two misfits share what a step along takes up.
#[test]
fn ranks_of_a_web_that_may_be_charged_are_even() {
    are_even(&ranks(&charged(MAY_BE_CHARGED), PLAIN_COUNTS, 200, 800), 10);
}

/// Both with 1000 benches and longer chains.
#[test]
#[ignore = "a quarter of an hour"]
fn ranks_of_charged_webs_are_even_in_full() {
    are_even(&ranks(&charged(KNOWN_CHARGED), DISCHARGED_COUNTS, 1000, 2000), 20);
    are_even(&ranks(&charged(MAY_BE_CHARGED), PLAIN_COUNTS, 1000, 2000), 20);
}

const TOML: &str = include_str!("../../../../scenarios/tested-felt.toml");
const COUNTS: &str = include_str!("../../../../scenarios/tested-felt.csv");
/// What is behind the counts of `tested-felt.csv`: material, key, value in the unit of the report.
const TRUTHS: [(&str, &str, f64); 8] = [
    ("craft felt", "basis_weight", 163.0),
    ("craft felt", "thickness", 1.25),
    ("craft felt", "fibre_diameter", 15.5),
    ("craft felt", "surface_charge", 4.0),
    ("facial tissue", "basis_weight", 29.5),
    ("facial tissue", "thickness", 0.21),
    ("facial tissue", "fibre_diameter", 14.0),
    ("facial tissue", "unevenness", 0.15),
];

/// Share of what is known after the felt's bench, invented again with a seed, that lies below each truth.
fn below_the_truths(seed: u64) -> [f64; 8] {
    let read = |counts: &str| {
        let files = Files::from_iter([("tested-felt.csv", counts)]);
        Case::read_with(TOML, Shelf::built_in(), &files).expect("the scenario is sound")
    };
    let text = COUNTS.replace("#= seed = 11\n", &format!("#= seed = {seed}\n"));
    let case = read(&invent(&read(COUNTS), &text).expect("its parameters fit"));
    let surroundings = Surroundings::of_case(&case, Outlook::SIZES);
    let evidence = Evidence::of(&case, surroundings.air()).expect("readings");
    let forward = Forward::new(&case, &surroundings, evidence).expect("counts");
    let plan = Plan { round: 1500, most: 3000, ess_at_least: 300.0, ..Plan::usual(seed) };
    let found = sample(&forward, &plan, |_| ControlFlow::Continue(()));
    TRUTHS.map(|(material, key, truth)| {
        let of = |u: &Unknown| case.materials[u.material].name == material && u.uncertain.input.key() == key;
        let number = forward.unknowns.all.iter().position(of).expect("it is not known");
        let unknown = &forward.unknowns.all[number];
        let truth = truth / unit(unknown.uncertain.input).1;
        let values = found.number(number);
        values.iter().filter(|z| unknown.value(**z) < truth).count() as f64 / values.len() as f64
    })
}

/// The felt's bench invented with 20 other seeds: each truth may lie outside of its 95 % in five, one in 3000 by chance and
/// fewer, for the misfits behind the counts are drawn at 0.7 of what the calibration takes them for.
#[test]
#[ignore = "minutes"]
fn truths_of_other_benches_lie_inside_as_often_as_they_should() {
    let all: Vec<[f64; 8]> = (100..120_u64).into_par_iter().map(below_the_truths).collect();
    for (n, truth) in TRUTHS.iter().enumerate() {
        let shares: Vec<f64> = all.iter().map(|of| of[n]).collect();
        let outside = shares.iter().filter(|share| !(0.025..=0.975).contains(*share)).count();
        assert!(outside <= 5, "{truth:?}: {shares:?}");
    }
}
