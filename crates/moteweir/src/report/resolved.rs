//! One particle at one fibre, solved, beside the closed forms.

use serde::Serialize;

/// Name of the format and its version.
pub const FORMAT: &str = "moteweir.resolved.1";

/// A solved single-fibre efficiency.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ResolvedReport {
    /// Format and version.
    pub format: &'static str,
    /// Method.
    pub method: &'static str,
    /// The method for a sentence.
    #[serde(skip)]
    pub method_in_words: &'static str,
    /// Over the fibre's diameter and the superficial velocity.
    pub single_fibre_efficiency: f64,
    /// What it is at least.
    pub low: f64,
    /// What it is at most.
    pub high: f64,
    /// Of a mean of random histories.
    pub standard_error: Option<f64>,
    /// Of a solution on a grid.
    pub grid_error: Option<f64>,
    /// What was solved.
    pub groups: CellGroupsReport,
    /// What the closed forms say.
    pub closed_forms: Vec<ClosedFormReport>,
    /// What was left out, and what to be careful about.
    pub notes: Vec<&'static str>,
}

/// Dimensionless groups over the superficial velocity.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CellGroupsReport {
    /// Solidity.
    pub solidity: f64,
    /// Interception parameter.
    pub interception: f64,
    /// Stokes number over the fibre's diameter; absent without inertia.
    pub stokes: Option<f64>,
    /// Peclet number; absent without diffusion.
    pub peclet: Option<f64>,
    /// Fibre Knudsen number.
    pub fibre_knudsen: f64,
    /// Fibre Reynolds number, where sizes were given.
    pub fibre_reynolds: Option<f64>,
}

/// What a closed form says of the same particle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ClosedFormReport {
    /// What people call it.
    pub name: &'static str,
    /// What it stands for.
    pub term: &'static str,
    /// Its equation.
    pub equation: &'static str,
    /// Its value, brought to the superficial velocity.
    pub value: f64,
    /// Whether the groups lie in the range that it is claimed for.
    pub in_range: bool,
    /// Whether it stands for all that was solved, or for a part of it.
    pub is_the_whole: bool,
    /// Its source in short.
    pub source: &'static str,
}
