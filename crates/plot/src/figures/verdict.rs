//! Closed forms over the solved cell, against the group that each depends on most.

use crate::kit::{Axis, Chart, Guide, Ink, Key, Line, Panel};

/// What one form says over what the solved cell says.
#[derive(Debug, Clone, PartialEq)]
pub struct FormOverSolved {
    /// Name of the form.
    pub name: String,
    /// The group.
    pub at: Vec<f64>,
    /// Form over solved, medians over everything else.
    pub ratio: Vec<f64>,
}

/// Ratios shown; beyond, a form is off the figure.
const SHOWN: (f64, f64) = (0.2, 5.0);

/// The figure of all forms that stand for one thing.
pub fn forms_over_solved(stands_for: &str, group: &str, forms: &[FormOverSolved]) -> Chart {
    let x = Axis::log(group, "group");
    let y = Axis::log("closed form over solved cell", "form_over_solved").from_to(SHOWN.0, SHOWN.1);
    let mut panel = Panel::new(x, y);
    panel.guides.push(Guide::Horizontal { at: 1.0, label: "solved".to_owned() });
    for (n, form) in forms.iter().enumerate() {
        let points = form.at.iter().copied().zip(form.ratio.iter().copied()).collect();
        panel.lines.push(Line::new(&form.name, points, Ink::nth(n)));
    }
    panel.key = Key::Below;
    let mut chart = Chart::new(format!("Closed forms of {stands_for} over the solved cell"), vec![panel]);
    chart.footnotes.push(
        "Medians over solidity, particle size and slip in the range that each form is claimed for. An increment of \
         inertia is shown as one plus its miss over all that inertia and interception catch."
            .to_owned(),
    );
    chart
}
