//! The cell of one fibre as a picture: the air, particles that are caught and that pass, the concentration.

use crate::kit::{Axis, Band, Chart, Ink, Key, Line, Panel};

/// The upper half of a cell, in fibre radii; the air comes from the left, the fibre stands at 0, 0.
#[derive(Debug, Clone, PartialEq)]
pub struct CellScene {
    /// What is shown, for the second line.
    pub caption: String,
    /// Radius of the cell.
    pub edge_radius: f64,
    /// Distance of centres at contact.
    pub contact_radius: f64,
    /// Lines that the air follows.
    pub streamlines: Vec<Vec<[f64; 2]>>,
    /// Paths that end on the fibre.
    pub caught: Vec<Vec<[f64; 2]>>,
    /// Paths that pass.
    pub passing: Vec<Vec<[f64; 2]>>,
    /// Concentration over rings and sectors; empty where nothing diffuses.
    pub radii: Vec<f64>,
    /// Angles of the sectors, counted from behind the fibre.
    pub bearings: Vec<f64>,
    /// Values, ring by ring, 1 where particles enter.
    pub concentration: Vec<f64>,
}

/// Concentrations that have a line.
const LEVELS: [f64; 3] = [0.1, 0.5, 0.9];
/// Points on a circle.
const ROUND: u32 = 120;
/// Points of the fibre's outline.
const OUTLINE: u32 = 40;

/// The figure, lengths equal in both directions.
pub fn cell_picture(scene: &CellScene) -> Chart {
    let edge = scene.edge_radius;
    let x = Axis::linear("along the flow (fibre radii)", "x_fibre_radii").from_to(-edge, edge);
    let y = Axis::linear("across the flow (fibre radii)", "y_fibre_radii").from_to(0.0, edge);
    let mut panel = Panel::new(x, y);
    panel.bands.push(fibre());
    let circle = |name: &str, radius: f64, ink| Line::new(name, half_circle(radius), Ink::nth(ink));
    let groups = [
        ("air", joined(&scene.streamlines), 4),
        ("particles that pass", joined(&scene.passing), 2),
        ("particles that touch", joined(&scene.caught), 1),
        ("concentration 0.1, 0.5, 0.9", contours(scene), 3),
    ];
    for (name, points, ink) in groups {
        if !points.is_empty() {
            panel.lines.push(Line::new(name, points, Ink::nth(ink)));
        }
    }
    if scene.contact_radius > 1.0 {
        panel.lines.push(circle("centres at contact", scene.contact_radius, 0));
    }
    panel.lines.push(circle("edge of the cell", edge, 6));
    panel.key = Key::Below;
    let mut chart = Chart::new("One fibre in its cell", vec![panel]);
    chart.subtitle.clone_from(&scene.caption);
    chart.footnotes.push(
        "The air comes from the left. Paths are those of the particles' centres, by interception and inertia alone; the \
         concentration is that of particles that diffuse, without inertia."
            .to_owned(),
    );
    chart
}

fn half_circle(radius: f64) -> Vec<(f64, f64)> {
    let angle = |n: u32| std::f64::consts::PI * f64::from(n) / f64::from(ROUND);
    (0..=ROUND).map(|n| (radius * libm::cos(angle(n)), radius * libm::sin(angle(n)))).collect()
}

fn fibre() -> Band {
    let points = (0..=OUTLINE).map(|n| {
        let angle = std::f64::consts::PI * f64::from(n) / f64::from(OUTLINE);
        (-libm::cos(angle), 0.0, libm::sin(angle).max(0.0))
    });
    Band { name: "fibre".to_owned(), points: points.collect(), ink: Ink::nth(0) }
}

/// Several lines as one, with a gap between.
fn joined(lines: &[Vec<[f64; 2]>]) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for line in lines {
        points.extend(line.iter().map(|[x, y]| (*x, *y)));
        points.push((f64::NAN, f64::NAN));
    }
    points.pop();
    points
}

/// Where the concentration first rises through each level, going outwards, sector by sector.
fn contours(scene: &CellScene) -> Vec<(f64, f64)> {
    let sectors = scene.bearings.len();
    let mut lines = Vec::new();
    for level in LEVELS {
        let mut line = Vec::new();
        for (sector, bearing) in scene.bearings.iter().enumerate() {
            let along = scene.concentration.iter().skip(sector).step_by(sectors.max(1));
            let (mut before, mut found) = ((scene.contact_radius, 0.0), None);
            for (radius, value) in scene.radii.iter().zip(along) {
                if *value >= level {
                    let share = (level - before.1) / (value - before.1);
                    found = Some(before.0 + share * (radius - before.0));
                    break;
                }
                before = (*radius, *value);
            }
            if let Some(radius) = found {
                line.push([radius * libm::cos(*bearing), radius * libm::sin(*bearing)]);
            }
        }
        lines.push(line);
    }
    lines.retain(|line| line.len() > 1);
    joined(&lines)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_is_found_between_rings() {
        let scene = CellScene {
            caption: String::new(),
            edge_radius: 4.0,
            contact_radius: 1.0,
            streamlines: vec![vec![[-4.0, 1.0], [4.0, 1.0]]],
            caught: Vec::new(),
            passing: Vec::new(),
            radii: vec![2.0, 3.0],
            bearings: vec![0.5, 1.0],
            concentration: vec![0.4, 0.4, 1.0, 1.0],
        };
        let radii: Vec<f64> =
            contours(&scene).iter().filter(|p| p.0.is_finite()).map(|(x, y)| x.hypot(*y)).collect();
        let expected = [1.25, 1.25, 2.0 + 1.0 / 6.0, 2.0 + 1.0 / 6.0, 2.0 + 5.0 / 6.0, 2.0 + 5.0 / 6.0];
        assert_eq!(radii.len(), expected.len());
        assert!(radii.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-12), "{radii:?}");
        assert!(cell_picture(&scene).to_svg().is_ok());
    }
}
