//! What does a draw of a stack cost, for each layer and size, on one core and on two (aims: 5 ns, 1.8 times), with
//! quantiles and without, and what does the physics itself take for the same?
//!
//! Not with divan: each number here is the best of many runs of the same draws, and ratios are taken within one run.
//! `--plain FOLDER` writes the numbers for `compare/variation.py`, which times the same draws in NumPy and Numba.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

use std::hint::black_box;
use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use moteweir_benches::{SIZES, electret};
use moteweir_physics::air::Air;
use moteweir_physics::charging::ParticleCharge;
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::single_fibre::impaction::ImpactionSlice;
use moteweir_physics::stack::{ParticleKind, Stack};
use moteweir_physics::web::Web;
use moteweir_sim::quantile::{self, Draws, Plan};
use moteweir_sim::random::{Purpose, Stream};
use moteweir_sim::variation::kernel::Kernel;
use moteweir_sim::variation::{Arrangement, Drawing, Question, Sampler, WorstSearch, vary};
use moteweir_units::{Density, Length, Solidity, Velocity};
use rayon::prelude::*;

const LAYERS: usize = 3;
const DRAWS: usize = 2048;
const FACE_VELOCITY: f64 = 0.1;
const DENSITY: f64 = 1000.0;

/// Three unlike webs: thickness and fibre diameter in um.
const BASE: [(f64, f64); LAYERS] = [(400.0, 12.0), (150.0, 3.0), (600.0, 20.0)];

/// Stacks whose webs vary in thickness, solidity and fibre diameter.
struct Mixed {
    closure: Closure,
    gsd: f64,
    charge: ParticleCharge,
    charged: bool,
}

const PLAIN: Mixed =
    Mixed { closure: Closure::LeeLiu, gsd: 1.0, charge: ParticleCharge::Neutral, charged: false };

impl Mixed {
    fn web(&self, index: u64, layer: usize) -> Web {
        let (thickness, fibre) = BASE[layer];
        let vary = |purpose: &str, spread: f64| {
            let purpose = Purpose::named(purpose).item(layer as u64);
            (spread * Stream::new(1, purpose, index).normal()).exp()
        };
        Web {
            solidity: Solidity::new((0.08 * vary("solidity", 0.1)).min(0.6)).expect("between 0 and 1"),
            thickness: Length::from_um(thickness * vary("thickness", 0.05)),
            fibres: FibreDiameters::lognormal(Length::from_um(fibre * vary("fibre", 0.1)), self.gsd),
            electret: electret(self.charged),
            unevenness: 0.0,
            inhomogeneity: 1.0,
            drag_factor: None,
        }
    }

    fn question(&self, points: usize) -> Question {
        Question {
            setting: Setting {
                closure: self.closure,
                air: Air::reference(),
                direction: FlowDirection::Horizontal,
            },
            kind: ParticleKind { density: Density::from_kg_per_m3(DENSITY), charge: self.charge },
            face_velocity: Velocity::from_m_per_s(FACE_VELOCITY),
            curve: (0..points)
                .map(|i| Length::from_um(10.0_f64.powf(-2.0 + 3.0 * i as f64 / (points - 1) as f64)))
                .collect(),
            further: Vec::new(),
            arrangement: Arrangement::Apart,
            worst: WorstSearch::Parabola,
        }
    }
}

impl Sampler for Mixed {
    fn layers(&self, index: u64, layers: &mut Vec<(Layer, u32)>) {
        layers.extend((0..LAYERS).map(|layer| (Layer::Web(self.web(index, layer)), 1)));
    }
}

/// Webs that were drawn before, so that only the kernel is timed.
struct Case {
    kernel: Kernel,
    webs: Vec<Web>,
    points: usize,
}

impl Case {
    fn new(mixed: &Mixed, draws: usize) -> Self {
        let question = mixed.question(SIZES);
        Self {
            kernel: Kernel::new(&question.setting, question.face_velocity, &question.curve, &question.kind),
            webs: (0..draws as u64)
                .flat_map(|index| (0..LAYERS).map(move |layer| mixed.web(index, layer)))
                .collect(),
            points: SIZES,
        }
    }

    /// Penetrations of all draws.
    fn penetrations(&self) -> Vec<f64> {
        let (mut scratch, mut sum) = (self.kernel.scratch(), self.kernel.empty());
        let mut all = vec![0.0; self.points * self.webs.len() / LAYERS];
        for (draw, out) in self.webs.chunks_exact(LAYERS).zip(all.chunks_exact_mut(self.points)) {
            sum.clear();
            for web in draw {
                self.kernel.add_web(web, 1.0, &mut sum, &mut scratch);
            }
            self.kernel.penetrations(&sum, &mut scratch, out);
        }
        all
    }

    /// All draws, on one core.
    fn work(&self, webs: &[Web]) -> f64 {
        let (mut scratch, mut sum) = (self.kernel.scratch(), self.kernel.empty());
        let mut penetrations = vec![0.0; self.points];
        let mut total = 0.0;
        for draw in webs.chunks_exact(LAYERS) {
            sum.clear();
            for web in draw {
                self.kernel.add_web(web, 1.0, &mut sum, &mut scratch);
            }
            self.kernel.penetrations(&sum, &mut scratch, &mut penetrations);
            total += black_box(&penetrations)[7];
        }
        total
    }

    /// Nanoseconds for each (draw, layer, size).
    fn nanoseconds(&self, seconds: f64) -> f64 {
        seconds * 1e9 / (self.webs.len() * self.points) as f64
    }
}

fn best_of(runs: usize, mut task: impl FnMut()) -> f64 {
    (0..runs)
        .map(|_| {
            let start = Instant::now();
            task();
            start.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}

fn on<T: Send>(threads: usize, task: impl FnOnce() -> T + Send) -> T {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    pool.expect("threads can be started").install(task)
}

/// The kernel on one core, ns for each (draw, layer, size).
fn kernel(mixed: &Mixed, draws: usize, runs: usize) -> f64 {
    let case = Case::new(mixed, draws);
    case.nanoseconds(best_of(runs, || {
        black_box(case.work(&case.webs));
    }))
}

/// On one core and on two, the same webs in fixed batches. Short and many runs, so that on a busy machine some find both
/// cores free.
fn scaling(case: &Case, runs: usize) -> [f64; 2] {
    [1, 2].map(|threads| {
        on(threads, || {
            case.nanoseconds(best_of(runs, || {
                let total: Vec<f64> =
                    case.webs.par_chunks(16 * LAYERS).with_max_len(1).map(|webs| case.work(webs)).collect();
                black_box(total);
            }))
        })
    })
}

/// Whole runs, sampling and quantiles included, on one core and on two; the lattice is filled before.
fn runs_with_quantiles(draws: usize, runs: usize) -> [f64; 2] {
    let question = PLAIN.question(SIZES);
    let drawing = Drawing::new(&question);
    let plan = Plan { quantities: question.layout(0).len(), targets: 0, draws: Draws::Exactly(draws as u64) };
    let run = || {
        let found = quantile::run(
            &plan,
            |indices, rows| drawing.rows(&PLAIN, indices, rows),
            |_| ControlFlow::Continue(()),
        );
        black_box(found.expect("the plan can be carried out"));
    };
    run();
    [1, 2].map(|threads| on(threads, || best_of(runs, run) * 1e9 / (draws * LAYERS * SIZES) as f64))
}

/// A run from nothing, the lattice to be filled, on one core \[ns\].
fn from_nothing(draws: u64) -> f64 {
    let question = PLAIN.question(SIZES);
    let run = || {
        black_box(vary(&question, &PLAIN, Draws::Exactly(draws), |_| ControlFlow::Continue(())))
            .expect("the question can be asked");
    };
    on(1, || best_of(3, run)) * 1e9 / (draws as f64 * (LAYERS * SIZES) as f64)
}

/// The same draws by `PreparedStack`, ns for each (draw, layer, size).
fn physics(draws: u64) -> f64 {
    let question = PLAIN.question(SIZES);
    let seconds = best_of(1, || {
        for index in 0..draws {
            let mut layers = Vec::new();
            PLAIN.layers(index, &mut layers);
            let stack = Stack::new(layers).prepare(&question.setting, question.face_velocity);
            for size in &question.curve {
                black_box(stack.penetration(*size, &question.kind));
            }
        }
    });
    seconds * 1e9 / (draws as f64 * (LAYERS * SIZES) as f64)
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let plain = arguments.iter().position(|a| a == "--plain").and_then(|at| arguments.get(at + 1));
    let case = Case::new(&PLAIN, DRAWS);
    let one = case.nanoseconds(best_of(40, || {
        black_box(case.work(&case.webs));
    }));
    if let Some(path) = plain {
        write_plain(Path::new(path), &case, one).expect("the folder can be written to");
        return;
    }
    show("kernel, lee-liu, one core", one);
    let [single, double] = scaling(&Case::new(&PLAIN, DRAWS / 4), 2000);
    show("kernel in batches, one core", single);
    show("kernel in batches, two cores", double);
    println!("{:>46}  {:8.2}", "ratio", single / double);
    let [single, double] = runs_with_quantiles(DRAWS, 200);
    show("draws, quantiles and all, one core", single);
    show("draws, quantiles and all, two cores", double);
    println!("{:>46}  {:8.2}", "ratio", single / double);
    show("the same from nothing, 10 000 draws, one core", from_nothing(10_000));
    let cell = Mixed { closure: Closure::KuwabaraCell, ..PLAIN };
    show("kernel, kuwabara-cell", kernel(&cell, DRAWS / 2, 20));
    show("kernel, fibres with gsd 1.5 (11 diameters)", kernel(&Mixed { gsd: 1.5, ..PLAIN }, DRAWS / 8, 10));
    let charged = Mixed { charged: true, ..PLAIN };
    show("kernel, charged web, neutral particles", kernel(&charged, DRAWS / 8, 10));
    let charge = ParticleCharge::Equilibrium;
    show("kernel, charged particles", kernel(&Mixed { charge, ..PLAIN }, DRAWS / 8, 10));
    show("kernel, both charged", kernel(&Mixed { charge, charged: true, ..PLAIN }, DRAWS / 8, 10));
    let slow = physics(16);
    show("the physics itself, lee-liu", slow);
    println!("{:>46}  {:8.1}", "ratio to the kernel", slow / one);
}

fn show(what: &str, nanoseconds: f64) {
    println!("{what:>46}  {nanoseconds:8.2} ns per (draw, layer, size)");
}

/// First node, spacing and count of the table that is written for other programs: in ln of the fibre diameter, and in ln
/// of the odds of solidity.
const TABLE: [(f64, f64, usize); 2] = [(-13.5, 0.02, 171), (-3.2, 0.1, 16)];

/// Draws, sizes, impaction and the time, for other programs.
fn write_plain(folder: &Path, case: &Case, nanoseconds: f64) -> std::io::Result<()> {
    let question = PLAIN.question(SIZES);
    let air = &question.setting.air;
    let particles: Vec<Particle> =
        question.curve.iter().map(|size| Particle::new(air, *size, question.kind.density)).collect();
    let of = |property: &dyn Fn(&Particle) -> f64| particles.iter().map(property).collect::<Vec<f64>>();
    let [fibres, odds] = TABLE;
    std::fs::write(
        folder.join("numbers.txt"),
        format!(
            "{} {} {} {} {} {} {} {} {} {FACE_VELOCITY} {:e} {nanoseconds}\n",
            case.webs.len() / LAYERS,
            LAYERS,
            SIZES,
            fibres.0,
            fibres.1,
            fibres.2,
            odds.0,
            odds.1,
            odds.2,
            air.mean_free_path().to_m()
        ),
    )?;
    let webs = case.webs.iter();
    let scalars = webs.flat_map(|w| [w.fibres.median().to_m(), w.solidity.fraction(), w.thickness.to_m()]);
    write_numbers(&folder.join("webs.f64"), scalars)?;
    let columns = [
        of(&|p| p.diameter().to_m()),
        of(&|p| p.diffusivity().to_m2_per_s()),
        of(&|p| p.settling_velocity().to_m_per_s()),
    ];
    write_numbers(&folder.join("sizes.f64"), columns.concat())?;
    write_numbers(&folder.join("impaction.f64"), impaction(&particles, fibres, odds))?;
    write_numbers(&folder.join("penetrations.f64"), case.penetrations())
}

/// Inertial increment over the room left, by odds of solidity, fibre diameter and size.
fn impaction(particles: &[Particle], fibres: (f64, f64, usize), odds: (f64, f64, usize)) -> Vec<f64> {
    let mut table = Vec::new();
    for column in 0..odds.2 {
        let ratio = (odds.0 + odds.1 * column as f64).exp();
        let solidity = Solidity::new(ratio / (1.0 + ratio)).expect("odds are those of a fraction");
        let slice = ImpactionSlice::new(solidity);
        let reach = solidity.fraction().sqrt().recip() - 1.0;
        let velocity = FACE_VELOCITY / (1.0 - solidity.fraction());
        for node in 0..fibres.2 {
            let fibre = (fibres.0 + fibres.1 * node as f64).exp();
            table.extend(particles.iter().map(|p| {
                let stokes = p.relaxation_time().to_s() * velocity / fibre;
                let interception = (p.diameter().to_m() / fibre).min(0.999 * reach);
                slice.increment(stokes, interception).uniform / (reach - interception)
            }));
        }
    }
    table
}

fn write_numbers(path: &Path, numbers: impl IntoIterator<Item = f64>) -> std::io::Result<()> {
    std::fs::write(path, numbers.into_iter().flat_map(f64::to_le_bytes).collect::<Vec<u8>>())
}
