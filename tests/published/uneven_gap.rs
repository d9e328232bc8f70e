//! Real webs against ideal cells: how much of the gap between the fitted set and the solved cell is unevenness?
//!
//! `lee-liu` was fitted to real, uneven filters; `resolved` is a perfectly even web of the same fibres. The gap is the
//! ratio of their exponents, and of Davies' to Kuwabara's drag. A local basis weight that is gamma-distributed over the
//! face takes something off both, and of the capture the more, the thicker the layer. How much of the logarithm of the
//! gap that is, is called the explained share. The tables stand in `MEASURED.md`.

use moteweir_physics::air::Air;
use moteweir_physics::closure::Closure;
use moteweir_physics::drag::{davies, kuwabara};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::diffusion::PECLET_RANGE;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::web::{PreparedWeb, uneven_penetration};
use moteweir_tests::{Tally, logarithmic, web};
use moteweir_units::{Density, Length, Velocity};

use crate::page;

const SOLIDITIES: [f64; 4] = [0.02, 0.05, 0.10, 0.15];
const FIBRES_UM: [f64; 5] = [1.0, 2.0, 5.0, 10.0, 20.0];
const VELOCITIES_CM_S: [f64; 4] = [1.0, 5.0, 10.0, 20.0];
/// -ln P of the layer by the fitted set.
const LAYERS: [f64; 5] = [0.5, 1.0, 2.0, 5.0, 10.0];
/// Coefficients of variation of the local basis weight that are usual.
const USUAL: [f64; 3] = [0.2, 0.3, 0.4];
/// A gap smaller than this leaves nothing to explain.
const NO_GAP: f64 = 0.9;

/// A fibre of the usual range with a particle.
#[derive(Clone, Copy, Debug)]
struct Point {
    solidity: f64,
    fibre_um: f64,
    velocity_m_s: f64,
    particle_um: f64,
}

impl Point {
    fn particle(&self) -> Particle {
        Particle::new(&Air::reference(), Length::from_um(self.particle_um), Density::from_kg_per_m3(1000.0))
    }

    /// An even web 1 mm thick, its solidity and its velocity multiplied.
    fn prepared(&self, closure: Closure, denser: f64, faster: f64) -> PreparedWeb {
        let sheet = web(self.solidity * denser, Length::from_mm(1.0), Length::from_um(self.fibre_um));
        let u = Velocity::from_m_per_s(self.velocity_m_s * faster);
        sheet.prepare(closure, &Air::reference(), u, FlowDirection::Horizontal)
    }

    fn exponent(&self, closure: Closure, denser: f64, faster: f64) -> f64 {
        self.prepared(closure, denser, faster).exponent(&self.particle(), 0).value
    }

    /// Fitted over solved exponent, whatever the thickness; `None` where the fitted set does not claim to hold.
    fn ratio(&self) -> Option<f64> {
        let fitted = self.prepared(Closure::LeeLiu, 1.0, 1.0);
        (fitted.groups(&self.particle()).peclet >= PECLET_RANGE.low)
            .then(|| fitted.exponent(&self.particle(), 0).value / self.exponent(Closure::Resolved, 1.0, 1.0))
    }
}

/// The points of the usual range, with their ratios.
fn usual_range() -> Vec<(Point, f64)> {
    let mut all = Vec::new();
    for solidity in SOLIDITIES {
        for fibre_um in FIBRES_UM {
            for velocity in VELOCITIES_CM_S {
                let velocity_m_s = velocity / 100.0;
                let of = |particle_um| Point { solidity, fibre_um, velocity_m_s, particle_um };
                all.extend(logarithmic(0.03, 3.0, 9).map(of).filter_map(|p| Some((p, p.ratio()?))));
            }
        }
    }
    all
}

fn quantile(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = share * (sorted.len() - 1) as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an index into the values")]
    let below = place as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + place.fract() * (sorted[above] - sorted[below])
}

/// What the exponent of an even layer becomes, relative to it, where its weight varies and efficiency does not.
fn kept(even: f64, unevenness: f64) -> f64 {
    -uneven_penetration(even, unevenness).ln() / even
}

/// Share of a gap's logarithm.
fn explained(kept: f64, gap: f64) -> f64 {
    kept.ln() / gap.ln()
}

/// Median over the points of the explained share of the gap in capture, of layers as thick as the fitted set says.
fn median_explained(range: &[(Point, f64)], layer: f64, unevenness: f64) -> f64 {
    let shares: Vec<f64> = range
        .iter()
        .filter(|(_, ratio)| *ratio < NO_GAP)
        .map(|(_, ratio)| explained(kept(layer / ratio, unevenness), *ratio))
        .collect();
    quantile(&shares, 0.5)
}

/// Davies' over Kuwabara's drag.
fn drag_gap(solidity: f64) -> f64 {
    davies(solidity) / kuwabara(solidity)
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// The gap by particle size, and its drag.
fn gap_lines(range: &[(Point, f64)]) -> Vec<String> {
    let mut lines = vec![
        "| what | lee-liu over resolved, median | 10 to 90 % of points |".to_owned(),
        "|---|---|---|".to_owned(),
    ];
    let mut line = |what: &str, of: &[f64]| {
        let q = |share| quantile(of, share);
        lines.push(format!("| {what} | {:.2} | {:.2} to {:.2} |", q(0.5), q(0.1), q(0.9)));
    };
    let between = |from: f64, to: f64| -> Vec<f64> {
        range.iter().filter(|(p, _)| p.particle_um > from && p.particle_um <= to).map(|(_, r)| *r).collect()
    };
    line("-ln P, 0.03 to 0.1 um", &between(0.0, 0.1));
    line("-ln P, 0.1 to 0.6 um", &between(0.1, 0.6));
    line("-ln P, 0.9 to 3 um", &between(0.6, 4.0));
    line("-ln P, all sizes", &between(0.0, 4.0));
    line("pressure drop", &SOLIDITIES.map(drag_gap));
    // What no inhomogeneity factor can explain: it takes the same off both.
    line(
        "-ln P over pressure drop",
        &range.iter().map(|(p, r)| r / drag_gap(p.solidity)).collect::<Vec<_>>(),
    );
    lines
}

/// What unevenness explains of it.
fn explained_lines(range: &[(Point, f64)]) -> Vec<String> {
    let mut lines = vec![
        "| explained share of the gap (of its logarithm, median) | c = 0.2 | c = 0.3 | c = 0.4 |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    let mut line = |what: String, of: &dyn Fn(f64) -> f64| {
        let cells = USUAL.map(|c| percent(of(c))).join(" | ");
        lines.push(format!("| {what} | {cells} |"));
    };
    for layer in LAYERS {
        line(format!("-ln P of a layer of {layer}"), &|c| median_explained(range, layer, c));
    }
    let drags = SOLIDITIES.map(drag_gap);
    let of_drag = |c: f64| quantile(&drags.map(|gap| explained(1.0 - c * c, gap)), 0.5);
    line("pressure drop".to_owned(), &of_drag);
    lines
}

#[test]
fn the_tables_of_the_gap_in_measured_md_are_what_the_models_give() {
    let range = usual_range();
    let between = || vec![String::new()];
    let tables = [gap_lines(&range), between(), explained_lines(&range), between(), local_lines()];
    page::keep("gap", &tables.concat());
}

#[test]
fn unevenness_explains_a_part_that_grows_with_the_layer_and_less_of_the_drag() {
    let range = usual_range();
    let mut tally = Tally::of("explained shares");
    let words = format!(
        "at c = 0.3 it is {} of the gap of a layer of -ln P 1, {} of one of 5",
        percent(median_explained(&range, 1.0, 0.3)),
        percent(median_explained(&range, 5.0, 0.3))
    );
    tally.holds("MEASURED.md", &words, page::says(&words));
    let ratios: Vec<f64> = range.iter().map(|(_, ratio)| *ratio).collect();
    let gap = quantile(&ratios, 0.5);
    let drag = quantile(&SOLIDITIES.map(drag_gap), 0.5);
    let words = format!("catch {gap:.2} of what the even cell would, and drag {drag:.2} of it");
    tally.holds("MEASURED.md", &words, page::says(&words));
    let points = format!("for: {} points", range.len());
    tally.holds("MEASURED.md", &points, page::says(&points));
    // The factor of drag, and how much of the gap in capture it is.
    tally.within("inhomogeneity of the drag", 1.0 / drag, 1.4..=1.5);
    tally.within("share of the gap in capture", 1.45_f64.ln() / -gap.ln(), 0.7..=0.8);
    for c in USUAL {
        let shares = LAYERS.map(|layer| median_explained(&range, layer, c));
        tally.holds(c, "grows with the layer", shares.windows(2).all(|pair| pair[0] < pair[1]));
    }
    // A usual unevenness is not the gap of a thin layer, whatever its size; of a thick one it can be all of it.
    tally.within("-ln P 0.5, c 0.4", median_explained(&range, 0.5, 0.4), 0.0..=0.5);
    tally.within("-ln P 10, c 0.3", median_explained(&range, 10.0, 0.3), 0.9..=1.3);
    for solidity in SOLIDITIES {
        let share = explained(1.0 - 0.3 * 0.3, drag_gap(solidity));
        tally.within(format!("drag, c 0.3, solidity {solidity}"), share, 0.15..=0.35);
    }
    tally.close_all();
}

/// Where local basis weight lies: in the thickness at one solidity, or in the solidity at one thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Lies {
    InThickness,
    InSolidity,
}

/// Gamma-distributed weights of mean 1 with their shares.
fn spots(c: f64) -> Vec<(f64, f64)> {
    let shape = 1.0 / (c * c);
    let density = |w: f64| ((shape - 1.0) * w.ln() - shape * (w - 1.0)).exp();
    let all: Vec<(f64, f64)> = (0..90).map(|i| 0.02 + 0.04 * f64::from(i)).map(|w| (w, density(w))).collect();
    let sum: f64 = all.iter().map(|(_, share)| share).sum();
    all.into_iter().map(|(w, share)| (w, share / sum)).collect()
}

/// What is left of even layers.
struct Kept {
    /// Exponent of each layer, over that of the even one.
    layers: Vec<f64>,
    /// Pressure drop, over that of the even ones.
    drag: f64,
}

/// Exponents of layers and the pressure drop, over those of even ones, with the efficiency that the local velocity and
/// solidity give by the solved cell. The layers are given by the exponent of the even one.
fn kept_locally(point: &Point, even: &[f64], c: f64, lies: Lies) -> Kept {
    let spots = spots(c);
    let resistance = |w: f64| match lies {
        Lies::InThickness => w,
        Lies::InSolidity => kuwabara(point.solidity * w) / kuwabara(point.solidity),
    };
    let flow: f64 = spots.iter().map(|(w, share)| share / resistance(*w)).sum();
    let whole = point.exponent(Closure::Resolved, 1.0, 1.0);
    let local = |w: f64| {
        let faster = 1.0 / (resistance(w) * flow);
        let k = match lies {
            Lies::InThickness => w * point.exponent(Closure::Resolved, 1.0, faster),
            Lies::InSolidity => point.exponent(Closure::Resolved, w, faster),
        };
        (faster, k / whole)
    };
    let locals: Vec<(f64, f64, f64)> = spots
        .iter()
        .map(|(w, share)| {
            let (f, k) = local(*w);
            (*share, f, k)
        })
        .collect();
    let through = |layer: &f64| {
        locals.iter().map(|(share, faster, k)| share * faster * (-layer * k).exp()).sum::<f64>()
    };
    Kept { layers: even.iter().map(|layer| -through(layer).ln() / layer).collect(), drag: 1.0 / flow }
}

/// A few points of every kind.
fn some_points() -> Vec<Point> {
    let mut all = Vec::new();
    for solidity in [0.05, 0.10] {
        for fibre_um in [2.0, 10.0] {
            for velocity_m_s in [0.01, 0.10] {
                let of = |particle_um| Point { solidity, fibre_um, velocity_m_s, particle_um };
                all.extend(logarithmic(0.03, 3.0, 5).map(of));
            }
        }
    }
    all
}

/// What efficiency that differs from spot to spot adds, at a usual unevenness.
fn local_lines() -> Vec<String> {
    let c = 0.3;
    let layers = [1.0, 5.0];
    let points: Vec<(Point, f64)> = some_points()
        .into_iter()
        .filter_map(|p| Some((p, p.ratio()?)))
        .filter(|(_, r)| *r < NO_GAP)
        .collect();
    let mut lines = vec![
        "| explained share at c = 0.3 (median) | layer of 1 | layer of 5 | pressure drop |".to_owned(),
        "|---|---|---|---|".to_owned(),
    ];
    let mut line = |what: &str, of: &dyn Fn(&Point, &[f64]) -> Kept| {
        let shares: Vec<[f64; 3]> = points
            .iter()
            .map(|(point, gap)| {
                let kept = of(point, &layers.map(|layer| layer / gap));
                let drag = explained(kept.drag, drag_gap(point.solidity));
                [explained(kept.layers[0], *gap), explained(kept.layers[1], *gap), drag]
            })
            .collect();
        let median = |i: usize| quantile(&shares.iter().map(|s| s[i]).collect::<Vec<_>>(), 0.5);
        let cells = [0, 1, 2].map(|i| percent(median(i))).join(" | ");
        lines.push(format!("| {what} | {cells} |"));
    };
    line("thick and thin spots, one efficiency", &|_, even| Kept {
        layers: even.iter().map(|k| kept(*k, c)).collect(),
        drag: 1.0 - c * c,
    });
    line("thick and thin spots, efficiency of the local velocity", &|p, even| {
        kept_locally(p, even, c, Lies::InThickness)
    });
    line("dense and open spots, efficiency of the local velocity and solidity", &|p, even| {
        kept_locally(p, even, c, Lies::InSolidity)
    });
    lines
}

#[test]
fn the_sum_over_spots_is_the_closed_form_where_efficiency_is_the_same() {
    let mut tally = Tally::of("spots");
    for c in USUAL {
        let spots = spots(c);
        let flow: f64 = spots.iter().map(|(w, share)| share / w).sum();
        tally.relative(format!("pressure drop, c {c}"), 1.0 / flow, 1.0 - c * c, 1e-4);
        for k in [0.5, 5.0, 15.0] {
            let through: f64 = spots.iter().map(|(w, share)| share * (-k * w).exp() / w).sum::<f64>() / flow;
            tally.relative(format!("P, K {k}, c {c}"), through, uneven_penetration(k, c), 2e-3);
        }
    }
    tally.close_all();
}
