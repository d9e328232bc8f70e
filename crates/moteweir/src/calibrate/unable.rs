//! What the readings cannot tell, in words.

use super::forward::Forward;
use crate::case::Input;
use crate::report::ParameterReport;

/// Two unknowns that go together this closely are not told apart.
const TOGETHER: f64 = 0.6;
/// And are each still this open, of what they were.
const STILL_OPEN: f64 = 0.3;

/// Each in a sentence.
pub(super) fn sentences(
    forward: &Forward<'_>,
    parameters: &[ParameterReport],
    draws: &[Vec<f64>],
) -> Vec<String> {
    let mut all = together(forward, parameters, draws);
    all.extend(unmoved(forward, parameters));
    all.extend(one_size(forward));
    all
}

fn together(forward: &Forward<'_>, parameters: &[ParameterReport], draws: &[Vec<f64>]) -> Vec<String> {
    let unknowns = &forward.unknowns.all;
    let mut all = Vec::new();
    for a in 0..unknowns.len() {
        for b in a + 1..unknowns.len() {
            let open = |n: usize| parameters[n].width_left > STILL_OPEN;
            let rho = correlation(draws, a, b);
            if unknowns[a].material != unknowns[b].material || !open(a) || !open(b) || rho.abs() < TOGETHER {
                continue;
            }
            let (words_a, words_b) = (&parameters[a].words, &parameters[b].words);
            let trade = if rho < 0.0 { "more of one with less of the other" } else { "more of both" };
            all.push(format!(
                "They cannot tell the {words_a} of \"{}\" from its {words_b}: {trade} fits as well. To tell them apart, {}.",
                parameters[a].specimen,
                unknowns[a].uncertain.input.measure()
            ));
        }
    }
    all
}

fn unmoved(forward: &Forward<'_>, parameters: &[ParameterReport]) -> Vec<String> {
    let unknowns = forward.unknowns.all.iter().zip(parameters);
    let mut by_material: Vec<(String, Vec<&str>)> = Vec::new();
    for (_, parameter) in unknowns.filter(|(_, p)| !p.moved) {
        match by_material.iter_mut().find(|(material, _)| *material == parameter.specimen) {
            Some((_, words)) => words.push(&parameter.words),
            None => by_material.push((parameter.specimen.clone(), vec![&parameter.words])),
        }
    }
    by_material
        .into_iter()
        .map(|(material, words)| {
            format!("They say next to nothing of the {} of \"{material}\".", listed(&words))
        })
        .collect()
}

/// One size cannot separate charge from fineness, nor say how the curve goes on.
fn one_size(forward: &Forward<'_>) -> Option<String> {
    let mut sizes: Vec<f64> = forward.misfits.iter().flat_map(|m| m.field.knots()).map(|k| k[0]).collect();
    sizes.sort_by(f64::total_cmp);
    sizes.dedup_by(|a, b| (*a - *b).abs() < 0.2);
    if sizes.len() != 1 {
        return None;
    }
    let charge = forward.unknowns.all.iter().any(|u| u.uncertain.input == Input::SurfaceCharge);
    let what = if charge {
        "One size cannot separate charge from fineness"
    } else {
        "One size cannot separate fineness from thickness"
    };
    Some(format!("{what}: away from it the bands rest on the physics and on what was known before."))
}

fn correlation(draws: &[Vec<f64>], a: usize, b: usize) -> f64 {
    let n = draws.len().max(1) as f64;
    let mean = |k: usize| draws.iter().map(|d| d[k]).sum::<f64>() / n;
    let (x, y) = (mean(a), mean(b));
    let sum = |f: &dyn Fn(&Vec<f64>) -> f64| draws.iter().map(f).sum::<f64>();
    let product = sum(&|d| (d[a] - x) * (d[b] - y));
    product / (sum(&|d| (d[a] - x).powi(2)) * sum(&|d| (d[b] - y).powi(2))).sqrt()
}

fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}
