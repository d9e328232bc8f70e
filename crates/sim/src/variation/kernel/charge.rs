//! Capture by charge, for every size and number of charges: the law of `PreparedFibre::with_charge` arranged for vectors, in
//! single precision.
//!
//! ```text
//! E = sqrt(E_m^2 + c^2 (E_j^2 - E_R^2)/sqrt(1 + 4 x^2 Stk)),   c = U0/U,   x = (1 - alpha)/Ku
//! ```
//! E_m comes from elsewhere. At a charged fibre E_j is the joint law with slip, its table read as it is ([`super::joint`]);
//! at a neutral one it is interception and image force joined by squares. Nothing is interpolated that the physics does
//! not interpolate: what differs is rounding ([`super::LARGEST_MISS_BY_CHARGE`]).

#![expect(clippy::inline_always, reason = "only what is inlined takes part in the caller's vectors")]
#![expect(clippy::cast_possible_truncation, reason = "charge is worked out in single precision")]

use std::f32::consts::PI;

use moteweir_physics::air::Air;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electret_law::SLIP_LAYER;
use moteweir_physics::single_fibre::electrostatic::{self, Electret};
use moteweir_units::{Length, SurfaceCharge, Velocity};
use multiversion::multiversion;
use multiversion::target::target_cfg_f;

use super::super::arithmetic::{Apart, Arithmetic, Fused};
use super::channels::{Channels, Slot};
use super::charged_fibre::{Action, ChargedFibre};
use super::joint::{JointPlane, JointTable, Places};
use super::single::{Row, exp, higher, ln, logarithm_and_excess, lower};
use super::sizes::{GROUP, padded};

/// Charge numbers below this are none.
const NONE: f32 = 1e-30;
/// Of the layer at which slip is weighed.
const SLIP_LAYER_SQUARED: f32 = (SLIP_LAYER * SLIP_LAYER) as f32;

/// What each size and charge state brings to capture by charge.
#[derive(Clone, Debug)]
pub(super) struct ChargeTables {
    joint: JointTable,
    sizes: Vec<SizeTable>,
    /// Of each state of each size, slot after slot.
    charges: Vec<Charges>,
}

/// What a group of sizes brings.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct SizeTable {
    /// Diameter \[m\] and relaxation time \[s\].
    diameter: Row,
    relaxation: Row,
    /// N of the Coulomb force on one charge at unit surface charge and velocity and eps_f 0, and its root.
    coulomb: Row,
    root_coulomb: Row,
    /// N of polarisation, at unit fibre diameter besides, for perfectly polarisable particles.
    polarisation: Row,
    /// N of the image of one charge, at unit velocity and fibre diameter and in a conductor.
    image: Row,
}

/// Elementary charges of a group of particles.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Charges {
    number: Row,
    root: Row,
}

/// What is known of each size, and what it is to be multiplied by.
#[derive(Clone, Copy, Debug)]
pub(super) struct Swept<'a> {
    /// Swept widths E_m d_f without charge \[m\].
    pub widths: &'a [f64],
    /// Particles that arrive for each in the air.
    pub arrival: &'a [f64],
    /// One over that, 0 where none do.
    pub inverse_arrival: &'a [f64],
}

/// Room for the work on one fibre.
#[derive(Clone, Debug, Default)]
pub(super) struct ChargeRoom {
    plane: JointPlane,
    sizes: Vec<OfSizes>,
}

/// What all charge states of a group of sizes share.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct OfSizes {
    /// R = d_p/d_f.
    interception: Row,
    coulomb: Row,
    root_coulomb: Row,
    polarisation: Row,
    root_polarisation: Row,
    /// Of the image of one charge, E^2.
    image: Row,
    /// ln of the stream function with slip at contact over that without, and the power that moves contact.
    ln_faster: Row,
    power: Row,
    /// Interception where the particle fills the cell, else 0.
    filled: Row,
    /// E_R.
    still: Row,
    /// c^2 over the root of 1 + 4 x^2 Stk.
    held: Row,
    /// E_m^2.
    mechanical: Row,
    /// All that the cell brings.
    whole: Row,
}

impl ChargeTables {
    pub(super) fn new(particles: &[Particle], air: &Air, channels: &Channels) -> Self {
        // Permittivities at which the factors of the reference are 1 and 1/2.
        let unit = Electret {
            surface_charge: SurfaceCharge::from_c_per_m2(1.0),
            fibre_permittivity: 0.0,
            particle_permittivity: 4.0,
        };
        let (metre, speed) = (Length::from_m(1.0), Velocity::from_m_per_s(1.0));
        let of = |property: &dyn Fn(&Particle) -> f64| rows(&padded(particles, property));
        let diameter = of(&|p| p.diameter().to_m());
        let relaxation = of(&|p| p.relaxation_time().to_s());
        let coulomb = of(&|p| electrostatic::coulomb_parameter(air, p, 1, &unit, speed));
        let polarisation = of(&|p| 2.0 * electrostatic::polarisation_parameter(air, p, &unit, metre, speed));
        let image = of(&|p| 2.0 * electrostatic::image_parameter(air, p, 1, 3.0, metre, speed));
        let group = |g: usize| SizeTable {
            diameter: diameter[g],
            relaxation: relaxation[g],
            coulomb: coulomb[g],
            root_coulomb: coulomb[g].map(f32::sqrt),
            polarisation: polarisation[g],
            image: image[g],
        };
        let charges = channels.slots.iter().flat_map(|slot| rows(&slot.charges));
        Self {
            joint: JointTable::compiled(),
            sizes: (0..diameter.len()).map(group).collect(),
            charges: charges.map(|number| Charges { number, root: number.map(f32::sqrt) }).collect(),
        }
    }

    /// Room to work in.
    pub(super) fn room(&self) -> ChargeRoom {
        ChargeRoom { plane: JointPlane::default(), sizes: vec![OfSizes::new(); self.sizes.len()] }
    }
}

/// Whole groups of numbers in single precision.
fn rows(values: &[f64]) -> Vec<Row> {
    values.as_chunks::<GROUP>().0.iter().map(|group| group.map(|value| value as f32)).collect()
}

impl OfSizes {
    fn new() -> Self {
        let row = [0.0; GROUP];
        Self {
            interception: row,
            coulomb: row,
            root_coulomb: row,
            polarisation: row,
            root_polarisation: row,
            image: row,
            ln_faster: row,
            power: row,
            filled: row,
            still: row,
            held: row,
            mechanical: row,
            whole: row,
        }
    }
}

/// Adds `factor` times the swept width with charge over the arrival to the exponents of all slots.
pub(super) fn add(
    tables: &ChargeTables,
    channels: &Channels,
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    factor: f64,
    (exponents, room): (&mut [f64], &mut ChargeRoom),
) {
    let ChargeRoom { plane, sizes } = room;
    let factor = factor * fibre.diameter;
    match fibre.action {
        Action::Electret { .. } => {
            plane.set(&tables.joint, fibre.solidity, channels.charged);
            add_electret(tables, &channels.slots, fibre, swept, factor, (exponents, sizes, plane));
        }
        Action::Image { .. } => {
            add_image(tables, &channels.slots, fibre, swept, factor, (exponents, sizes));
        }
    }
}

/// By the joint law.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
fn add_electret(
    tables: &ChargeTables,
    slots: &[Slot],
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    factor: f64,
    room: (&mut [f64], &mut [OfSizes], &JointPlane),
) {
    if target_cfg_f!(target_feature = "fma") {
        add_electret_by::<Fused>(tables, slots, fibre, swept, factor, room);
    } else {
        add_electret_by::<Apart>(tables, slots, fibre, swept, factor, room);
    }
}

/// As [`add_electret`], with the instructions and the arithmetic of whoever calls it.
#[inline(always)]
fn add_electret_by<A: Arithmetic>(
    tables: &ChargeTables,
    slots: &[Slot],
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    factor: f64,
    (exponents, sizes, plane): (&mut [f64], &mut [OfSizes], &JointPlane),
) {
    of_sizes::<A>(&tables.sizes, fibre, swept, sizes);
    let mut places = Places::new();
    let mut bound = [0.0; GROUP];
    for slot in slots {
        let first = slot.start / GROUP;
        let of_slot = slot.offset..slot.offset + slot.shares.len();
        let exponents = exponents[of_slot].as_chunks_mut::<GROUP>().0;
        let inverse_arrival = swept.inverse_arrival[slot.start..].as_chunks::<GROUP>().0;
        let charges = &tables.charges[slot.offset / GROUP..];
        let groups = sizes[first..].iter().zip(charges).zip(inverse_arrival);
        for (((sizes, charges), inverse_arrival), exponents) in groups.zip(exponents) {
            place::<A>(&tables.joint, fibre, sizes, charges, (&mut places, &mut bound));
            places.read::<A>(plane);
            join::<A>(sizes, (&places, &bound), inverse_arrival, factor, exponents);
        }
    }
}

/// By the image force.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2+fma", "x86_64+avx2+fma"))]
fn add_image(
    tables: &ChargeTables,
    slots: &[Slot],
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    factor: f64,
    (exponents, sizes): (&mut [f64], &mut [OfSizes]),
) {
    of_sizes::<Apart>(&tables.sizes, fibre, swept, sizes);
    for slot in slots {
        let first = slot.start / GROUP;
        let of_slot = slot.offset..slot.offset + slot.shares.len();
        let exponents = exponents[of_slot].as_chunks_mut::<GROUP>().0;
        let inverse_arrival = swept.inverse_arrival[slot.start..].as_chunks::<GROUP>().0;
        let charges = &tables.charges[slot.offset / GROUP..];
        let groups = sizes[first..].iter().zip(charges).zip(inverse_arrival);
        for (((sizes, charges), inverse_arrival), exponents) in groups.zip(exponents) {
            for i in 0..GROUP {
                let by_charge = charges.number[i] * charges.number[i] * sizes.image[i];
                let all = lower((sizes.mechanical[i] + by_charge).sqrt(), sizes.whole[i]);
                exponents[i] += f64::from(all) * (factor * inverse_arrival[i]);
            }
        }
    }
}

/// Works out what all charge states of a size share.
#[inline(always)]
fn of_sizes<A: Arithmetic>(
    tables: &[SizeTable],
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    out: &mut [OfSizes],
) {
    let widths = swept.widths.as_chunks::<GROUP>().0;
    let arrival = swept.arrival.as_chunks::<GROUP>().0;
    for (((table, out), widths), arrival) in tables.iter().zip(out).zip(widths).zip(arrival) {
        at_contact::<A>(table, fibre, out);
        for i in 0..GROUP {
            let of_flow = widths[i] as f32 * fibre.inverse_diameter;
            out.mechanical[i] = of_flow * of_flow;
            out.whole[i] = fibre.edge * arrival[i] as f32;
            let held_off = 1.0 + fibre.of_stokes * table.relaxation[i];
            out.held[i] = fibre.convention_squared / held_off.sqrt();
        }
        match fibre.action {
            Action::Image { square } => {
                for i in 0..GROUP {
                    out.image[i] = square * table.image[i] * out.held[i];
                }
            }
            Action::Electret { coulomb, root_coulomb, polarisation } => {
                for i in 0..GROUP {
                    out.coulomb[i] = coulomb * table.coulomb[i];
                    out.root_coulomb[i] = root_coulomb * table.root_coulomb[i];
                    let polarised = higher(polarisation * table.polarisation[i], NONE);
                    out.polarisation[i] = polarised;
                    out.root_polarisation[i] = polarised.sqrt();
                }
            }
        }
    }
}

/// Interception, and how slip moves contact.
#[inline(always)]
fn at_contact<A: Arithmetic>(table: &SizeTable, fibre: &ChargedFibre, out: &mut OfSizes) {
    let (alpha, room) = (fibre.alpha, fibre.room());
    for i in 0..GROUP {
        let r = table.diameter[i] * fibre.inverse_diameter;
        let q = r * (2.0 + r);
        let (logarithm, excess) = logarithm_and_excess::<A>(q);
        let bracket = excess - alpha;
        let faster = fibre.faster[0] + fibre.faster[1] / (q * bracket);
        // f/r and f' without slip at contact.
        let over_radius = 0.25 * fibre.inverse_kuwabara * bracket * q * q / (1.0 + q);
        let slope = fibre.inverse_kuwabara * (logarithm - alpha * q) - over_radius;
        let is_sieved = r >= room;
        let by_flow = over_radius * (1.0 + r);
        out.interception[i] = r;
        out.still[i] = if is_sieved { 1.0 + r } else { lower(by_flow * faster, 1.0 + r) };
        out.filled[i] = if is_sieved { 1.0 + r } else { 0.0 };
        out.ln_faster[i] = if is_sieved { 0.0 } else { ln::<A>(faster) };
        out.power[i] = if is_sieved { 0.0 } else { by_flow / (r * slope) };
    }
}

/// Finds where in the table the particles of a group are, and what the number there is the exponent of: the joint law with
/// slip.
#[inline(always)]
fn place<A: Arithmetic>(
    joint: &JointTable,
    fibre: &ChargedFibre,
    sizes: &OfSizes,
    charges: &Charges,
    (places, bound): (&mut Places, &mut Row),
) {
    let (alpha, room) = (fibre.alpha, fibre.room());
    let inverse_room = 1.0 / room;
    for (i, bound) in bound.iter_mut().enumerate() {
        let r = sizes.interception[i];
        let drawn = charges.number[i] * sizes.coulomb[i];
        let strength = drawn + sizes.polarisation[i];
        let layer_squared = fibre.wall * strength;
        let gap_squared = r * r + SLIP_LAYER_SQUARED * layer_squared;
        let gap = gap_squared.sqrt();
        let q = 2.0 * gap + gap_squared;
        let bracket = logarithm_and_excess::<A>(q).1 - alpha;
        let faster = if gap < room { fibre.faster[0] + fibre.faster[1] / (q * bracket) } else { 1.0 };
        let moved = lower(r * exp::<A>(sizes.power[i] * (sizes.ln_faster[i] - ln::<A>(faster))), room);
        let inverse = 1.0 / (faster * strength);
        let slower = inverse * strength;
        let held_strength = strength * slower;
        let held = lower(joint.most * faster * faster * inverse, 1.0);
        let q = moved * (2.0 + moved);
        let bracket = logarithm_and_excess::<A>(q).1 - alpha;
        let layer = (layer_squared * slower * held).sqrt();
        let inverse = 1.0 / ((1.0 + moved) * (moved + layer));
        let by_size = 0.25 * fibre.inverse_kuwabara * bracket * q * q * ((moved + layer) * inverse);
        let by_size = higher(by_size, sizes.filled[i]);
        let size = moved * (room + layer) * (inverse_room * (1.0 + moved) * inverse);
        let root = sizes.root_polarisation[i];
        let share = root / (root + charges.root[i] * sizes.root_coulomb[i]);
        *bound = faster * by_size + held * (drawn + PI * sizes.polarisation[i]);
        places.set::<A>(i, joint, [ln::<A>(held_strength), share, size]);
    }
}

/// Joins what was read with what flow, diffusion and inertia catch.
#[inline(always)]
fn join<A: Arithmetic>(
    sizes: &OfSizes,
    (places, bound): (&Places, &Row),
    inverse_arrival: &[f64; GROUP],
    factor: f64,
    exponents: &mut [f64; GROUP],
) {
    for i in 0..GROUP {
        let joint = higher(bound[i] * exp::<A>(places.logarithm(i)), sizes.still[i]);
        let by_charge = (joint - sizes.still[i]) * (joint + sizes.still[i]) * sizes.held[i];
        let all = lower((sizes.mechanical[i] + by_charge).sqrt(), sizes.whole[i]);
        exponents[i] += f64::from(all) * (factor * inverse_arrival[i]);
    }
}

#[cfg(test)]
mod tests {
    use moteweir_physics::cell::KuwabaraCell;
    use moteweir_physics::charging::ParticleCharge;
    use moteweir_physics::single_fibre::interception;
    use moteweir_physics::stack::ParticleKind;
    use moteweir_units::{Density, Solidity};

    use super::super::LARGEST_MISS_BY_CHARGE;
    use super::super::charged_fibre::Whereabouts;
    use super::*;

    type Add =
        fn(&ChargeTables, &[Slot], &ChargedFibre, &Swept<'_>, f64, (&mut [f64], &mut [OfSizes], &JointPlane));

    /// The loops with the instructions of AVX2.
    #[multiversion(targets("x86_64+avx2+fma"))]
    fn add_with_avx2(
        tables: &ChargeTables,
        slots: &[Slot],
        fibre: &ChargedFibre,
        swept: &Swept<'_>,
        factor: f64,
        room: (&mut [f64], &mut [OfSizes], &JointPlane),
    ) {
        if target_cfg_f!(target_feature = "fma") {
            add_electret_by::<Fused>(tables, slots, fibre, swept, factor, room);
        } else {
            add_electret_by::<Apart>(tables, slots, fibre, swept, factor, room);
        }
    }

    /// The widest vectors that this machine has and those of AVX2 give the same bits; products and sums that do not fuse the
    /// same number.
    #[test]
    fn the_same_bits_with_vectors_of_any_width() {
        let air = Air::reference();
        let charge = ParticleCharge::Equilibrium;
        let kind = ParticleKind { density: Density::from_kg_per_m3(1200.0), charge };
        let particles: Vec<Particle> = (0..41)
            .map(|i| Length::from_um(0.01 * 1000_f64.powf(f64::from(i) / 40.0)))
            .map(|d| Particle::new(&air, d, kind.density))
            .collect();
        let channels = Channels::new(&particles, &kind, &air);
        let tables = ChargeTables::new(&particles, &air, &channels);
        let mut room = tables.room();
        let ones = padded(&particles, &|_| 1.0);
        for (um, alpha) in [(0.3, 0.01), (2.0, 0.08), (9.0, 0.3)] {
            let cell = KuwabaraCell::new(Solidity::new(alpha).unwrap(), 0.0);
            let swept = |p: &Particle| 0.02 + interception::exact(&cell, p.diameter().to_um() / um);
            let widths = padded(&particles, &|p| 1e-6 * um * swept(p));
            let swept = Swept { widths: &widths, arrival: &ones, inverse_arrival: &ones };
            let electret = Electret {
                surface_charge: SurfaceCharge::from_uc_per_m2(20.0),
                fibre_permittivity: 2.2,
                particle_permittivity: 3.0,
            };
            let at = Whereabouts {
                solidity: Solidity::new(alpha).unwrap(),
                diameter: 1e-6 * um,
                velocity: 0.1,
                convention: 1.0 - alpha,
                mean_free_path: air.mean_free_path().to_m(),
            };
            let fibre = ChargedFibre::new(&electret, &at);
            room.plane.set(&tables.joint, fibre.solidity, true);
            let by = |add: Add, room: &mut ChargeRoom| {
                let mut exponents = vec![0.0; channels.len];
                add(
                    &tables,
                    &channels.slots,
                    &fibre,
                    &swept,
                    1e6,
                    (&mut exponents, &mut room.sizes, &room.plane),
                );
                assert!(exponents.iter().all(|k| k.is_finite() && *k > 0.0), "{um} {alpha}: {exponents:?}");
                exponents
            };
            let [widest, avx2, apart] =
                [add_electret, add_with_avx2, add_electret_by::<Apart>].map(|add| by(add, &mut room));
            for ((widest, avx2), apart) in widest.iter().zip(&avx2).zip(&apart) {
                assert_eq!(widest.to_bits(), avx2.to_bits(), "{um} um, {alpha}");
                let miss = (apart / widest - 1.0).abs();
                assert!(miss < LARGEST_MISS_BY_CHARGE, "{um} um, {alpha}: {apart} for {widest}");
            }
        }
    }
}
