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
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electret_law::SLIP_LAYER;
use moteweir_physics::single_fibre::electrostatic::{self, Electret};
use moteweir_units::{Length, Solidity, SurfaceCharge, Velocity};
use multiversion::multiversion;

use super::channels::{Channels, Slot};
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

/// A fibre that charge acts at.
#[derive(Clone, Copy, Debug)]
pub(super) struct ChargedFibre {
    solidity: Solidity,
    action: Action,
    diameter: f64,
    inverse_diameter: f32,
    alpha: f32,
    /// Radius of the cell over the fibre's.
    edge: f32,
    /// Of the relaxation time, in 4 x^2 Stk.
    of_stokes: f32,
    /// c^2.
    convention_squared: f32,
    /// The stream function with slip over that without: a constant, and the coefficient of 1/(q [2 h(q)/q^2 - alpha]).
    faster: [f32; 2],
    /// Ku/(1 - alpha).
    wall: f32,
    inverse_kuwabara: f32,
}

/// How charge acts at a fibre.
#[derive(Clone, Copy, Debug)]
enum Action {
    /// A charged one: scalars of N and their roots, of the Coulomb force and of polarisation.
    Electret { coulomb: f32, root_coulomb: f32, polarisation: f32 },
    /// A neutral one: scalar of E^2 of the image.
    Image { square: f32 },
}

/// Where a fibre is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Whereabouts {
    pub solidity: Solidity,
    /// Fibre diameter \[m\].
    pub diameter: f64,
    /// Superficial velocity U0 \[m/s\].
    pub velocity: f64,
    /// c = U0/U of the closure.
    pub convention: f64,
    /// Mean free path of the air \[m\].
    pub mean_free_path: f64,
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

impl ChargedFibre {
    pub(super) fn new(electret: &Electret, at: &Whereabouts) -> Self {
        let Whereabouts { solidity, diameter, velocity, convention, mean_free_path } = *at;
        let cell = KuwabaraCell::new(solidity, 2.0 * mean_free_path / diameter);
        let (alpha, slip) = (cell.solidity(), cell.slip_parameter());
        let (kuwabara, slip_kuwabara) = (cell.kuwabara_factor(), cell.slip_kuwabara_factor());
        let x = (1.0 - alpha) / kuwabara;
        let (fibre, particle) = (electret.fibre_permittivity, electret.particle_permittivity);
        let sigma = electret.surface_charge.to_c_per_m2().abs();
        let action = if sigma > 0.0 {
            let field = sigma / (1.0 + fibre);
            let coulomb = field / velocity;
            let polarisable = (particle - 1.0) / (particle + 2.0);
            Action::Electret {
                coulomb: coulomb as f32,
                root_coulomb: coulomb.sqrt() as f32,
                polarisation: (polarisable * field * coulomb / diameter) as f32,
            }
        } else {
            let conductance = (fibre - 1.0) / (fibre + 1.0);
            Action::Image { square: (4.0 * x * conductance / (velocity * diameter * diameter)) as f32 }
        };
        Self {
            solidity,
            action,
            diameter,
            inverse_diameter: (1.0 / diameter) as f32,
            alpha: alpha as f32,
            edge: cell.edge_radius() as f32,
            of_stokes: (4.0 * x * x * velocity / diameter) as f32,
            convention_squared: (convention * convention) as f32,
            faster: [
                cell.drag_slip_ratio() as f32,
                (2.0 * slip * (1.0 - alpha) * kuwabara / slip_kuwabara) as f32,
            ],
            wall: (1.0 / x) as f32,
            inverse_kuwabara: (1.0 / kuwabara) as f32,
        }
    }

    /// Largest interception parameter that the cell has room for.
    #[inline(always)]
    fn room(&self) -> f32 {
        self.edge - 1.0
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
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn add_electret(
    tables: &ChargeTables,
    slots: &[Slot],
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    factor: f64,
    (exponents, sizes, plane): (&mut [f64], &mut [OfSizes], &JointPlane),
) {
    of_sizes(&tables.sizes, fibre, swept, sizes);
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
            place(&tables.joint, fibre, sizes, charges, (&mut places, &mut bound));
            places.read(plane);
            join(sizes, (&places, &bound), inverse_arrival, factor, exponents);
        }
    }
}

/// By the image force.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn add_image(
    tables: &ChargeTables,
    slots: &[Slot],
    fibre: &ChargedFibre,
    swept: &Swept<'_>,
    factor: f64,
    (exponents, sizes): (&mut [f64], &mut [OfSizes]),
) {
    of_sizes(&tables.sizes, fibre, swept, sizes);
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
fn of_sizes(tables: &[SizeTable], fibre: &ChargedFibre, swept: &Swept<'_>, out: &mut [OfSizes]) {
    let widths = swept.widths.as_chunks::<GROUP>().0;
    let arrival = swept.arrival.as_chunks::<GROUP>().0;
    for (((table, out), widths), arrival) in tables.iter().zip(out).zip(widths).zip(arrival) {
        at_contact(table, fibre, out);
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
fn at_contact(table: &SizeTable, fibre: &ChargedFibre, out: &mut OfSizes) {
    let (alpha, room) = (fibre.alpha, fibre.room());
    for i in 0..GROUP {
        let r = table.diameter[i] * fibre.inverse_diameter;
        let q = r * (2.0 + r);
        let (logarithm, excess) = logarithm_and_excess(q);
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
        out.ln_faster[i] = if is_sieved { 0.0 } else { ln(faster) };
        out.power[i] = if is_sieved { 0.0 } else { by_flow / (r * slope) };
    }
}

/// Finds where in the table the particles of a group are, and what the number there is the exponent of: the joint law with
/// slip.
#[inline(always)]
fn place(
    joint: &JointTable,
    fibre: &ChargedFibre,
    sizes: &OfSizes,
    charges: &Charges,
    (places, bound): (&mut Places, &mut Row),
) {
    let (alpha, room) = (fibre.alpha, fibre.room());
    for (i, bound) in bound.iter_mut().enumerate() {
        let r = sizes.interception[i];
        let drawn = charges.number[i] * sizes.coulomb[i];
        let strength = drawn + sizes.polarisation[i];
        let layer_squared = fibre.wall * strength;
        let gap_squared = r * r + SLIP_LAYER_SQUARED * layer_squared;
        let gap = gap_squared.sqrt();
        let q = 2.0 * gap + gap_squared;
        let bracket = logarithm_and_excess(q).1 - alpha;
        let faster = if gap < room { fibre.faster[0] + fibre.faster[1] / (q * bracket) } else { 1.0 };
        let moved = lower(r * exp(sizes.power[i] * (sizes.ln_faster[i] - ln(faster))), room);
        let slower = 1.0 / faster;
        let held_strength = strength * slower;
        let held = lower(joint.most / held_strength, 1.0);
        let q = moved * (2.0 + moved);
        let bracket = logarithm_and_excess(q).1 - alpha;
        let by_size = 0.25 * fibre.inverse_kuwabara * bracket * q * q / (1.0 + moved);
        let by_size = higher(by_size, sizes.filled[i]);
        let layer = (layer_squared * slower * held).sqrt();
        let size = moved * (room + layer) / (room * (moved + layer));
        let root = sizes.root_polarisation[i];
        let share = root / (root + charges.root[i] * sizes.root_coulomb[i]);
        *bound = faster * by_size + held * (drawn + PI * sizes.polarisation[i]);
        places.set(i, joint, [ln(held_strength), share, size]);
    }
}

/// Joins what was read with what flow, diffusion and inertia catch.
#[inline(always)]
fn join(
    sizes: &OfSizes,
    (places, bound): (&Places, &Row),
    inverse_arrival: &[f64; GROUP],
    factor: f64,
    exponents: &mut [f64; GROUP],
) {
    for i in 0..GROUP {
        let joint = higher(bound[i] * exp(places.logarithm(i)), sizes.still[i]);
        let by_charge = (joint - sizes.still[i]) * (joint + sizes.still[i]) * sizes.held[i];
        let all = lower((sizes.mechanical[i] + by_charge).sqrt(), sizes.whole[i]);
        exponents[i] += f64::from(all) * (factor * inverse_arrival[i]);
    }
}
