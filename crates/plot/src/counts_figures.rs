//! The figures of counts, and of a plan to count.

use moteweir::report::{CountsRanking, CountsReport, PlanReport};

use crate::figure::{Figure, numbered, typeset};
use crate::figures::{CountedLonger, RankedChannel, RankedTest, half_width_against_time, ranked_counts};

/// One figure a channel in which more than one thing was tested.
pub fn counts_figures(report: &CountsReport) -> Vec<Figure> {
    let figure = |(n, ranking): (usize, &CountsRanking)| Figure {
        name: format!("ranked-{}", numbered(n, &ranking.channel)),
        chart: ranked_counts(&ranked(report, ranking)),
    };
    report.rankings.iter().enumerate().map(figure).collect()
}

fn ranked(report: &CountsReport, ranking: &CountsRanking) -> RankedChannel {
    let place = |result: &usize| ranking.order.iter().position(|n| n == result);
    let test = |n: &usize| {
        let result = &report.results[*n];
        let layers = if result.layers == 1 { String::new() } else { format!("{} x ", result.layers) };
        let details =
            [&result.treatment, &result.side].into_iter().filter(|d| !d.is_empty() && *d != "as received");
        let details = details.fold(String::new(), |text, detail| text + ", " + detail);
        let penetration = result.penetration.unwrap_or(f64::NAN);
        RankedTest {
            name: format!("{layers}{}{details}", result.specimen),
            penetration,
            range: (result.penetration_low.unwrap_or(0.0), result.penetration_high.unwrap_or(f64::INFINITY)),
        }
    };
    RankedChannel {
        channel: typeset(&ranking.channel),
        level: report.level,
        tested: ranking.order.iter().map(test).collect(),
        groups: ranking.groups.iter().map(|group| group.iter().filter_map(place).collect()).collect(),
    }
}

/// What longer counting buys.
pub fn plan_figure(report: &PlanReport) -> Figure {
    let chart = half_width_against_time(&CountedLonger {
        efficiency: report.efficiency,
        level: report.level,
        seconds: report.curve.iter().map(|split| split.total_seconds).collect(),
        half_width: report.curve.iter().map(|split| split.half_width).collect(),
        goal: report.width.goal,
    });
    Figure { name: "count-longer".to_owned(), chart }
}
