//! The kernel against the physics that it rearranges.

use moteweir_physics::air::Air;
use moteweir_physics::charging::{ParticleCharge, condensed_charge_states};
use moteweir_physics::closure::Closure;
use moteweir_physics::fibre::FibreDiameters;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::FlowDirection;
use moteweir_physics::stack::Stack;
use moteweir_units::{Density, Solidity, SurfaceCharge};
use multiversion::multiversion;
use multiversion::target::target_cfg_f;
use rayon::prelude::*;

use super::super::arithmetic::{Apart, Arithmetic, Fused};
use super::super::elementary;
use super::*;
use crate::random::{Purpose, Stream};

const WEB: Purpose = Purpose::named("random web");
const SIZES: usize = 41;
/// Random webs in the solved cell miss by less than is derived: with room in their cells, and in all.
const RESOLVED_SEEN: [f64; 2] = [0.01, 0.02];

/// A number even in its logarithm.
fn between(stream: &mut Stream, low: f64, high: f64) -> f64 {
    low * (high / low).powf(stream.uniform())
}

/// Webs over the whole of what is made: fibres 0.1 to 60 um, solidity 0.004 to 0.6.
fn random_web(stream: &mut Stream, charged: bool, spread: bool, uneven: bool) -> Web {
    let median = Length::from_um(between(stream, 0.1, 60.0));
    let gsd = 1.0 + f64::from(u8::from(spread)) * stream.uniform();
    let solidity = between(stream, 0.004, 0.6);
    let charge = between(stream, 1e-7, 3e-4);
    let permittivity = 1.5 + 5.0 * stream.uniform();
    // A quarter to sixteen effective layers' worth of fibre: exponents that matter.
    let thickness = median * (between(stream, 0.25, 16.0) / solidity);
    let variation = 0.6 * stream.uniform();
    Web {
        solidity: Solidity::new(solidity).unwrap(),
        thickness,
        fibres: FibreDiameters::lognormal(median, gsd),
        electret: Electret {
            surface_charge: SurfaceCharge::from_c_per_m2(if charged { charge } else { 0.0 }),
            fibre_permittivity: permittivity,
            particle_permittivity: 6.5 - 0.5 * permittivity,
        },
        unevenness: if uneven { variation } else { 0.0 },
        inhomogeneity: if uneven { 1.0 + variation } else { 1.0 },
        drag_factor: None,
    }
}

fn sizes() -> Vec<Length> {
    (0..SIZES).map(|i| Length::from_um(0.01 * 1000_f64.powf(i as f64 / (SIZES - 1) as f64))).collect()
}

fn settings() -> impl Iterator<Item = Setting> {
    Closure::ALL.into_iter().flat_map(|closure| {
        [FlowDirection::Horizontal, FlowDirection::Down, FlowDirection::Up].map(|direction| Setting {
            closure,
            air: Air::reference(),
            direction,
        })
    })
}

/// A comparison that is to be made.
#[derive(Clone, Copy, Debug)]
struct Trial {
    setting: Setting,
    charge: ParticleCharge,
    charged: bool,
    spread: bool,
    webs: u64,
}

/// Compares exponents with those of `PreparedWeb` over random webs, all sizes and some charge states.
fn compare(trial: &Trial) {
    let Trial { setting, charge, .. } = trial;
    for (number, speed) in [0.01, 0.07, 0.4].into_iter().enumerate() {
        let velocity = Velocity::from_m_per_s(speed);
        let kind = ParticleKind { density: Density::from_kg_per_m3(1500.0), charge: *charge };
        let kernel = Kernel::new(setting, velocity, &sizes(), &kind);
        let mut scratch = kernel.scratch();
        for index in 0..trial.webs {
            let mut stream = Stream::new(1, WEB.item(number as u64), index);
            let web = random_web(&mut stream, trial.charged, trial.spread, false);
            let exact = web.prepare(setting.closure, &setting.air, velocity, setting.direction);
            let down = web.prepare(setting.closure, &setting.air, velocity, FlowDirection::Down);
            for state in [0, 1, 6] {
                let got = kernel.exponents(&web, state, &mut scratch);
                for (size, got) in sizes().iter().zip(got) {
                    let states = condensed_charge_states(*charge, &setting.air, *size);
                    assert_eq!(states.len() > state, got.is_some());
                    let Some(got) = got else { continue };
                    let particle = Particle::new(&setting.air, *size, kind.density);
                    let expected = exact.exponent(&particle, states[state].0).value;
                    // Where none arrive, the exponent does not matter and penetration is 0: tested below.
                    // In an upward flow settling takes interception away; a miss is measured against what is left without.
                    let scale = expected.max(down.exponent(&particle, states[state].0).value);
                    if !expected.is_finite() {
                        continue;
                    }
                    if setting.closure == Closure::Resolved {
                        let (miss, most) = resolved_miss([got, expected], &web, *size);
                        assert!(
                            miss <= most,
                            "{web:?}, {size:?}, {speed} m/s, state {state}, {trial:?}: {got} for {expected}, miss {miss}"
                        );
                    } else {
                        judge(
                            [got, expected, scale],
                            &web,
                            *size,
                            &format!("{speed} m/s, state {state}, {trial:?}"),
                        );
                    }
                }
            }
        }
    }
}

/// How far a web in the solved cell is off as a share of all particles, and how far it may be.
fn resolved_miss([got, expected]: [f64; 2], web: &Web, size: Length) -> (f64, f64) {
    let single = web.fibres.gsd() < ONE_SIZE;
    let fits = single && room(web, size) < NEARLY_FULL;
    let most = RESOLVED_SEEN[usize::from(!fits)];
    ((libm::exp(-got) - libm::exp(-expected)).abs(), most)
}

/// The share of its room that a particle takes at the median fibre.
fn room(web: &Web, size: Length) -> f64 {
    (size / web.fibres.median()) / (1.0 / web.solidity.fraction().sqrt() - 1.0)
}

fn judge([got, expected, scale]: [f64; 3], web: &Web, size: Length, what: &str) {
    let single = web.fibres.gsd() < ONE_SIZE;
    let plain =
        if single && room(web, size) < NEARLY_FULL { LARGEST_MISS } else { LARGEST_MISS_IN_FULL_CELLS };
    let tolerance = plain + LARGEST_MISS_BY_CHARGE;
    let miss = (got - expected).abs() / scale;
    assert!(
        miss <= tolerance,
        "{web:?}, {size:?}, {what}: got {got}, expected {expected}, miss {miss}, tolerance {tolerance}"
    );
}

#[test]
fn plain_webs_are_those_of_the_physics() {
    for setting in settings() {
        let charge = ParticleCharge::Neutral;
        compare(&Trial { setting, charge, charged: false, spread: false, webs: 150 });
    }
}

#[test]
fn spreads_of_fibres_are_those_of_the_physics() {
    for setting in settings() {
        let charge = ParticleCharge::Neutral;
        compare(&Trial { setting, charge, charged: false, spread: true, webs: 15 });
    }
}

#[test]
fn charged_webs_and_particles_are_those_of_the_physics() {
    for setting in settings() {
        for charge in [ParticleCharge::Neutral, ParticleCharge::Equilibrium, ParticleCharge::Each(-3)] {
            for charged in [false, true] {
                compare(&Trial { setting, charge, charged, spread: false, webs: 20 });
            }
        }
    }
}

/// Whole stacks against `PreparedStack`, uneven webs, a spread, sizes out of order, particles that do not arrive.
#[test]
fn penetrations_of_stacks_are_those_of_the_physics() {
    let mut sizes = sizes();
    sizes.push(Length::from_um(40.0));
    sizes.swap(3, 29);
    for setting in settings() {
        let velocity = Velocity::from_m_per_s(0.03);
        let kind =
            ParticleKind { density: Density::from_kg_per_m3(1200.0), charge: ParticleCharge::Equilibrium };
        let kernel = Kernel::new(&setting, velocity, &sizes, &kind);
        let (mut scratch, mut got) = (kernel.scratch(), vec![0.0; sizes.len()]);
        for index in 0..8 {
            let mut stream = Stream::new(2, WEB, index);
            let layers = [(false, true), (true, false)].map(|(charged, spread)| {
                Layer::Web(random_web(&mut stream, charged, spread, index % 2 == 0))
            });
            let stack = Stack::new([(layers[0].clone(), 1), (layers[1].clone(), 3)]);
            let exact = stack.prepare(&setting, velocity);
            let mut sum = kernel.empty();
            kernel.add_layer(&layers[0], 1.0, &mut sum, &mut scratch);
            kernel.add_layer(&layers[1], 3.0, &mut sum, &mut scratch);
            kernel.penetrations(&sum, &mut scratch, &mut got);
            for (size, got) in sizes.iter().zip(&got) {
                let expected = exact.penetration(*size, &kind).value;
                // An error of K turns into K times as much of P; what is below 1e-12 is not compared.
                let tolerance = if setting.closure == Closure::Resolved {
                    4.0 * RESOLVED_SEEN[1]
                } else {
                    1e-12 + LARGEST_MISS_IN_FULL_CELLS * expected * (1.0 - expected.max(1e-13).ln())
                };
                assert!((got - expected).abs() <= tolerance, "{setting:?} {size:?}: {got} for {expected}");
            }
        }
    }
}

/// Fibres and webs off the lattice are asked of the table itself.
#[test]
fn what_the_lattice_does_not_hold_is_exact() {
    let setting = settings().next().unwrap();
    let velocity = Velocity::from_m_per_s(0.1);
    let kind = ParticleKind { density: Density::from_kg_per_m3(1000.0), charge: ParticleCharge::Neutral };
    let kernel = Kernel::new(&setting, velocity, &sizes(), &kind);
    for (um, solidity) in [(5.0, 0.002), (5.0, 0.75), (5000.0, 0.05)] {
        let mut web = random_web(&mut Stream::new(3, WEB, 0), false, false, false);
        web.fibres = FibreDiameters::uniform(Length::from_um(um));
        web.solidity = Solidity::new(solidity).unwrap();
        let exact = web.prepare(setting.closure, &setting.air, velocity, setting.direction);
        for (size, got) in sizes().iter().zip(kernel.exponents(&web, 0, &mut kernel.scratch())) {
            let expected = exact.exponent(&Particle::new(&setting.air, *size, kind.density), 0).value;
            let miss = (got.unwrap() / expected - 1.0).abs();
            assert!(miss < 1e-6, "{um} um, {solidity}, {size:?}: {got:?} for {expected}");
        }
    }
}

/// What is compiled thrice, and what it works on.
struct Loops<'a> {
    kernel: &'a Kernel,
    fibre: &'a Fibre,
    inertia: &'a Inertia<'a>,
}

impl Loops<'_> {
    /// Widths of all sizes, and their elementary functions, with the instructions of whoever calls it.
    #[expect(clippy::inline_always, reason = "has to take part in the caller's vectors")]
    #[inline(always)]
    fn anywhere<A: Arithmetic>(&self, out: &mut [f64]) {
        let Self { kernel, fibre, inertia } = self;
        capture::anywhere::<A, _>(kernel.terms(), &kernel.sizes.groups, fibre, inertia, &mut Widths(out));
        for width in out {
            let exponent = *width * 1e5;
            *width = elementary::exp_in::<A>(-exponent)
                + elementary::ln_1p_in::<A>(exponent)
                + elementary::ln_in::<A>(*width);
        }
    }
}

#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
fn with_the_widest(loops: &Loops<'_>, out: &mut [f64]) {
    if target_cfg_f!(target_feature = "fma") {
        loops.anywhere::<Fused>(out);
    } else {
        loops.anywhere::<Apart>(out);
    }
}

#[multiversion(targets("x86_64+avx2+fma"))]
fn with_avx2(loops: &Loops<'_>, out: &mut [f64]) {
    if target_cfg_f!(target_feature = "fma") {
        loops.anywhere::<Fused>(out);
    } else {
        loops.anywhere::<Apart>(out);
    }
}

#[multiversion(targets("x86_64+avx2"))]
fn with_avx2_apart(loops: &Loops<'_>, out: &mut [f64]) {
    loops.anywhere::<Apart>(out);
}

/// Calls it for the fibres of random webs, in every setting.
fn for_fibres(mut then: impl FnMut(&Loops<'_>)) {
    for setting in settings() {
        let velocity = Velocity::from_m_per_s(0.05);
        let kind = ParticleKind { density: Density::from_kg_per_m3(1000.0), charge: ParticleCharge::Neutral };
        let kernel = Kernel::new(&setting, velocity, &sizes(), &kind);
        for index in 0..50 {
            let web = random_web(&mut Stream::new(4, WEB, index), false, false, false);
            let diameter = web.fibres.median().to_m();
            kernel.with_fibre(&kernel.prepared(&web), diameter, |fibre, inertia| {
                then(&Loops { kernel: &kernel, fibre, inertia });
            });
        }
    }
}

/// The widest vectors that this machine has and those of AVX2 give the same bits; so do all that do not fuse.
#[test]
fn the_same_bits_with_vectors_of_any_width() {
    for_fibres(|loops| {
        let mut results = [(); 4].map(|()| vec![0.0; loops.kernel.sizes.len()]);
        with_the_widest(loops, &mut results[0]);
        with_avx2(loops, &mut results[1]);
        with_avx2_apart(loops, &mut results[2]);
        loops.anywhere::<Apart>(&mut results[3]);
        let [widest, avx2, apart, plain] =
            results.map(|values| values.iter().map(|x| x.to_bits()).collect::<Vec<u64>>());
        assert_eq!(widest, avx2, "{:?}", loops.fibre);
        assert_eq!(apart, plain, "{:?}", loops.fibre);
    });
}

/// What machines give that cannot fuse a multiplication with an addition: up to [`WITHOUT_FUSING`] of a width beside it.
#[test]
fn machines_that_do_not_fuse_give_nearly_the_same() {
    let mut largest = [0.0_f64; 2];
    for_fibres(|loops| {
        let Loops { kernel, fibre, inertia } = loops;
        let (terms, groups) = (kernel.terms(), &kernel.sizes.groups);
        let [mut fused, mut apart] = [(); 2].map(|()| vec![0.0; kernel.sizes.len()]);
        capture::anywhere::<Fused, _>(terms, groups, fibre, inertia, &mut Widths(&mut fused));
        capture::anywhere::<Apart, _>(terms, groups, fibre, inertia, &mut Widths(&mut apart));
        for (i, (fused, apart)) in fused.iter().zip(&apart).enumerate() {
            let inert = i / sizes::GROUP < inertia.first;
            let most = if inert { WITHOUT_FUSING_OR_INERTIA } else { WITHOUT_FUSING };
            let miss = (fused / apart - 1.0).abs();
            assert!(miss <= most, "{fibre:?}, size {i}: {fused} and {apart}, {miss:e}");
            let largest = &mut largest[usize::from(inert)];
            *largest = miss.max(*largest);
        }
    });
    let [with, without] = largest;
    assert!(
        with > 0.1 * WITHOUT_FUSING && without > 0.1 * WITHOUT_FUSING_OR_INERTIA,
        "{with:e}, {without:e}: loose"
    );
}

/// How far webs in the solved cell are off at all, half of them and most of them.
#[test]
fn resolved_webs_are_those_of_the_physics() {
    let mut misses = Vec::new();
    for direction in [FlowDirection::Horizontal, FlowDirection::Down] {
        let setting = Setting { closure: Closure::Resolved, air: Air::reference(), direction };
        let kind =
            ParticleKind { density: Density::from_kg_per_m3(1500.0), charge: ParticleCharge::Equilibrium };
        let velocity = Velocity::from_m_per_s(0.07);
        let kernel = Kernel::new(&setting, velocity, &sizes(), &kind);
        let mut scratch = kernel.scratch();
        for index in 0..60 {
            let web = random_web(&mut Stream::new(6, WEB, index), false, index % 2 == 0, true);
            let exact = web.prepare(setting.closure, &setting.air, velocity, direction);
            for (size, got) in sizes().iter().zip(kernel.exponents(&web, 0, &mut scratch)) {
                let particle = Particle::new(&setting.air, *size, kind.density);
                let expected = exact.exponent(&particle, 0).value;
                let (miss, most) = resolved_miss([got.expect("each has one"), expected], &web, *size);
                assert!(miss <= most, "{web:?} {size:?}: miss {miss:e}");
                misses.push(miss);
            }
        }
    }
    misses.sort_by(f64::total_cmp);
    let [half, most] = [misses.len() / 2, misses.len() * 99 / 100].map(|at| misses[at]);
    assert!(half < 1e-6 && most < 1e-3, "{half:e} {most:e}");
}

/// Whoever fills lattices and contracts the table first.
#[test]
fn charged_webs_have_the_same_bits_on_one_two_and_seven_threads() {
    for closure in Closure::ALL {
        let setting = Setting { closure, air: Air::reference(), direction: FlowDirection::Horizontal };
        let velocity = Velocity::from_m_per_s(0.05);
        let kind =
            ParticleKind { density: Density::from_kg_per_m3(1200.0), charge: ParticleCharge::Equilibrium };
        let run = |threads: usize| {
            let kernel = Kernel::new(&setting, velocity, &sizes(), &kind);
            let draw = |index: u64| {
                let (mut scratch, mut sum) = (kernel.scratch(), kernel.empty());
                // One solidity after the other, and the first again.
                for layer in [index, index + 1, index] {
                    let mut web = random_web(&mut Stream::new(7, WEB, layer), true, layer % 5 == 0, true);
                    web.fibres = web.fibres.scaled(Length::from_um(3.0) / web.fibres.median());
                    kernel.add_web(&web, 1.0, &mut sum, &mut scratch);
                }
                sum.0.iter().map(|ln_p| ln_p.to_bits()).collect::<Vec<u64>>()
            };
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| (0..24).into_par_iter().map(draw).collect::<Vec<_>>())
        };
        let [one, two, seven] = [1, 2, 7].map(run);
        assert!(one == two && one == seven, "{closure:?}");
    }
}

/// Particles that fill their cell are caught as without charge, or better.
#[test]
fn charge_lets_nothing_through_that_is_sieved() {
    for setting in settings().filter(|setting| setting.direction == FlowDirection::Horizontal) {
        let velocity = Velocity::from_m_per_s(0.1);
        let kind =
            ParticleKind { density: Density::from_kg_per_m3(1000.0), charge: ParticleCharge::Equilibrium };
        let kernel = Kernel::new(&setting, velocity, &sizes(), &kind);
        for (index, um, solidity) in [(0, 0.5, 0.3), (1, 2.0, 0.5), (2, 1.0, 0.08)] {
            let mut web = random_web(&mut Stream::new(8, WEB, index), true, false, false);
            web.fibres = FibreDiameters::uniform(Length::from_um(um));
            web.solidity = Solidity::new(solidity).unwrap();
            let mut neutral = web.clone();
            neutral.electret.surface_charge = SurfaceCharge::from_c_per_m2(0.0);
            let exact = web.prepare(setting.closure, &setting.air, velocity, setting.direction);
            let mut scratch = kernel.scratch();
            // A charged particle, and one without charge at fibres without.
            let got = kernel.exponents(&web, 1, &mut scratch);
            let without = kernel.exponents(&neutral, 0, &mut scratch);
            let mut sieved = 0;
            for ((size, got), without) in sizes().iter().zip(got).zip(without) {
                if room(&web, *size) < 1.0 {
                    continue;
                }
                sieved += 1;
                let states = condensed_charge_states(kind.charge, &setting.air, *size);
                let particle = Particle::new(&setting.air, *size, kind.density);
                let expected = exact.exponent(&particle, states[1].0).value;
                let (got, without) = (got.unwrap(), without.unwrap());
                let (miss, most) = match setting.closure {
                    Closure::Resolved => resolved_miss([got, expected], &web, *size),
                    _ => ((got / expected - 1.0).abs(), LARGEST_MISS_IN_FULL_CELLS + LARGEST_MISS_BY_CHARGE),
                };
                assert!(miss < most, "{setting:?} {um} um {size:?}: {got} for {expected}");
                assert!(got >= without * (1.0 - 1e-6), "{setting:?} {um} um {size:?}: {got}, {without}");
            }
            assert!(sieved > 3, "{sieved} of {um} um at {solidity}");
        }
    }
}
