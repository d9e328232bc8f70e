//! Fibres of woven cloth on a lattice, for draws that differ in everything at once.
//!
//! Of a cloth's fibres, those in the yarns and the hairs across the pores, the physics asks a solidity, a fibre
//! diameter and a velocity. What each particle size and charge state then meets, the width of air that a fibre clears,
//!
//! ```text
//! W = E d_f (U0/U) /arrival,   -ln P = [4 alpha t/(pi d_f^2)] W
//! ```
//! is kept as its logarithm on a lattice, solved where draws fall and read by cubics. The steep rise of inertia stands
//! where the Stokes number is the critical one, which depends on the solidity: on the coordinates
//!
//! ```text
//! ln[alpha/(1 - alpha)],   ln d_f,   s = ln[U/(d_f Stk_c(alpha))]
//! ```
//! U the velocity of the closure's convention, the rise of each size is at nearly one s. All face velocities and all stacks of a run share one lattice, since pores and yarns have velocities of
//! their own anyway. How the air divides and what bare pores catch are closed forms and asked for each draw.
//!
//! A node is a pure function of its place, so that it does not matter which thread meets it first, and draws do not
//! depend on the range that other draws cover.

use std::collections::HashMap;
use std::f64::consts::PI;
use std::sync::{Arc, OnceLock, PoisonError, RwLock};

use moteweir_physics::charging::condensed_charge_states;
use moteweir_physics::closure::{Closure, FibreSurroundings, PreparedFibre, Slices};
use moteweir_physics::layer::Setting;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::{self, FlowDirection};
use moteweir_physics::stack::ParticleKind;
use moteweir_units::{Length, Solidity, Velocity};
use multiversion::multiversion;

/// Steps of ln[alpha/(1 - alpha)], ln d_f and s.
const STEPS: [f64; 3] = [0.25, 0.2, 0.08];
/// Nodes of the cubics round a point.
const CORNERS: usize = 64;
/// First node of ln[alpha/(1 - alpha)], and how many there are: solidities from 1e-7 on, and as near to 1.
const FIRST_COLUMN: i32 = -64;
const COLUMNS: usize = 129;

/// Lattices of all kinds of fibre that the cloths of a run are made of.
#[derive(Debug)]
pub struct Cloths {
    setting: Setting,
    particles: Vec<Particle>,
    states: Vec<Vec<i32>>,
    /// First channel of each size; a channel is a charge state of a size.
    first: Vec<usize>,
    channels: usize,
    kinds: RwLock<Vec<Arc<Fibres>>>,
}

/// The lattice of fibres of one closure and charge.
#[derive(Debug)]
pub(super) struct Fibres {
    closure: Closure,
    electret: Electret,
    /// The solidities, made as they are met; `None` where there is no such solidity.
    columns: Vec<OnceLock<Option<Column>>>,
    nodes: RwLock<HashMap<[i32; 3], Node>>,
    cells: RwLock<HashMap<[i32; 3], Arc<Cell>>>,
    slices: Slices,
}

/// ln W of every channel, in the digits that a cubic is good for; `None` where there is no such fibre.
type Node = Option<Arc<[f32]>>;

/// The nodes round a point; `None` where one is missing.
type Cell = Option<[Arc<[f32]>; CORNERS]>;

/// What a solidity of a lattice brings.
#[derive(Debug)]
struct Column {
    solidity: Solidity,
    /// Velocity of the closure's convention over the face velocity.
    convention: f64,
    /// ln of the critical Stokes number over that.
    ln_critical: f64,
}

/// Fibres of one kind, with the cells that a thread has read from: for those it asks for no lock.
#[derive(Clone, Debug)]
pub(super) struct Reader {
    fibres: Arc<Fibres>,
    cells: HashMap<[i32; 3], Arc<Cell>>,
}

impl Reader {
    /// The reader of a kind among those that a thread has, made if need be.
    pub(super) fn of<'r>(
        readers: &'r mut Vec<Self>,
        cloths: &Cloths,
        closure: Closure,
        electret: &Electret,
    ) -> &'r mut Self {
        let same = |reader: &Self| reader.fibres.closure == closure && reader.fibres.electret == *electret;
        let place = readers.iter().position(same).unwrap_or_else(|| {
            readers.push(Self { fibres: cloths.fibres(closure, electret), cells: HashMap::new() });
            readers.len() - 1
        });
        &mut readers[place]
    }
}

impl Cloths {
    /// For particles of some sizes, whatever the face velocity. Only flows across and along gravity are tabulated.
    pub fn new(setting: &Setting, sizes: &[Length], kind: &ParticleKind) -> Self {
        let air = &setting.air;
        let mut diameters = sizes.to_vec();
        diameters.sort_by(|a, b| a.to_m().total_cmp(&b.to_m()));
        diameters.dedup();
        let particles: Vec<Particle> =
            diameters.iter().map(|&d| Particle::new(air, d, kind.density)).collect();
        let states: Vec<Vec<i32>> = diameters
            .iter()
            .map(|&d| condensed_charge_states(kind.charge, air, d).into_iter().map(|(n, _)| n).collect())
            .collect();
        let first = states
            .iter()
            .scan(0, |next, states| {
                let first = *next;
                *next += states.len();
                Some(first)
            })
            .collect();
        let channels = states.iter().map(Vec::len).sum();
        Self { setting: *setting, particles, states, first, channels, kinds: RwLock::new(Vec::new()) }
    }

    /// The channel of a charge state of a size, if the lattices hold it.
    pub(super) fn channel(&self, diameter: Length, state: usize, charges: i32) -> Option<usize> {
        let size =
            self.particles.binary_search_by(|p| p.diameter().to_m().total_cmp(&diameter.to_m())).ok()?;
        (self.states[size].get(state) == Some(&charges)).then(|| self.first[size] + state)
    }

    /// Whether the lattices were made for a setting.
    pub(super) fn are_for(&self, setting: &Setting) -> bool {
        self.setting == *setting
    }

    /// Whether flows of this direction are tabulated: against gravity some particles never arrive.
    pub(super) fn answers(&self) -> bool {
        self.setting.direction != FlowDirection::Up
    }

    /// How many channels there are.
    pub(super) const fn channels(&self) -> usize {
        self.channels
    }

    /// The fibres of a closure and charge.
    fn fibres(&self, closure: Closure, electret: &Electret) -> Arc<Fibres> {
        let same = |f: &&Arc<Fibres>| f.closure == closure && f.electret == *electret;
        let known = |list: &[Arc<Fibres>]| list.iter().find(same).map(Arc::clone);
        if let Some(fibres) = known(&self.kinds.read().unwrap_or_else(PoisonError::into_inner)) {
            return fibres;
        }
        let mut list = self.kinds.write().unwrap_or_else(PoisonError::into_inner);
        known(&list).unwrap_or_else(|| {
            let fibres = Arc::new(Fibres {
                closure,
                electret: *electret,
                columns: (0..COLUMNS).map(|_| OnceLock::new()).collect(),
                nodes: RwLock::default(),
                cells: RwLock::default(),
                slices: Slices::default(),
            });
            list.push(Arc::clone(&fibres));
            fibres
        })
    }

    /// ln W \[W in m\] of every channel at a solidity, fibre diameter and velocity; `false` where the lattice has no
    /// answer.
    pub(super) fn read(&self, reader: &mut Reader, at: &FibrePlace, out: &mut [f32]) -> bool {
        let Reader { fibres, cells } = reader;
        let alpha = at.solidity.fraction();
        let odds = libm::log(alpha / (1.0 - alpha)) / STEPS[0];
        if !holds(odds) {
            return false;
        }
        let a = stencil(odds);
        let Some(ln_critical) = fibres.ln_critical(a) else { return false };
        let ln_diameter = libm::log(at.diameter.to_m());
        let rise = libm::log(at.velocity.to_m_per_s()) - ln_diameter - ln_critical;
        let [diameter, rise] = [ln_diameter / STEPS[1], rise / STEPS[2]];
        if !holds(diameter) || !holds(rise) {
            return false;
        }
        let (d, v) = (stencil(diameter), stencil(rise));
        let base = [a.0, d.0, v.0];
        let cell = cells.entry(base).or_insert_with(|| fibres.cell(base, self));
        let Some(corners) = cell.as_ref() else { return false };
        let rows: [&[f32]; CORNERS] = std::array::from_fn(|k| &corners[k][..]);
        #[expect(clippy::cast_possible_truncation, reason = "the rows have no more digits")]
        let weights: [f32; CORNERS] =
            std::array::from_fn(|k| (a.1[k / 16] * d.1[k / 4 % 4] * v.1[k % 4]) as f32);
        weigh(&rows, &weights, out);
        true
    }

    /// ln W of every channel, by the physics.
    fn node(&self, fibres: &Fibres, place: [i32; 3]) -> Node {
        let Column { solidity, convention, ln_critical } = fibres.column(place[0])?;
        let ln_diameter = f64::from(place[1]) * STEPS[1];
        let velocity = libm::exp(f64::from(place[2]) * STEPS[2] + ln_diameter + ln_critical);
        let diameter = libm::exp(ln_diameter);
        let surroundings = FibreSurroundings {
            solidity: *solidity,
            fibre_diameter: Length::from_m(diameter),
            face_velocity: Velocity::from_m_per_s(velocity),
            direction: self.setting.direction,
            electret: fibres.electret,
        };
        let air = &self.setting.air;
        let fibre = PreparedFibre::with_slices(fibres.closure, air, surroundings, &fibres.slices);
        let mut row = Vec::with_capacity(self.channels);
        for (particle, states) in self.particles.iter().zip(&self.states) {
            let settling = particle.settling_velocity().to_m_per_s() / velocity;
            let width = diameter * convention / gravity::arrival(settling, self.setting.direction);
            let mechanical = fibre.mechanical(particle);
            for &charges in states {
                let ln_width = libm::log(fibre.total_with_charge(&mechanical, charges).value * width);
                if !ln_width.is_finite() {
                    return None;
                }
                #[expect(clippy::cast_possible_truncation, reason = "far more digits than the cubics have")]
                row.push(ln_width as f32);
            }
        }
        Some(row.into())
    }
}

/// Where fibres stand on a lattice.
#[derive(Clone, Copy, Debug)]
pub(super) struct FibrePlace {
    pub(super) solidity: Solidity,
    pub(super) diameter: Length,
    /// Velocity over the area that these fibres fill.
    pub(super) velocity: Velocity,
}

impl FibrePlace {
    /// Length of fibre in an area that is filled to a thickness \[1/m\].
    pub(super) fn length_over_area(&self, thickness: Length) -> f64 {
        let d = self.diameter.to_m();
        4.0 * self.solidity.fraction() * thickness.to_m() / (PI * d * d)
    }
}

impl Fibres {
    /// The column of a solidity, made if need be.
    fn column(&self, place: i32) -> Option<&Column> {
        let slot = self.columns.get(usize::try_from(place.checked_sub(FIRST_COLUMN)?).ok()?)?;
        let made = slot.get_or_init(|| {
            let odds = libm::exp(f64::from(place) * STEPS[0]);
            let solidity = Solidity::new(odds / (1.0 + odds))?;
            let slice = self.slices.impaction(solidity);
            let convention = 1.0 / self.closure.convention(solidity);
            let ln_critical = libm::log(slice.critical_stokes() / convention);
            ln_critical.is_finite().then_some(Column { solidity, convention, ln_critical })
        });
        made.as_ref()
    }

    /// The columns' ln Stk_c between them.
    fn ln_critical(&self, (base, weights): (i32, [f64; 4])) -> Option<f64> {
        (base..).zip(weights).map(|(place, w)| Some(w * self.column(place)?.ln_critical)).sum()
    }

    fn cell(&self, base: [i32; 3], cloths: &Cloths) -> Arc<Cell> {
        if let Some(cell) = self.cells.read().unwrap_or_else(PoisonError::into_inner).get(&base) {
            return Arc::clone(cell);
        }
        let corner = |k: usize| {
            let step = |n: usize| i32::try_from(n).unwrap_or(0);
            self.corner([base[0] + step(k / 16), base[1] + step(k / 4 % 4), base[2] + step(k % 4)], cloths)
        };
        let corners: Option<Vec<Arc<[f32]>>> = (0..CORNERS).map(corner).collect();
        let cell: Arc<Cell> = Arc::new(corners.and_then(|corners| corners.try_into().ok()));
        self.cells.write().unwrap_or_else(PoisonError::into_inner).insert(base, Arc::clone(&cell));
        cell
    }

    fn corner(&self, place: [i32; 3], cloths: &Cloths) -> Node {
        if let Some(node) = self.nodes.read().unwrap_or_else(PoisonError::into_inner).get(&place) {
            return node.clone();
        }
        // Made outside the lock: two threads may both make it, and make the same.
        let node = cloths.node(self, place);
        self.nodes.write().unwrap_or_else(PoisonError::into_inner).insert(place, node.clone());
        node
    }
}

/// Whether a place is one that nodes have numbers for.
const fn holds(place: f64) -> bool {
    place.is_finite() && place.abs() < 1e6
}

/// The first of four nodes round a place, and their weights in a cubic through them.
fn stencil(place: f64) -> (i32, [f64; 4]) {
    let floor = place.floor();
    #[expect(clippy::cast_possible_truncation, reason = "bounded by the caller")]
    let base = floor as i32 - 1;
    let t = place - f64::from(base);
    let [t0, t1, t2, t3] = [t, t - 1.0, t - 2.0, t - 3.0];
    let (outer, inner) = (t1 * t2 / 6.0, 0.5 * t0 * t3);
    (base, [-outer * t3, inner * t2, -inner * t1, outer * t0])
}

/// The weighted sum of rows, eight at a time.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn weigh(rows: &[&[f32]; CORNERS], weights: &[f32; CORNERS], out: &mut [f32]) {
    let n = out.len();
    out.fill(0.0);
    for (rows, w) in rows.chunks_exact(8).zip(weights.chunks_exact(8)) {
        let [a, b, c, d] = [&rows[0][..n], &rows[1][..n], &rows[2][..n], &rows[3][..n]];
        let [e, f, g, h] = [&rows[4][..n], &rows[5][..n], &rows[6][..n], &rows[7][..n]];
        for x in 0..n {
            let first = (w[0] * a[x] + w[1] * b[x]) + (w[2] * c[x] + w[3] * d[x]);
            let second = (w[4] * e[x] + w[5] * f[x]) + (w[6] * g[x] + w[7] * h[x]);
            out[x] += first + second;
        }
    }
}
