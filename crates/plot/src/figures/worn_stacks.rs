//! Stacks as they are on a face that leaks: what is inhaled, and how much of it comes past the edge.

use crate::kit::{Axis, Bar, Chart, Ink, Panel, TickText, significant_text};

/// Stacks worn in one or more ways of breathing.
#[derive(Debug, Clone, PartialEq)]
pub struct WornStacks {
    /// What is inhaled, in words: `0.3 µm (mobility)`, `wood smoke (by mass)`.
    pub particles: String,
    /// The leak in words.
    pub leak: String,
    /// One entry a way of breathing, each with the same stacks.
    pub breathing: Vec<BreathingStacks>,
}

/// Stacks in one way of breathing.
#[derive(Debug, Clone, PartialEq)]
pub struct BreathingStacks {
    /// The way of breathing.
    pub breathing: String,
    /// The stacks.
    pub stacks: Vec<StackOnFace>,
}

/// A stack as it is, worn.
#[derive(Debug, Clone, PartialEq)]
pub struct StackOnFace {
    /// Name of the stack.
    pub stack: String,
    /// Share of the particles outside that is inhaled, 0 to 1, at central values.
    pub inhaled: f64,
    /// Between these lie 95 % of the draws.
    pub inhaled_range: (f64, f64),
    /// Share of the inhaled air that goes past the edge, 0 to 1.
    pub leak_share_of_flow: f64,
    /// Highest pressure drop of a breath (Pa).
    pub peak_pressure_pa: f64,
}

/// The figure: one panel a way of breathing, one bar a stack; the dark part of each comes past the edge.
pub fn inhaled_share_by_stack(data: &WornStacks) -> Chart {
    let all = data.breathing.iter().flat_map(|way| &way.stacks);
    let most = all.map(|stack| stack.inhaled.max(stack.inhaled_range.1)).fold(0.0, f64::max);
    let share = Axis::linear("share of the particles outside that is inhaled", "inhaled_share");
    let share = Axis { text: TickText::Percent, ..share.from_to(0.0, (1.05 * most).clamp(0.01, 1.0)) };
    let panels: Vec<Panel> = data
        .breathing
        .iter()
        .map(|way| Panel::of_bars(&way.breathing, share.clone(), way.stacks.iter().map(bar).collect()))
        .collect();
    let rows = data.breathing.iter().map(|way| way.stacks.len()).max().unwrap_or(1);
    let mut chart = Chart::new("What is inhaled behind each stack", panels);
    chart.subtitle = format!("{}, worn with {}", data.particles, data.leak);
    chart.panel_height = Chart::BAR_ROW * rows.max(2) as f64;
    chart.footnotes = vec![
        "Whole bar: all that comes with the breath (total inward leakage), mean over the inhaled air; dark: what comes \
         past the edge, unfiltered. Thin line: 95 of 100 draws of what is not known of materials and leak, and \
         of what differs from piece to piece."
            .to_owned(),
        "Pressures are the highest of a breath.".to_owned(),
    ];
    chart
}

fn bar(stack: &StackOnFace) -> Bar {
    let (share, pressure) =
        (significant_text(100.0 * stack.inhaled, 2), significant_text(stack.peak_pressure_pa, 2));
    Bar {
        name: stack.stack.clone(),
        label: format!("{share} % inhaled, {pressure} Pa"),
        whole: stack.inhaled,
        part: stack.leak_share_of_flow.min(stack.inhaled),
        spread: Some(stack.inhaled_range),
        ink: Ink::nth(2),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_part_past_the_edge_is_the_dark_one() {
        let stack = |name: &str, inhaled: f64| StackOnFace {
            stack: name.into(),
            inhaled,
            inhaled_range: (0.8 * inhaled, 1.3 * inhaled),
            leak_share_of_flow: 0.12,
            peak_pressure_pa: 63.0,
        };
        let way = |name: &str| BreathingStacks {
            breathing: name.into(),
            stacks: vec![stack("felt", 0.4), stack("paper", 0.13)],
        };
        let chart = inhaled_share_by_stack(&WornStacks {
            particles: "0.3 µm (mobility)".into(),
            leak: "a slit".into(),
            breathing: vec![way("rest"), way("heavy work")],
        });
        let bars = &chart.panels[1].bars;
        assert_eq!(bars[1].label, "13 % inhaled, 63 Pa");
        assert_eq!((bars[0].whole.to_bits(), bars[0].part.to_bits()), (0.4f64.to_bits(), 0.12f64.to_bits()));
        assert_eq!(chart.to_svg().expect("drawn").matches("\nfelt\n").count(), 2);
    }
}
