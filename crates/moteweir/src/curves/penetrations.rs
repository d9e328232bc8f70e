//! Rows of a curve of penetrations: as stated, from efficiencies, or from counts upstream and downstream.

use moteweir_units::{Length, Velocity};

use super::columns::CurveColumn as C;
use super::fault::CurveFault;
use super::row::{Noted, Row};
use super::table::Heading;
use crate::case::{CurveCounts, MeasuredPenetration};
use crate::rows::{Gathered, RowFault};

/// A penetration above 1 by no more than this many standard uncertainties is chance.
const CHANCE: f64 = 3.0;

/// What a file of penetrations states them by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum StatedBy {
    /// Shares that get through, or that are caught.
    Share(C),
    /// Counts upstream and downstream.
    Counts,
}

impl StatedBy {
    /// What a heading states penetrations by, with every contradiction and every missing column noted.
    pub(super) fn of(heading: &Heading, gathered: &mut Gathered) -> Self {
        let mut both = |one: C, other: C, what| {
            if heading.has(one) && heading.has(other) {
                let fault = CurveFault::BothState { one: one.name(), other: other.name(), what };
                gathered.error(fault, heading.place(other));
            }
        };
        both(C::Penetration, C::Efficiency, "what gets through");
        both(C::Penetration, C::UpstreamCounts, "what gets through");
        both(C::Efficiency, C::UpstreamCounts, "what gets through");
        both(C::Diameter, C::From, "the size");
        let stated_by = match [C::Penetration, C::Efficiency].into_iter().find(|&column| heading.has(column))
        {
            Some(column) => Self::Share(column),
            None => Self::Counts,
        };
        let size: &[C] =
            if heading.has(C::From) || heading.has(C::To) { &[C::From, C::To] } else { &[C::Diameter] };
        let counts: &[C] = match stated_by {
            Self::Share(_) => &[],
            Self::Counts => &[C::UpstreamCounts, C::DownstreamCounts],
        };
        for &column in size.iter().chain(&[C::FaceVelocity]).chain(counts) {
            if !heading.has(column) {
                gathered.error(CurveFault::LacksColumn { column: column.name() }, heading.span.clone());
            }
        }
        stated_by
    }

    /// One row; what is wrong in it is noted.
    pub(super) fn point(self, row: &mut Row<'_, '_>) -> Result<MeasuredPenetration, Noted> {
        // Everything is read before anything is given up, so that all that is wrong in a row is said at once.
        let (size, velocity) = (size(row), row.needed(C::FaceVelocity));
        let stated = match self {
            Self::Share(column) => share(column, row),
            Self::Counts => counted(row),
        };
        let ((size, channel), velocity, stated) = (size?, velocity?, stated?);
        Ok(MeasuredPenetration {
            line: row.line(),
            stated_diameter: size,
            diameter: size,
            channel,
            face_velocity: Velocity::from_cm_per_s(velocity),
            penetration: stated.penetration,
            standard_uncertainty: stated.uncertainty,
            is_limit: stated.is_limit,
            counts: stated.counts,
        })
    }
}

/// A size, and the edges of the channel whose geometric middle it is.
type Size = (Length, Option<(Length, Length)>);

fn size(row: &mut Row<'_, '_>) -> Result<Size, Noted> {
    let has_edges = !row.text(C::From).is_empty() || !row.text(C::To).is_empty();
    if !has_edges {
        return Ok((Length::from_um(row.needed(C::Diameter)?), None));
    }
    let (from, to) = (row.needed(C::From), row.needed(C::To));
    let (from, to) = (from?, to?);
    if from >= to {
        let place = row.place(C::From);
        row.error(RowFault::UpsideDown { from: row.text(C::From), to: row.text(C::To) }, place);
        return Err(Noted);
    }
    let edges = (Length::from_um(from), Length::from_um(to));
    Ok((Length::from_um((from * to).sqrt()), Some(edges)))
}

/// What a row states of a penetration.
struct Stated {
    penetration: f64,
    uncertainty: Option<f64>,
    is_limit: bool,
    counts: Option<CurveCounts>,
}

fn share(column: C, row: &mut Row<'_, '_>) -> Result<Stated, Noted> {
    let (share, uncertainty) = (row.needed(column), row.optional(C::StandardUncertainty));
    let share = share?;
    let penetration = if column == C::Efficiency { 1.0 - share } else { share };
    Ok(Stated { penetration, uncertainty: uncertainty?, is_limit: false, counts: None })
}

fn counted(row: &mut Row<'_, '_>) -> Result<Stated, Noted> {
    let (upstream, downstream) = (row.counts(C::UpstreamCounts), row.counts(C::DownstreamCounts));
    let seconds = (row.optional(C::UpstreamSeconds), row.optional(C::DownstreamSeconds));
    let ratio = (row.optional(C::CorrelationRatio), row.optional(C::CorrelationUncertainty));
    let time_ratio = match (seconds.0?, seconds.1?) {
        (Some(up), Some(down)) => up / down,
        (None, None) => 1.0,
        (up, _) => {
            let lacking = if up.is_some() { C::DownstreamSeconds } else { C::UpstreamSeconds };
            let place = row.span();
            row.error(CurveFault::EmptyField { column: lacking.name() }, place);
            return Err(Noted);
        }
    };
    let counts = CurveCounts {
        upstream: upstream?,
        downstream: downstream?,
        time_ratio,
        correlation_ratio: ratio.0?.unwrap_or(1.0),
        correlation_uncertainty: ratio.1?.unwrap_or(0.0),
    };
    if counts.downstream == 0 {
        let penetration = counts.at_most();
        return Ok(Stated { penetration, uncertainty: None, is_limit: true, counts: Some(counts) });
    }
    let (penetration, of_ln_p) = (counts.penetration(), counts.uncertainty_of_ln_p());
    if penetration.ln() > CHANCE * of_ln_p {
        let fault = CurveFault::MoreDownstream {
            upstream: counts.upstream,
            downstream: counts.downstream,
            penetration: format!("{penetration:.3}"),
        };
        let place = row.place(C::DownstreamCounts);
        row.error(fault, place);
        return Err(Noted);
    }
    let uncertainty = Some(penetration * of_ln_p);
    Ok(Stated { penetration, uncertainty, is_limit: false, counts: Some(counts) })
}
