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
use std::ops::Range;

use moteweir_physics::air::Air;
use moteweir_physics::cell::KuwabaraCell;
use moteweir_physics::particle::Particle;
use moteweir_physics::single_fibre::electret_law::SLIP_LAYER;
use moteweir_physics::single_fibre::electrostatic::{self, Electret};
use moteweir_units::{Length, Solidity, SurfaceCharge, Velocity};
use multiversion::multiversion;

use super::channels::{Channels, Slot};
use super::joint::{self, JointPlane, JointTable, Places};
use super::single::{exp, higher, ln, logarithm_and_excess, lower};
use super::sizes::padded;

/// Charge numbers below this are none.
const NONE: f32 = 1e-30;

/// What each size and charge state brings to capture by charge.
#[derive(Clone, Debug)]
pub(super) struct ChargeTables {
    joint: JointTable,
    /// Diameter \[m\] and relaxation time \[s\].
    diameter: Vec<f32>,
    relaxation: Vec<f32>,
    /// N of the Coulomb force on one charge at unit surface charge and velocity and eps_f 0, and its root.
    coulomb: Vec<f32>,
    root_coulomb: Vec<f32>,
    /// N of polarisation, at unit fibre diameter besides, for perfectly polarisable particles.
    polarisation: Vec<f32>,
    /// N of the image of one charge, at unit velocity and fibre diameter and in a conductor.
    image: Vec<f32>,
    /// Elementary charges of each state of each size, and their root, slot after slot.
    charges: Vec<f32>,
    root_charges: Vec<f32>,
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
    sizes: OfSizes,
    places: Places,
    /// What the table's number is the exponent of.
    bound: Vec<f32>,
}

/// What all charge states of a size share.
#[derive(Clone, Debug, Default)]
struct OfSizes {
    /// R = d_p/d_f.
    interception: Vec<f32>,
    coulomb: Vec<f32>,
    root_coulomb: Vec<f32>,
    polarisation: Vec<f32>,
    root_polarisation: Vec<f32>,
    /// Of the image of one charge, E^2.
    image: Vec<f32>,
    /// ln of the stream function with slip at contact over that without, and the power that moves contact.
    ln_faster: Vec<f32>,
    power: Vec<f32>,
    /// Interception where the particle fills the cell, else 0.
    filled: Vec<f32>,
    /// E_R.
    still: Vec<f32>,
    /// c^2 over the root of 1 + 4 x^2 Stk.
    held: Vec<f32>,
    /// E_m^2.
    mechanical: Vec<f32>,
    /// All the cell brings.
    whole: Vec<f32>,
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
        let of = |property: &dyn Fn(&Particle) -> f64| -> Vec<f32> {
            padded(particles, property).into_iter().map(|value| value as f32).collect()
        };
        let coulomb = of(&|p| electrostatic::coulomb_parameter(air, p, 1, &unit, speed));
        let charges = channels.slots.iter().flat_map(|slot| slot.charges.iter().map(|n| *n as f32));
        let charges: Vec<f32> = charges.collect();
        Self {
            joint: JointTable::compiled(),
            diameter: of(&|p| p.diameter().to_m()),
            relaxation: of(&|p| p.relaxation_time().to_s()),
            root_coulomb: coulomb.iter().map(|n| n.sqrt()).collect(),
            coulomb,
            polarisation: of(&|p| 2.0 * electrostatic::polarisation_parameter(air, p, &unit, metre, speed)),
            image: of(&|p| 2.0 * electrostatic::image_parameter(air, p, 1, 3.0, metre, speed)),
            root_charges: charges.iter().map(|n| n.sqrt()).collect(),
            charges,
        }
    }

    /// Room to work in.
    pub(super) fn room(&self) -> ChargeRoom {
        let n = self.diameter.len();
        ChargeRoom {
            plane: JointPlane::default(),
            sizes: OfSizes::room(n),
            places: Places::room(n),
            bound: vec![0.0; n],
        }
    }
}

impl OfSizes {
    fn room(n: usize) -> Self {
        let row = || vec![0.0; n];
        Self {
            interception: row(),
            coulomb: row(),
            root_coulomb: row(),
            polarisation: row(),
            root_polarisation: row(),
            image: row(),
            ln_faster: row(),
            power: row(),
            filled: row(),
            still: row(),
            held: row(),
            mechanical: row(),
            whole: row(),
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
    let ChargeRoom { plane, sizes, places, bound } = room;
    of_sizes(tables, fibre, swept, sizes);
    let factor = factor * fibre.diameter;
    let is_electret = matches!(fibre.action, Action::Electret { .. });
    if is_electret {
        plane.set(&tables.joint, fibre.solidity, channels.charged);
    }
    for slot in &channels.slots {
        let of_slot = slot.offset..slot.offset + slot.shares.len();
        let exponents = &mut exponents[of_slot.clone()];
        let inverse_arrival = &swept.inverse_arrival[slot.start..];
        if is_electret {
            place(tables, fibre, slot, of_slot, (&*sizes, places, bound));
            joint::read(plane, places, exponents.len());
            join(slot, sizes, (&*places, bound), inverse_arrival, factor, exponents);
        } else {
            add_image(&tables.charges[of_slot], slot, sizes, inverse_arrival, factor, exponents);
        }
    }
}

/// Works out what all charge states of a size share.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn of_sizes(tables: &ChargeTables, fibre: &ChargedFibre, swept: &Swept<'_>, out: &mut OfSizes) {
    let n = out.still.len();
    let (widths, arrival) = (&swept.widths[..n], &swept.arrival[..n]);
    let (diameter, relaxation) = (&tables.diameter[..n], &tables.relaxation[..n]);
    let [interception, still] = [&mut out.interception[..n], &mut out.still[..n]];
    let [ln_faster, power, filled] = [&mut out.ln_faster[..n], &mut out.power[..n], &mut out.filled[..n]];
    let [held, mechanical, whole] = [&mut out.held[..n], &mut out.mechanical[..n], &mut out.whole[..n]];
    let (alpha, room) = (fibre.alpha, fibre.room());
    for i in 0..n {
        let r = diameter[i] * fibre.inverse_diameter;
        let q = r * (2.0 + r);
        let (logarithm, excess) = logarithm_and_excess(q);
        let bracket = excess - alpha;
        let faster = fibre.faster[0] + fibre.faster[1] / (q * bracket);
        // f/r and f' without slip at contact.
        let over_radius = 0.25 * fibre.inverse_kuwabara * bracket * q * q / (1.0 + q);
        let slope = fibre.inverse_kuwabara * (logarithm - alpha * q) - over_radius;
        let is_sieved = r >= room;
        let by_flow = over_radius * (1.0 + r);
        interception[i] = r;
        still[i] = if is_sieved { 1.0 + r } else { lower(by_flow * faster, 1.0 + r) };
        filled[i] = if is_sieved { 1.0 + r } else { 0.0 };
        ln_faster[i] = if is_sieved { 0.0 } else { ln(faster) };
        power[i] = if is_sieved { 0.0 } else { by_flow / (r * slope) };
        held[i] = fibre.convention_squared / (1.0 + fibre.of_stokes * relaxation[i]).sqrt();
        let of_flow = widths[i] as f32 * fibre.inverse_diameter;
        mechanical[i] = of_flow * of_flow;
        whole[i] = fibre.edge * arrival[i] as f32;
    }
    match fibre.action {
        Action::Image { square } => {
            let (table, image) = (&tables.image[..n], &mut out.image[..n]);
            for i in 0..n {
                image[i] = square * table[i] * held[i];
            }
        }
        Action::Electret { coulomb, root_coulomb, polarisation } => {
            let (table, root) = (&tables.coulomb[..n], &tables.root_coulomb[..n]);
            let of_polarisation = &tables.polarisation[..n];
            let [numbers, roots] = [&mut out.coulomb[..n], &mut out.root_coulomb[..n]];
            let [polarised, polarised_root] = [&mut out.polarisation[..n], &mut out.root_polarisation[..n]];
            for i in 0..n {
                numbers[i] = coulomb * table[i];
                roots[i] = root_coulomb * root[i];
                polarised[i] = higher(polarisation * of_polarisation[i], NONE);
                polarised_root[i] = polarised[i].sqrt();
            }
        }
    }
}

/// Finds where in the table each size of a slot is, and what the number there is the exponent of: the joint law with slip.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn place(
    tables: &ChargeTables,
    fibre: &ChargedFibre,
    slot: &Slot,
    of_slot: Range<usize>,
    (sizes, places, bound): (&OfSizes, &mut Places, &mut [f32]),
) {
    let n = of_slot.len();
    let span = slot.start..slot.start + n;
    let (charges, root_charges) = (&tables.charges[of_slot.clone()][..n], &tables.root_charges[of_slot][..n]);
    let [interception, filled] = [&sizes.interception, &sizes.filled].map(|row| &row[span.clone()][..n]);
    let [coulomb, root_coulomb, polarisation, root_polarisation] =
        [&sizes.coulomb, &sizes.root_coulomb, &sizes.polarisation, &sizes.root_polarisation]
            .map(|row| &row[span.clone()][..n]);
    let [ln_faster, power] = [&sizes.ln_faster, &sizes.power].map(|row| &row[span.clone()][..n]);
    let (base, bound) = (&mut places.base[..n], &mut bound[..n]);
    let [s0, s1, s2, s3] = places.strength.each_mut().map(|row| &mut row[..n]);
    let [h0, h1, h2, h3] = places.share.each_mut().map(|row| &mut row[..n]);
    let [z0, z1, z2, z3] = places.size.each_mut().map(|row| &mut row[..n]);
    let (alpha, room, joint) = (fibre.alpha, fibre.room(), &tables.joint);
    let slip_layer = (SLIP_LAYER * SLIP_LAYER) as f32;
    for i in 0..n {
        let r = interception[i];
        let drawn = charges[i] * coulomb[i];
        let strength = drawn + polarisation[i];
        let layer_squared = fibre.wall * strength;
        let gap_squared = r * r + slip_layer * layer_squared;
        let gap = gap_squared.sqrt();
        let q = 2.0 * gap + gap_squared;
        let bracket = logarithm_and_excess(q).1 - alpha;
        let faster = if gap < room { fibre.faster[0] + fibre.faster[1] / (q * bracket) } else { 1.0 };
        let moved = lower(r * exp(power[i] * (ln_faster[i] - ln(faster))), room);
        let slower = 1.0 / faster;
        let held_strength = strength * slower;
        let held = lower(joint.most / held_strength, 1.0);
        let q = moved * (2.0 + moved);
        let bracket = logarithm_and_excess(q).1 - alpha;
        let by_size = 0.25 * fibre.inverse_kuwabara * bracket * q * q / (1.0 + moved);
        let by_size = higher(by_size, filled[i]);
        let layer = (layer_squared * slower * held).sqrt();
        let size = moved * (room + layer) / (room * (moved + layer));
        let share = root_polarisation[i] / (root_polarisation[i] + root_charges[i] * root_coulomb[i]);
        bound[i] = faster * by_size + held * (drawn + PI * polarisation[i]);
        let [of_strength, of_share, of_size] = joint::stencils(joint, ln(held_strength), share, size);
        base[i] = joint::base(of_strength.0, of_share.0, of_size.0);
        [s0[i], s1[i], s2[i], s3[i]] = of_strength.1;
        [h0[i], h1[i], h2[i], h3[i]] = of_share.1;
        [z0[i], z1[i], z2[i], z3[i]] = of_size.1;
    }
}

/// Joins what was read with what flow, diffusion and inertia catch.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn join(
    slot: &Slot,
    sizes: &OfSizes,
    (places, bound): (&Places, &[f32]),
    inverse_arrival: &[f64],
    factor: f64,
    exponents: &mut [f64],
) {
    let n = exponents.len();
    let [still, held, mechanical, whole] = [&sizes.still, &sizes.held, &sizes.mechanical, &sizes.whole]
        .map(|row| &row[slot.start..slot.start + n]);
    let (bound, sums, inverse_arrival) = (&bound[..n], &places.sums[..n], &inverse_arrival[..n]);
    let [z0, z1, z2, z3] = places.size.each_ref().map(|row| &row[..n]);
    for i in 0..n {
        let [a, b, c, d] = sums[i];
        let logarithm = (z0[i] * a + z1[i] * b) + (z2[i] * c + z3[i] * d);
        let joint = higher(bound[i] * exp(logarithm), still[i]);
        let by_charge = (joint - still[i]) * (joint + still[i]) * held[i];
        let all = lower((mechanical[i] + by_charge).sqrt(), whole[i]);
        exponents[i] += f64::from(all) * (factor * inverse_arrival[i]);
    }
}

/// Joins the image force with what flow, diffusion and inertia catch.
#[multiversion(targets("x86_64+avx512f+avx512vl+avx512dq+avx512bw+avx2", "x86_64+avx2"))]
fn add_image(
    charges: &[f32],
    slot: &Slot,
    sizes: &OfSizes,
    inverse_arrival: &[f64],
    factor: f64,
    exponents: &mut [f64],
) {
    let n = exponents.len();
    let [image, mechanical, whole] =
        [&sizes.image, &sizes.mechanical, &sizes.whole].map(|row| &row[slot.start..slot.start + n]);
    let (charges, inverse_arrival) = (&charges[..n], &inverse_arrival[..n]);
    for i in 0..n {
        let all = lower((mechanical[i] + charges[i] * charges[i] * image[i]).sqrt(), whole[i]);
        exponents[i] += f64::from(all) * (factor * inverse_arrival[i]);
    }
}
