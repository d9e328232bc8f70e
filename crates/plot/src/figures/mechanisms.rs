//! Single-fibre efficiency by mechanism against particle size.

use super::axes::{against_um, decade_above, decade_below, diameter_axis, diameter_text, velocity_text};
use crate::kit::{Axis, Chart, Ink, Line, Panel};

/// Single-fibre efficiencies of one material at one face velocity.
#[derive(Debug, Clone, PartialEq)]
pub struct MechanismCurves {
    /// Name of the material.
    pub material: String,
    /// Closure of the efficiencies; empty where none is to be named.
    pub closure: String,
    /// Face velocity (m/s).
    pub face_velocity_m_per_s: f64,
    /// Elementary charges of a particle.
    pub charges_e: i32,
    /// Mobility diameters, ascending (m).
    pub diameter_m: Vec<f64>,
    /// By diffusion.
    pub diffusion: Vec<f64>,
    /// By interception.
    pub interception: Vec<f64>,
    /// By diffusion and interception together, beyond each alone.
    pub diffusion_interception: Vec<f64>,
    /// By impaction: the increment over interception, slightly negative at small Stokes numbers.
    pub impaction: Vec<f64>,
    /// By gravity.
    pub gravity: Vec<f64>,
    /// By charge.
    pub electrostatic: Vec<f64>,
    /// Of all together, as the closure joins them.
    pub total: Vec<f64>,
}

/// The figure: log-log, one line a mechanism, the total as the full dark line.
pub fn efficiency_by_mechanism(data: &MechanismCurves) -> Chart {
    let x = diameter_axis(std::iter::once(data.diameter_m.as_slice()));
    let y = Axis::log("single-fibre efficiency (–)", "single_fibre_efficiency");
    let (floor, ceiling) = range(&data.total);
    let mut panel = Panel::new(x, y.from_to(floor, ceiling));
    let parts = [
        ("total", &data.total),
        ("diffusion", &data.diffusion),
        ("interception", &data.interception),
        ("impaction", &data.impaction),
        ("gravity", &data.gravity),
        ("electrostatic", &data.electrostatic),
        ("cross term", &data.diffusion_interception),
    ];
    let mut unseen = Vec::new();
    for (n, (name, values)) in parts.into_iter().enumerate() {
        if values.iter().any(|value| *value > floor) {
            panel.lines.push(Line::new(name, against_um(&data.diameter_m, values), Ink::nth(n)));
        } else {
            unseen.push(name);
        }
    }
    let title = format!("Single-fibre efficiency by mechanism: {}", data.material);
    let mut chart = Chart::new(title, vec![panel]);
    let velocity = velocity_text(data.face_velocity_m_per_s);
    let particles = particles(data.charges_e);
    chart.subtitle = match data.closure.as_str() {
        "" => format!("face velocity {velocity}, {particles}"),
        closure => format!("closure {closure}, face velocity {velocity}, {particles}"),
    };
    chart.footnotes = footnotes(data, floor, &unseen);
    chart
}

/// `particles of 2 elementary charges`.
fn particles(charges_e: i32) -> String {
    match charges_e {
        0 => "uncharged particles".to_owned(),
        1 => "particles of 1 elementary charge".to_owned(),
        -1 => "particles of −1 elementary charge".to_owned(),
        n => format!("particles of {n} elementary charges").replace('-', "−"),
    }
}

/// Two decades below the least total, where a part no longer matters, to the decade above the greatest.
fn range(total: &[f64]) -> (f64, f64) {
    let shown = || total.iter().copied().filter(|value| value.is_finite() && *value > 0.0);
    let (least, most) = (shown().fold(f64::INFINITY, f64::min), shown().fold(0.0, f64::max));
    if most > 0.0 { (decade_below(least) / 100.0, decade_above(most)) } else { (1e-6, 1.0) }
}

fn footnotes(data: &MechanismCurves, floor: f64, unseen: &[&str]) -> Vec<String> {
    let mut notes = vec![
        "The total is what the closure makes of the parts: bounds and cross terms keep it from being their plain sum."
            .to_owned(),
    ];
    let negative: Vec<f64> = data
        .diameter_m
        .iter()
        .zip(&data.impaction)
        .filter(|(_, value)| **value < -floor)
        .map(|(size, _)| *size)
        .collect();
    if let (Some(first), Some(last)) = (negative.first(), negative.last()) {
        notes.push(format!(
            "Impaction is slightly negative between {} and {}: there inertia carries particles round the fibre. A \
             logarithmic axis cannot show it.",
            diameter_text(*first),
            diameter_text(*last)
        ));
    }
    if !unseen.is_empty() {
        notes.push(format!("Nothing above the lower edge: {}.", unseen.join(", ")));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn data() -> MechanismCurves {
        let diameter_m: Vec<f64> = (0..121).map(|i| 1e-8 * 10f64.powf(f64::from(i) / 40.0)).collect();
        let law = |c: f64, n: f64| diameter_m.iter().map(|d| c * (d / 1e-7).powf(n)).collect::<Vec<f64>>();
        let (diffusion, interception, gravity) = (law(0.01, -1.1), law(3e-4, 1.5), law(1e-7, 2.0));
        let impaction: Vec<f64> =
            diameter_m.iter().map(|d| if *d < 4e-7 { -1e-4 } else { 1e-4 * (d / 4e-7).powi(3) }).collect();
        let total =
            (0..121).map(|i| (diffusion[i] + interception[i] + impaction[i] + gravity[i]).min(1.5)).collect();
        MechanismCurves {
            material: "needled felt".into(),
            closure: "lee-liu".into(),
            face_velocity_m_per_s: 0.053,
            charges_e: 0,
            electrostatic: vec![0.0; 121],
            diffusion_interception: vec![0.0; 121],
            diameter_m,
            diffusion,
            interception,
            impaction,
            gravity,
            total,
        }
    }

    #[test]
    fn absent_and_negative_mechanisms_are_told_and_not_drawn() {
        let chart = efficiency_by_mechanism(&data());
        let names: Vec<&str> = chart.panels[0].lines.iter().map(|line| line.name.as_str()).collect();
        assert_eq!(names, ["total", "diffusion", "interception", "impaction", "gravity"]);
        assert!(
            chart.footnotes[1].starts_with("Impaction is slightly negative between 0.010 µm and 0.40 µm")
        );
        assert_eq!(chart.footnotes[2], "Nothing above the lower edge: electrostatic, cross term.");
    }

    #[test]
    fn the_subtitle_says_how_the_particles_are_charged() {
        let with = |charges_e| efficiency_by_mechanism(&MechanismCurves { charges_e, ..data() }).subtitle;
        assert_eq!(with(0), "closure lee-liu, face velocity 5.3 cm/s, uncharged particles");
        assert!(with(1).ends_with(", particles of 1 elementary charge"), "{}", with(1));
        assert!(with(-2).ends_with(", particles of −2 elementary charges"), "{}", with(-2));
    }

    #[test]
    fn every_mechanism_is_named_in_the_picture() {
        let svg = efficiency_by_mechanism(&data()).to_svg().expect("drawn");
        for name in ["total", "diffusion", "interception", "impaction", "gravity"] {
            assert!(svg.contains(&format!("\n{name}\n")), "{name}");
        }
    }
}
