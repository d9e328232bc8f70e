//! What a file of counts says, as a screen of text.

use std::fmt::Write as _;

use moteweir_units::show::{self, Show};
use moteweir_units::{Length, Velocity};

use super::caught::{between, capital, caught, estimate, level};
use super::closing::list;
use super::table::{Align, Table};
use super::{SCREENING, WIDTH, wrapped};
use crate::bench::{Channel, Column, Sample};
use crate::report::{CountsComparison, CountsRanking, CountsReport, CountsResult, LayersReport};

/// Channels that are put in words; the others are in the table.
const SAID: usize = 3;
/// Comparisons that are listed.
const LISTED: usize = 20;

/// A file of counts for a reader.
pub fn counts(report: &CountsReport) -> String {
    let mut parts: Vec<String> = leads(report).iter().map(|text| wrapped(text, "", WIDTH)).collect();
    let mut groups: Vec<Vec<&LayersReport>> = Vec::new();
    for l in &report.layers {
        match groups
            .iter_mut()
            .find(|g| g[0].what == l.what && g[0].channel == l.channel && g[0].fewer == l.fewer)
        {
            Some(group) => group.push(l),
            None => groups.push(vec![l]),
        }
    }
    parts.extend(groups.iter().map(|group| wrapped(&layers(report, group), "", WIDTH)));
    parts.push(table(report).plain());
    parts.push(wrapped(&meaning(report), "", WIDTH));
    parts.extend(comparisons(report));
    let mut careful: Vec<String> = report.warnings.iter().map(|w| w.text.clone()).collect();
    careful.push(SCREENING.to_owned());
    parts.push(list("Careful:", &careful));
    parts.join("\n\n")
}

/// Every column of a file of counts with what it says and what it means when it is empty.
pub fn count_columns() -> String {
    let mut lines = vec![
        "Columns of FILE.csv, in any order under a header; rows in the order in which they were taken:"
            .to_owned(),
    ];
    for column in Column::ALL {
        let empty =
            column.when_empty().map_or_else(|| "needed".to_owned(), |meaning| format!("empty: {meaning}"));
        let text = format!("{}: {} ({empty})", column.name(), column.says());
        lines.push(wrapped(&text, "      ", 100).replacen("      ", "  ", 1));
    }
    lines.push(String::new());
    lines.push(wrapped(
        "One of from_um and to_um is needed. Lines that begin with # are comments. Commas, semicolons or tabs between \
         fields; a decimal comma where no commas stand between them.",
        "",
        100,
    ));
    lines.join("\n")
}

fn sample(result: &CountsResult) -> String {
    let sample = Sample {
        specimen: result.specimen.clone(),
        side: result.side.clone(),
        layers: result.layers,
        treatment: result.treatment.clone(),
    };
    sample.words()
}

fn channel(from_m: Option<f64>, to_m: Option<f64>) -> String {
    Channel { from: from_m.map(Length::from_m), to: to_m.map(Length::from_m) }.words()
}

/// What is caught, with its interval.
fn with_interval(report: &CountsReport, result: &CountsResult) -> String {
    let Some(penetration) = result.penetration else { return "an unknown share".to_owned() };
    let (low, high) = (result.penetration_low.unwrap_or(0.0), result.penetration_high);
    let (interval, level) = (between(low, high), level(report.level));
    if is_a_limit(result) {
        return match interval.as_str() {
            "anything" => "a share that these counts cannot tell".to_owned(),
            _ => format!("{interval} (two-sided {level})"),
        };
    }
    format!("{} ({interval}, two-sided {level})", estimate(penetration, low, high))
}

/// Whether no more was counted than a clean or a blocked reading would: then there is an end, and no middle.
fn is_a_limit(result: &CountsResult) -> bool {
    result.sample_counts == 0 || result.penetration.is_some_and(|p| p <= 0.0)
}

fn leads(report: &CountsReport) -> Vec<String> {
    if report.rankings.is_empty() {
        let mut said: Vec<String> = report.results.iter().take(SAID).map(|r| alone(report, r)).collect();
        if report.results.len() > SAID {
            said.push("The other channels stand in the table.".to_owned());
        }
        return said;
    }
    let mut said: Vec<String> =
        report.rankings.iter().take(SAID).map(|ranking| ranked(report, ranking)).collect();
    if report.rankings.len() > SAID {
        said.push("The other channels stand in the table.".to_owned());
    }
    said
}

fn alone(report: &CountsReport, result: &CountsResult) -> String {
    if result.penetration.is_none() {
        return format!(
            "Nothing was counted open of particles {}, so nothing can be said of \"{}\".",
            channel(result.from_m, result.to_m),
            sample(result)
        );
    }
    format!(
        "\"{}\" catches {} of particles {}: {} came through in {} s, {} with nothing in the way in {} s.",
        sample(result),
        with_interval(report, result),
        channel(result.from_m, result.to_m),
        result.sample_counts,
        result.sample_seconds,
        result.open_counts,
        result.open_seconds
    )
}

fn ranked(report: &CountsReport, ranking: &CountsRanking) -> String {
    let results: Vec<&CountsResult> = ranking.order.iter().map(|&i| &report.results[i]).collect();
    let Some(best) = results.first() else { return String::new() };
    let mut text = format!(
        "{}: \"{}\" catches {}{}.",
        capital(&ranking.channel),
        sample(best),
        if ranking.like_best.is_empty() { "most, " } else { "" },
        with_interval(report, best)
    );
    let alike: Vec<String> = ranking.like_best.iter().map(|&i| quoted(&report.results[i])).collect();
    if !alike.is_empty() {
        let _ = write!(text, " Not told from it: {}.", and(&alike));
    }
    let worse: Vec<&CountsResult> = ranking.order[1..]
        .iter()
        .filter(|i| !ranking.like_best.contains(i))
        .map(|&i| &report.results[i])
        .collect();
    if let (Some(last), Some(least)) = (worse.last(), best.penetration) {
        let times = last.penetration.filter(|_| least > 0.0).map_or_else(
            || "more through".to_owned(),
            |p| format!("{} through", times_as_many(report, best, last, p / least)),
        );
        let others: Vec<String> = worse[..worse.len() - 1].iter().map(|r| quoted(r)).collect();
        if !others.is_empty() {
            let lets = if others.len() == 1 { "lets" } else { "let" };
            let _ = write!(text, " {} {lets} more through.", capital(&and(&others)));
        }
        let _ = write!(
            text,
            " {} lets {times}{}.",
            quoted(last),
            if worse.len() > 1 { ", the most" } else { "" }
        );
    }
    text
}

/// How many times as many get through the last as through the first, with the interval of the pair.
fn times_as_many(report: &CountsReport, best: &CountsResult, last: &CountsResult, plain: f64) -> String {
    let (a, b) = (sample(best), sample(last));
    let pair = report
        .comparisons
        .iter()
        .find(|c| c.a == a && c.b == b && c.ratio > 0.0 && c.from_m == best.from_m && c.to_m == best.to_m);
    match pair {
        Some(c) => times(1.0 / c.ratio, 1.0 / c.ratio_high, 1.0 / c.ratio_low, 2),
        None => format!("about {} times as many", show::number(plain, 2)),
    }
}

/// So many times as many, with an interval that may have one end only.
fn times(ratio: f64, low: f64, high: f64, digits: usize) -> String {
    let number = |x: f64| show::number(x, digits);
    match (ratio.is_finite() && high.is_finite(), low.is_finite()) {
        (true, _) => format!("{} times as many ({} to {})", number(ratio), number(low), number(high)),
        (false, true) if low > 1.0 => format!("at least {} times as many", number(low)),
        _ => "more".to_owned(),
    }
}

fn quoted(result: &CountsResult) -> String {
    format!("\"{}\"", sample(result))
}

/// `a`, `a and b`, `a, b and c`.
fn and(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Layers of one thing in one channel, all numbers of them together.
fn layers(report: &CountsReport, all: &[&LayersReport]) -> String {
    let Some(first) = all.first() else { return String::new() };
    let of = if first.fewer == 1 { "one".to_owned() } else { first.fewer.to_string() };
    let found: Vec<String> = all
        .iter()
        .map(|l| {
            format!(
                "{} catch {}, where the product of {of} is {}",
                l.more,
                caught(l.found),
                caught(l.product)
            )
        })
        .collect();
    let number = |x: f64| show::number(x, 2);
    let is_one_verdict = all.iter().all(|l| l.verdict == first.verdict);
    let verdicts: Vec<String> = if is_one_verdict {
        vec![capital(&first.verdict)]
    } else {
        all.iter().map(|l| format!("{}: {}", l.more, l.verdict)).collect()
    };
    let each: Vec<String> = all
        .iter()
        .map(|l| {
            let [ratio, low, high] = l.ratio.map(number);
            let must = l.expected.map_or_else(String::new, |e| format!(", {} expected", number(e)));
            format!("{ratio} ({low} to {high}{must}) with {}", l.more)
        })
        .collect();
    let expected_from =
        if first.expected.is_some() { format!(" Expected: {}.", first.expected_from) } else { String::new() };
    format!(
        "Layers of \"{}\", {}: {}. {}. Capture per layer over that of {of}: {}; two-sided {}.{expected_from}",
        first.what,
        first.channel,
        found.join("; "),
        verdicts.join("; "),
        and(&each),
        level(report.level),
    )
}

fn table(report: &CountsReport) -> Table {
    let any = |is: &dyn Fn(&CountsResult) -> bool| report.results.iter().any(is);
    let sides = any(&|r| !r.side.is_empty());
    let several = any(&|r| r.layers != 1);
    let treatments = any(&|r| r.treatment != "as received");
    let velocities = any(&|r| r.face_velocity_m_per_s.is_some());
    let interval = format!("{} interval", level(report.level));
    let shown = [true, sides, several, treatments, velocities, true, true, true, true, true, true];
    let columns: Vec<(&str, Align)> = [
        ("specimen", Align::Left),
        ("side", Align::Left),
        ("layers", Align::Right),
        ("treatment", Align::Left),
        ("air", Align::Right),
        ("channel", Align::Left),
        ("caught", Align::Right),
        (interval.as_str(), Align::Left),
        ("through", Align::Right),
        ("open", Align::Right),
        ("interval by", Align::Left),
    ]
    .into_iter()
    .zip(shown)
    .filter_map(|(column, shown)| shown.then_some(column))
    .collect();
    let mut table = Table::new(&columns);
    for r in &report.results {
        let low = r.penetration_low.unwrap_or(0.0);
        let caught = match r.penetration {
            None => "unknown".to_owned(),
            Some(_) if is_a_limit(r) => "-".to_owned(),
            Some(p) => estimate(p, low, r.penetration_high),
        };
        let cells = [
            r.specimen.clone(),
            r.side.clone(),
            r.layers.to_string(),
            r.treatment.clone(),
            r.face_velocity_m_per_s.map_or_else(String::new, |v| Velocity::from_m_per_s(v).show(2)),
            channel(r.from_m, r.to_m),
            caught,
            if r.penetration.is_some() { between(low, r.penetration_high) } else { String::new() },
            format!("{} in {} s", r.sample_counts, r.sample_seconds),
            format!("{} in {} s", r.open_counts, r.open_seconds),
            r.method.to_owned(),
        ];
        table.row(cells.into_iter().zip(shown).filter_map(|(cell, shown)| shown.then_some(cell)));
    }
    table
}

fn meaning(report: &CountsReport) -> String {
    let has = |method: &str| report.results.iter().any(|r| r.method == method);
    let mut text = format!("Intervals are two-sided, {}.", level(report.level));
    if has("joint model") {
        text.push_str(
            " The joint model covers the chance of counting, how readings of one kind differ, the drift of the room between \
             open readings, and what zero and blocked readings count.",
        );
    }
    if has("exact conditional") {
        text.push_str(
            " The exact conditional interval covers the chance of counting only: one open reading and one through tell \
             nothing more.",
        );
    }
    text
}

fn comparisons(report: &CountsReport) -> Option<String> {
    if report.comparisons.is_empty() {
        return None;
    }
    let pairs = report.rankings.iter().map(|r| r.pairs).max().unwrap_or(0);
    let heading = if pairs > 1 {
        format!("Neighbours in rank, corrected for the {pairs} pairs of a channel (all pairs: --json):")
    } else {
        "Compared:".to_owned()
    };
    let neighbours: Vec<&CountsComparison> = report.comparisons.iter().filter(|c| c.is_neighbours).collect();
    let mut items: Vec<String> = neighbours.iter().take(LISTED).map(|c| comparison(c)).collect();
    if neighbours.len() > LISTED {
        items.push(format!("and {} more", neighbours.len() - LISTED));
    }
    Some(list(&heading, &items))
}

fn comparison(c: &CountsComparison) -> String {
    let channel = channel(c.from_m, c.to_m);
    if !c.is_told {
        return format!("\"{}\" and \"{}\", {channel}: {}", c.a, c.b, c.verdict);
    }
    // The larger first, so that the number is how many times as many.
    let (more, fewer, ratio, low, high) = if c.ratio >= 1.0 {
        (&c.a, &c.b, c.ratio, c.ratio_low, c.ratio_high)
    } else {
        (&c.b, &c.a, 1.0 / c.ratio, 1.0 / c.ratio_high, 1.0 / c.ratio_low)
    };
    let digits = if ratio < 2.0 { 3 } else { 2 };
    let times = times(ratio, low, high, digits);
    let than = if times == "more" { "than" } else { "as" };
    format!("\"{more}\" lets {times} through {than} \"{fewer}\", {channel}")
}
