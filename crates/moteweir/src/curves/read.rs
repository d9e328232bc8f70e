//! From the text of a file to a checked curve.

use moteweir_units::{Pressure, Velocity};

use super::columns::CurveColumn as C;
use super::fault::CurveFault;
use super::penetrations::StatedBy;
use super::row::{Noted, Row};
use super::table::{Heading, lines};
use crate::case::{MeasuredFlow, MeasuredPenetration};
use crate::problem::{Problem, Problems, Severity};
use crate::rows::Gathered;

/// The most points of a curve.
pub const MOST_POINTS: usize = 2000;

/// A curve as its file states it, in the order of the file: penetrations or flows. Diameters are as stated: which kind
/// they are, the file does not say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Curve {
    /// Penetrations over size and velocity.
    pub penetrations: Vec<MeasuredPenetration>,
    /// Pressure drops over velocity.
    pub flows: Vec<MeasuredFlow>,
    /// What is odd but usable, sorted by position.
    pub warnings: Vec<Problem>,
}

impl Curve {
    /// Reads a curve: a heading, then one row a point; commas, semicolons or tabs between fields, `#` before comments.
    /// Between semicolons and tabs a comma inside a number is a decimal point. Channels (`from_um`, `to_um`) stand for
    /// their geometric middle.
    ///
    /// # Errors
    /// Every problem of the text, warnings among them, where at least one is an error.
    pub fn read(text: &str) -> Result<Self, Problems> {
        let mut gathered = Gathered::default();
        let mut curve = read(text, &mut gathered);
        let problems = gathered.into_problems();
        if problems.iter().any(|problem| problem.severity == Severity::Error) {
            return Err(Problems(problems));
        }
        curve.warnings = problems;
        Ok(curve)
    }
}

/// What the rows of a file are.
enum Kind {
    Penetrations(StatedBy),
    Flows,
}

fn read(text: &str, gathered: &mut Gathered) -> Curve {
    let mut curve = Curve::default();
    let mut rows = lines(text);
    let Some(first) = rows.next() else {
        gathered.error(CurveFault::NoRows, 0..0);
        return curve;
    };
    let Some(heading) = Heading::read(&first, gathered) else { return curve };
    let Some(kind) = kind(&heading, gathered) else { return curve };
    let mut is_empty = true;
    for line in rows {
        is_empty = false;
        if curve.penetrations.len() + curve.flows.len() >= MOST_POINTS {
            gathered.error(CurveFault::TooMany { most: MOST_POINTS }, line.span());
            break;
        }
        let Some(mut row) = Row::read(&heading, &line, gathered) else { continue };
        match &kind {
            Kind::Penetrations(stated_by) => {
                let point = stated_by.point(&mut row);
                let point = point.and_then(|point| distinct(point, &curve.penetrations, &mut row));
                curve.penetrations.extend(point.ok());
            }
            Kind::Flows => {
                let flow = flow(&mut row).and_then(|flow| distinct_flow(flow, &curve.flows, &mut row));
                curve.flows.extend(flow.ok());
            }
        }
    }
    if is_empty {
        gathered.error(CurveFault::NoRows, heading.span);
    }
    curve
}

/// What the rows are by the heading; `None` where it does not say or lacks something, which is noted.
fn kind(heading: &Heading, gathered: &mut Gathered) -> Option<Kind> {
    let through = [C::Penetration, C::Efficiency, C::UpstreamCounts, C::DownstreamCounts];
    let of_penetration = through.into_iter().any(|column| heading.has(column));
    let of_flow = heading.has(C::PressureDrop) || heading.has(C::AirPermeability);
    match (of_penetration, of_flow) {
        (true, true) => {
            let column = if heading.has(C::PressureDrop) { C::PressureDrop } else { C::AirPermeability };
            gathered.error(CurveFault::TwoKinds, heading.place(column));
            None
        }
        (false, false) => {
            gathered.error(CurveFault::NothingMeasured, heading.span.clone());
            None
        }
        (true, false) => {
            let stated_by = StatedBy::of(heading, gathered);
            let size = heading.has(C::Diameter) || (heading.has(C::From) && heading.has(C::To));
            let is_whole = size
                && heading.has(C::FaceVelocity)
                && (matches!(stated_by, StatedBy::Share(_))
                    || (heading.has(C::UpstreamCounts) && heading.has(C::DownstreamCounts)));
            is_whole.then_some(Kind::Penetrations(stated_by))
        }
        (false, true) => flow_columns(heading, gathered).then_some(Kind::Flows),
    }
}

/// Whether a heading has what a flow needs; what it lacks is noted.
fn flow_columns(heading: &Heading, gathered: &mut Gathered) -> bool {
    if heading.has(C::FaceVelocity) && heading.has(C::AirPermeability) {
        let (one, other) = (C::FaceVelocity.name(), C::AirPermeability.name());
        let fault = CurveFault::BothState { one, other, what: "the velocity" };
        gathered.error(fault, heading.place(C::AirPermeability));
        return false;
    }
    let velocity = if heading.has(C::AirPermeability) { C::AirPermeability } else { C::FaceVelocity };
    let lacking = [C::PressureDrop, velocity].into_iter().find(|&column| !heading.has(column));
    if let Some(column) = lacking {
        gathered.error(CurveFault::LacksColumn { column: column.name() }, heading.span.clone());
    }
    lacking.is_none()
}

/// A pressure drop at a velocity, or a velocity at a pressure drop; the uncertainty is of the one that was read.
fn flow(row: &mut Row<'_, '_>) -> Result<MeasuredFlow, Noted> {
    let pressure = row.needed(C::PressureDrop);
    let permeability = row.optional(C::AirPermeability);
    let uncertainty = row.optional(C::StandardUncertainty);
    let (velocity, read) = match permeability? {
        Some(permeability) => (Velocity::from_mm_per_s(permeability), permeability),
        None => {
            (Velocity::from_cm_per_s(row.needed(C::FaceVelocity)?), *pressure.as_ref().unwrap_or(&f64::NAN))
        }
    };
    Ok(MeasuredFlow {
        line: row.line(),
        face_velocity: velocity,
        pressure_drop: Pressure::from_pa(pressure?),
        relative_uncertainty: uncertainty?.map(|u| u / read),
    })
}

fn distinct(
    point: MeasuredPenetration,
    before: &[MeasuredPenetration],
    row: &mut Row<'_, '_>,
) -> Result<MeasuredPenetration, Noted> {
    let is_same = |other: &&MeasuredPenetration| {
        other.stated_diameter == point.stated_diameter && other.face_velocity == point.face_velocity
    };
    match before.iter().find(is_same) {
        None => Ok(point),
        Some(first) => {
            let fault = CurveFault::Duplicate { what: "size and velocity", first_line: first.line };
            let place = row.span();
            row.error(fault, place);
            Err(Noted)
        }
    }
}

fn distinct_flow(
    flow: MeasuredFlow,
    before: &[MeasuredFlow],
    row: &mut Row<'_, '_>,
) -> Result<MeasuredFlow, Noted> {
    match before.iter().find(|other| other.face_velocity == flow.face_velocity) {
        None => Ok(flow),
        Some(first) => {
            let fault = CurveFault::Duplicate { what: "velocity", first_line: first.line };
            let place = row.span();
            row.error(fault, place);
            Err(Noted)
        }
    }
}
