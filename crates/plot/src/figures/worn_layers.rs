//! What more layers do on a face that leaks: the inhaled share with the same without the leak beside it, and the effort.

use super::axes::decade_below;
use crate::kit::{
    Arrangement, Axis, Band, Chart, Guide, Ink, Key, Line, Marker, Panel, TickText, significant_text,
};

/// One to several layers in a stack, worn in one or more ways of breathing.
#[derive(Debug, Clone, PartialEq)]
pub struct WornSweep {
    /// The stack, or the material that is layered.
    pub stack: String,
    /// What is inhaled, in words: `0.3 µm (mobility)`, `wood smoke (by mass)`.
    pub particles: String,
    /// The leak in words.
    pub leak: String,
    /// One entry a way of breathing.
    pub breathing: Vec<WornBreathing>,
    /// Most that the pressure may be, where the user said so.
    pub limit: Option<PressureLimit>,
}

/// A pressure that must not be passed.
#[derive(Debug, Clone, PartialEq)]
pub struct PressureLimit {
    /// Pressure (Pa).
    pub pressure_pa: f64,
    /// Flow at which it was set (m³/s).
    pub flow_m3_per_s: f64,
    /// As the user wrote it.
    pub text: String,
}

/// One to several layers in one way of breathing.
#[derive(Debug, Clone, PartialEq)]
pub struct WornBreathing {
    /// The way of breathing.
    pub breathing: String,
    /// Numbers of layers, rising.
    pub layers: Vec<u32>,
    /// Share of the particles outside that is inhaled, 0 to 1, at central values.
    pub inhaled: Vec<f64>,
    /// 2.5 % of the draws inhale less.
    pub inhaled_low: Vec<f64>,
    /// 2.5 % inhale more.
    pub inhaled_high: Vec<f64>,
    /// Share that would be inhaled without the leak, 0 to 1.
    pub without_leak: Vec<f64>,
    /// Highest flow of a breath (m³/s).
    pub peak_flow_m3_per_s: f64,
    /// Highest pressure drop of a breath (Pa).
    pub peak_pressure_pa: Vec<f64>,
    /// The same without the leak.
    pub peak_pressure_without_leak_pa: Vec<f64>,
    /// Number of layers with the least inhaled share, where it was looked for.
    pub best: Option<u32>,
}

/// Most panels that stand beside one another.
const MOST_IN_A_ROW: usize = 3;
/// Least inhaled share down to which an even axis shows the differences.
const EVEN_DOWN_TO: f64 = 0.03;

/// The figure: one panel a way of breathing, the inhaled share with its range and its least, and the same without the leak.
pub fn inhaled_share_against_layers(sweep: &WornSweep) -> Chart {
    let share = share_axis(sweep);
    let mut panels: Vec<Panel> = sweep.breathing.iter().map(|worn| inhaled(sweep, worn, &share)).collect();
    if let Some(first) = panels.first_mut() {
        first.key = Key::Below;
    }
    let in_a_row = panels.len() <= MOST_IN_A_ROW;
    let mut chart = Chart::new(format!("What is inhaled behind more layers: {}", sweep.stack), panels);
    chart.subtitle = format!("{}, worn with {}", sweep.particles, sweep.leak);
    chart.arrangement = if in_a_row { Arrangement::Row } else { Arrangement::Column };
    chart.panel_height = 260.0;
    chart.footnotes = footnotes(sweep);
    chart
}

/// The figure: one panel a way of breathing, the highest pressure of a breath against the number of layers, with and
/// without the leak, and the limit.
pub fn peak_pressure_against_layers(sweep: &WornSweep) -> Chart {
    let all =
        |worn: &WornBreathing| [worn.peak_pressure_pa.clone(), worn.peak_pressure_without_leak_pa.clone()];
    let drops = sweep.breathing.iter().flat_map(all).flatten();
    let limit = sweep.limit.as_ref().map(|limit| limit.pressure_pa);
    let most = drops.chain(limit).filter(|drop| drop.is_finite()).fold(0.0, f64::max);
    let axis = Axis::linear("highest pressure drop (Pa)", "peak_pressure_pa");
    let axis = if most > 0.0 { axis.from_to(0.0, 1.06 * most) } else { axis };
    let mut panels: Vec<Panel> = sweep.breathing.iter().map(|worn| pressures(sweep, worn, &axis)).collect();
    if let Some(first) = panels.first_mut() {
        first.key = Key::Below;
    }
    let in_a_row = panels.len() <= MOST_IN_A_ROW;
    let mut chart = Chart::new(format!("What more layers cost in breath: {}", sweep.stack), panels);
    chart.subtitle = format!("worn with {}", sweep.leak);
    chart.arrangement = if in_a_row { Arrangement::Row } else { Arrangement::Column };
    chart.panel_height = 260.0;
    chart.footnotes = vec![
        "Air that goes past the edge costs nothing: a worn filter takes less effort than a sealed one."
            .to_owned(),
    ];
    chart.footnotes.extend(sweep.limit.as_ref().map(|limit| limit_note(sweep, limit)));
    chart
}

fn pressures(sweep: &WornSweep, worn: &WornBreathing, axis: &Axis) -> Panel {
    let mut panel = Panel::new(count_axis(sweep), axis.clone());
    panel.title.clone_from(&worn.breathing);
    panel.key = Key::None;
    let with = against_layers(worn, &worn.peak_pressure_pa);
    panel.lines.push(Line::dotted("worn", with, Ink::nth(0)));
    let without = against_layers(worn, &worn.peak_pressure_without_leak_pa);
    panel.lines.push(Line::dotted("without the leak", without, Ink::nth(1)));
    if let Some(limit) = &sweep.limit {
        panel.guides.push(Guide::Horizontal { at: limit.pressure_pa, label: "limit".to_owned() });
    }
    panel
}

/// At which flow the limit was set, and what the flows of the panels are.
fn limit_note(sweep: &WornSweep, limit: &PressureLimit) -> String {
    let text = |flow: f64| significant_text(flow * L_PER_MIN, 2);
    let flows: Vec<String> = sweep
        .breathing
        .iter()
        .map(|worn| format!("{} {} L/min", worn.breathing, text(worn.peak_flow_m3_per_s)))
        .collect();
    format!("Limit: {}. The pressures here belong to the highest flows: {}.", limit.text, flows.join(", "))
}

/// Cubic metres per second to litres per minute.
const L_PER_MIN: f64 = 60_000.0;

fn inhaled(sweep: &WornSweep, worn: &WornBreathing, share: &Axis) -> Panel {
    let mut panel = Panel::new(count_axis(sweep), share.clone());
    panel.title.clone_from(&worn.breathing);
    panel.key = Key::None;
    let (ink, alone) = (Ink::nth(0), Ink::nth(1));
    let counts = worn.layers.iter().map(|count| f64::from(*count));
    let ends = worn.inhaled_low.iter().zip(&worn.inhaled_high);
    let points = counts.zip(ends).map(|(count, (low, high))| (count, *low, *high)).collect();
    panel.bands.push(Band { name: "95 of 100 draws".to_owned(), points, ink });
    panel.lines.push(Line::dotted("inhaled", against_layers(worn, &worn.inhaled), ink));
    let through = against_layers(worn, &worn.without_leak);
    panel.lines.push(Line::dotted("without the leak", through, alone));
    let least = worn.best.and_then(|best| worn.layers.iter().position(|count| *count == best));
    if let Some((best, inhaled)) = least.and_then(|at| Some((worn.layers[at], *worn.inhaled.get(at)?))) {
        let label = format!("least at {best}: {} %", significant_text(100.0 * inhaled, 2));
        panel.markers.push(Marker { series: "least".to_owned(), at: (f64::from(best), inhaled), label, ink });
    }
    panel
}

fn against_layers(worn: &WornBreathing, values: &[f64]) -> Vec<(f64, f64)> {
    worn.layers.iter().map(|count| f64::from(*count)).zip(values.iter().copied()).collect()
}

fn count_axis(sweep: &WornSweep) -> Axis {
    let most = sweep.breathing.iter().flat_map(|worn| worn.layers.iter().copied()).max().unwrap_or(1);
    Axis::linear("number of layers", "layers").from_to(0.0, f64::from(most) + 0.3)
}

/// One axis for all panels: even from 0 while the least share is not small, else logarithmic and not below the decade
/// under it; what is inhaled without the leak may leave at the bottom.
fn share_axis(sweep: &WornSweep) -> Axis {
    let of = |values: fn(&WornBreathing) -> &Vec<f64>| {
        sweep.breathing.iter().flat_map(values).copied().filter(|share| *share > 0.0)
    };
    let least = of(|worn| &worn.inhaled).fold(1.0, f64::min);
    let most = of(|worn| &worn.inhaled_high).chain(of(|worn| &worn.without_leak)).fold(0.0, f64::max);
    let label = "share of the particles outside";
    let axis = if least < EVEN_DOWN_TO {
        let lowest = of(|worn| &worn.inhaled_low).fold(least, f64::min);
        Axis::log(label, "share_of_particles").from_to(decade_below(lowest), 1.0)
    } else {
        Axis::linear(label, "share_of_particles").from_to(0.0, (1.05 * most).clamp(0.05, 1.0))
    };
    Axis { text: TickText::Percent, ..axis }
}

fn footnotes(sweep: &WornSweep) -> Vec<String> {
    let mut notes = vec![
        "Inhaled: what comes with the breath through the filter and past its edge (total inward leakage), mean over the \
         inhaled air. Shaded: 95 of 100 draws of what is not known of materials and leak, and \
         of what differs from sheet to sheet."
            .to_owned(),
    ];
    let last = |worn: &&WornBreathing| worn.best.is_some() && worn.best == worn.layers.last().copied();
    if sweep.breathing.iter().any(|worn| last(&worn)) {
        notes.push(
            "Where the least stands at the last number tried, more layers may protect still more.".to_owned(),
        );
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Scale;

    /// Invented: a leak that grows with the layers beside a filter that halves what it lets through.
    fn worn(breathing: &str, leak: f64) -> WornBreathing {
        let layers: Vec<u32> = (1..=8).collect();
        let counts = || layers.iter().map(|n| f64::from(*n));
        let filter: Vec<f64> = counts().map(|n| 0.5f64.powf(n)).collect();
        let past: Vec<f64> = counts().map(|n| leak * n / (1.0 + leak * n)).collect();
        let inhaled: Vec<f64> = past.iter().zip(&filter).map(|(l, p)| l + (1.0 - l) * p).collect();
        let least = inhaled.iter().copied().fold(1.0, f64::min);
        let best = inhaled.iter().position(|share| *share <= least).and_then(|at| layers.get(at).copied());
        WornBreathing {
            breathing: breathing.into(),
            inhaled_low: inhaled.iter().map(|share| 0.7 * share).collect(),
            inhaled_high: inhaled.iter().map(|share| (1.3 * share).min(1.0)).collect(),
            without_leak: filter,
            peak_flow_m3_per_s: 1e-3,
            peak_pressure_without_leak_pa: counts().map(|n| 40.0 * n).collect(),
            peak_pressure_pa: counts().map(|n| 40.0 * n / (1.0 + leak * n)).collect(),
            best,
            inhaled,
            layers,
        }
    }

    fn sweep(leak: f64) -> WornSweep {
        WornSweep {
            stack: "felt".into(),
            particles: "0.3 µm (mobility)".into(),
            leak: "a slit of 40 mm by 0.3 mm".into(),
            breathing: ["rest", "light work", "heavy work"].map(|name| worn(name, leak)).into(),
            limit: Some(PressureLimit {
                pressure_pa: 147.0,
                flow_m3_per_s: 85.0 / 6e4,
                text: "15 mmH2O at 85 L/min".into(),
            }),
        }
    }

    #[test]
    fn each_way_of_breathing_has_its_panel_with_its_least_marked() {
        let chart = inhaled_share_against_layers(&sweep(0.05));
        assert_eq!((chart.panels.len(), chart.arrangement), (3, Arrangement::Row));
        for panel in &chart.panels {
            assert_eq!(panel.y.scale, Scale::Linear);
            let mark = &panel.markers[0];
            let lowest = panel.lines[0].points.iter().map(|p| p.1).fold(1.0, f64::min);
            assert_eq!(mark.at.1.to_bits(), lowest.to_bits());
            assert!(mark.label.starts_with("least at 4: "), "{}", mark.label);
        }
        assert_eq!(chart.footnotes.len(), 1);
        let svg = chart.to_svg().expect("drawn");
        assert_eq!(svg.matches("\nwithout the leak\n").count(), 1);
    }

    #[test]
    fn a_tight_mask_is_drawn_in_decades_and_a_least_at_the_end_is_said_to_be_one() {
        let chart = inhaled_share_against_layers(&sweep(1e-6));
        assert_eq!(chart.panels[0].y.scale, Scale::Log);
        assert_eq!(chart.footnotes.len(), 2);
        assert!(chart.to_svg().is_ok());
    }

    #[test]
    fn the_limit_stands_across_the_pressures() {
        let chart = peak_pressure_against_layers(&sweep(0.05));
        assert_eq!((chart.panels.len(), chart.panels[0].lines.len()), (3, 2));
        assert!(chart.to_svg().expect("drawn").contains("\nlimit\n"));
        assert_eq!(
            chart.footnotes[1],
            "Limit: 15 mmH2O at 85 L/min. The pressures here belong to the highest flows: rest 60 L/min, light work 60 \
             L/min, heavy work 60 L/min."
        );
        let free = peak_pressure_against_layers(&WornSweep { limit: None, ..sweep(0.05) });
        assert!(free.panels[0].guides.is_empty() && free.to_svg().is_ok());
    }
}
