//! Pressure and flow through a breath.

use crate::kit::{Axis, Chart, Ink, Key, Line, Panel};

/// Breaths through one number of layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Breaths {
    /// What is worn, in words: `felt, 3 layers`.
    pub worn: String,
    /// The leak in words.
    pub leak: String,
    /// Whether every breath was measured against time.
    pub pace_is_known: bool,
    /// One entry a way of breathing.
    pub breaths: Vec<BreathCurve>,
}

/// One breath.
#[derive(Debug, Clone, PartialEq)]
pub struct BreathCurve {
    /// The way of breathing.
    pub breathing: String,
    /// Time from the start of inhaling, rising (s).
    pub breath_time_s: Vec<f64>,
    /// Pressure drop at each time (Pa).
    pub breath_pressure_pa: Vec<f64>,
    /// Flow through the filter at each time (m³/s).
    pub filter_flow_m3_per_s: Vec<f64>,
    /// Flow past its edge at each time (m³/s).
    pub leak_flow_m3_per_s: Vec<f64>,
}

/// Cubic metres per second to litres per minute.
const L_PER_MIN: f64 = 60_000.0;

/// The figure: pressure above, flow through the filter in the middle, flow past the edge below, all against time, one
/// line a way of breathing.
pub fn pressure_through_breath(data: &Breaths) -> Chart {
    let end = data.breaths.iter().flat_map(|breath| breath.breath_time_s.iter().copied()).fold(0.0, f64::max);
    let time = || {
        let axis = Axis::linear("time from the start of inhaling (s)", "time_s");
        if end > 0.0 { axis.from_to(0.0, end) } else { axis }
    };
    let panel = |label: &str, column: &str, of: &dyn Fn(&BreathCurve) -> Vec<f64>| {
        let mut panel = Panel::new(time(), Axis::linear(label, column));
        for (n, breath) in data.breaths.iter().enumerate() {
            let points = breath.breath_time_s.iter().copied().zip(of(breath)).collect();
            panel.lines.push(Line::new(&breath.breathing, points, Ink::nth(n)));
        }
        panel.key = Key::None;
        panel
    };
    let flow = |flows: &[f64]| flows.iter().map(|flow| flow * L_PER_MIN).collect();
    let pressure = panel("pressure drop (Pa)", "pressure_pa", &|breath| breath.breath_pressure_pa.clone());
    let filter = panel("flow through the filter (L/min)", "filter_flow_l_per_min", &|breath| {
        flow(&breath.filter_flow_m3_per_s)
    });
    let mut leak = panel("flow past the edge (L/min)", "leak_flow_l_per_min", &|breath| {
        flow(&breath.leak_flow_m3_per_s)
    });
    leak.key = Key::Below;
    let mut chart =
        Chart::new(format!("Pressure through a breath: {}", data.worn), vec![pressure, filter, leak]);
    chart.subtitle = format!("worn with {}", data.leak);
    chart.panel_height = 150.0;
    chart.footnotes = footnotes(data);
    chart
}

fn footnotes(data: &Breaths) -> Vec<String> {
    let mut notes = vec!["At the central values of all inputs.".to_owned()];
    if !data.pace_is_known {
        notes.push(
            "A breath without a pace of its own is drawn over 1.5 s; pressures and flows do not depend on it."
                .to_owned(),
        );
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Invented: half a sine through a filter of pure resistance.
    fn breath(name: &str, peak_l_per_min: f64, seconds: f64) -> BreathCurve {
        let shares: Vec<f64> = (0..=40).map(|i| f64::from(i) / 40.0).collect();
        let flows: Vec<f64> =
            shares.iter().map(|s| peak_l_per_min / 6e4 * (std::f64::consts::PI * s).sin()).collect();
        BreathCurve {
            breathing: name.into(),
            breath_time_s: shares.iter().map(|s| s * seconds).collect(),
            breath_pressure_pa: flows.iter().map(|q| 9e4 * q).collect(),
            leak_flow_m3_per_s: flows.iter().map(|q| 0.1 * q).collect(),
            filter_flow_m3_per_s: flows,
        }
    }

    #[test]
    fn flows_read_in_litres_per_minute_and_each_breath_keeps_its_length() {
        let data = Breaths {
            worn: "felt, 3 layers".into(),
            leak: "a slit of 40 mm by 0.3 mm".into(),
            pace_is_known: false,
            breaths: vec![breath("rest", 30.0, 2.0), breath("heavy work", 120.0, 0.9)],
        };
        let chart = pressure_through_breath(&data);
        let highest = chart.panels[1].lines[1].points.iter().map(|p| p.1).fold(0.0, f64::max);
        assert!((highest - 120.0).abs() < 1e-9, "{highest}");
        let past = chart.panels[2].lines[1].points.iter().map(|p| p.1).fold(0.0, f64::max);
        assert!((past - 12.0).abs() < 1e-9, "{past}");
        assert_eq!(chart.panels[0].x.range, Some((0.0, 2.0)));
        assert_eq!(chart.panels[0].lines[1].points.last().map(|p| p.0.to_bits()), Some(0.9f64.to_bits()));
        assert_eq!(chart.to_svg().expect("drawn").matches("\nheavy work\n").count(), 1);
    }
}
