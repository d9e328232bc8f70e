//! What to measure next: how much of what is open about a number each quantity leaves open.

use super::axes::velocity_text;
use crate::kit::{Axis, Bar, Chart, Ink, Panel, TickText};

/// Shares of the variance of one number of one stack.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenShares {
    /// Name of the stack.
    pub stack: String,
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// The number in words.
    pub target: String,
    /// One entry a quantity, in any order.
    pub quantities: Vec<OpenQuantity>,
}

/// What one quantity leaves open.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenQuantity {
    /// The quantity in words: `fibre diameter of felt`.
    pub quantity: String,
    /// Whether it differs from piece to piece; else it is not known.
    pub varies: bool,
    /// What would settle it, where something would.
    pub measure: Option<String>,
    /// Share of the variance by this quantity alone.
    pub first: f64,
    /// Share with all that it does together with others.
    pub total: f64,
    /// Standard error of `total`.
    pub total_standard_error: f64,
}

/// Most bars of one figure.
const MOST: usize = 10;

/// The figure: one bar a quantity, the greatest on top, the part that it causes alone dark.
pub fn what_to_measure_next(data: &OpenShares) -> Chart {
    let mut ranked: Vec<&OpenQuantity> = data.quantities.iter().collect();
    ranked.sort_by(|a, b| b.total.total_cmp(&a.total));
    let left_out = ranked.len().saturating_sub(MOST);
    ranked.truncate(MOST);
    let share = Axis::linear("share of what is open", "share_of_variance");
    let share = Axis { text: TickText::Percent, ..share.from_to(0.0, 1.0) };
    let panel = Panel::of_bars("", share, ranked.iter().map(|quantity| bar(quantity)).collect());
    let mut chart = Chart::new(format!("What to measure next: {}", data.stack), vec![panel]);
    chart.subtitle = format!("share of the variance of: {}{}", data.target, velocity(data));
    chart.panel_height = Chart::BAR_ROW * ranked.len().max(2) as f64;
    chart.footnotes = footnotes(&ranked, left_out);
    chart
}

/// The face velocity, where the words of the target do not tell it or a flow.
fn velocity(data: &OpenShares) -> String {
    let velocity = velocity_text(data.face_velocity_m_per_s);
    let is_told = ["cm/s", "m/s", "mm/s", "L/min"].iter().any(|unit| data.target.ends_with(unit));
    if is_told { String::new() } else { format!(", face velocity {velocity}") }
}

fn bar(quantity: &OpenQuantity) -> Bar {
    let name = match (&quantity.measure, quantity.varies) {
        (Some(measure), false) => format!("{}: {measure}", quantity.quantity),
        (_, true) => format!("{}, differs from piece to piece", quantity.quantity),
        (None, false) => quantity.quantity.clone(),
    };
    let (total, slip) = (quantity.total, 2.0 * quantity.total_standard_error);
    Bar {
        name,
        label: format!("{:.0} %", 100.0 * total.clamp(0.0, 1.0)),
        whole: total,
        part: quantity.first,
        spread: (slip > 0.0).then_some((total - slip, total + slip)),
        ink: if quantity.varies { Ink::nth(3) } else { Ink::nth(2) },
    }
}

fn footnotes(ranked: &[&OpenQuantity], left_out: usize) -> Vec<String> {
    let mut notes = vec![
        "Dark: what knowing this quantity would take away. Whole bar: with all that it does together with others, so \
         that the bars may add up to more than 100 %. Thin line: twice the standard error."
            .to_owned(),
    ];
    let kinds = |varies: bool| ranked.iter().any(|quantity| quantity.varies == varies);
    if kinds(true) && kinds(false) {
        notes.push(
            "Blue: not known, a measurement settles it. Orange: differs from piece to piece, and stays."
                .to_owned(),
        );
    }
    if left_out > 0 {
        notes.push(format!("{left_out} more with smaller shares are left out."));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quantity(name: &str, varies: bool, total: f64) -> OpenQuantity {
        OpenQuantity {
            quantity: name.into(),
            varies,
            measure: (!varies).then(|| "measure the air permeability, or the pressure drop".into()),
            first: 0.8 * total,
            total,
            total_standard_error: 0.02,
        }
    }

    fn data(quantities: Vec<OpenQuantity>) -> OpenShares {
        OpenShares {
            stack: "two felts between sheeting".into(),
            face_velocity_m_per_s: 0.053,
            target: "efficiency at 0.3 um at least 50 %".into(),
            quantities,
        }
    }

    #[test]
    fn the_greatest_stands_on_top_with_what_settles_it() {
        let long = "effective fibre diameter of the needled felt from the shop on the quay";
        let chart = what_to_measure_next(&data(vec![
            quantity("basis weight of felt", true, 0.2),
            quantity(long, false, 0.7),
        ]));
        let bars = &chart.panels[0].bars;
        assert_eq!(bars[0].name, format!("{long}: measure the air permeability, or the pressure drop"));
        assert_eq!(bars[0].label, "70 %");
        assert_eq!(bars[1].name, "basis weight of felt, differs from piece to piece");
        let svg = chart.to_svg().expect("drawn");
        assert!(svg.contains(&format!("\n{long}")), "the longest name is cut");
        assert_eq!(chart.footnotes.len(), 2);
    }

    #[test]
    fn the_small_shares_of_many_are_left_out_and_counted() {
        let many = (0..14).map(|n| quantity(&format!("number {n}"), false, f64::from(n) / 100.0)).collect();
        let chart = what_to_measure_next(&data(many));
        assert_eq!(chart.panels[0].bars.len(), MOST);
        assert!(chart.panels[0].bars[0].name.starts_with("number 13"));
        assert_eq!(
            chart.footnotes.last().map(String::as_str),
            Some("4 more with smaller shares are left out.")
        );
    }
}
