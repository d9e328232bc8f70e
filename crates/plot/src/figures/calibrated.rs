//! A specimen's efficiency after what was measured, with the measurements on it.

use super::axes::{
    EVEN_UP_TO, UM, against_um, diameter_axis, diameter_text, even_efficiency_axis, height, heights,
    nines_axis, nines_ends, velocity_text,
};
use crate::kit::{
    Band, Chart, Ink, Key, Line, Marker, Panel, efficiency_range_text, efficiency_text, significant_text,
};

/// Quantiles of the penetration of one specimen at one face velocity, before and after the data.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibratedEfficiency {
    /// Stack, or layers of a material.
    pub specimen: String,
    /// Closure of the model.
    pub closure: String,
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// Mobility diameters, ascending (m).
    pub diameter_m: Vec<f64>,
    /// Ends of the 95 %, by size, after the data.
    pub outer: [Vec<f64>; 2],
    /// Ends of the 50 %.
    pub inner: [Vec<f64>; 2],
    /// The median.
    pub median: Vec<f64>,
    /// Ends of the 95 % before the data.
    pub before: [Vec<f64>; 2],
    /// Median of the most penetrating sizes (m).
    pub mpps_m: f64,
    /// Median of the penetrations there, and the ends of the 95 %.
    pub mpps_penetration: [f64; 3],
    /// What was measured, by counting alone.
    pub measured: Vec<CalibratedPoint>,
}

/// A measured penetration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CalibratedPoint {
    /// Middle of the channel, or the size (m).
    pub diameter_m: f64,
    /// Ends of the channel; the size twice for a point.
    pub channel_m: (f64, f64),
    /// Share that got through.
    pub penetration: f64,
    /// 95 % of it.
    pub range: (f64, f64),
}

/// The figure: bands of 50 and 95 % about the median, the 95 % before the data as two thin lines, the measurements as
/// crosses as wide as their channels and as high as their intervals.
pub fn calibrated_efficiency(data: &CalibratedEfficiency) -> Chart {
    let y = efficiency_axis(data);
    let mut panel = Panel::new(diameter_axis(std::iter::once(data.diameter_m.as_slice())), y);
    panel.key = Key::Below;
    let (after, before, read) = (Ink::nth(14), Ink::nth(9), Ink::nth(0));
    for (name, [low, high]) in [("95 %, after", &data.outer), ("50 %, after", &data.inner)] {
        let ends = data.diameter_m.iter().zip(low.iter().zip(high));
        let points = ends.map(|(size, (low, high))| heights(&panel.y, size * UM, *low, *high)).collect();
        panel.bands.push(Band { name: name.to_owned(), points, ink: after });
    }
    let curve = |values: &[f64]| {
        let at: Vec<f64> = values.iter().map(|p| height(&panel.y, *p)).collect();
        against_um(&data.diameter_m, &at)
    };
    let median = Line::new("after the readings", curve(&data.median), after);
    // One line with a gap is both ends.
    let mut ends = curve(&data.before[0]);
    ends.push((f64::NAN, f64::NAN));
    ends.extend(curve(&data.before[1]));
    panel.lines =
        vec![Line { remark: at_worst(data), ..median }, Line::new("95 % before the readings", ends, before)];
    if !data.measured.is_empty() {
        let name = "measured, 95 % by counting alone";
        let crosses = data.measured.iter().flat_map(|point| cross(&panel, point)).collect();
        panel.lines.push(Line::new(name, crosses, read));
        panel.markers = data
            .measured
            .iter()
            .map(|point| {
                let at = (point.diameter_m * UM, height(&panel.y, point.penetration));
                Marker { series: name.to_owned(), at, label: String::new(), ink: read }
            })
            .collect();
    }
    let mut chart = Chart::new(format!("After the readings: {}", data.specimen), vec![panel]);
    let velocity = velocity_text(data.face_velocity_m_per_s);
    chart.subtitle = format!("closure {}, face velocity {velocity}", data.closure);
    chart.footnotes = footnotes(data);
    chart
}

fn efficiency_axis(data: &CalibratedEfficiency) -> crate::kit::Axis {
    let worst = data.mpps_penetration[0];
    if 1.0 - worst < EVEN_UP_TO {
        return even_efficiency_axis("(share of the particles of a size that is caught)", "efficiency");
    }
    let measured = || data.measured.iter().map(|point| point.penetration).filter(|p| *p > 0.0);
    let most = data.outer[1].iter().copied().chain(measured()).fold(worst, f64::max).min(1.0);
    let (floor, ceiling) = nines_ends(measured().fold(worst, f64::min), most);
    nines_axis("by size", "penetration", floor, ceiling)
}

/// A line across the channel and one along the interval, with gaps between.
fn cross(panel: &Panel, point: &CalibratedPoint) -> Vec<(f64, f64)> {
    let gap = (f64::NAN, f64::NAN);
    let middle = height(&panel.y, point.penetration);
    let (from, to) = point.channel_m;
    let x = point.diameter_m * UM;
    let (_, low, high) = heights(&panel.y, x, point.range.0, point.range.1);
    vec![(from * UM, middle), (to * UM, middle), gap, (x, low), (x, high), gap]
}

/// `at worst 66 % (52 to 71 %), near 0.21 µm`.
fn at_worst(data: &CalibratedEfficiency) -> String {
    let [middle, low, high] = data.mpps_penetration;
    let range = efficiency_range_text(low, high);
    format!("at worst {} ({range}), near {}", efficiency_text(middle), diameter_text(data.mpps_m))
}

fn footnotes(data: &CalibratedEfficiency) -> Vec<String> {
    let mut notes = vec![
        "Shaded dark: 50 % of what agrees with the readings and with what was known before; light: 95 %. Counting, counter, \
         room and how far the model itself may be off are in it; it widens away from what was measured."
            .to_owned(),
    ];
    if data.measured.iter().any(|point| point.channel_m.0 < point.channel_m.1) {
        notes.push(
            "Crosses: each channel by itself, as wide as the channel, as high as the 95 % by counting alone. A broad channel \
             counts mostly its small end, and a counter's sizes may be off, so that a cross may stand beside the curve."
                .to_owned(),
        );
    }
    if data.measured.is_empty() {
        notes.push(
            "Nothing was measured of this specimen at this face velocity: the curve follows from others."
                .to_owned(),
        );
    }
    if let Some(floor) = efficiency_axis(data).range.map(|range| range.0).filter(|floor| *floor > 0.0) {
        let edge = significant_text(floor, 1);
        notes.push(format!(
            "Heights go by the logarithm of what gets through. Lines that leave at the top let through less than {edge}."
        ));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Scale;

    /// Invented: flat curves about a penetration.
    fn data(middle: f64) -> CalibratedEfficiency {
        let diameter_m: Vec<f64> = (0..31).map(|i| 1e-8 * 10f64.powf(f64::from(i) / 10.0)).collect();
        let flat = |k: f64| vec![middle.powf(k); diameter_m.len()];
        CalibratedEfficiency {
            specimen: "felt".to_owned(),
            closure: "lee-liu".to_owned(),
            face_velocity_m_per_s: 0.094,
            outer: [flat(1.3), flat(0.8)],
            inner: [flat(1.1), flat(0.9)],
            median: flat(1.0),
            before: [flat(2.0), flat(0.5)],
            mpps_m: 2e-7,
            mpps_penetration: [middle, middle.powf(1.3), middle.powf(0.8)],
            measured: vec![CalibratedPoint {
                diameter_m: 4e-7,
                channel_m: (3e-7, 5e-7),
                penetration: middle,
                range: (middle.powf(1.2), middle.powf(0.9)),
            }],
            diameter_m,
        }
    }

    #[test]
    fn a_cross_is_as_wide_as_its_channel_and_as_high_as_its_interval() {
        let chart = calibrated_efficiency(&data(0.5));
        let panel = &chart.panels[0];
        let cross = &panel.lines[2].points;
        assert!((cross[0].0 - 0.3).abs() < 1e-12 && (cross[1].0 - 0.5).abs() < 1e-12, "{cross:?}");
        assert!((cross[3].1 - (1.0 - 0.5f64.powf(0.9))).abs() < 1e-12, "{cross:?}");
        assert!((cross[4].1 - (1.0 - 0.5f64.powf(1.2))).abs() < 1e-12, "{cross:?}");
        assert_eq!(panel.bands.len(), 2);
        // Both ends of the band before the data, with a gap between.
        assert_eq!(panel.lines[1].points.len(), 2 * 31 + 1);
        assert!(chart.to_svg().expect("drawn").contains("After the readings: felt"));
        assert!(chart.to_csv().contains("95 % before the readings"));
    }

    #[test]
    fn a_good_medium_stands_in_nines_and_unmeasured_ones_say_so() {
        let mut good = data(1e-3);
        good.measured.clear();
        let chart = calibrated_efficiency(&good);
        assert_eq!(chart.panels[0].y.scale, Scale::LogFalling);
        assert!(chart.footnotes.iter().any(|note| note.starts_with("Nothing was measured")));
        assert!(chart.to_svg().is_ok());
    }
}
