//! How long to count, as a screen of text.

use moteweir_units::show::{self, Show};
use moteweir_units::{Length, Time, Velocity};

use super::caught::{level, rounded_up};
use super::closing::list;
use super::table::{Align, Table};
use super::{SCREENING, WIDTH, wrapped};
use crate::report::{PlanGoal, PlanReport, PlanSplit};

/// A half-width from which on the interval holds nearly everything.
const TOO_WIDE: f64 = 0.5;

/// A plan for a reader.
pub fn plan(report: &PlanReport) -> String {
    let mut parts = vec![lead(report)];
    parts.push(claim(report));
    parts.extend(report.difference.as_ref().map(difference));
    parts.push(split(report));
    parts.extend(holes(report));
    let mut parts: Vec<String> = parts.iter().map(|part| wrapped(part, "", WIDTH)).collect();
    parts.push(curve(report));
    let careful = [basis(report), SCREENING.to_owned()];
    parts.push(list("Careful:", &careful));
    parts.join("\n\n")
}

/// What is caught, as expected.
fn expected(report: &PlanReport) -> String {
    level(report.efficiency)
}

fn times(goal: &PlanGoal) -> Option<String> {
    let (open, through) = (goal.open_seconds?, goal.through_seconds?);
    Some(format!("{} open and {} through", rounded_up(open), rounded_up(through)))
}

fn lead(report: &PlanReport) -> String {
    let within = points(report.width.goal);
    match times(&report.width) {
        Some(times) => format!(
            "Count {times} to know an efficiency of {} to plus or minus {within} (two-sided {}).",
            expected(report),
            level(report.level)
        ),
        None => format!(
            "No time is enough to know an efficiency of {} to plus or minus {within}: readings that differ by {} from one \
             to the next do not agree so well. Take more readings (--readings) or a steadier room.",
            expected(report),
            level(report.dispersion)
        ),
    }
}

fn claim(report: &PlanReport) -> String {
    let goal = &report.claim;
    let claimed = level(goal.goal);
    let confidence = level(report.level);
    match times(goal) {
        Some(times) => format!(
            "To show that at least {claimed} is caught, with {confidence} confidence (one-sided): {times}."
        ),
        None if report.efficiency <= goal.goal => format!(
            "What catches {} cannot be shown to catch at least {claimed}, however long one counts.",
            expected(report)
        ),
        None => format!("No time is enough to show that at least {claimed} is caught: it lies too close."),
    }
}

fn difference(goal: &PlanGoal) -> String {
    let other = level(goal.goal);
    match times(goal) {
        Some(_) => format!(
            "To tell it from one that catches {other}: {} through each of the two.",
            goal.through_seconds.map_or_else(String::new, rounded_up)
        ),
        None => format!("No time is enough to tell it from one that catches {other}."),
    }
}

fn split(report: &PlanReport) -> String {
    let split = &report.split;
    let known = if split.half_width < TOO_WIDE {
        format!("the efficiency is then known to plus or minus {}", points(split.half_width))
    } else {
        "that is too short to know anything of the efficiency".to_owned()
    };
    format!(
        "Of {} in all, {} open and {} through are the best split: {known}.",
        Time::from_s(split.total_seconds).show(2),
        nearest(split.open_seconds),
        nearest(split.through_seconds),
    )
}

fn nearest(seconds: f64) -> String {
    Time::from_s(seconds).show(2)
}

/// A half-width of an efficiency in points of a percent.
fn points(half_width: f64) -> String {
    format!("{} %", show::number(100.0 * half_width, 2))
}

fn holes(report: &PlanReport) -> Option<String> {
    let each: Vec<String> = report
        .holes
        .iter()
        .map(|hole| {
            format!(
                "{} for {} ({})",
                Length::from_m(hole.diameter_m).show(2),
                hole.used,
                Velocity::from_m_per_s(hole.face_velocity_m_per_s).show(2)
            )
        })
        .collect();
    (!each.is_empty()).then(|| {
        format!(
            "Suck through a round hole of the diameter that gives the velocity of use: {}. The free area counts: a hole \
             with a grid behind it is smaller than it looks.",
            each.join(", ")
        )
    })
}

fn curve(report: &PlanReport) -> String {
    let mut table = Table::new(&[
        ("in all", Align::Right),
        ("open", Align::Right),
        ("through", Align::Right),
        ("known to +-", Align::Right),
        (&format!("chance to show {}", level(report.claim.goal)), Align::Right),
    ]);
    for PlanSplit { total_seconds, open_seconds, through_seconds, half_width, claim_power } in &report.curve {
        table.row([
            Time::from_s(*total_seconds).show(2),
            nearest(*open_seconds),
            nearest(*through_seconds),
            if *half_width < TOO_WIDE { points(*half_width) } else { "nothing".to_owned() },
            chance(*claim_power),
        ]);
    }
    table.plain()
}

/// A probability without the pretence of certainty.
fn chance(power: f64) -> String {
    match power {
        p if p > 0.99 => "over 99 %".to_owned(),
        p if p < 0.01 => "under 1 %".to_owned(),
        p => format!("{:.0} %", 100.0 * p),
    }
}

fn basis(report: &PlanReport) -> String {
    let chance = if (report.assurance - 0.8).abs() < 1e-9 {
        "four times of five".to_owned()
    } else {
        level(report.assurance)
    };
    let counting = if report.dispersion > 0.0 {
        format!(
            "Readings were taken to differ by {} beyond counting, {} of them for each.",
            level(report.dispersion),
            report.readings
        )
    } else {
        "Times are for counting alone; real readings differ by more (--dispersion \"5 %\" is common practice, no source), so \
         split each time into several readings, open and through in turn."
            .to_owned()
    };
    format!(
        "Times are enough {chance}, at {} particles a second in the room. {counting}",
        show::number(report.open_per_second, 3)
    )
}
