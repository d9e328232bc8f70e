//! A pair of counts, as a screen of text.

use moteweir_units::show::{self, Show};
use moteweir_units::{Area, Length, Velocity};

use super::caught::{at_least, between, capital, estimate, level, rounded_up};
use super::closing::list;
use super::{SCREENING, WIDTH, wrapped};
use crate::bench::velocity::is_alike;
use crate::report::{
    ClaimReport, MoreTime, TallyQuantiles as Quantiles, TallyReport, VelocityReport, WorstReport,
};

/// A tally for a reader.
pub fn tally(report: &TallyReport) -> String {
    let mut parts = vec![lead(report)];
    parts.extend(report.halving.as_ref().map(|more| halving(report, more)));
    parts.push(claim(report, &report.claim));
    parts.extend(report.velocity.as_ref().map(velocity));
    parts.extend(report.worst.as_ref().map(worst));
    let mut parts: Vec<String> = parts.iter().map(|part| wrapped(part, "", WIDTH)).collect();
    let mut careful: Vec<String> = report.warnings.iter().map(|w| w.text.clone()).collect();
    careful.push(SCREENING.to_owned());
    parts.push(list("Careful:", &careful));
    parts.join("\n\n")
}

fn lead(report: &TallyReport) -> String {
    let particles = report
        .size_m
        .map_or_else(|| "the particles counted".to_owned(), |m| format!("particles of {}", size(m)));
    let expected = report.open_counts as f64 / report.open_seconds * report.sample_seconds;
    let where_many = format!(
        "in {} s, where {} come with nothing in the way",
        report.sample_seconds,
        if expected < 10.0 { show::number(expected, 2) } else { format!("{expected:.0}") }
    );
    let level = level(report.level);
    let (low, high) = (report.penetration_low, report.penetration_high);
    let interval = between(low, high);
    if report.sample_counts == 0 {
        return match interval.as_str() {
            "anything" => format!(
                "These counts cannot tell what is caught of {particles}: nothing came through {where_many}, which is too \
                 few (two-sided {level})."
            ),
            interval => format!(
                "{} of {particles} are caught (two-sided {level}): nothing came through {where_many}.",
                capital(interval)
            ),
        };
    }
    if report.penetration >= 1.0 {
        let most = match interval.as_str() {
            "nothing" => String::new(),
            "anything" => format!(", though anything could be (two-sided {level} interval)"),
            interval => format!("; {interval} could be (two-sided {level} interval)"),
        };
        return format!(
            "Nothing of {particles} is seen to be caught{most}: {} came through {where_many}.",
            report.sample_counts
        );
    }
    format!(
        "{} of {particles} are caught, {} (two-sided {level} interval): {} came through {where_many}.",
        estimate(report.penetration, low, high),
        if interval == "anything" { "though it could be anything".to_owned() } else { interval },
        report.sample_counts
    )
}

fn halving(report: &TallyReport, more: &MoreTime) -> String {
    // What is a hundredth of the whole is not worth saying.
    let negligible = 0.01 * (more.open_seconds + more.sample_seconds);
    let also_open = if more.open_seconds > negligible {
        format!(" and {} more open", rounded_up(more.open_seconds))
    } else {
        String::new()
    };
    if report.sample_counts == 0 {
        return format!(
            "{} more through the sample would halve what may get through, if again nothing comes.",
            rounded_up(more.sample_seconds)
        );
    }
    if more.sample_seconds <= negligible {
        return format!("{} more open would make the interval half as wide.", rounded_up(more.open_seconds));
    }
    format!(
        "{} more through the sample{also_open} would make the interval half as wide.",
        rounded_up(more.sample_seconds)
    )
}

fn claim(report: &TallyReport, claim: &ClaimReport) -> String {
    let claimed = level(claim.efficiency);
    let confidence = level(claim.confidence);
    let at_least = at_least(1.0 - claim.at_least);
    match claim.verdict {
        "shown" => format!(
            "A claim of at least {claimed} is shown by the counting: it is at least {at_least} (one-sided {confidence})."
        ),
        "refuted" => format!(
            "A claim of at least {claimed} is refuted: with {confidence} confidence (one-sided) less is caught."
        ),
        _ => {
            let so_far = if at_least == "nothing" {
                "they show nothing yet".to_owned()
            } else {
                format!("they show at least {at_least} (one-sided {confidence})")
            };
            let rest = match &claim.more {
                Some(more) if more.open_seconds + more.sample_seconds < 1.0 => {
                    " As long again may well show it: so long a count would have, four times of five."
                        .to_owned()
                }
                Some(more) => format!(
                    " If as much is caught as was counted, {} more through the sample and {} more open would show it, four \
                     times of five.",
                    rounded_up(more.sample_seconds),
                    rounded_up(more.open_seconds)
                ),
                None if 1.0 - report.penetration > claim.efficiency => {
                    " No time of any use would show it: it lies too close.".to_owned()
                }
                None => " If no more is caught than was counted, no time shows it.".to_owned(),
            };
            format!(
                "A claim of at least {claimed} is neither shown nor refuted by these counts: {so_far}.{rest}"
            )
        }
    }
}

fn velocity(report: &VelocityReport) -> String {
    let (test, used) = (report.face_velocity_m_per_s, report.nearest_use_m_per_s);
    let show = |v: f64| Velocity::from_m_per_s(v).show(2);
    let factor = test / used;
    let mask = format!(
        "{} ({} through {})",
        report.nearest_use,
        show(used),
        Area::from_m2(report.mask_area_m2).show(3)
    );
    if is_alike(factor) {
        return format!("The air went through at {}, as in a {mask}.", show(test));
    }
    let (how, which) = if factor > 1.0 {
        (format!("{} times as fast as", show::number(factor, 2)), "Slower")
    } else {
        (format!("{} of the speed", show::percent(factor, 2)), "Faster")
    };
    let (small, large) = if factor > 1.0 { ("more", "fewer") } else { ("fewer", "more") };
    format!(
        "The air went through at {}, {how} in a {mask}. {which} air lets a layer catch {small} of the smallest particles \
         (they wander into fibres) and {large} of those above 1 um (they fly straight on). With this pump a round hole of \
         {} gives the velocity of use.",
        show(test),
        Length::from_m(report.hole_for_use_m).show(2)
    )
}

fn worst(report: &WorstReport) -> String {
    if !report.is_within_class {
        return format!(
            "Nothing of the class \"{}\" at this weight and thickness gives such counts, so they say nothing of other \
             sizes: check the holder for leaks, the counts, the weight and the class.",
            report.of
        );
    }
    let unknowns: Vec<String> = report
        .unknowns
        .iter()
        .map(|u| format!("the {}, {} by its class, is {} with the count", u.quantity, u.words[0], u.words[1]))
        .collect();
    let because =
        if unknowns.is_empty() { String::new() } else { format!(" {}.", capital(&unknowns.join("; "))) };
    let kept = if report.kept.is_empty() {
        String::new()
    } else {
        format!(" Kept as its class says: {}.", report.kept.join(", "))
    };
    format!(
        "The size that gets through most of \"{}\" at {} is about {} ({} to {}), and of it {} is caught ({}; before the \
         count {}).{because}{kept}",
        report.of,
        Velocity::from_m_per_s(report.face_velocity_m_per_s).show(2),
        size(report.mpps_m.q50),
        size(report.mpps_m.q025).trim_end_matches(" um"),
        size(report.mpps_m.q975),
        estimate(report.penetration.q50, report.penetration.q025, Some(report.penetration.q975)),
        of(&report.penetration),
        of(&report.penetration_before),
    )
}

/// What is caught, between quantiles of what gets through.
fn of(quantiles: &Quantiles) -> String {
    between(quantiles.q025.max(f64::MIN_POSITIVE), Some(quantiles.q975.min(1.0 - 1e-9)))
}

fn size(m: f64) -> String {
    format!("{} um", show::number(1e6 * m, 2).trim_end_matches(".0"))
}
