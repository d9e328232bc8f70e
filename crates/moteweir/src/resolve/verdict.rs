//! The verdict on the closed forms, as a report.

use moteweir_physics::single_fibre::closed_forms::{ALL, ClosedForm};
use moteweir_sim::verdict::{Group, Judged, VerdictFault, judge, judge_charge};

use crate::report::{JudgedForm, JudgedLaw, RatioCurve, StatedRange, VerdictReport};

/// Bins of a curve over the main group.
const BINS: usize = 24;
/// Points below which a bin has no place on the curve.
const FEWEST: usize = 4;

/// Judges every closed form and law of charge, the forms at about `points` points each, against fresh solutions of the cell.
///
/// The result depends on the number of points and the seed alone. About 20 s on one core at 400 points.
///
/// # Errors
/// Where the solvers refuse a point.
pub fn verdict(points: u32, seed: u64) -> Result<VerdictReport, VerdictFault> {
    let forms = ALL.iter().map(|form| Ok(report(form, &judge(form, points, seed)?)));
    let laws = judge_charge()?.into_iter().map(|judged| {
        let [low, high] = judged.range;
        JudgedLaw {
            name: judged.name,
            source: judged.source,
            asked: StatedRange { symbol: "N", low, high },
            median_miss: judged.median,
            largest_miss: judged.largest,
        }
    });
    Ok(VerdictReport {
        points,
        seed,
        forms: forms.collect::<Result<_, VerdictFault>>()?,
        charge: laws.collect(),
    })
}

fn report(form: &ClosedForm, judged: &Judged) -> JudgedForm {
    let stated = |group: Group, [low, high]: [f64; 2]| StatedRange { symbol: group.symbol(), low, high };
    JudgedForm {
        name: form.name,
        term: form.term.words(),
        source: form.source.short,
        equation: form.equation,
        claimed: stated(judged.main, judged.claimed),
        median_miss: judged.median,
        largest_miss: judged.largest,
        good: judged.good.map(|(group, range)| stated(group, range)),
        curve: curve(judged),
    }
}

/// The median of form over solved in bins of the main group. Of an increment it is one plus the miss over the whole.
fn curve(judged: &Judged) -> RatioCurve {
    let [low, high] = judged.main.whole();
    let edge = |bin: usize| low * (high / low).powf(bin as f64 / BINS as f64);
    let (mut at, mut ratio) = (Vec::new(), Vec::new());
    for bin in 0..BINS {
        let inside = judged.misses.iter().filter(|m| (edge(bin)..edge(bin + 1)).contains(&m.at));
        let mut ratios: Vec<f64> = inside.map(|m| 1.0 + m.miss).collect();
        if ratios.len() >= FEWEST {
            ratios.sort_by(f64::total_cmp);
            at.push((edge(bin) * edge(bin + 1)).sqrt());
            ratio.push(ratios[ratios.len() / 2]);
        }
    }
    RatioCurve { group: judged.main.words(), at, ratio }
}
