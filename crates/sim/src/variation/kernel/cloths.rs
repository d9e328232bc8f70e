//! Fibres of woven cloth, and of webs in the solved cell, on a lattice, for draws that differ in everything at once.
//!
//! Of a cloth's fibres, those in the yarns and the hairs across the pores, the physics asks a solidity, a fibre
//! diameter and a velocity. What each particle size then meets without charge, the width of air that a fibre clears,
//!
//! ```text
//! W = E_m d_f/arrival,   -ln P = [4 alpha t/(pi d_f^2)] (U/U0) W
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

use moteweir_physics::closure::{Closure, FibreSurroundings, PreparedFibre, Slices};
use moteweir_physics::layer::Setting;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::gravity::{self, FlowDirection};
use moteweir_physics::stack::ParticleKind;
use moteweir_units::{Density, Length, Solidity, SurfaceCharge, Velocity};
use multiversion::multiversion;

/// Steps of ln[alpha/(1 - alpha)], ln d_f and s.
const STEPS: [f64; 3] = [0.25, 0.2, 0.08];
/// Nodes of the cubics round a point.
const CORNERS: usize = 64;
/// First node of ln[alpha/(1 - alpha)], and how many there are: solidities from 1e-7 on, and as near to 1.
const FIRST_COLUMN: i32 = -64;
const COLUMNS: usize = 129;

/// Fibres and particles that charge does nothing to.
const UNCHARGED: Electret = Electret {
    surface_charge: SurfaceCharge::from_c_per_m2(0.0),
    fibre_permittivity: 1.0,
    particle_permittivity: 1.0,
};

/// Lattices of all kinds of fibre that the cloths of a run are made of.
#[derive(Debug)]
pub struct Cloths {
    setting: Setting,
    density: Density,
    particles: Vec<Particle>,
    kinds: RwLock<Vec<Arc<Fibres>>>,
}

/// The lattice of fibres of one closure.
#[derive(Debug)]
pub(super) struct Fibres {
    closure: Closure,
    /// The solidities, made as they are met; `None` where there is no such solidity.
    columns: Vec<OnceLock<Option<Column>>>,
    nodes: RwLock<HashMap<[i32; 3], Node>>,
    cells: RwLock<HashMap<[i32; 3], Arc<Cell>>>,
    slices: Slices,
}

/// ln W of every size, in the digits that a cubic is good for; `None` where there is no such fibre.
type Node = Option<Arc<[f32]>>;

/// The nodes round a point; `None` where one is missing.
type Cell = Option<[Arc<[f32]>; CORNERS]>;

/// What a solidity of a lattice brings.
#[derive(Clone, Copy, Debug)]
struct Column {
    solidity: Solidity,
    /// ln of the critical Stokes number on the face velocity.
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
    pub(super) fn of<'r>(readers: &'r mut Vec<Self>, cloths: &Cloths, closure: Closure) -> &'r mut Self {
        let same = |reader: &Self| reader.fibres.closure == closure;
        let place = readers.iter().position(same).unwrap_or_else(|| {
            readers.push(Self { fibres: cloths.fibres(closure), cells: HashMap::new() });
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
        Self { setting: *setting, density: kind.density, particles, kinds: RwLock::new(Vec::new()) }
    }

    /// The place of a size, if the lattices hold it.
    pub(super) fn place(&self, diameter: Length) -> Option<usize> {
        self.particles.binary_search_by(|p| p.diameter().to_m().total_cmp(&diameter.to_m())).ok()
    }

    /// Whether the lattices were made for a setting and particles of a density.
    pub(super) fn are_for(&self, setting: &Setting, density: Density) -> bool {
        self.setting == *setting && self.density == density
    }

    /// Whether flows of this direction are tabulated: against gravity some particles never arrive.
    pub(super) fn answers(&self) -> bool {
        self.setting.direction != FlowDirection::Up
    }

    /// How many sizes there are.
    pub(super) const fn sizes(&self) -> usize {
        self.particles.len()
    }

    /// The fibres of a closure.
    fn fibres(&self, closure: Closure) -> Arc<Fibres> {
        let same = |f: &&Arc<Fibres>| f.closure == closure;
        let known = |list: &[Arc<Fibres>]| list.iter().find(same).map(Arc::clone);
        if let Some(fibres) = known(&self.kinds.read().unwrap_or_else(PoisonError::into_inner)) {
            return fibres;
        }
        let mut list = self.kinds.write().unwrap_or_else(PoisonError::into_inner);
        known(&list).unwrap_or_else(|| {
            let fibres = Arc::new(Fibres {
                closure,
                columns: (0..COLUMNS).map(|_| OnceLock::new()).collect(),
                nodes: RwLock::default(),
                cells: RwLock::default(),
                slices: Slices::default(),
            });
            list.push(Arc::clone(&fibres));
            fibres
        })
    }

    /// ln W \[W in m\] of every size at a solidity, fibre diameter and velocity; `false` where the lattice has no
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

    /// ln W of every size, by the physics.
    fn node(&self, fibres: &Fibres, place: [i32; 3]) -> Node {
        let column = fibres.column(place[0])?;
        self.ln_widths(fibres, column, [place[1], place[2]].map(f64::from)).map(Arc::from)
    }

    /// ln W of every size at a solidity, fibre diameter and s, both in steps.
    fn ln_widths(&self, fibres: &Fibres, column: &Column, place: [f64; 2]) -> Option<Vec<f32>> {
        let Column { solidity, ln_critical } = *column;
        let ln_diameter = place[0] * STEPS[1];
        let velocity = libm::exp(place[1] * STEPS[2] + ln_diameter + ln_critical);
        let diameter = libm::exp(ln_diameter);
        let surroundings = FibreSurroundings {
            solidity,
            fibre_diameter: Length::from_m(diameter),
            face_velocity: Velocity::from_m_per_s(velocity),
            direction: self.setting.direction,
            electret: UNCHARGED,
        };
        let air = &self.setting.air;
        let fibre = PreparedFibre::with_slices(fibres.closure, air, surroundings, &fibres.slices);
        let ln_width = |particle: &Particle| {
            let settling = particle.settling_velocity().to_m_per_s() / velocity;
            let width = diameter / gravity::arrival(settling, self.setting.direction);
            let ln_width = libm::log(fibre.mechanical(particle).single.total.value * width);
            #[expect(clippy::cast_possible_truncation, reason = "far more digits than the cubics have")]
            ln_width.is_finite().then_some(ln_width as f32)
        };
        self.particles.iter().map(ln_width).collect()
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
        slot.get_or_init(|| self.column_at(f64::from(place))).as_ref()
    }

    /// The column of a solidity in steps.
    fn column_at(&self, place: f64) -> Option<Column> {
        let odds = libm::exp(place * STEPS[0]);
        let solidity = Solidity::new(odds / (1.0 + odds))?;
        let slice = self.slices.impaction(solidity);
        let ln_critical = libm::log(slice.critical_stokes() * self.closure.convention(solidity));
        ln_critical.is_finite().then_some(Column { solidity, ln_critical })
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

#[cfg(test)]
mod tests {
    use moteweir_physics::air::Air;
    use moteweir_physics::charging::ParticleCharge;

    use super::super::{
        CLOTHS_LARGEST_MISS, NEARLY_FULL, RESOLVED_LARGEST_MISS, RESOLVED_LARGEST_MISS_IN_FULL_CELLS,
    };
    use super::*;

    /// Solidities, fibre diameters \[um\] and velocities \[m/s\] from and to.
    type Within = [[f64; 2]; 3];

    /// Whether a size takes nearly all of the room that its cell has for it, or more.
    fn fills(particle: &Particle, at: &FibrePlace) -> bool {
        let room = 1.0 / at.solidity.fraction().sqrt() - 1.0;
        particle.diameter() / at.diameter >= NEARLY_FULL * room
    }

    /// How far the cubic of cubics of cubics is off at most, in ln W of each size: what each misses half-way between two
    /// nodes, where it is farthest from any, summed, each times the weights' magnitudes of those that follow: 1.25 at most.
    fn misses(cloths: &Cloths, fibres: &Fibres, place: [i32; 3]) -> Vec<f64> {
        let column = fibres.column(place[0]).expect("there are such solidities");
        let mut sums = vec![0.0; cloths.sizes()];
        for (axis, times) in [1.25 * 1.25, 1.25, 1.0].into_iter().enumerate() {
            let at = |step: i32| {
                let mut at = place;
                at[axis] += step;
                fibres.corner(at, cloths).expect("there is such a fibre")
            };
            let [a, b, c, d] = [-1, 0, 1, 2].map(at);
            let half = |of: usize| f64::from(place[of]) + if axis == of { 0.5 } else { 0.0 };
            let between = fibres.column_at(half(0)).expect("there are such solidities");
            let column = if axis == 0 { &between } else { column };
            let exact = cloths.ln_widths(fibres, column, [half(1), half(2)]);
            for (i, exact) in exact.expect("there is such a fibre").iter().enumerate() {
                let of = |row: &[f32]| f64::from(row[i]);
                let cubic = (9.0 * (of(&b) + of(&c)) - of(&a) - of(&d)) / 16.0;
                sums[i] += times * (cubic - f64::from(*exact)).abs();
            }
        }
        sums
    }

    /// Derived bound of the miss in penetration of layers up to a thickness, of sizes with room and of those without.
    ///
    /// Where ln W is off by m, P = exp(-K) is off by at most the largest K exp(-K), of K up to what the thickest layer has,
    /// times exp(m) - 1.
    fn bound(closure: Closure, within: Within, thickest: Length, every: i32) -> [f64; 2] {
        let setting = Setting { closure, air: Air::reference(), direction: FlowDirection::Horizontal };
        let kind = ParticleKind { density: Density::from_kg_per_m3(1500.0), charge: ParticleCharge::Neutral };
        let sizes: Vec<Length> =
            (0..41).map(|i| Length::from_um(0.01 * 1000_f64.powf(f64::from(i) / 40.0))).collect();
        let cloths = Cloths::new(&setting, &sizes, &kind);
        let fibres = cloths.fibres(closure);
        let places = |[from, to]: [f64; 2], step: f64, every: i32| {
            #[expect(clippy::cast_possible_truncation, reason = "a few hundred")]
            ((from / step) as i32..=(to / step) as i32).step_by(usize::try_from(every).expect("a step"))
        };
        let [solidities, diameters, velocities] = within;
        let odds = solidities.map(|alpha| libm::log(alpha / (1.0 - alpha)));
        let mut worst = [0.0_f64; 2];
        for a in places(odds, STEPS[0], every) {
            let Column { solidity, ln_critical } = *fibres.column(a).expect("there are such solidities");
            for d in places(diameters.map(|um| libm::log(1e-6 * um)), STEPS[1], every) {
                let diameter = Length::from_m(libm::exp(f64::from(d) * STEPS[1]));
                let at = FibrePlace { solidity, diameter, velocity: Velocity::from_m_per_s(1.0) };
                let length = at.length_over_area(thickest);
                let rise = |u: f64| libm::log(u) - f64::from(d) * STEPS[1] - ln_critical;
                for s in places(velocities.map(rise), STEPS[2], 1) {
                    let widths = fibres.corner([a, d, s], &cloths).expect("there is such a fibre");
                    let misses = misses(&cloths, &fibres, [a, d, s]);
                    for (i, (miss, ln_width)) in misses.iter().zip(&widths[..]).enumerate() {
                        let most = (length * libm::exp(f64::from(*ln_width))).min(1.0);
                        let full = usize::from(fills(&cloths.particles[i], &at));
                        let miss = most * libm::exp(-most) * libm::expm1(*miss);
                        worst[full] = worst[full].max(miss);
                    }
                }
            }
        }
        worst
    }

    #[test]
    fn the_lattice_misses_no_more_than_is_said() {
        let endless = Length::from_m(1e3);
        let webs = [[0.004, 0.6], [0.1, 60.0], [0.01, 0.4]];
        let [with_room, full] = bound(Closure::Resolved, webs, endless, 3);
        // What cloths are made of: fibres of yarns, and hairs across pores.
        let yarns = [[0.25, 0.75], [6.0, 30.0], [1e-4, 0.3]];
        let hairs = [[3e-4, 0.05], [6.0, 30.0], [0.01, 10.0]];
        let thickest = Length::from_mm(0.8);
        let mut most = 0.0_f64;
        for (closure, within) in [
            (Closure::KuwabaraCell, yarns),
            (Closure::KuwabaraCell, hairs),
            (Closure::LeeLiu, hairs),
            (Closure::Resolved, hairs),
        ] {
            let found = bound(closure, within, thickest, 2);
            most = most.max(found[0].max(found[1]));
        }
        // Nor is what is said much more than that.
        for (found, said) in [
            (with_room, RESOLVED_LARGEST_MISS),
            (full, RESOLVED_LARGEST_MISS_IN_FULL_CELLS),
            (most, CLOTHS_LARGEST_MISS),
        ] {
            assert!(found <= said && found > 0.5 * said, "{found} of {said}");
        }
    }
}
