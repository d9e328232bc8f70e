//! Closed forms against the solved cell.

use serde::Serialize;

/// The verdict on all forms.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct VerdictReport {
    /// Points tried for each form; those that the cell has no room for are dropped.
    pub points: u32,
    /// Where the points begin.
    pub seed: u64,
    /// One entry a form, by what it stands for.
    pub forms: Vec<JudgedForm>,
    /// One entry a law of capture by charge.
    pub charge: Vec<JudgedLaw>,
}

/// The verdict on one law of charge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct JudgedLaw {
    /// Which force, and the equation.
    pub name: &'static str,
    /// Its source.
    pub source: &'static str,
    /// The charge parameters at which it was asked.
    pub asked: StatedRange,
    /// Law over solved less 1, median.
    pub median_miss: f64,
    /// The largest in size.
    pub largest_miss: f64,
}

/// The verdict on one form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JudgedForm {
    /// What people call it.
    pub name: &'static str,
    /// What it stands for.
    pub term: &'static str,
    /// Its source in short.
    pub source: &'static str,
    /// Its equation.
    pub equation: &'static str,
    /// The range that it is claimed for, in its main group.
    pub claimed: StatedRange,
    /// Form over solved less 1 (an increment: the difference over the whole), median over the claimed range.
    pub median_miss: f64,
    /// The largest in size.
    pub largest_miss: f64,
    /// Where nine in ten points are within a tenth.
    pub good: Option<StatedRange>,
    /// Form over solved, against the main group.
    pub curve: RatioCurve,
}

/// A range of one group.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StatedRange {
    /// The group's symbol.
    pub symbol: &'static str,
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

/// Medians of form over solved in bins of the main group.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RatioCurve {
    /// The group in words.
    pub group: &'static str,
    /// Its values.
    pub at: Vec<f64>,
    /// Form over solved.
    pub ratio: Vec<f64>,
}
