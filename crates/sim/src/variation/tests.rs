//! Whole runs: against the physics draw by draw, closed forms, threads and interruptions.

use std::ops::ControlFlow;

use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_units::{Density, Length, Solidity, SurfaceCharge, Velocity};

use super::*;
use crate::quantile::{Draws, Ending, Progress, Tolerance, Wanted};
use crate::random::{Purpose, Stream};

const WEIGHT: Purpose = Purpose::named("basis weight");
const FIBRE: Purpose = Purpose::named("fibre diameter");

/// A stack of like sheets, with spreads of the logarithm of the basis weight, at constant solidity.
#[derive(Clone, Copy, Debug)]
struct Sheets {
    count: u64,
    lot: f64,
    sheet: f64,
    fibres: f64,
    unevenness: f64,
}

const STEADY: Sheets = Sheets { count: 3, lot: 0.0, sheet: 0.0, fibres: 0.0, unevenness: 0.0 };

fn felt(thickness_um: f64, fibre_um: f64, unevenness: f64) -> Web {
    Web {
        solidity: Solidity::new(0.08).unwrap(),
        thickness: Length::from_um(thickness_um),
        fibres: FibreDiameters::uniform(Length::from_um(fibre_um)),
        electret: Electret {
            surface_charge: SurfaceCharge::from_c_per_m2(0.0),
            fibre_permittivity: 2.2,
            particle_permittivity: 3.0,
        },
        unevenness,
        inhomogeneity: 1.0,
        drag_factor: None,
    }
}

impl Sampler for Sheets {
    fn layers(&self, index: u64, layers: &mut Vec<(Layer, u32)>) {
        let lot = self.lot * Stream::new(5, WEIGHT, index).normal();
        let fibre = 10.0 * (self.fibres * Stream::new(5, FIBRE, index).normal()).exp();
        for number in 0..self.count {
            let sheet = self.sheet * Stream::new(5, WEIGHT.item(1 + number), index).normal();
            layers.push((Layer::Web(felt(300.0 * (lot + sheet).exp(), fibre, self.unevenness)), 1));
        }
    }

    fn extras(&self) -> usize {
        1
    }

    fn targets(&self) -> usize {
        2
    }

    fn judge(&self, index: u64, stack: &DrawnStack<'_>, extras: &mut [f64], held: &mut [f64]) {
        extras[0] = index as f64;
        held[0] = f64::from(u8::from(stack.further[0] < 0.5));
        held[1] = f64::from(u8::from(stack.pressure_drop_pa < 20.0));
    }
}

fn question(arrangement: Arrangement) -> Question {
    Question {
        setting: Setting {
            closure: Closure::LeeLiu,
            air: Air::reference(),
            direction: FlowDirection::Horizontal,
        },
        kind: ParticleKind { density: Density::from_kg_per_m3(1000.0), charge: ParticleCharge::Neutral },
        face_velocity: Velocity::from_cm_per_s(10.0),
        curve: (0..31).map(|i| Length::from_um(0.01 * 10_f64.powf(f64::from(i) * 0.1))).collect(),
        further: vec![Length::from_um(1.0), Length::from_um(0.3)],
        arrangement,
        worst: WorstSearch::Parabola,
    }
}

fn quiet(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn on<T: Send>(threads: usize, task: impl FnOnce() -> T + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(task)
}

const VARIED: Sheets = Sheets { lot: 0.1, sheet: 0.05, fibres: 0.1, unevenness: 0.2, ..STEADY };

#[test]
fn the_same_bits_on_one_two_and_seven_threads() {
    for arrangement in [Arrangement::Apart, Arrangement::Touching] {
        let question = question(arrangement);
        let draws = if arrangement == Arrangement::Apart { 20_000 } else { 600 };
        let run = || vary(&question, &VARIED, Draws::Exactly(draws), quiet).unwrap();
        let [one, two, seven] = [1, 2, 7].map(|threads| on(threads, run));
        assert_eq!(one, two, "{arrangement:?}");
        assert_eq!(one, seven, "{arrangement:?}");
    }
}

#[test]
fn the_first_draws_of_a_longer_run_are_the_shorter_run() {
    let question = question(Arrangement::Apart);
    let width = question.layout(1).len() + 2;
    let drawing = Drawing::new(&question);
    let mut long = vec![0.0; 500 * width];
    drawing.rows(&VARIED, 0..500, &mut long);
    // Another drawing, whose lattice fills in another order, in pieces.
    let again = Drawing::new(&question);
    let mut short = vec![0.0; 200 * width];
    again.rows(&VARIED, 150..200, &mut short[150 * width..]);
    again.rows(&VARIED, 0..150, &mut short[..150 * width]);
    let bits = |rows: &[f64]| rows.iter().map(|x| x.to_bits()).collect::<Vec<u64>>();
    assert_eq!(bits(&short), bits(&long[..200 * width]));
}

#[test]
fn each_draw_is_what_the_physics_says() {
    let question = Question { worst: WorstSearch::Exact, ..question(Arrangement::Apart) };
    let layout = question.layout(1);
    let width = layout.len() + 2;
    let mut rows = vec![0.0; 20 * width];
    Drawing::new(&question).rows(&VARIED, 0..20, &mut rows);
    for (index, row) in (0..).zip(rows.chunks_exact(width)) {
        let mut layers = Vec::new();
        VARIED.layers(index, &mut layers);
        let exact = Stack::new(layers).prepare(&question.setting, question.face_velocity);
        let close = |what: &str, got: f64, expected: f64, tolerance: f64| {
            let miss = (got / expected - 1.0).abs();
            assert!(miss <= tolerance, "draw {index}, {what}: {got} for {expected}, miss {miss}");
        };
        for (i, size) in question.curve.iter().enumerate() {
            let expected = exact.penetration(*size, &question.kind).value;
            close("curve", row[layout.curve(i)], expected, 1e-4 * (1.0 - expected.ln()));
        }
        for (i, size) in question.further.iter().enumerate() {
            let expected = exact.penetration(*size, &question.kind).value;
            close("further", row[layout.further(i)], expected, 1e-4 * (1.0 - expected.ln()));
        }
        let drop = exact.pressure_drop().value;
        close("pressure drop", row[layout.pressure_drop()], drop, 1e-12);
        let worst = exact.worst_size(question.curve[0], question.curve[30], &question.kind);
        close("worst size", row[layout.worst_size()], worst.diameter.to_m(), 1e-4);
        close("worst penetration", row[layout.worst_penetration()], worst.penetration, 1e-6);
        close("quality", row[layout.quality_factor()], -worst.penetration.ln() / drop, 1e-4);
        close("extra", row[layout.extra(0)] + 1.0, index as f64 + 1.0, 0.0);
        assert_eq!(row.len(), layout.extra(0) + 3);
    }
}

#[test]
fn the_parabola_is_near_the_exact_worst_size() {
    let exact = Question { worst: WorstSearch::Exact, ..question(Arrangement::Apart) };
    let layout = exact.layout(1);
    let width = layout.len() + 2;
    let rows = [exact.clone(), question(Arrangement::Apart)].map(|question| {
        let mut rows = vec![0.0; 50 * width];
        Drawing::new(&question).rows(&VARIED, 0..50, &mut rows);
        rows
    });
    for (exact, parabola) in rows[0].chunks_exact(width).zip(rows[1].chunks_exact(width)) {
        let ratio = |at: usize| (parabola[at] / exact[at] - 1.0).abs();
        assert!(ratio(layout.worst_size()) < 0.01, "{exact:?} {parabola:?}");
        assert!(ratio(layout.worst_penetration()) < 1e-4, "{exact:?} {parabola:?}");
    }
}

/// ln P is proportional to the basis weight at constant solidity: lot effects on it do not average out over the layers,
/// sheet effects do. Its variance goes with n^2 and with n.
///
/// The sample variance of n = 40 000 draws has a relative error of sqrt(2/n) = 0.7 % (for a normal number; the lognormal
/// of log-spread 0.05 is near enough); five of them, a chance of 6e-7, is the bound. 1 - exp(-s^2) is the relative
/// variance of a lognormal number.
#[test]
fn lot_effects_add_up_and_sheet_effects_average_out() {
    struct Logarithm(Sheets);
    impl Sampler for Logarithm {
        fn layers(&self, index: u64, layers: &mut Vec<(Layer, u32)>) {
            self.0.layers(index, layers);
        }
        fn extras(&self) -> usize {
            1
        }
        fn judge(&self, _: u64, stack: &DrawnStack<'_>, extras: &mut [f64], _: &mut [f64]) {
            extras[0] = stack.further[1].ln();
        }
    }
    let question = question(Arrangement::Apart);
    let spread: f64 = 0.05;
    let relative = (spread * spread).exp_m1();
    for count in [1_u64, 4] {
        for (sheets, factor) in [
            (Sheets { count, lot: spread, ..STEADY }, count.pow(2)),
            (Sheets { count, sheet: spread, ..STEADY }, count),
        ] {
            let found = vary(&question, &Logarithm(sheets), Draws::Exactly(40_000), quiet).unwrap();
            let got = found.outcome.quantities[found.layout.extra(0)].variance().unwrap();
            let setting = &question.setting;
            let web = felt(300.0, 10.0, 0.0).prepare(
                setting.closure,
                &setting.air,
                question.face_velocity,
                setting.direction,
            );
            let particle = Particle::new(&setting.air, question.further[1], question.kind.density);
            let mean = web.exponent(&particle, 0).value * (0.5 * spread * spread).exp();
            let expected = factor as f64 * mean * mean * relative;
            let miss = got / expected - 1.0;
            assert!(miss.abs() < 5.0 * (2.0_f64 / 40_000.0).sqrt(), "{sheets:?}: {got}, expected {expected}");
        }
    }
}

/// Mean penetration of one sheet of lognormal basis weight against quadrature, 4.9 standard errors: significance 1e-6.
#[test]
fn the_mean_over_a_lognormal_basis_weight_is_its_integral() {
    let question = question(Arrangement::Apart);
    let sheets = Sheets { count: 1, sheet: 0.4, ..STEADY };
    let found = vary(&question, &sheets, Draws::Exactly(50_000), quiet).unwrap();
    let setting = &question.setting;
    let web = felt(300.0, 10.0, 0.0).prepare(
        setting.closure,
        &setting.air,
        question.face_velocity,
        setting.direction,
    );
    for (i, size) in question.curve.iter().enumerate() {
        let k = web.exponent(&Particle::new(&setting.air, *size, question.kind.density), 0).value;
        // The trapezoid rule on a normal density, 0.05 standard deviations apart.
        let (mut sum, mut weights) = (0.0, 0.0);
        for step in -180..=180 {
            let z = 0.05 * f64::from(step);
            let weight = (-0.5 * z * z).exp();
            sum += weight * (-k * (0.4 * z).exp()).exp();
            weights += weight;
        }
        let mean = found.outcome.quantities[found.layout.curve(i)].mean().unwrap();
        let miss = mean.value - sum / weights;
        let tolerance = 4.9 * mean.standard_error + 1e-4 * k * mean.value;
        assert!(miss.abs() < tolerance, "{size:?}: {mean:?}, expected {}", sum / weights);
    }
}

#[test]
fn steady_layers_have_no_spread_and_equal_the_physics() {
    for arrangement in [Arrangement::Apart, Arrangement::Touching, Arrangement::Aligned] {
        let question = question(arrangement);
        let found = vary(&question, &STEADY, Draws::Exactly(300), quiet).unwrap();
        let stack = Stack::new([(Layer::Web(felt(300.0, 10.0, 0.0)), 3)])
            .prepare(&question.setting, question.face_velocity);
        for (i, size) in question.curve.iter().enumerate() {
            let sketch = &found.outcome.quantities[found.layout.curve(i)];
            assert_eq!(sketch.lowest(), sketch.highest());
            let expected = stack.penetration(*size, &question.kind).value;
            let miss = sketch.lowest().unwrap() / expected - 1.0;
            assert!(miss.abs() < 1e-4 * (1.0 - expected.ln()), "{arrangement:?} {size:?}: {miss}");
        }
        let drop = found.outcome.quantities[found.layout.pressure_drop()].lowest().unwrap();
        assert!((drop / stack.pressure_drop().value - 1.0).abs() < 1e-9, "{arrangement:?}: {drop}");
    }
}

/// Uneven layers in a run are those of the closed forms, for each arrangement.
#[test]
fn uneven_layers_in_a_run_follow_the_arrangement() {
    let sheets = Sheets { unevenness: 0.3, ..STEADY };
    for arrangement in [Arrangement::Apart, Arrangement::Touching, Arrangement::Aligned] {
        let question = question(arrangement);
        let found = vary(&question, &sheets, Draws::Exactly(1), quiet).unwrap();
        let setting = &question.setting;
        let web = felt(300.0, 10.0, 0.0);
        let drop = web.pressure_drop(setting.closure, &setting.air, question.face_velocity).value;
        let web = web.prepare(setting.closure, &setting.air, question.face_velocity, setting.direction);
        for (i, size) in question.curve.iter().enumerate() {
            let exponent = web.exponent(&Particle::new(&setting.air, *size, question.kind.density), 0).value;
            let layer = unevenness::UnevenLayer { exponent, pressure_drop: drop, unevenness: 0.3 };
            let expected = unevenness::uneven_stack(&[layer; 3], arrangement);
            let got = found.outcome.quantities[found.layout.curve(i)].lowest().unwrap();
            let tolerance = 1e-4 * (1.0 + 3.0 * exponent);
            assert!((got / expected.penetration - 1.0).abs() < tolerance, "{arrangement:?} {size:?}: {got}");
            let got = found.outcome.quantities[found.layout.pressure_drop()].lowest().unwrap();
            assert!((got / expected.pressure_drop - 1.0).abs() < 1e-9, "{arrangement:?}: {got}");
        }
    }
}

#[test]
fn a_run_draws_as_many_as_its_tolerance_needs_and_can_be_broken_off() {
    let question = question(Arrangement::Apart);
    let quantity = question.layout(1).further(1);
    let wanted = vec![Wanted { quantity, rank: 0.975, tolerance: Tolerance::Relative(0.01) }];
    let draws = Draws::Adaptive { wanted, batch: 1000, most: 1_000_000 };
    let found = vary(&question, &VARIED, draws, quiet).unwrap();
    let estimate = found.outcome.quantities[quantity].quantile_estimate(0.975).unwrap();
    assert_eq!(found.outcome.ending, Ending::Reached);
    assert!(2.0 * estimate.standard_error < 0.01 * estimate.value, "{estimate:?}");
    let stop = |progress: Progress| {
        if progress.drawn >= 20_000 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    let broken = vary(&question, &VARIED, Draws::Exactly(1_000_000_000), stop).unwrap();
    assert_eq!(broken.outcome.ending, Ending::Interrupted);
    assert!((20_000..100_000).contains(&broken.outcome.drawn), "{}", broken.outcome.drawn);
    assert_eq!(broken.outcome.targets[0].count, broken.outcome.drawn);
}

#[test]
fn questions_that_cannot_be_asked_are_refused() {
    let good = question(Arrangement::Apart);
    let refused =
        |question: Question| vary(&question, &STEADY, Draws::Exactly(1), quiet).unwrap_err().to_string();
    assert_eq!(
        refused(Question { face_velocity: Velocity::from_m_per_s(0.0), ..good.clone() }),
        "the face velocity is 0 m/s, but has to be above 0"
    );
    assert_eq!(
        refused(Question { curve: vec![Length::from_um(1.0)], ..good.clone() }),
        "the curve has 1 sizes, but needs 2 or more, rising and above 0"
    );
    assert_eq!(
        refused(Question { further: vec![Length::from_m(-1.0)], ..good.clone() }),
        "a further size is -1 m, but has to be above 0"
    );
    let wanted = vec![Wanted { quantity: 999, rank: 0.5, tolerance: Tolerance::Relative(0.1) }];
    let draws = Draws::Adaptive { wanted, batch: 100, most: 1000 };
    assert!(matches!(vary(&good, &STEADY, draws, quiet), Err(VariationError::Plan(_))));
}
