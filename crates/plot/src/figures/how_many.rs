//! How many layers, the filter alone: what one to so many catch, and what they cost in breath at rest and at work.

use super::axes::{compared_efficiency_axis, height, heights};
use crate::kit::{Arrangement, Axis, Band, Chart, Guide, Ink, Key, Line, Panel, Scale, significant_text};

/// One to several layers of a material inside fixed ones, without a leak.
#[derive(Debug, Clone, PartialEq)]
pub struct LayersAlone {
    /// The material.
    pub material: String,
    /// How many draws are behind the bands.
    pub draws: u64,
    /// Numbers of layers, rising.
    pub layers: Vec<u32>,
    /// Penetrations, each with the particles in words; the first with its band in the figure.
    pub penetrations: Vec<OverLayers>,
    /// Pressure drops (Pa), each with the way of breathing in words.
    pub pressures_pa: Vec<OverLayers>,
    /// The most layers that stay under a resistance, and that resistance in words.
    pub breathable: Option<(u32, String)>,
    /// The number after which a layer more buys less than this, as a share of all particles.
    pub worthwhile: (u32, f64),
}

/// A number over layers, with the ends between which 95 % of the draws lie.
#[derive(Debug, Clone, PartialEq)]
pub struct OverLayers {
    /// What it is of.
    pub name: String,
    /// The median.
    pub median: Vec<f64>,
    /// 2.5 % of the draws lie below.
    pub low: Vec<f64>,
    /// 2.5 % lie above.
    pub high: Vec<f64>,
}

/// The figure: efficiencies at the left, breathing resistance at the right, both against the number of layers.
pub fn layers_alone(data: &LayersAlone) -> Chart {
    let most = data.layers.iter().copied().max().unwrap_or(1);
    let count = || Axis::linear("number of layers", "layers").from_to(0.0, f64::from(most.max(1)) + 0.3);
    let mut caught = Panel::new(count(), caught_axis(data));
    "What is caught".clone_into(&mut caught.title);
    for (n, over) in data.penetrations.iter().enumerate() {
        let ink = Ink::nth(n);
        if n == 0 {
            let ends = counts(data).zip(over.low.iter().zip(&over.high));
            let points = ends.map(|(x, (low, high))| heights(&caught.y, x, *low, *high)).collect();
            caught.bands.push(Band { name: "95 of 100 draws".to_owned(), points, ink });
        }
        let points = counts(data).zip(over.median.iter().map(|p| height(&caught.y, *p))).collect();
        caught.lines.push(Line::dotted(&over.name, points, ink));
    }
    let mut cost = Panel::new(count(), pressure_axis(data));
    "What it costs in breath".clone_into(&mut cost.title);
    for (n, over) in data.pressures_pa.iter().enumerate() {
        let ink = Ink::nth(n);
        let points = counts(data).zip(over.low.iter().zip(&over.high)).map(|(x, (l, h))| (x, *l, *h));
        cost.bands.push(Band { name: "95 of 100 draws".to_owned(), points: points.collect(), ink });
        let points = counts(data).zip(over.median.iter().copied()).collect();
        cost.lines.push(Line::dotted(&over.name, points, ink));
    }
    if data.worthwhile.0 < most {
        let at = f64::from(data.worthwhile.0) + 0.5;
        caught.guides.push(Guide::Vertical { at, label: "beyond: small gains".to_owned() });
    }
    if let Some((breathable, _)) = data.breathable.as_ref().filter(|(breathable, _)| *breathable < most) {
        let at = f64::from(*breathable) + 0.5;
        cost.guides.push(Guide::Vertical { at, label: "beyond: too hard".to_owned() });
    }
    caught.key = Key::Below;
    cost.key = Key::Below;
    let title = format!("What more layers buy and cost, without a leak: {}", data.material);
    let mut chart = Chart::new(title, vec![caught, cost]);
    chart.subtitle = format!("inside the fixed layers, {} draws", data.draws);
    chart.arrangement = Arrangement::Row;
    chart.panel_height = 280.0;
    chart.footnotes = footnotes(data, &chart.panels[0]);
    chart
}

fn counts(data: &LayersAlone) -> impl Iterator<Item = f64> {
    data.layers.iter().map(|count| f64::from(*count))
}

fn caught_axis(data: &LayersAlone) -> Axis {
    compared_efficiency_axis("", "by_layers", data.penetrations.iter().map(|over| over.median.as_slice()))
}

fn pressure_axis(data: &LayersAlone) -> Axis {
    let highs = data.pressures_pa.iter().flat_map(|over| over.high.iter().chain(&over.median).copied());
    let most = highs.filter(|drop| drop.is_finite()).fold(0.0, f64::max);
    let axis = Axis::linear("pressure drop (Pa)", "pressure_drop_pa");
    if most > 0.0 { axis.from_to(0.0, 1.04 * most) } else { axis }
}

fn footnotes(data: &LayersAlone, caught: &Panel) -> Vec<String> {
    let mut notes = vec![
        "Lines: medians. Shaded: 95 of 100 draws of what is not known and of what differs from sheet to sheet; at the left about the \
         worst size alone. Pressure drops are at the mean flow of inhaling."
            .to_owned(),
    ];
    let (last, gain) = data.worthwhile;
    let sheets = if last == 1 { "layer" } else { "layers" };
    notes.push(format!(
        "After {last} {sheets} a further one adds less than {} % at the worst size.",
        significant_text(100.0 * gain, 2)
    ));
    match &data.breathable {
        Some((0, limit)) => notes.push(format!("Not even one layer stays under {limit}.")),
        Some((most, limit)) => notes.push(format!("Up to {most} stay under {limit} in most draws.")),
        None => {}
    }
    if caught.y.scale != Scale::Linear {
        notes.push("Heights at the left go by the logarithm of what gets through.".to_owned());
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn over(name: &str, per_layer: impl Fn(f64) -> f64) -> OverLayers {
        let median: Vec<f64> = (1..=8).map(|n| per_layer(f64::from(n))).collect();
        OverLayers {
            name: name.into(),
            low: median.iter().map(|v| 0.8 * v).collect(),
            high: median.iter().map(|v| 1.2 * v).collect(),
            median,
        }
    }

    fn data(through: f64, breathable: u32) -> LayersAlone {
        LayersAlone {
            material: "felt".into(),
            draws: 400,
            layers: (1..=8).collect(),
            penetrations: vec![
                over("at the worst size", |n| 0.8 * through.powf(n)),
                over("at 1 µm", |n| 0.5 * through.powf(n)),
            ],
            pressures_pa: vec![over("rest", |n| 9.0 * n), over("heavy work", |n| 45.0 * n)],
            breathable: Some((breathable, "15 mmH2O at 85 L/min".into())),
            worthwhile: (5, 0.05),
        }
    }

    #[test]
    fn both_limits_stand_between_the_layers_they_part() {
        let chart = layers_alone(&data(0.8, 3));
        let at = |panel: usize| match &chart.panels[panel].guides[0] {
            Guide::Vertical { at, .. } => at.to_bits(),
            Guide::Horizontal { .. } => 0,
        };
        assert_eq!((at(0), at(1)), (5.5_f64.to_bits(), 3.5_f64.to_bits()));
        assert_eq!(chart.panels[0].lines[0].points[1], (2.0, 1.0 - 0.8 * 0.8_f64.powf(2.0)));
        assert!(chart.footnotes.contains(&"Up to 3 stay under 15 mmH2O at 85 L/min in most draws.".into()));
        assert!(chart.to_svg().is_ok());
    }

    #[test]
    fn good_media_are_drawn_in_nines_and_a_limit_beyond_the_last_is_no_line() {
        let chart = layers_alone(&data(0.02, 8));
        assert_eq!(chart.panels[0].y.scale, Scale::LogFalling);
        assert!(chart.panels[1].guides.is_empty() && chart.to_svg().is_ok());
    }
}
