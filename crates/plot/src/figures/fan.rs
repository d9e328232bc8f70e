//! How far a stack's efficiency spreads over draws of what is not known and of what varies, against particle size.

use super::axes::{
    EVEN_UP_TO, UM, against_um, diameter_axis, diameter_text, even_efficiency_axis, height, heights,
    nines_axis, nines_ends, velocity_text,
};
use crate::kit::{
    Band, Chart, Guide, Ink, Key, Line, Marker, Panel, efficiency_range_text, efficiency_text,
    significant_text,
};

/// Quantiles of the penetration of one stack at one face velocity.
#[derive(Debug, Clone, PartialEq)]
pub struct FanCurves {
    /// Name of the stack.
    pub stack: String,
    /// Closure of the curves.
    pub closure: String,
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// How many draws are behind the quantiles.
    pub draws: u64,
    /// What the reader has to know of how the draws ended; may be empty.
    pub remark: String,
    /// Mobility diameters, ascending (m).
    pub diameter_m: Vec<f64>,
    /// 2.5 % of the draws let through less.
    pub penetration_q025: Vec<f64>,
    /// A quarter lets through less.
    pub penetration_q25: Vec<f64>,
    /// The median.
    pub penetration_q50: Vec<f64>,
    /// A quarter lets through more.
    pub penetration_q75: Vec<f64>,
    /// 2.5 % let through more.
    pub penetration_q975: Vec<f64>,
    /// Median of the most penetrating sizes (m).
    pub mpps_m: f64,
    /// Median of the penetrations at the most penetrating size of each draw.
    pub mpps_penetration: f64,
    /// Between these lie 95 % of them.
    pub mpps_penetration_range: (f64, f64),
}

/// The figure: the median as a line, half of the draws in the darker band, 95 of 100 in the lighter one.
pub fn efficiency_fan(data: &FanCurves) -> Chart {
    let even = 1.0 - data.mpps_penetration < EVEN_UP_TO;
    let what = "(share of the particles of a size that is caught)";
    let y = if even {
        even_efficiency_axis(what, "efficiency")
    } else {
        let most = data.penetration_q975.iter().copied().fold(data.mpps_penetration, f64::max).min(1.0);
        let (floor, ceiling) = nines_ends(data.mpps_penetration, most);
        nines_axis("by size", "penetration", floor, ceiling)
    };
    let floor = y.range.filter(|_| !even).map(|range| range.0);
    let mut panel = Panel::new(diameter_axis(std::iter::once(data.diameter_m.as_slice())), y);
    panel.key = Key::Below;
    let ink = Ink::nth(0);
    for (name, low, high) in [
        ("95 of 100 draws", &data.penetration_q025, &data.penetration_q975),
        ("half of the draws", &data.penetration_q25, &data.penetration_q75),
    ] {
        let ends = data.diameter_m.iter().zip(low.iter().zip(high));
        let points = ends.map(|(size, (low, high))| heights(&panel.y, size * UM, *low, *high)).collect();
        panel.bands.push(Band { name: name.to_owned(), points, ink });
    }
    let median: Vec<f64> = data.penetration_q50.iter().map(|p| height(&panel.y, *p)).collect();
    let line = Line::new("median", against_um(&data.diameter_m, &median), ink);
    panel.lines.push(Line { remark: at_worst(data), ..line });
    let at = (data.mpps_m * UM, height(&panel.y, data.mpps_penetration));
    panel.markers.push(Marker { series: "median".to_owned(), at, label: String::new(), ink });
    for at in [0.3, 1.0] {
        panel.guides.push(Guide::Vertical { at, label: format!("{at} µm") });
    }
    let mut chart = Chart::new(format!("How far the efficiency spreads: {}", data.stack), vec![panel]);
    let velocity = velocity_text(data.face_velocity_m_per_s);
    chart.subtitle =
        format!("closure {}, face velocity {velocity}, {} draws", data.closure, grouped(data.draws));
    chart.footnotes = footnotes(data, floor);
    chart
}

/// `at worst 66 % (52 to 71 %), near 0.21 µm`.
fn at_worst(data: &FanCurves) -> String {
    let (low, high) = data.mpps_penetration_range;
    format!(
        "at worst {} ({}), near {}",
        efficiency_text(data.mpps_penetration),
        efficiency_range_text(low, high),
        diameter_text(data.mpps_m)
    )
}

/// A count in groups of three digits: `12 000`.
fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (n, digit) in digits.chars().enumerate() {
        if n > 0 && (digits.len() - n).is_multiple_of(3) && digits.len() > 4 {
            text.push(' ');
        }
        text.push(digit);
    }
    text
}

fn footnotes(data: &FanCurves, floor: Option<f64>) -> Vec<String> {
    let mut notes = vec![
        "Shaded dark: half of the draws; light: 95 of 100. They hold what is not known of the inputs and what differs \
         from piece to piece, not how far the physics is off."
            .to_owned(),
        "The mark is the median of the most penetrating size and of what gets through there: each draw has its own, so \
         it may stand off the line."
            .to_owned(),
    ];
    if let Some(floor) = floor {
        let edge = significant_text(floor, 1);
        notes.push(format!(
            "Heights go by the logarithm of what gets through. Lines that leave at the top let through less than {edge}."
        ));
    }
    if !data.remark.is_empty() {
        notes.push(data.remark.clone());
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Scale;

    /// Invented: a hump of penetration at 0.2 µm whose logarithm spreads by a factor.
    fn data(worst: f64) -> FanCurves {
        let diameter_m: Vec<f64> = (0..61).map(|i| 1e-8 * 10f64.powf(f64::from(i) / 20.0)).collect();
        let all = |k: f64| {
            let hump = |d: &f64| (k * worst.ln() * (1.0 + (d / 2e-7).ln().powi(2) / 4.0)).exp();
            diameter_m.iter().map(hump).collect::<Vec<f64>>()
        };
        FanCurves {
            stack: "felt between sheeting".into(),
            closure: "lee-liu".into(),
            face_velocity_m_per_s: 0.053,
            draws: 12_000,
            remark: String::new(),
            penetration_q025: all(1.5),
            penetration_q25: all(1.15),
            penetration_q50: all(1.0),
            penetration_q75: all(0.88),
            penetration_q975: all(0.7),
            diameter_m,
            mpps_m: 2e-7,
            mpps_penetration: worst,
            mpps_penetration_range: (worst.powf(1.5), worst.powf(0.7)),
        }
    }

    #[test]
    fn the_narrow_band_lies_inside_the_wide_one_on_either_axis() {
        for (worst, scale) in [(0.6, Scale::Linear), (2e-3, Scale::LogFalling)] {
            let chart = efficiency_fan(&data(worst));
            let panel = &chart.panels[0];
            assert_eq!(panel.y.scale, scale);
            for ((wide, narrow), line) in
                panel.bands[0].points.iter().zip(&panel.bands[1].points).zip(&panel.lines[0].points)
            {
                let rising =
                    wide.1 <= narrow.1 && narrow.1 <= line.1 && line.1 <= narrow.2 && narrow.2 <= wide.2;
                assert!(rising, "{wide:?} {narrow:?} {line:?}");
            }
            assert!(chart.to_svg().expect("drawn").contains("particle diameter (µm, mobility)"));
        }
    }

    #[test]
    fn the_key_and_the_subtitle_say_how_much_and_how_many() {
        let chart = efficiency_fan(&FanCurves { remark: "Broken off.".into(), ..data(0.5) });
        assert_eq!(chart.subtitle, "closure lee-liu, face velocity 5.3 cm/s, 12 000 draws");
        assert_eq!(chart.panels[0].lines[0].remark, "at worst 50 % (38 to 65 %), near 0.20 µm");
        assert_eq!(chart.footnotes.last().map(String::as_str), Some("Broken off."));
        assert_eq!(grouped(1_234_567), "1 234 567");
        assert_eq!(grouped(4096), "4096");
    }
}
