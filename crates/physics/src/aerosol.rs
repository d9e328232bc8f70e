//! Aerosols: how many particles of which size, and how an instrument or a standard weights them.

use std::f64::consts::PI;

use moteweir_units::{Density, Length};

use crate::air::Air;
use crate::particle;

/// What a particle counts as in an average.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weighting {
    /// Each particle once.
    Number,
    /// By surface, d^2.
    Area,
    /// By mass or volume, d^3.
    Mass,
}

impl Weighting {
    /// The power of the diameter.
    pub const fn power(self) -> f64 {
        match self {
            Self::Number => 0.0,
            Self::Area => 2.0,
            Self::Mass => 3.0,
        }
    }

    /// The name in files and outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Number => "number",
            Self::Area => "area",
            Self::Mass => "mass",
        }
    }
}

/// Which diameter a size is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiameterKind {
    /// Mobility diameter, for spheres the geometric one: what the models take.
    Mobility,
    /// Aerodynamic diameter.
    Aerodynamic,
    /// Optical diameter: that of the calibration sphere which scatters as much. Taken as the mobility diameter.
    Optical,
}

impl DiameterKind {
    /// The name in files and outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mobility => "mobility",
            Self::Aerodynamic => "aerodynamic",
            Self::Optical => "optical",
        }
    }
}

/// A lognormal mode by number: median diameter, geometric standard deviation (above 1), share of the number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// Count median diameter.
    pub median: Length,
    /// Geometric standard deviation.
    pub gsd: f64,
    /// Share of the number of particles, in any unit; shares are normalised.
    pub share: f64,
}

/// Median of a lognormal under another weighting \[m\].
///
/// ```text
/// median_q = CMD exp(q ln^2 GSD),   q = 2 for area, 3 for mass
/// ```
/// Source: [`crate::refs::HATCH_CHOATE_1929`].
pub fn weighted_median(count_median: Length, gsd: f64, weighting: Weighting) -> Length {
    count_median * (weighting.power() * gsd.ln().powi(2)).exp()
}

/// Count median of a lognormal whose median is stated under a weighting \[m\]; the inverse of [`weighted_median`].
pub fn count_median(median: Length, gsd: f64, weighting: Weighting) -> Length {
    median * (-weighting.power() * gsd.ln().powi(2)).exp()
}

/// The shape of a size distribution.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Lognormal modes by number.
    Modes(Vec<Mode>),
    /// Bins: edges in rising order, one more than the numbers of particles in them; even in ln d inside a bin.
    Bins {
        /// Edges.
        edges: Vec<Length>,
        /// Number in each bin, any unit.
        numbers: Vec<f64>,
    },
    /// A power law, number per unit of ln d proportional to d^-exponent, between two sizes.
    PowerLaw {
        /// Exponent; about 3 for aged room or outdoor air from 0.2 to 5 um.
        exponent: f64,
        /// Smallest size.
        from: Length,
        /// Largest size.
        to: Length,
    },
}

/// A size distribution in a stated kind of diameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Aerosol {
    /// The shape.
    pub shape: Shape,
    /// Which diameter its sizes are.
    pub diameter: DiameterKind,
}

/// Points across the standard deviations of a mode, and in a bin or band.
const NODES_A_MODE: i32 = 96;
/// Standard deviations to each side of a mode's weighted median.
const DEVIATIONS: f64 = 5.5;

impl Aerosol {
    /// A lognormal of one mode by count, in mobility diameters.
    pub fn lognormal(count_median: Length, gsd: f64) -> Self {
        let mode = Mode { median: count_median, gsd, share: 1.0 };
        Self { shape: Shape::Modes(vec![mode]), diameter: DiameterKind::Mobility }
    }

    /// Mobility diameters with weights that sum to 1, for an average under a weighting.
    pub fn nodes(&self, weighting: Weighting, air: &Air, density: Density) -> Vec<(Length, f64)> {
        let nodes = match &self.shape {
            Shape::Modes(modes) => modes.iter().flat_map(|m| mode_nodes(m, weighting)).collect(),
            Shape::Bins { edges, numbers } => bin_nodes(edges, numbers, weighting),
            Shape::PowerLaw { exponent, from, to } => {
                let weight = |d: f64| d.powf(weighting.power() - exponent);
                band_nodes(*from, *to, weight)
            }
        };
        self.as_mobility(normalised(nodes), air, density)
    }

    /// As [`Aerosol::nodes`], for the particles that a counter's channel sees; the edges are in this aerosol's
    /// kind of diameter. `None` as the upper edge is everything above. Empty where the channel sees none.
    pub fn nodes_in_channel(
        &self,
        from: Length,
        to: Option<Length>,
        air: &Air,
        density: Density,
    ) -> Vec<(Length, f64)> {
        let top = to.unwrap_or_else(|| self.largest());
        let seen = if top > from { band_nodes(from, top, |d| self.number_density(d)) } else { Vec::new() };
        self.as_mobility(normalised(seen), air, density)
    }

    /// Average of a function of the mobility diameter under a weighting.
    pub fn average(
        &self,
        weighting: Weighting,
        air: &Air,
        density: Density,
        f: impl Fn(Length) -> f64,
    ) -> f64 {
        self.nodes(weighting, air, density).into_iter().map(|(d, w)| w * f(d)).sum()
    }

    /// Share of the weight that lies below a diameter of this aerosol's kind \[-\].
    pub fn share_below(&self, diameter: Length, weighting: Weighting) -> f64 {
        match &self.shape {
            Shape::Modes(modes) => {
                let weight_of = |m: &Mode| {
                    let q = weighting.power();
                    m.share * m.median.to_m().powf(q) * (0.5 * q * q * m.gsd.ln().powi(2)).exp()
                };
                let total: f64 = modes.iter().map(weight_of).sum();
                let share = |m: &Mode| {
                    let median = weighted_median(m.median, m.gsd, weighting);
                    weight_of(m) * normal_below((diameter / median).ln() / m.gsd.ln())
                };
                modes.iter().map(share).sum::<f64>() / total
            }
            Shape::Bins { edges, numbers } => {
                let weight = |top: &dyn Fn(Length) -> Length| -> f64 {
                    let bins = edges.windows(2).zip(numbers);
                    bins.map(|(edge, number)| {
                        let density = number / (edge[1] / edge[0]).ln();
                        density * power_integral(edge[0], top(edge[1]), weighting.power())
                    })
                    .sum()
                };
                weight(&|edge| edge.min(diameter)) / weight(&|edge| edge)
            }
            Shape::PowerLaw { exponent, from, to } => {
                let power = weighting.power() - exponent;
                power_integral(*from, diameter.min(*to), power) / power_integral(*from, *to, power)
            }
        }
    }

    /// Number per unit of ln d at a diameter \[m\], any unit.
    fn number_density(&self, d: f64) -> f64 {
        match &self.shape {
            Shape::Modes(modes) => modes.iter().map(|m| mode_density(m, d)).sum(),
            Shape::Bins { edges, numbers } => edges
                .windows(2)
                .zip(numbers)
                .find(|(edge, _)| d >= edge[0].to_m() && d < edge[1].to_m())
                .map_or(0.0, |(edge, n)| n / (edge[1] / edge[0]).ln()),
            Shape::PowerLaw { exponent, from, to } => {
                if d >= from.to_m() && d <= to.to_m() {
                    d.powf(-exponent)
                } else {
                    0.0
                }
            }
        }
    }

    /// The largest size that matters: where a counter's open channel ends.
    fn largest(&self) -> Length {
        let further = |a: Length, b: Length| a.max(b);
        let start = Length::from_m(0.0);
        match &self.shape {
            Shape::Modes(modes) => {
                modes.iter().map(|m| m.median * m.gsd.powf(DEVIATIONS)).fold(start, further)
            }
            Shape::Bins { edges, .. } => edges.iter().copied().fold(start, further),
            Shape::PowerLaw { to, .. } => *to,
        }
    }

    fn as_mobility(&self, nodes: Vec<(Length, f64)>, air: &Air, density: Density) -> Vec<(Length, f64)> {
        match self.diameter {
            DiameterKind::Mobility | DiameterKind::Optical => nodes,
            DiameterKind::Aerodynamic => {
                nodes.into_iter().map(|(d, w)| (particle::mobility_diameter(air, d, density), w)).collect()
            }
        }
    }
}

/// Integral of d^power over ln d from one diameter to another; 0 where the second is not above the first.
fn power_integral(from: Length, to: Length, power: f64) -> f64 {
    if to <= from {
        0.0
    } else if power == 0.0 {
        (to / from).ln()
    } else {
        (to.to_m().powf(power) - from.to_m().powf(power)) / power
    }
}

fn normalised(mut nodes: Vec<(Length, f64)>) -> Vec<(Length, f64)> {
    let total: f64 = nodes.iter().map(|(_, w)| w).sum();
    if total <= 0.0 {
        return Vec::new();
    }
    for node in &mut nodes {
        node.1 /= total;
    }
    nodes
}

fn mode_density(mode: &Mode, d: f64) -> f64 {
    let s = mode.gsd.ln();
    let z = (d / mode.median.to_m()).ln() / s;
    mode.share * (-0.5 * z * z).exp() / (s * (2.0 * PI).sqrt())
}

/// Trapezoid points over a mode, centred where the weighting puts it.
fn mode_nodes(mode: &Mode, weighting: Weighting) -> Vec<(Length, f64)> {
    let s = mode.gsd.ln();
    let centre = weighted_median(mode.median, mode.gsd, weighting);
    (0..=NODES_A_MODE)
        .map(|i| {
            let z = DEVIATIONS * (2.0 * f64::from(i) / f64::from(NODES_A_MODE) - 1.0);
            let d = centre * (s * z).exp();
            (d, mode_density(mode, d.to_m()) * d.to_m().powf(weighting.power()) * s)
        })
        .collect()
}

fn bin_nodes(edges: &[Length], numbers: &[f64], weighting: Weighting) -> Vec<(Length, f64)> {
    let one = |(edge, number): (&[Length], &f64)| {
        let width = (edge[1] / edge[0]).ln();
        let density = *number / width;
        band_nodes(edge[0], edge[1], move |d| density * d.powf(weighting.power()))
    };
    edges.windows(2).zip(numbers).flat_map(one).collect()
}

/// Midpoints of a band in ln d, each with density times width.
fn band_nodes(from: Length, to: Length, density: impl Fn(f64) -> f64) -> Vec<(Length, f64)> {
    let (a, b) = (from.to_m().ln(), to.to_m().ln());
    // At least 12 to a band and about 30 to a factor of e.
    let count = ((b - a) * 30.0).ceil().clamp(12.0, 2000.0);
    let width = (b - a) / count;
    let mut nodes = Vec::new();
    let mut middle = a + 0.5 * width;
    while middle < b {
        let d = middle.exp();
        nodes.push((Length::from_m(d), density(d) * width));
        middle += width;
    }
    nodes
}

/// Standard normal distribution function.
pub(crate) fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mass_medians_of_the_salt_aerosol() {
        for (gsd, mmd) in [(1.25, 87.08), (1.86, 238.1), (2.20, 484.2), (3.00, 2802.7)] {
            let median = weighted_median(Length::from_nm(75.0), gsd, Weighting::Mass);
            assert!((median.to_nm() / mmd - 1.0).abs() < 5e-4, "{gsd}: {median:?}");
        }
    }

    #[test]
    fn nodes_reproduce_the_shares_and_moments() {
        let air = Air::reference();
        let rho = Density::from_kg_per_m3(2165.0);
        let salt = Aerosol::lognormal(Length::from_nm(75.0), 1.86);
        let small = salt.average(Weighting::Mass, &air, rho, |d| if d.to_nm() < 100.0 { 1.0 } else { 0.0 });
        assert!((small - salt.share_below(Length::from_nm(100.0), Weighting::Mass)).abs() < 0.02);
        assert!((salt.share_below(Length::from_nm(100.0), Weighting::Number) - 0.679).abs() < 1e-3);
        let mean = salt.average(Weighting::Number, &air, rho, moteweir_units::Length::to_nm);
        assert!((mean / (75.0 * (0.5 * 1.86_f64.ln().powi(2)).exp()) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn bins_and_power_laws_average_what_they_hold() {
        let air = Air::reference();
        let rho = Density::from_kg_per_m3(1000.0);
        let um = Length::from_um;
        let bins = Aerosol {
            shape: Shape::Bins { edges: vec![um(0.3), um(1.0), um(3.0)], numbers: vec![90.0, 10.0] },
            diameter: DiameterKind::Optical,
        };
        let above = bins.average(Weighting::Number, &air, rho, |d| if d.to_um() > 1.0 { 1.0 } else { 0.0 });
        assert!((above - 0.1).abs() < 1e-12);
        let gap = Aerosol {
            shape: Shape::Bins {
                edges: vec![um(0.3), um(1.0), um(2.0), um(3.0)],
                numbers: vec![1.0, 0.0, 3.0],
            },
            diameter: DiameterKind::Optical,
        };
        assert!((gap.share_below(um(1.5), Weighting::Number) - 0.25).abs() < 1e-12);
        let room = Aerosol {
            shape: Shape::PowerLaw { exponent: 3.0, from: um(0.1), to: um(10.0) },
            diameter: DiameterKind::Optical,
        };
        // Number above d goes as d^-3: between 0.3 and 0.5 um, 1 - (0.3/0.5)^3 of what lies above 0.3.
        let nodes = room.nodes_in_channel(um(0.3), None, &air, rho);
        let share: f64 = nodes.iter().filter(|(d, _)| d.to_um() < 0.5).map(|(_, w)| w).sum();
        assert!((share - (1.0 - 0.216)).abs() < 0.01, "{share}");
    }
}
