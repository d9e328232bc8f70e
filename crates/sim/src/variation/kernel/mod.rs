//! Penetration of many webs at many sizes, fast: the same physics as `moteweir_physics::web`, arranged for vectors.
//!
//! What depends on the size alone is made once ([`sizes`]), what depends on the web alone once for each draw
//! ([`fibre`]), and what joins them runs over all sizes in loops without branches ([`capture`], [`charge`]), which are
//! compiled for AVX-512, for AVX2 and for any machine, and chosen when the program runs. The first two fuse multiplications
//! with additions and give the same bits; a machine that cannot gives other last digits ([`WITHOUT_FUSING`]). Impaction
//! comes from a [`lattice`] that fills as draws need it; that interpolation is the only approximation ([`LARGEST_MISS`]).
//! Spreads of fibre diameters go the same way, one fibre after the other. Weaves, and webs in the solved cell, read what
//! their fibres sweep without charge from a lattice ([`Cloths`]); where it has no answer `moteweir_physics` itself is asked.
//! Charge joins whatever was swept, by the law itself in single precision, its table contracted once for each web
//! ([`charge`], [`joint`]).

mod accuracy;
mod capture;
mod channels;
mod charge;
mod charged_fibre;
mod cloths;
mod fibre;
mod joint;
mod lattice;
mod penetration;
mod single;
mod sizes;
#[cfg(test)]
mod tests;
mod weave;

use std::sync::Arc;

use moteweir_physics::closure::{Closure, fibre_length_per_volume};
use moteweir_physics::layer::{Layer, Setting};
use moteweir_physics::single_fibre::electrostatic::Electret;
use moteweir_physics::single_fibre::impaction::ImpactionSlice;
use moteweir_physics::stack::ParticleKind;
use moteweir_physics::weave::Weave;
use moteweir_physics::web::Web;
use moteweir_units::{Length, Velocity};
use multiversion::multiversion;

pub use self::accuracy::{
    CLOTHS_LARGEST_MISS, LARGEST_MISS, LARGEST_MISS_BY_CHARGE, LARGEST_MISS_IN_FULL_CELLS, NEARLY_FULL,
    RESOLVED_LARGEST_MISS, RESOLVED_LARGEST_MISS_IN_FULL_CELLS, WITHOUT_FUSING, WITHOUT_FUSING_OR_INERTIA,
};
use self::capture::{Sums, Terms, Widths};
use self::channels::Channels;
use self::charge::{ChargeRoom, ChargeTables, Swept};
use self::charged_fibre::{ChargedFibre, Whereabouts};
pub use self::cloths::Cloths;
use self::cloths::FibrePlace;
use self::fibre::{Array, Fibre, Surroundings};
use self::lattice::{Inertia, Lattice, Row, Solidities};
use self::sizes::Sizes;
use self::weave::{Room, Woven};

/// A spread of fibre diameters this small is one diameter.
const ONE_SIZE: f64 = 1.0 + 1e-6;

/// Fibres that make less than this share of a web's exponent are left out.
const NEGLIGIBLE_SHARE: f64 = 1e-5;

/// Everything that draws of stacks at one face velocity share.
#[derive(Debug)]
pub struct Kernel {
    setting: Setting,
    face_velocity: Velocity,
    surroundings: Surroundings,
    sizes: Sizes,
    /// Where each size as given lies among the sorted ones.
    places: Vec<usize>,
    /// Whether they were given in rising order.
    sorted: bool,
    channels: Channels,
    charge: ChargeTables,
    lattice: Lattice,
    woven: Option<Woven>,
}

/// What all fibres of a web share.
#[derive(Clone, Copy, Debug)]
struct Prepared {
    array: Array,
    /// Its place on the lattice, unless it lies outside.
    place: Option<Solidities>,
}

/// Room for the work on one draw; one for each thread, made by [`Kernel::scratch`].
#[derive(Clone, Debug)]
pub struct Scratch {
    widths: Vec<f64>,
    charge: ChargeRoom,
    exponents: Vec<f64>,
    penetrations: Vec<f64>,
    woven: Room,
}

/// ln of the penetration of each size and charge state, of the layers added so far.
#[derive(Clone, Debug, PartialEq)]
pub struct LogPenetrations(Vec<f64>);

impl LogPenetrations {
    /// No layer: everything gets through.
    pub fn clear(&mut self) {
        self.0.fill(0.0);
    }

    /// Adds other layers, `times` of them.
    pub fn add(&mut self, layers: &Self, times: f64) {
        for (sum, layer) in self.0.iter_mut().zip(&layers.0) {
            *sum += times * layer;
        }
    }

    /// The logarithms, size by size within each charge state.
    pub(super) fn logarithms(&self) -> &[f64] {
        &self.0
    }

    /// Sets each logarithm by its place.
    pub(super) fn set(&mut self, of: impl Fn(usize) -> f64) {
        for (place, sum) in self.0.iter_mut().enumerate() {
            *sum = of(place);
        }
    }
}

impl Kernel {
    /// Makes ready for particles of any number of sizes, in any order. The face velocity must be positive.
    pub fn new(setting: &Setting, face_velocity: Velocity, sizes: &[Length], kind: &ParticleKind) -> Self {
        let cloths = Arc::new(Cloths::new(setting, sizes, kind));
        Self::with_cloths(setting, face_velocity, sizes, kind, &cloths)
    }

    /// As [`Kernel::new`], with lattices of woven cloths that kernels of other velocities share: what they read does not
    /// depend on who asks first. Lattices of another setting, or without one of the sizes, are not used.
    pub fn with_cloths(
        setting: &Setting,
        face_velocity: Velocity,
        sizes: &[Length],
        kind: &ParticleKind,
        cloths: &Arc<Cloths>,
    ) -> Self {
        let air = &setting.air;
        let (sizes, places) = Sizes::new(sizes, kind.density, air, face_velocity, setting.direction);
        let surroundings = Surroundings {
            closure: setting.closure,
            face_velocity: face_velocity.to_m_per_s(),
            mean_free_path: air.mean_free_path().to_m(),
        };
        let channels = Channels::new(&sizes.particles, kind, air);
        Self {
            setting: *setting,
            face_velocity,
            surroundings,
            woven: Woven::new(cloths, setting, kind, &sizes.particles),
            charge: ChargeTables::new(&sizes.particles, air, &channels),
            channels,
            lattice: Lattice::new(surroundings),
            sizes,
            sorted: places.is_sorted(),
            places,
        }
    }

    /// The setting that it was made for.
    pub const fn setting(&self) -> &Setting {
        &self.setting
    }

    /// The face velocity that it was made for.
    pub const fn face_velocity(&self) -> Velocity {
        self.face_velocity
    }

    /// Room to work in.
    pub fn scratch(&self) -> Scratch {
        let n = self.sizes.len();
        Scratch {
            widths: vec![0.0; n],
            charge: self.charge.room(),
            exponents: vec![0.0; self.channels.len],
            penetrations: vec![0.0; n],
            woven: Room::default(),
        }
    }

    /// A stack without layers.
    pub fn empty(&self) -> LogPenetrations {
        LogPenetrations(vec![0.0; self.channels.len])
    }

    /// Adds a layer, `times` over.
    pub fn add_layer(&self, layer: &Layer, times: f64, sum: &mut LogPenetrations, scratch: &mut Scratch) {
        match layer {
            Layer::Web(web) => self.add_web(web, times, sum, scratch),
            Layer::Weave(weave) => self.add_weave(weave, times, sum, scratch),
        }
    }

    /// Adds a web, `times` over, its unevenness evened out before the next layer.
    pub fn add_web(&self, web: &Web, times: f64, sum: &mut LogPenetrations, scratch: &mut Scratch) {
        let prepared = self.prepared(web);
        let single = web.fibres.gsd() < ONE_SIZE && self.setting.closure != Closure::Resolved;
        let even = web.unevenness == 0.0;
        if single && even && !self.feels_charge(web) {
            let diameter = web.fibres.median().to_m();
            let factor = -times * self.clearing(web, &prepared.array, diameter * diameter);
            self.sweep(&prepared, diameter, &mut Sums { factor, sums: &mut sum.0 });
            return;
        }
        self.sum_exponents(web, &prepared, scratch);
        if even {
            for (sum, exponent) in sum.0.iter_mut().zip(&scratch.exponents) {
                *sum -= times * exponent;
            }
        } else {
            penetration::subtract_uneven(&scratch.exponents, web.unevenness, times, &mut sum.0);
        }
    }

    /// Sets what is left of a layer when it is even: ln P = -K of each size and charge state.
    pub(super) fn set_even(&self, layer: &Layer, out: &mut LogPenetrations, scratch: &mut Scratch) {
        out.clear();
        match layer {
            Layer::Web(web) => {
                self.sum_exponents(web, &self.prepared(web), scratch);
                for (out, exponent) in out.0.iter_mut().zip(&scratch.exponents) {
                    *out = -exponent;
                }
            }
            Layer::Weave(weave) => self.add_weave(weave, 1.0, out, scratch),
        }
    }

    /// Exponent K of an even web, P = exp(-K), for each size as given and its k-th charge state \[-\].
    ///
    /// `None` for sizes that have no such state.
    pub fn exponents(&self, web: &Web, state: usize, scratch: &mut Scratch) -> Vec<Option<f64>> {
        self.sum_exponents(web, &self.prepared(web), scratch);
        let exponent = |&size: &usize| {
            (state < self.channels.states[size].len())
                .then(|| scratch.exponents[self.channels.place(size, state)])
        };
        self.places.iter().map(exponent).collect()
    }

    /// Adds other layers, `times` of them, ln P of each size multiplied by a factor of its own, sizes in the order given.
    pub fn add_scaled(
        &self,
        layers: &LogPenetrations,
        times: f64,
        factors: &[f64],
        sum: &mut LogPenetrations,
    ) {
        let mut sorted = vec![times; self.sizes.len()];
        for (&place, factor) in self.places.iter().zip(factors) {
            sorted[place] = times * factor;
        }
        for slot in &self.channels.slots {
            let range = slot.offset..slot.offset + slot.shares.len();
            let of_slot = sum.0[range.clone()].iter_mut().zip(&layers.0[range]).zip(&sorted[slot.start..]);
            of_slot.for_each(|((sum, layer), factor)| *sum += factor * layer);
        }
    }

    /// Penetration at each size, in the order given, of the layers that were added.
    pub fn penetrations(&self, sum: &LogPenetrations, scratch: &mut Scratch, out: &mut [f64]) {
        let penetrations = &mut scratch.penetrations;
        penetration::add_up(&self.channels.slots, &sum.0, &self.sizes.inverse_arrival, penetrations);
        if self.sorted {
            out.copy_from_slice(&penetrations[..out.len()]);
            return;
        }
        for (out, &place) in out.iter_mut().zip(&self.places) {
            *out = penetrations[place];
        }
    }

    fn feels_charge(&self, web: &Web) -> bool {
        self.channels.charged || web.electret.surface_charge.to_c_per_m2() != 0.0
    }

    /// Exponent for one unit of swept width, particles arriving as the air does \[1/m\].
    fn clearing(&self, web: &Web, array: &Array, mean_square: f64) -> f64 {
        let length = fibre_length_per_volume(web.solidity, mean_square) * web.thickness.to_m();
        length / array.convention / web.inhomogeneity_in(self.setting.closure)
    }

    /// What all fibres of a web share.
    fn prepared(&self, web: &Web) -> Prepared {
        let array = Array::new(web.solidity, &self.surroundings);
        Prepared { place: self.lattice.solidities(&array), array }
    }

    /// A fibre of one diameter, and what inertia brings to it, for which `then` is called.
    fn with_fibre<R>(
        &self,
        prepared: &Prepared,
        diameter: f64,
        then: impl FnOnce(&Fibre, &Inertia<'_>) -> R,
    ) -> R {
        let Prepared { array, place } = prepared;
        let fibre = Fibre::new(diameter, array, &self.surroundings);
        let mut inertia = Inertia::NONE;
        let read = place
            .as_ref()
            .is_some_and(|at| self.lattice.read(&self.sizes, at, fibre.ln_diameter, &mut inertia));
        if read {
            return then(&fibre, &inertia);
        }
        let slice = ImpactionSlice::new(array.solidity);
        then(&fibre, &Row::fresh(&self.sizes, &slice, array, diameter).alone())
    }

    const fn terms(&self) -> Terms {
        Terms { closure: self.setting.closure, direction: self.setting.direction }
    }

    /// Adds the swept widths of one fibre diameter, without charge, to sums.
    fn sweep(&self, prepared: &Prepared, diameter: f64, sums: &mut Sums<'_>) {
        self.with_fibre(prepared, diameter, |fibre, inertia| {
            capture::add(self.terms(), &self.sizes.groups, fibre, inertia, sums);
        });
    }

    /// Exponents of all charge states, summed over the fibre diameters.
    fn sum_exponents(&self, web: &Web, prepared: &Prepared, scratch: &mut Scratch) {
        if self.setting.closure == Closure::Resolved {
            if !self.read_resolved(web, prepared, scratch) {
                self.exponents_by_physics(web, &mut scratch.exponents);
            }
            return;
        }
        scratch.exponents.fill(0.0);
        let mean_square = web.fibres.root_mean_square().to_m().powi(2);
        let clearing = self.clearing(web, &prepared.array, mean_square);
        let median = web.fibres.median();
        for (diameter, share) in web.fibres.quadrature() {
            // The tails: fine fibres clear less than (median/d)^2 as much as the median, coarse ones less than d/median.
            let ratio = diameter / median;
            if share * ratio.max(1.0 / (ratio * ratio)) < NEGLIGIBLE_SHARE {
                continue;
            }
            let length = share * clearing;
            if !self.feels_charge(web) {
                let mut sums = Sums { factor: length, sums: &mut scratch.exponents };
                self.sweep(prepared, diameter.to_m(), &mut sums);
                continue;
            }
            self.with_fibre(prepared, diameter.to_m(), |fibre, inertia| {
                let mut widths = Widths(&mut scratch.widths);
                capture::widths(self.terms(), &self.sizes.groups, fibre, inertia, &mut widths);
            });
            let swept = Swept {
                widths: &scratch.widths,
                arrival: &self.sizes.arrival,
                inverse_arrival: &self.sizes.inverse_arrival,
            };
            let room = (&mut scratch.exponents[..], &mut scratch.charge);
            self.add_swept(&web.electret, &self.whereabouts(web, diameter), &swept, length, room);
        }
    }

    /// Exponents of the solved cell, from the lattice that woven cloths read; `false` where it has no answer.
    fn read_resolved(&self, web: &Web, prepared: &Prepared, scratch: &mut Scratch) -> bool {
        let Some(woven) = self.woven.as_ref() else { return false };
        let Scratch { exponents, charge, woven: room, .. } = scratch;
        exponents.fill(0.0);
        let mean_square = web.fibres.root_mean_square().to_m().powi(2);
        let clearing = self.clearing(web, &prepared.array, mean_square);
        web.fibres.quadrature().into_iter().all(|(diameter, share)| {
            let at = FibrePlace { solidity: web.solidity, diameter, velocity: self.face_velocity };
            let read = woven.read(Closure::Resolved, &at, &mut room.reading);
            let whereabouts = self.whereabouts(web, diameter);
            let add = |swept: Swept<'_>| {
                self.add_swept(&web.electret, &whereabouts, &swept, share * clearing, (exponents, charge));
            };
            read.map(add).is_some()
        })
    }

    /// The physics itself, for a solved cell that the lattice does not hold.
    fn exponents_by_physics(&self, web: &Web, exponents: &mut [f64]) {
        let Setting { closure, air, direction, .. } = &self.setting;
        let prepared = web.prepare(*closure, air, self.face_velocity, *direction);
        for (size, (particle, states)) in self.sizes.particles.iter().zip(&self.channels.states).enumerate() {
            for (state, charges) in states.iter().enumerate() {
                exponents[self.channels.place(size, state)] = prepared.exponent(particle, *charges).value;
            }
        }
    }

    /// Where fibres of a web are.
    fn whereabouts(&self, web: &Web, diameter: Length) -> Whereabouts {
        Whereabouts {
            solidity: web.solidity,
            diameter: diameter.to_m(),
            velocity: self.surroundings.face_velocity,
            convention: self.setting.closure.convention(web.solidity),
            mean_free_path: self.surroundings.mean_free_path,
        }
    }

    /// Adds `length` times the swept widths of one fibre diameter, with charge, to the exponents.
    fn add_swept(
        &self,
        electret: &Electret,
        at: &Whereabouts,
        swept: &Swept<'_>,
        length: f64,
        (exponents, room): (&mut [f64], &mut ChargeRoom),
    ) {
        if self.channels.charged || electret.surface_charge.to_c_per_m2() != 0.0 {
            let fibre = ChargedFibre::new(electret, at);
            charge::add(&self.charge, &self.channels, &fibre, swept, length, (exponents, room));
        } else {
            subtract_even(swept.widths, swept.inverse_arrival, -length, exponents);
        }
    }

    fn add_weave(&self, weave: &Weave, times: f64, sum: &mut LogPenetrations, scratch: &mut Scratch) {
        let read = |woven: &Woven| self.read_weave(woven, weave, times, &mut sum.0, scratch);
        if !self.woven.as_ref().is_some_and(read) {
            self.add_weave_by_physics(weave, times, sum);
        }
    }

    /// The physics itself: where a lattice has no answer, and what the lattice is tested against.
    fn add_weave_by_physics(&self, weave: &Weave, times: f64, sum: &mut LogPenetrations) {
        let prepared = Layer::Weave(weave.clone()).prepare(&self.setting, self.face_velocity);
        for (size, (particle, states)) in self.sizes.particles.iter().zip(&self.channels.states).enumerate() {
            for (state, p) in prepared.penetrations(particle, states).into_iter().enumerate() {
                sum.0[self.channels.place(size, state)] += times * libm::log(p.value);
            }
        }
    }
}

#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn subtract_even(widths: &[f64], inverse_arrival: &[f64], factor: f64, sum: &mut [f64]) {
    for ((sum, width), inverse) in sum.iter_mut().zip(widths).zip(inverse_arrival) {
        *sum -= factor * width * inverse;
    }
}
